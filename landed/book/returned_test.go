package book_test

import (
	"cmp"
	"math/big"
	"slices"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/internal/published"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// move is a sale or what came back of one, in the replay.
type move struct {
	haul          string
	item, place   int
	day, sold     time.Time
	count         int64 // below zero of what came back
	money         int64 // proceeds less fees and postage
	refunded      int64
	sale          *move
	back          *landed.Return
	worth         int64
	pieces        []*piece // sold and not back
	out           averaged // what those cost
	cost, written int64
}

// bringBack lets some sales of a drawn haul come back, and sells again what is there.
func bringBack(t *rapid.T, h book.Haul) {
	for i := range h.Lots[0].Items {
		it := &h.Lots[0].Items[i]
		if it.Found == nil || it.Found.Parts == 0 { // else what those bear would be another
			it.PartsValue = money.New(rapid.Int64Range(0, 3000).Draw(t, "for parts"), cad)
		}
		for k := range it.Sold {
			s := &it.Sold[k]
			for n := s.Count; n > 0 && rapid.Bool().Draw(t, "returned"); {
				r := landed.Return{Date: s.Date.AddDate(0, 0, rapid.IntRange(0, 400).Draw(t, "after")), Count: rapid.Int64Range(0, n).Draw(t, "came"),
					Refund: money.New(s.Price.Minor()/s.Count/2, cad), FeesBack: money.New(s.Fees.Minor()/s.Count/2, cad), Postage: money.New(rapid.Int64Range(0, 900).Draw(t, "way back"), cad),
					As: rapid.SampledFrom([]landed.State{landed.Sound, landed.Sound, landed.ForParts, landed.Dead}).Draw(t, "as")}
				if r.Count == s.Count {
					r.Refund = money.Amount{}
				}
				s.Returned = append(s.Returned, r)
				if n -= max(r.Count, 1); r.Count > 0 && r.As != landed.Dead && rapid.Bool().Draw(t, "again") {
					it.Sold = append(it.Sold, landed.Sale{Count: r.Count, Price: money.New(rapid.Int64Range(0, 9999).Draw(t, "price again"), cad), Date: r.Date.AddDate(0, 0, rapid.IntRange(0, 90).Draw(t, "until"))})
					s = &it.Sold[k]
				}
			}
		}
	}
}

// movesOf are the sales of a haul and what came back of them.
func movesOf(h book.Haul) (list []*move) {
	for i, it := range h.Lots[0].Items {
		sales := slices.Clone(it.Sold)
		slices.SortStableFunc(sales, func(a, b landed.Sale) int { return a.Date.Compare(b.Date) })
		for _, s := range sales {
			m := &move{haul: h.Name, item: i, place: len(list), day: s.Date, sold: s.Date, count: s.Count, money: s.Price.Minor() - s.Fees.Minor()}
			list = append(list, m)
			backs := slices.Clone(s.Returned)
			slices.SortStableFunc(backs, func(a, b landed.Return) int { return a.Date.Compare(b.Date) })
			for _, r := range backs {
				refund := r.Refund.Minor()
				if r.Refund.Currency() == 0 {
					refund = s.Price.Minor()
				}
				list = append(list, &move{haul: h.Name, item: i, place: len(list), day: r.Date, sold: s.Date, count: -r.Count, money: r.FeesBack.Minor() - refund - r.Postage.Minor(),
					refunded: refund, sale: m, back: &r, worth: it.PartsValue.Minor() * r.Count})
			}
		}
	}
	return list
}

// inOrder: by day; on one day what came back of earlier days first.
func inOrder(moves []*move) {
	turn := func(m *move) int {
		if m.back != nil && m.day.After(m.sold) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(moves, func(a, b *move) int {
		return cmp.Or(a.day.Compare(b.day), turn(a)-turn(b), cmp.Compare(a.haul, b.haul), cmp.Compare(a.place, b.place))
	})
}

func cheapest(list []*piece) {
	slices.SortStableFunc(list, func(a, b *piece) int { return cmp.Or(cmp.Compare(a.state, b.state), cmp.Compare(a.cost, b.cost)) })
}

// follow takes pieces out and puts them back one by one, each at its own cost.
func follow(pieces []piece, moves []*move) {
	for _, m := range moves {
		if m.back == nil {
			for i := range pieces {
				if p := &pieces[i]; p.haul == m.haul && p.item == m.item && !p.gone {
					m.pieces = append(m.pieces, p)
				}
			}
			cheapest(m.pieces)
			m.pieces = m.pieces[:m.count]
			for _, p := range m.pieces {
				p.gone = true
				m.cost += p.cost
			}
			continue
		}
		cheapest(m.sale.pieces)
		came := m.sale.pieces[:-m.count]
		m.sale.pieces = m.sale.pieces[-m.count:]
		for _, p := range came {
			m.cost -= p.cost
			p.gone = m.back.As == landed.Dead
		}
		switch m.back.As {
		case landed.Dead:
			m.written = -m.cost
		case landed.ForParts:
			m.written = max(0, -m.cost-m.worth)
			for k, cost := range shared(-m.cost-m.written, max(-m.count, 1))[:-m.count] {
				came[k].state, came[k].cost = landed.ForParts, cost
			}
		}
	}
}

// rounded is part of a sum, half away from zero.
func rounded(sum, n, of int64) int64 {
	text := new(big.Rat).Mul(big.NewRat(sum, 1), big.NewRat(n, of)).FloatString(0)
	whole, _ := new(big.Int).SetString(text, 10)
	return whole.Int64()
}

// averaged is pools of pieces and what they cost, by name.
type averaged map[string][]int64

func (a averaged) put(name string, n, cost int64) {
	if a[name] == nil {
		a[name] = []int64{0, 0}
	}
	a[name][0], a[name][1] = a[name][0]+n, a[name][1]+cost
}

func (a averaged) take(name string, n int64) int64 {
	cost := rounded(a[name][1], n, a[name][0])
	a.put(name, -n, -cost)
	return cost
}

// poolName names the pool of a piece in a state.
func poolName(p *piece, state landed.State) string {
	if p.model == "" {
		return p.haul + "/" + p.id + "/" + state.String()
	}
	return p.model + "//" + state.String()
}

// followPools gives the moves the cost of pools, and returns what is left in all of them. Which
// pieces go, and in what state, is as each at its own cost.
func followPools(pieces []piece, moves []*move) (left int64) {
	pools, bought := averaged{}, slices.Clone(pieces)
	enter := func(until time.Time) {
		bought = slices.DeleteFunc(bought, func(p piece) bool {
			if !p.day.After(until) {
				pools.put(poolName(&p, p.state), 1, p.cost)
			}
			return !p.day.After(until)
		})
	}
	for _, m := range moves {
		enter(m.day)
		var some []*piece // as they were before they came back
		if m.back != nil {
			cheapest(m.sale.pieces)
			for _, p := range m.sale.pieces[:-m.count] {
				was := *p
				some = append(some, &was)
			}
		}
		follow(pieces, []*move{m})
		m.cost, m.written = 0, 0
		if m.back == nil {
			m.out = averaged{}
			for name, n := range countOf(m.pieces) {
				cost := pools.take(name, n)
				m.out.put(name, n, cost)
				m.cost += cost
			}
			continue
		}
		for name, n := range countOf(some) {
			cost := m.sale.out.take(name, n)
			if m.cost -= cost; m.back.As == landed.Sound {
				pools.put(name, n, cost)
			}
		}
		switch m.back.As {
		case landed.Dead:
			m.written = -m.cost
		case landed.ForParts:
			m.written = max(0, -m.cost-m.worth)
			if len(some) > 0 {
				pools.put(poolName(some[0], landed.ForParts), -m.count, -m.cost-m.written)
			}
		}
	}
	enter(time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC))
	for _, p := range pools {
		left += p[1]
	}
	return left
}

// countOf counts pieces by their pool.
func countOf(pieces []*piece) map[string]int64 {
	n := map[string]int64{}
	for _, p := range pieces {
		n[poolName(p, p.state)]++
	}
	return n
}

// TestReplayReturned sets years, sales and stock beside a replay piece by piece, with pieces that
// come back, in whatever state, in the same year or another, and are sold again.
func TestReplayReturned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pieces []piece
		lost, bought := map[int]int64{}, map[int]int64{}
		o := book.Options{Sales: true, Average: rapid.Bool().Draw(t, "average")}
		b := book.New(o)
		var moves []*move
		for i := range rapid.IntRange(1, 4).Draw(t, "hauls") {
			h := drawn(t, string(rune('a'+i)), &pieces, new([]sold), lost)
			bringBack(t, h)
			moves = append(moves, movesOf(h)...)
			e, err := book.Enter(h, o)
			if err != nil {
				t.Fatal(err)
			}
			b.Add(e)
			bought[h.Date.Year()] += h.Lots[0].Price.Minor()
		}
		inOrder(moves)
		left := int64(0)
		if o.Average {
			left = followPools(pieces, moves)
		} else {
			follow(pieces, moves)
			for _, p := range pieces {
				if !p.gone {
					left += p.cost
				}
			}
		}
		r, err := b.Result()
		if err != nil {
			t.Fatal(err)
		}
		checkMoves(t, r, moves)
		checkReturnedYears(t, r, moves, bought, lost)
		checkStock(t, r, pieces, o.Average)
		if r.Total.Minor() != left {
			t.Errorf("stock %s, want %d", r.Total, left)
		}
	})
}

