package book_test

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// piece is one piece in the replay: everything is done piece by piece.
type piece struct {
	haul, id, model string
	item            int
	state           landed.State
	cost            int64
	day             time.Time
	gone            bool
}

type sold struct {
	haul        string
	item, place int
	day         time.Time
	count       int64
	net, cost   int64
}

// shared divides a sum equally, the odd units to the earlier.
func shared(sum, n int64) []int64 {
	list := make([]int64, n)
	for i := range list {
		list[i] = sum / n
		if int64(i) < sum%n {
			list[i]++
		}
	}
	return list
}

// drawn is a haul of one price, shared by count: the cost of each piece is what
// shared says of it, and what is dead is written off.
func drawn(t *rapid.T, name string, lists *[]piece, sales *[]sold, lost map[int]int64) book.Haul {
	on := time.Date(rapid.IntRange(2023, 2026).Draw(t, "year"), time.Month(rapid.IntRange(1, 12).Draw(t, "month")), rapid.IntRange(1, 28).Draw(t, "day"), 0, 0, 0, 0, time.UTC)
	h := haul(name, on, money.New(rapid.Int64Range(0, 99999).Draw(t, "price"), cad))
	h.Losses = landed.LossWrittenOff
	var all int64
	for i := range rapid.IntRange(1, 3).Draw(t, "items") {
		f := &landed.Found{Sound: rapid.Int64Range(0, 4).Draw(t, "sound"), Parts: rapid.Int64Range(0, 2).Draw(t, "parts"), Dead: rapid.Int64Range(0, 2).Draw(t, "dead")}
		it := landed.Item{ID: fmt.Sprint("item-", i), Model: rapid.SampledFrom([]string{"", "jack-5", "block-9"}).Draw(t, "model"), Found: f, Count: f.Sound + f.Parts + f.Dead, PartsValue: money.New(1_000_000_00, cad)}
		if it.Count == 0 {
			it.Found, it.Count = nil, 1
			f = &landed.Found{Sound: 1}
		}
		for there := f.Sound + f.Parts; there > 0 && rapid.Bool().Draw(t, "sell"); there -= it.Sold[len(it.Sold)-1].Count {
			it.Sold = append(it.Sold, landed.Sale{Count: rapid.Int64Range(1, there).Draw(t, "pieces"), Price: money.New(rapid.Int64Range(0, 9999).Draw(t, "sold for"), cad),
				Fees: money.New(rapid.Int64Range(0, 99).Draw(t, "fees"), cad), Date: on.AddDate(0, 0, rapid.IntRange(0, 900).Draw(t, "held"))})
		}
		all += it.Count
		h.Lots[0].Items = append(h.Lots[0].Items, it)
	}
	replayBuying(h, lists, sales, lost)
	return h
}

// replayBuying is what the purchase of a drawn haul comes to, by hand: pieces for
// parts are worth more than they cost, so that they carry their share, rounded down.
func replayBuying(h book.Haul, lists *[]piece, sales *[]sold, lost map[int]int64) {
	counts, all := []int64{}, int64(0)
	for _, it := range h.Lots[0].Items {
		counts, all = append(counts, it.Count), all+it.Count
	}
	costs := byRemainder(h.Lots[0].Price.Minor(), counts, all)
	place := 0
	for i, it := range h.Lots[0].Items {
		f := it.Found
		if f == nil {
			f = &landed.Found{Sound: 1}
		}
		parts := costs[i] * f.Parts / it.Count
		others := []int64{}
		if n := f.Sound + f.Dead; n > 0 {
			others = shared(costs[i]-parts, n)
		}
		rest := costs[i] - parts
		add := func(state landed.State, cost int64) {
			*lists = append(*lists, piece{h.Name, it.ID, it.Model, i, state, cost, h.Date, false})
		}
		var sound int64
		for k := range f.Sound {
			sound += others[k]
		}
		for _, cost := range shared(sound, max(f.Sound, 1))[:f.Sound] {
			add(landed.Sound, cost)
		}
		for _, cost := range shared(parts, max(f.Parts, 1))[:f.Parts] {
			add(landed.ForParts, cost)
		}
		lost[h.Date.Year()] += rest - sound
		for _, s := range it.Sold {
			*sales = append(*sales, sold{h.Name, i, place, s.Date, s.Count, s.Price.Minor() - s.Fees.Minor(), 0})
			place++
		}
	}
}

// byRemainder shares a sum by counts, largest remainder, ties to the earlier.
func byRemainder(sum int64, counts []int64, all int64) []int64 {
	type part struct {
		i    int
		rest int64
	}
	shares, parts, left := make([]int64, len(counts)), []part{}, sum
	for i, n := range counts {
		shares[i] = sum * n / all
		left -= shares[i]
		parts = append(parts, part{i, sum * n % all})
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(b.rest, a.rest) })
	for _, p := range parts[:left] {
		shares[p.i]++
	}
	return shares
}