func checkMoves(t *rapid.T, r *book.Result, moves []*move) {
	if len(r.Sales) != len(moves) {
		t.Fatalf("%d sales and returns, want %d", len(r.Sales), len(moves))
	}
	for i, s := range r.Sales {
		w := moves[i]
		got := []int64{s.Count, s.Cost.Minor(), s.WrittenOff.Minor(), s.Profit().Minor()}
		if want := []int64{w.count, w.cost, w.written, w.money - w.cost - w.written}; s.Haul != w.haul || !s.Day.Equal(w.day) || !slices.Equal(got, want) || s.ReturnOf.IsZero() != (w.back == nil) {
			t.Errorf("%d, of %s on %s: count, cost, written off, profit %v, want %v", i, s.Haul, s.Day.Format(time.DateOnly), got, want)
		}
	}
}

func checkReturnedYears(t *rapid.T, r *book.Result, moves []*move, bought, lost map[int]int64) {
	stock := int64(0)
	for _, y := range r.Years {
		cost, net, written, refunded := int64(0), int64(0), lost[y.From.Year()], int64(0)
		for _, m := range moves {
			if m.day.Year() == y.From.Year() {
				cost, net, written, refunded = cost+m.cost, net+m.money, written+m.written, refunded+m.refunded
			}
		}
		end := stock + bought[y.From.Year()] - cost - written
		got := []int64{y.Start.Minor(), y.Bought.Minor(), y.Cost.Minor(), y.WrittenOff.Minor(), y.End.Minor(), y.Refunded.Minor(), y.Profit().Minor()}
		if want := []int64{stock, bought[y.From.Year()], cost, written, end, refunded, net - cost - written}; !slices.Equal(got, want) {
			t.Errorf("%d: start, bought, sold, lost, end, refunded, profit %v, want %v", y.From.Year(), got, want)
		}
		stock = end
	}
	if stock != r.Total.Minor() {
		t.Errorf("the last year ends at %d, stock is %s", stock, r.Total)
	}
}

// TestPublishedReturns: the entries of sales returns as they are taught: the refund off the sales,
// the cost back from the cost of sold into the inventory.
func TestPublishedReturns(t *testing.T) {
	var data struct {
		Sources map[string]string
		Cases   []struct {
			published.Case                           `yaml:",inline"`
			Pieces, Back                             int64
			Each, Price, Postage, Refund             string
			Sales, Refunded, Sold, Returned, Earning string
		}
	}
	published.Read(t, "stock/returns.yaml", &data)
	for _, c := range data.Cases {
		t.Run(c.Name, func(t *testing.T) {
			c.Check(t, data.Sources)
			sale := landed.Sale{Price: typed.Amount(c.Price + " CAD"), Count: c.Pieces, Date: day(2), Postage: typed.Amount(c.Postage + " CAD")}
			back := landed.Return{Date: day(1).AddDate(1, 0, 0), Count: c.Back, Refund: typed.Amount(c.Refund + " CAD")}
			sale.Returned = []landed.Return{back}
			r := keep(t, book.Options{}, haul("a", day(1), times(t, c.Each, c.Pieces), landed.Item{ID: "unit", Count: c.Pieces, Sold: []landed.Sale{sale}}))
			first, second := r.Years[0], r.Years[1]
			got := []string{first.Proceeds().Number(), first.Cost.Number(), second.Refunded.Number(), r.Total.Number(), second.End.Number()}
			if want := []string{c.Sales, c.Sold, c.Refunded, c.Returned, c.Returned}; !slices.Equal(got, want) || second.Proceeds().Minor() != -second.Refunded.Minor() || second.Cost.Minor() != -r.Total.Minor() {
				t.Errorf("sales, cost of sold, refunded, inventory %v, want %v", got, want)
			}
			if all := first.Profit().Minor() + second.Profit().Minor(); money.New(all, cad).Number() != c.Earning {
				t.Errorf("both years earn %d, want %s", all, c.Earning)
			}
		})
	}
}