// replaySales takes the pieces out: by their own cost, or at the average of all
// pieces of the model and state that are there on the day.
func replaySales(pieces []piece, sales []sold, average bool) {
	slices.SortStableFunc(sales, func(a, b sold) int {
		return cmp.Or(a.day.Compare(b.day), cmp.Compare(a.haul, b.haul), cmp.Compare(a.place, b.place))
	})
	spent := map[string]int64{} // what was taken out of each pool
	pool := func(p *piece) string {
		if p.model == "" {
			return fmt.Sprint(p.haul, "/", p.id, "/", p.state)
		}
		return fmt.Sprint(p.model, "//", p.state)
	}
	for k := range sales {
		s := &sales[k]
		var own []*piece
		for i := range pieces {
			if p := &pieces[i]; p.haul == s.haul && p.item == s.item && !p.gone {
				own = append(own, p)
			}
		}
		slices.SortStableFunc(own, func(a, b *piece) int { return cmp.Or(cmp.Compare(a.state, b.state), cmp.Compare(a.cost, b.cost)) })
		taken := map[string]int64{}
		for _, p := range own[:s.count] {
			taken[pool(p)]++
			if !average {
				s.cost += p.cost
			}
		}
		for name, n := range taken {
			if !average {
				break
			}
			worth, there := -spent[name], int64(0)
			for i := range pieces {
				if p := &pieces[i]; pool(p) == name && !p.day.After(s.day) {
					worth += p.cost
					if !p.gone {
						there++
					}
				}
			}
			cost := new(big.Rat).Mul(big.NewRat(worth, 1), big.NewRat(n, there))
			rounded, _ := new(big.Rat).SetString(cost.FloatString(0)) // half away from zero
			s.cost += rounded.Num().Int64()
			spent[name] += rounded.Num().Int64()
		}
		for _, p := range own[:s.count] {
			p.gone = true
		}
	}
}

// TestReplay sets years, sales, stock and doubles beside a replay piece by piece.
func TestReplay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pieces []piece
		var sales []sold
		lost := map[int]int64{}
		o := book.Options{Sales: true, Average: rapid.Bool().Draw(t, "average")}
		b := book.New(o)
		var hauls []book.Haul
		for i := range rapid.IntRange(1, 5).Draw(t, "hauls") {
			hauls = append(hauls, drawn(t, fmt.Sprint("haul-", i), &pieces, &sales, lost))
		}
		replaySales(pieces, sales, o.Average)
		bought := map[int]int64{}
		for _, i := range rapid.Permutation(slices.Collect(slices.Values([]int{0, 1, 2, 3, 4}))[:len(hauls)]).Draw(t, "order") {
			e, err := book.Enter(hauls[i], o)
			if err != nil {
				t.Fatal(err)
			}
			b.Add(e)
			bought[hauls[i].Date.Year()] += hauls[i].Lots[0].Price.Minor()
		}
		r, err := b.Result()
		if err != nil {
			t.Fatal(err)
		}
		checkSales(t, r, sales)
		checkYears(t, r, bought, lost, sales)
		checkStock(t, r, pieces, o.Average)
	})
}

func checkSales(t *rapid.T, r *book.Result, sales []sold) {
	if len(r.Sales) != len(sales) {
		t.Fatalf("%d sales, want %d", len(r.Sales), len(sales))
	}
	for i, s := range r.Sales {
		w := sales[i]
		if s.Haul != w.haul || !s.Day.Equal(w.day) || s.Count != w.count || s.Cost.Minor() != w.cost || s.Profit().Minor() != w.net-w.cost {
			t.Errorf("sale %d: %+v, want %+v", i, s, w)
		}
	}
}

func checkYears(t *rapid.T, r *book.Result, bought, lost map[int]int64, sales []sold) {
	stock, year := int64(0), r.Years[0].From.Year()
	for _, y := range append(slices.Clone(r.Years), r.Years[len(r.Years)-1]) {
		if year > r.Years[len(r.Years)-1].From.Year() {
			break
		}
		cost, net := int64(0), int64(0)
		for _, s := range sales {
			if s.day.Year() == year {
				cost, net = cost+s.cost, net+s.net
			}
		}
		end := stock + bought[year] - cost - lost[year]
		got := []int64{int64(y.From.Year()), y.Start.Minor(), y.Bought.Minor(), y.Cost.Minor(), y.WrittenOff.Minor(), y.End.Minor(), y.Profit().Minor()}
		if want := []int64{int64(year), stock, bought[year], cost, lost[year], end, net - cost - lost[year]}; !slices.Equal(got, want) {
			t.Errorf("year, start, bought, sold, lost, end, profit %v, want %v", got, want)
		}
		stock, year = end, year+1
	}
	if r.Total.Minor() != stock {
		t.Errorf("stock %s, want %d", r.Total, stock)
	}
	if m := r.Months[len(r.Months)-1]; m.End != r.Total || m.From.Year() != r.Years[len(r.Years)-1].From.Year() {
		t.Errorf("the last month ends at %s", m.End)
	}
}

func checkStock(t *rapid.T, r *book.Result, pieces []piece, average bool) {
	type row struct {
		haul, id string
		state    landed.State
	}
	counts, costs, onHand := map[row]int64{}, map[row]int64{}, map[string]int64{}
	for _, p := range pieces {
		if !p.gone {
			k := row{p.haul, p.id, p.state}
			counts[k], costs[k] = counts[k]+1, costs[k]+p.cost
			if p.state == landed.Sound && p.model != "" {
				onHand[p.model]++
			}
		}
	}
	for _, s := range r.Stock {
		k := row{s.Haul, s.ID, s.State}
		sum := int64(0)
		for _, g := range s.Each {
			sum += g.Count * g.Each.Minor()
		}
		if s.Count != counts[k] || !average && s.Cost.Minor() != costs[k] || sum != s.Cost.Minor() {
			t.Errorf("%+v: %d pieces, %s, want %d and %d", k, s.Count, s.Cost, counts[k], costs[k])
		}
		delete(counts, k)
	}
	if len(counts) > 0 {
		t.Errorf("not in stock: %v", counts)
	}
	for _, d := range r.Doubles {
		if d.OnHand != onHand[d.Model] || d.Extra != d.OnHand-1 || d.Extra < 1 {
			t.Errorf("%+v, want %d on hand", d, onHand[d.Model])
		}
		delete(onHand, d.Model)
	}
	for model, n := range onHand {
		if n > 1 {
			t.Errorf("%d of %s are double", n, model)
		}
	}
}
