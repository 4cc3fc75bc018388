package bid_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/selling"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// The second computation knows nothing of sums, keys or hopes. It follows every way in
// which an evening may go, with each price that others may pay, prices what is bought by
// Split, and of every limit on the ladder takes the one that the definition names, all in
// fractions.

// tonight is an evening for the second computation.
type tonight struct {
	t       testing.TB
	h       *haul
	order   []int // places of the open lots, as they close
	prices  [][]int64
	chances [][]*big.Rat
	ladder  []int64
	means   []*big.Rat
	gain    *big.Rat
	costs   map[string]int64
	worths  map[string]*big.Rat
}

const never2 = int64(1) << 60

// cost is the landed cost of all that is bought, and of open lots at some bids, 0 being
// lost; never2 where it cannot be.
func (x *tonight) cost(bids []int64) int64 {
	key := fmt.Sprint(bids)
	if c, known := x.costs[key]; known {
		return c
	}
	h := x.h.Haul
	h.Lots = slices.Clone(h.Lots)
	some := false
	for i := range h.Lots {
		some = some || !h.Lots[i].Open
	}
	for i, place := range x.order {
		lot := &h.Lots[place]
		if bids[i] == 0 {
			lot.Lost = true
			continue
		}
		lot.Open, lot.Price, some = false, money.New(bids[i], jpy), true
	}
	c := int64(0)
	if some {
		only := h.Only(func(l *landed.Lot) bool { return !l.Lost })
		if x.h.Sending != nil {
			sentHaul := &haul{Haul: *only, Plans: x.h.Plans}
			if sum, ok := sent(x.t, sentHaul); ok {
				c = sum
			} else {
				c = never2
			}
		} else {
			st, err := landed.Split(only)
			if err != nil {
				x.t.Fatal(err)
			}
			c = st.Total.Minor()
		}
	}
	x.costs[key] = c
	return c
}

// pays reports whether what is bought keeps to the budget.
func (x *tonight) pays(bids []int64) bool {
	c, g := x.cost(bids), x.h.Bidding.Goal
	return c < never2 && (g.Budget.Currency() == 0 || c <= g.Budget.Minor())
}

// worth is the best that can come of a state once the first n lots are decided.
func (x *tonight) worth(bids []int64, n int) *big.Rat {
	if n == len(x.order) {
		none := make([]int64, len(bids))
		w := new(big.Rat).SetInt64(x.cost(none) - x.cost(bids))
		w.Mul(w, x.gain)
		for i, b := range bids {
			if b > 0 {
				w.Add(w, x.means[i])
			}
		}
		return w
	}
	key := fmt.Sprint(n, bids)
	w, known := x.worths[key]
	if !known {
		_, w = x.decide(bids, n)
		x.worths[key] = w
	}
	return w
}

// decide finds the limit for the lot that closes next, 0 being none, and what it makes the
// evening worth.
func (x *tonight) decide(bids []int64, n int) (int64, *big.Rat) {
	lost := x.worth(bids, n+1)
	won := func(bid int64) *big.Rat { // nil where it cannot be paid
		next := slices.Clone(bids)
		next[n] = bid
		if !x.pays(next) {
			return nil
		}
		return x.worth(next, n+1)
	}
	at := make([]*big.Rat, len(x.prices[n]))
	for i, p := range x.prices[n] {
		at[i] = won(p)
	}
	best, limits, ladder := new(big.Rat).Set(lost), []int64{0}, x.ladder
	if slices.ContainsFunc(bids, func(b int64) bool { return b != 0 }) {
		ladder = x.prices[n] // a limit between them takes the same
	}
	for _, limit := range ladder {
		sum, ok := new(big.Rat), true
		for i, p := range x.prices[n] {
			switch {
			case p > limit:
				sum.Add(sum, new(big.Rat).Mul(x.chances[n][i], lost))
			case at[i] == nil:
				ok = false
			default:
				sum.Add(sum, new(big.Rat).Mul(x.chances[n][i], at[i]))
			}
		}
		switch {
		case !ok:
		case sum.Cmp(best) > 0:
			best, limits = sum, []int64{limit}
		case sum.Cmp(best) == 0:
			limits = append(limits, limit)
		}
	}
	slices.Reverse(limits)
	for _, limit := range limits {
		if limit == 0 {
			break
		}
		if w := won(limit); w != nil && w.Cmp(lost) >= 0 {
			return limit, best
		}
	}
	return 0, best
}

// went is what comes of following the limits.
type went struct {
	won, bids, cost, proceeds *big.Rat
	lot                       []went // won and bids alone
}

// follow adds up what comes of a state that has some chance.
func (x *tonight) follow(bids []int64, n int, chance *big.Rat, w *went) {
	if n == len(x.order) {
		add := func(sum *big.Rat, of int64) { sum.Add(sum, new(big.Rat).Mul(chance, new(big.Rat).SetInt64(of))) }
		add(w.cost, x.cost(bids)-x.cost(make([]int64, len(bids))))
		for i, b := range bids {
			if b > 0 {
				w.proceeds.Add(w.proceeds, new(big.Rat).Mul(chance, x.means[i]))
			}
		}
		return
	}
	limit, _ := x.decide(bids, n)
	for i, p := range x.prices[n] {
		c := new(big.Rat).Mul(chance, x.chances[n][i])
		next := slices.Clone(bids)
		if p <= limit {
			next[n] = p
			w.lot[n].won.Add(w.lot[n].won, c)
			w.lot[n].bids.Add(w.lot[n].bids, new(big.Rat).Mul(c, new(big.Rat).SetInt64(p)))
		}
		x.follow(next, n+1, c, w)
	}
}

// marked is the highest bid for a lot that pays beside others at some bids.
func (x *tonight) marked(n int, bids []int64) int64 {
	if !x.pays(bids) {
		return 0
	}
	for i := len(x.ladder) - 1; i >= 0; i-- {
		with := slices.Clone(bids)
		with[n] = x.ladder[i]
		if !x.pays(with) {
			continue
		}
		more := new(big.Rat).SetInt64(x.cost(with) - x.cost(bids))
		if more.Mul(more, x.gain).Cmp(x.means[n]) <= 0 {
			return x.ladder[i]
		}
	}
	return 0
}

// middles are the middles of what is likely for all lots but one.
func (x *tonight) middles(but int) []int64 {
	all := make([]int64, len(x.order))
	for n := range all {
		sum := new(big.Rat)
		for i, c := range x.chances[n] {
			if sum.Add(sum, c); n != but && sum.Cmp(big.NewRat(1, 2)) >= 0 {
				all[n] = x.prices[n][i]
				break
			}
		}
	}
	return all
}

// evening makes a random evening: up to so many lots beside some that are bought, prices
// from a narrow ladder, with or without border, venue, budget, goal of return, charges, boxes.
func evening(r *rand.Rand, lots, prices int) *haul {
	h := crate()
	h.Lots, h.Charges = nil, nil
	classes := []string{"tool", "tool", "pen"}
	one := r.IntN(2) == 0
	for i := range lots + r.IntN(2) {
		lot := landed.Lot{ID: fmt.Sprintf("lot-%d", i+1), Open: i < lots, Premium: number([]string{"0", "0.1", "0.125"}[r.IntN(3)])}
		for k := range 1 + r.IntN(2) {
			value := money.New(500+r.Int64N(4000), cad)
			it := landed.Item{ID: fmt.Sprintf("i%d-%d", i+1, k), Count: 1 + r.Int64N(2), Weight: measure.Weight(200+r.IntN(900)) * measure.Gram, Weighed: true, Value: value}
			it.Chances = []landed.Outcome{{What: "right", Chance: number("1"), Value: value}}
			if r.IntN(2) == 0 {
				it.Chances = []landed.Outcome{{What: "works", Chance: number("0.6"), Value: value}, {What: "parts", Chance: number("0.4"), Value: money.New(value.Minor()/4, cad)}}
			}
			if !one {
				it.Class = classes[r.IntN(3)]
			}
			lot.Items = append(lot.Items, it)
		}
		if lot.Open {
			lot.Likely = &landed.Likely{}
			for range 1 + r.IntN(prices) {
				lot.Likely.Prices = append(lot.Likely.Prices, money.New(200+100*r.Int64N(25), jpy))
			}
			if r.IntN(2) == 0 {
				lot.Closes = day.AddDate(0, 0, r.IntN(3))
			}
		} else {
			lot.Price = money.New(300+r.Int64N(2000), jpy)
		}
		h.Lots = append(h.Lots, lot)
	}
	for range r.IntN(3) {
		c := landed.Charge{What: "charge", Kind: []landed.Kind{landed.Freight, landed.Fee, landed.Insurance}[r.IntN(3)], Per: []landed.Per{landed.PerHaul, landed.PerLot}[r.IntN(2)]}
		if r.IntN(3) == 0 {
			c.OfPrice, c.Percent = true, number("0.035")
		} else {
			c.Amount = money.New(100+r.Int64N(1500), jpy)
		}
		if r.IntN(4) == 0 {
			c.On = []string{"lot-1"}
		}
		h.Charges = append(h.Charges, c)
	}
	if r.IntN(3) > 0 {
		h.Border = border([]customs.Mode{customs.Post, customs.Courier}[r.IntN(2)])
		if r.IntN(4) == 0 {
			h.To, h.From = "DE", "JP"
			h.Market = market("100 JPY = 0.93 CAD", "1 EUR = 1.5 CAD")
		}
	}
	if r.IntN(2) == 0 {
		h.Selling = &selling.Plan{}
		h.Selling.Venues = append(h.Selling.Venues, gable())
	}
	h.Spread = number("0.025")
	h.Bidding = &bid.Bidding{Start: amount("200 JPY"), Steps: []bid.BidStep{{From: amount("0 JPY"), Step: amount("100 JPY")}}}
	if r.IntN(2) == 0 {
		h.Bidding.Goal.Budget = money.New(1000+r.Int64N(6000), cad)
	}
	if r.IntN(2) == 0 {
		h.Bidding.Goal.Return = fraction([]string{"0.25", "0.1", "0.333", "-0.05"}[r.IntN(4)])
	}
	if r.IntN(3) == 0 {
		h.Parcels = boxes(r, h.Lots)
	}
	return h
}

// bill has the border send bills for most parcels in which all is bought, most of them whole.
func bill(r *rand.Rand, h *landed.Haul) {
	for i := range h.Parcels {
		p := &h.Parcels[i]
		if r.IntN(4) == 0 || slices.ContainsFunc(p.Lots, func(id string) bool { return h.Lots[h.LotAt(id)].Open }) {
			continue
		}
		p.Bill = landed.Bill{Duty: money.New(r.Int64N(900), cad), Tax: money.New(r.Int64N(900), cad), Fee: money.New(r.Int64N(900), cad)}
		if line := []*money.Amount{&p.Bill.Duty, &p.Bill.Tax, &p.Bill.Fee}[r.IntN(3)]; r.IntN(3) == 0 {
			*line = money.Amount{}
		}
	}
}

// boxes puts lots in up to three boxes.
func boxes(r *rand.Rand, lots []landed.Lot) []landed.Parcel {
	list := make([]landed.Parcel, 1+r.IntN(3))
	for n := range list {
		list[n] = landed.Parcel{ID: fmt.Sprint("box-", n), Carriage: landed.Carriage{Freight: money.New(r.Int64N(900), jpy)}}
	}
	for _, lot := range lots {
		box := &list[r.IntN(len(list))]
		box.Lots = append(box.Lots, lot.ID)
	}
	return slices.DeleteFunc(list, func(p landed.Parcel) bool { return len(p.Lots) == 0 })
}

// second makes an evening ready for the second computation.
func second(t testing.TB, h *haul, e *bid.Evening) *tonight {
	x := &tonight{t: t, h: h, gain: big.NewRat(1, 1), costs: map[string]int64{}, worths: map[string]*big.Rat{}}
	if r := h.Bidding.Goal.Return; r != nil {
		x.gain.Add(x.gain, r.Rat())
	}
	for i := range h.Lots {
		if h.Lots[i].Open {
			x.order = append(x.order, i)
		}
	}
	closes := func(i int) int64 {
		if c := h.Lots[i].Closes; !c.IsZero() {
			return c.Unix()
		}
		return never2
	}
	slices.SortStableFunc(x.order, func(a, b int) int { return int(min(max(closes(a)-closes(b), -1), 1)) })
	for b := int64(200); b <= 25_000; b += 100 {
		x.ladder = append(x.ladder, b)
	}
	for i, place := range x.order {
		lot := &h.Lots[place]
		if e.Lots[i].ID != lot.ID {
			t.Fatalf("%s closes at place %d", lot.ID, i)
		}
		chance := map[int64]*big.Rat{}
		for _, p := range lot.Likely.Prices {
			put(chance, p.Minor(), big.NewRat(1, int64(len(lot.Likely.Prices))))
		}
		var prices []int64
		for p := range chance {
			prices = append(prices, p)
		}
		slices.Sort(prices)
		var chances []*big.Rat
		for _, p := range prices {
			chances = append(chances, chance[p])
		}
		x.prices, x.chances = append(x.prices, prices), append(x.chances, chances)
		alone := *h
		alone.Lots = []landed.Lot{*lot}
		x.means = append(x.means, enumerate(t, &alone).mean)
	}
	return x
}

// compare sets an evening beside the second computation.
func compare(t *testing.T, name string, h *haul) {
	e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
	if none := (*together.NoPlanError)(nil); errors.As(err, &none) && h.Sending != nil {
		return // what is bought already cannot be sent
	}
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	x := second(t, h, e)
	none := make([]int64, len(x.order))
	same := func(what string, got, want *big.Rat) {
		if got.Cmp(want) != 0 {
			t.Errorf("%s: %s %s, by every way %s", name, what, got.FloatString(4), want.FloatString(4))
		}
	}
	_, worth := x.decide(none, 0)
	same("value", e.Plan.Value, worth)
	w := went{cost: new(big.Rat), proceeds: new(big.Rat)}
	for range x.order {
		w.lot = append(w.lot, went{won: new(big.Rat), bids: new(big.Rat)})
	}
	x.follow(none, 0, big.NewRat(1, 1), &w)
	same("cost", e.Plan.Cost, w.cost)
	same("proceeds", e.Plan.Proceeds, w.proceeds)
	for i := range x.order {
		l, own := &e.Lots[i], w.lot[i]
		same("chance of "+l.ID, l.Won, own.won)
		if own.won.Sign() > 0 {
			same("price of "+l.ID, l.Price, own.bids.Quo(own.bids, own.won))
		} else if l.Price != nil {
			t.Errorf("%s, lot %s: a price though it is never won", name, l.ID)
		}
		limit, _ := x.decide(none, i)
		for _, mark := range []struct {
			what string
			got  money.Amount
			want int64
		}{{"limit", l.Limit, limit}, {"alone", l.Alone, x.marked(i, none)}, {"beside all", l.BesideAll, x.marked(i, x.middles(i))}} {
			if mark.got.Minor() != mark.want {
				t.Errorf("%s, lot %s: %s %d, by every way %d", name, l.ID, mark.what, mark.got.Minor(), mark.want)
			}
		}
	}
}

func TestEveningEveryWay(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 4))
	for n := range effort.Cases(500, 4, 3) {
		lots := 2 + r.IntN(3)
		h := evening(r, lots, 8-lots)
		bill(r, &h.Haul)
		compare(t, fmt.Sprint("evening ", n), h)
	}
	// what the border asks by the values of the classes alone is kept from set to set
	for n := range 2 {
		h := evening(r, 3, 3)
		h.From, h.To, h.Border, h.Charges, h.Parcels = "JP", "CA-ON", border(customs.Post), nil, nil
		compare(t, fmt.Sprint("by classes ", n), h)
	}
}

// TestEveningCoarse: with few states the bounds that are said of an evening hold what it is worth,
// where no cost falls as a bid rises; one of which those are all states is planned exactly.
func TestEveningCoarse(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 9))
	coarse := 0
	for n := range effort.Cases(400, 12, 9) {
		h := evening(r, 2+r.IntN(effort.Cases(3, 3, 2)), 12)
		if n%8 == 4 {
			h = evening(r, 2+r.IntN(2), 6)
			withServices(r, h)
		}
		exact, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			continue // what is bought already cannot be sent
		}
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}.Few(8+r.IntN(100)))
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case e.TooMany:
		case e.Plan.Most == nil:
			if e.Plan.Value.Cmp(exact.Plan.Value) != 0 {
				t.Errorf("evening %d: worth %s, exactly %s", n, e.Plan.Value.FloatString(2), exact.Plan.Value.FloatString(2))
			}
		default:
			coarse++
			if e.Plan.Value.Cmp(exact.Plan.Value) > 0 || e.Plan.Most.Cmp(exact.Plan.Value) < 0 {
				t.Errorf("evening %d: from %s to %s, exactly %s", n, e.Plan.Value.FloatString(2), e.Plan.Most.FloatString(2), exact.Plan.Value.FloatString(2))
			}
		}
	}
	if coarse == 0 {
		t.Error("every evening was planned exactly")
	}
}

func TestEveningSent(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 5))
	for n := range effort.Cases(60, 1, 1) {
		h := evening(r, 2+r.IntN(2), effort.Cases(3, 3, 2))
		withServices(r, h)
		for i := range h.Lots {
			h.Lots[i].Items[0].Weight = measure.Weight(1+r.IntN(6)) * measure.Kilogram
		}
		compare(t, fmt.Sprint("evening ", n), h)
	}
}

// TestEveningUnsent: where no service takes what is bought there is no evening to plan.
func TestEveningUnsent(t *testing.T) {
	h := crate()
	h.Lots = append(h.Lots, landed.Lot{ID: "anvil", Price: amount("900 JPY"), Items: []landed.Item{{ID: "block", Count: 1, Value: amount("9 CAD"), Weighed: true, Weight: 90 * measure.Kilogram}}})
	withServices(rand.New(rand.NewPCG(16, 22)), h)
	var none *together.NoPlanError
	if e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}); !errors.As(err, &none) {
		t.Errorf("%v, %v", e, err)
	}
}

// die is an evening whose budget allows one lot: lots worth 7 u each, which go for 1 u to
// 6 u, and each of which costs 1000 u more to send.
func die(lots int) *haul {
	const u = 1_000_000 // 10 000 CAD
	h := &haul{Haul: landed.Haul{Home: cad, Date: day}}
	for i := range lots {
		id := fmt.Sprint("lot-", i+1)
		h.Lots = append(h.Lots, landed.Lot{ID: id, Open: true, Likely: &landed.Likely{From: money.New(u, cad), To: money.New(6*u, cad)},
			Items: []landed.Item{{ID: "item-" + id, Count: 1, Value: money.New(17*u, cad)}}})
	}
	h.Charges = []landed.Charge{{What: "sending", Kind: landed.Fee, Per: landed.PerLot, By: landed.ByCount, Amount: money.New(10*u, cad)}}
	h.Bidding = &bid.Bidding{Steps: []bid.BidStep{{From: money.New(0, cad), Step: money.New(u, cad)}}, Goal: bid.Goal{Budget: money.New(16*u, cad)}}
	return h
}

// TestPublishedStopping: values and rules of a game that published answers solve; see the
// file for the sources.
func TestPublishedStopping(t *testing.T) {
	var cases []struct {
		Lots   int    `json:"lots"`
		Value  string `json:"value"`
		Limits []int64
		Grade  string
		Source string
	}
	data, err := os.ReadFile("../../testdata/evening/stopping.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	for _, c := range cases {
		h := die(c.Lots)
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		const u = 1_000_000
		want, ok := new(big.Rat).SetString(c.Value)
		if !ok || e.Plan.Value.Cmp(want.Mul(want, big.NewRat(u, 1))) != 0 {
			t.Errorf("%d lots: %s, want %s u", c.Lots, e.Plan.Value.FloatString(2), c.Value)
		}
		for i, limit := range c.Limits {
			if got := e.Lots[i].Limit.Minor(); got != limit*u {
				t.Errorf("%d lots, %s: %d, want %d u", c.Lots, e.Lots[i].ID, got, limit)
			}
		}
		if c.Lots == 6 && e.Lots[0].Won.Cmp(big.NewRat(1, 6)) != 0 {
			t.Errorf("the first is won with a chance of %s", e.Lots[0].Won)
		}
	}
}

// TestOnePurse: by hand, from the definition. Of two lots worth 20 each that go for 4 to 9, with
// 9 to spend, one can be won at 5 or more: the second alone is worth 13.50, so that the first is
// worth 6 (14 at 6, 13 at 7). With a fee of 3 for each, or 2 given back, and enough to spend
// nothing is shared: each is won, for 6.50 in the mean.
func TestOnePurse(t *testing.T) {
	h := die(2)
	h.Bidding.Steps[0].Step, h.Bidding.Goal.Budget = amount("1 CAD"), amount("9 CAD")
	h.Charges = nil
	for i := range h.Lots {
		h.Lots[i].Items[0].Value, h.Lots[i].Likely = amount("20 CAD"), &landed.Likely{From: amount("4 CAD"), To: amount("9 CAD")}
	}
	e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := big.NewRat(28000, 18); e.Plan.Value.Cmp(want) != 0 || e.Lots[0].Limit != amount("6 CAD") || e.Lots[1].Limit != amount("9 CAD") || e.Lots[0].Alone != amount("9 CAD") {
		t.Errorf("worth %s, limits %v and %v", e.Plan.Value.FloatString(2), e.Lots[0].Limit, e.Lots[1].Limit)
	}
	h.Bidding.Goal.Budget = amount("100 CAD")
	for fee, limit := range map[string]string{"3 CAD": "17 CAD", "-2 CAD": "22 CAD"} {
		h.Charges = []landed.Charge{{What: "fee", Kind: landed.Fee, Per: landed.PerLot, By: landed.ByCount, Amount: amount(fee)}}
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil || e.Lots[0].Limit != amount(limit) || e.Lots[1].Limit != amount(limit) {
			t.Fatalf("%v, a fee of %s: limits %v and %v", err, fee, e.Lots[0].Limit, e.Lots[1].Limit)
		}
		if want := 2 * (amount(limit).Minor() - 650); e.Plan.Value.Cmp(big.NewRat(want, 1)) != 0 {
			t.Errorf("a fee of %s: worth %s, want %d", fee, e.Plan.Value.FloatString(2), want)
		}
	}
	// In parcels of their own, at 10 each, each is worth 10 at most: 11 with a tenth less of that, 9
	// with a tenth more.
	h.Charges = nil
	for _, settled := range []money.Amount{{}, amount("10 CAD")} {
		h.Parcels = nil
		for _, l := range h.Lots {
			l.Items[0].Weight, l.Items[0].Weighed = measure.Kilogram, true
			h.Parcels = append(h.Parcels, landed.Parcel{ID: "of-" + l.ID, Lots: []string{l.ID}, Carriage: landed.Carriage{Freight: amount("10 CAD")}, Settled: landed.Carriage{Freight: settled}})
		}
		if e, err = bid.Tonight(&h.Haul, h.Plans, bid.Options{}); err != nil {
			t.Fatal(err)
		}
		if !slices.Contains(e.Plan.Moves, bid.Move{Factor: "freight", Less: amount("11 CAD"), More: amount("9 CAD")}) {
			t.Errorf("what would change the first limit, settled %v: %v", settled, e.Plan.Moves)
		}
	}
}

// TestEveningOfOne: of one open lot the plan is what the bid for it by itself is.
func TestEveningOfOne(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 6))
	for n := range effort.Cases(200, 10, 5) {
		h := evening(r, 1, 6)
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		a := highest(t, h, bid.Options{})
		var best money.Amount
		if len(a.Ranges) > 0 {
			best = a.Best.Bid
		}
		if e.Lots[0].Alone != best || e.Lots[0].BesideAll != best {
			t.Errorf("evening %d: %v alone, beside all %v, by itself %v", n, e.Lots[0].Alone, e.Lots[0].BesideAll, best)
		}
		if a.Before == nil && len(a.Ranges) < 2 && e.Lots[0].Limit != best {
			t.Errorf("evening %d: limit %v, by itself %v", n, e.Lots[0].Limit, best)
		}
	}
}

// TestEveningGrows: one lot more never makes an evening worth less, nor does a larger budget.
func TestEveningGrows(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 7))
	worth := func(h *haul) *big.Rat {
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return e.Plan.Value
	}
	for n := range effort.Cases(200, 6, 2) {
		h := evening(r, 3, 5)
		h.Bidding.Goal.Budget = money.New(3000+r.Int64N(9000), cad)
		all := worth(h)
		fewer := *h
		fewer.Haul = *h.Only(func(l *landed.Lot) bool { return l.ID != "lot-2" })
		if worth(&fewer).Cmp(all) > 0 {
			t.Errorf("evening %d is worth less with one lot more", n)
		}
		more, terms := *h, *h.Bidding
		more.Bidding = &terms
		terms.Goal.Budget = money.New(terms.Goal.Budget.Minor()+r.Int64N(5000), cad)
		if worth(&more).Cmp(all) < 0 {
			t.Errorf("evening %d is worth less with a larger budget", n)
		}
	}
}

// TestEveningSimulated draws 200 000 evenings: by the plan they bring what it says, and fixed
// limits, which do not heed what was won, bring no more. The error of a mean is judged at four
// times its standard error.
func TestEveningSimulated(t *testing.T) {
	h := evening(rand.New(rand.NewPCG(16, 11)), 3, 6)
	h.Border, h.Bidding.Goal = border(customs.Post), bid.Goal{Budget: amount("60 CAD")}
	e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	x := second(t, h, e)
	draws := effort.Cases(200_000, 10_000, 4_000)
	limits := map[string]int64{}
	byPlan := func(bids []int64, n int) int64 {
		key := fmt.Sprint(bids[:n])
		if _, known := limits[key]; !known {
			limits[key], _ = x.decide(append(slices.Clone(bids[:n]), make([]int64, len(bids)-n)...), n)
		}
		return limits[key]
	}
	simulate := func(draws int, limit func(bids []int64, n int) int64) (mean, off float64) {
		r := rand.New(rand.NewPCG(16, 12))
		sum, squares := 0.0, 0.0
		for range draws {
			bids := make([]int64, len(x.order))
			for n := range bids {
				p := h.Lots[x.order[n]].Likely.Prices
				price := p[r.IntN(len(p))].Minor()
				with := slices.Clone(bids)
				if with[n] = price; price <= limit(bids, n) && x.pays(with) {
					bids = with
				}
			}
			worth, _ := x.worth(bids, len(bids)).Float64()
			sum, squares = sum+worth, squares+worth*worth
		}
		mean = sum / float64(draws)
		return mean, math.Sqrt((squares/float64(draws) - mean*mean) / float64(draws))
	}
	want, _ := e.Plan.Value.Float64()
	mean, off := simulate(draws, byPlan)
	if math.Abs(mean-want) > 4*off {
		t.Errorf("%d evenings bring %.2f on average, within %.2f; the plan says %.2f", draws, mean, off, want)
	}
	for a := int64(0); a <= 3000; a += 1000 {
		for b := int64(0); b <= 3000; b += 1000 {
			for c := int64(0); c <= 3000; c += 1000 {
				fixed := []int64{a, b, c}
				if mean, off := simulate(draws/10, func(_ []int64, n int) int64 { return fixed[n] }); mean > want+4*off {
					t.Errorf("fixed limits %v bring %.2f, the plan %.2f", fixed, mean, want)
				}
			}
		}
	}
}

// TestEveningGoals: one lot that brings 17 and costs 10 to send goes for 1 to 6, each as likely: it
// is won at 3.5 and leaves 3.5 of 17 on average, and never a loss.
func TestEveningGoals(t *testing.T) {
	for _, c := range []struct {
		profit int64
		margin string
		met    bool
	}{{3_500_000, "0.2", true}, {3_500_001, "0.21", false}} {
		h := die(1)
		h.Bidding.Goal.Profit, h.Bidding.Goal.Margin, h.Bidding.Goal.Risk = money.New(c.profit, cad), fraction(c.margin), fraction("0.05")
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var met []bool
		for _, g := range e.Plan.Goals {
			met = append(met, *g.Met)
		}
		if want := []bool{c.met, c.met, true}; !slices.Equal(met, want) {
			t.Errorf("%v, want %v", met, want)
		}
	}
}

// TestAtLimits: three lots that share nothing, each worth 30 for sure, go to the user at prices up
// to that: 3 times in 4, once in 4 and twice in 3, so that the first and the last are the likeliest
// to be won, and all of them would break a budget of 70. By hand.
func TestAtLimits(t *testing.T) {
	prices := func(texts ...string) (list []money.Amount) {
		for _, s := range texts {
			list = append(list, amount(s))
		}
		return list
	}
	h := &haul{Haul: landed.Haul{Home: cad, Date: day}, Plans: bid.Plans{Bidding: &bid.Bidding{Start: amount("10 CAD"),
		Steps: []bid.BidStep{{From: amount("0 CAD"), Step: amount("10 CAD")}}, Goal: bid.Goal{Budget: amount("70 CAD")}}}}
	for id, likely := range [][]money.Amount{prices("10 CAD", "20 CAD", "20 CAD", "40 CAD"), prices("40 CAD", "50 CAD", "60 CAD", "20 CAD"), prices("10 CAD", "10 CAD", "50 CAD")} {
		name := string(rune('a' + id))
		h.Lots = append(h.Lots, landed.Lot{ID: name, Open: true, Likely: &landed.Likely{Prices: likely},
			Items: []landed.Item{{ID: "piece-" + name, Count: 1, Value: amount("30 CAD")}}})
	}
	reported := func(list []bid.Won, err error) (got []string) {
		if err != nil {
			t.Fatal(err)
		}
		for i := range list {
			w := &list[i]
			got = append(got, fmt.Sprint(w.What, w.Prices, w.Statement.Total, w.Above, w.Lots))
		}
		return got
	}
	none := money.Amount{}.String()
	want := []string{"alone[30.00 CAD] 30.00 CAD " + none + " [a]", "alone[30.00 CAD] 30.00 CAD " + none + " [b]", "alone[30.00 CAD] 30.00 CAD " + none + " [c]",
		"all[30.00 CAD 30.00 CAD 30.00 CAD] 90.00 CAD 70.00 CAD [a b c]", "likeliest[30.00 CAD 30.00 CAD] 60.00 CAD " + none + " [a c]"}
	if got := reported(bid.AtLimits(&h.Haul, h.Plans, bid.Options{})); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	h.Lots[0].Lost, h.Lots[2].Lost = true, true
	if got := reported(bid.AtLimits(&h.Haul, h.Plans, bid.Options{})); !slices.Equal(got, want[1:2]) {
		t.Errorf("got %q", got)
	}
	h.Lots[1].Likely.Prices = prices("2000 JPY")
	_, err := bid.AtLimits(&h.Haul, h.Plans, bid.Options{})
	if err == nil || !strings.Contains(err.Error(), "the prices are in JPY, but bids in CAD") {
		t.Error(err)
	}
}

// TestTooManyLikely: what is likely is told apart from five thousand bids on.
func TestTooManyLikely(t *testing.T) {
	if testing.Short() {
		t.Skip("as many bids as there may be")
	}
	h := crate()
	h.Bidding.Steps = []bid.BidStep{{From: amount("0 JPY"), Step: amount("1 JPY")}}
	for _, c := range []struct {
		likely landed.Likely
		taken  bool
	}{
		{landed.Likely{Prices: slices.Repeat([]money.Amount{amount("700 JPY")}, 5000)}, true},
		{landed.Likely{Prices: slices.Repeat([]money.Amount{amount("700 JPY")}, 5001)}, false},
		{landed.Likely{From: amount("500 JPY"), To: amount("5499 JPY")}, true},
		{landed.Likely{From: amount("500 JPY"), To: amount("5500 JPY")}, false},
		{landed.Likely{Half: amount("600 JPY"), Most: amount("5600 JPY")}, true},
		{landed.Likely{Half: amount("5500 JPY"), Most: amount("5600 JPY")}, false},
		{landed.Likely{Half: amount("600 JPY"), Most: amount("5601 JPY")}, false},
	} {
		h.Lots[0].Likely = &c.likely
		_, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if reported := err != nil && strings.Contains(err.Error(), "more than 5000 bids are likely"); reported == c.taken || c.taken && err != nil {
			t.Errorf("%v to %v, half %v: %v", c.likely.From, c.likely.To, c.likely.Half, err)
		}
	}
}

// TestMostOpen: an evening has up to sixteen open lots.
func TestMostOpen(t *testing.T) {
	for lots, want := range map[int]string{16: "<nil>", 17: "there are 17 open lots: leave out the least promising, so that there are 16 at most"} {
		h := die(lots)
		for i := range h.Lots {
			h.Lots[i].Likely = nil
		}
		if _, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}); fmt.Sprint(err) != want {
			t.Errorf("%d open lots: %v", lots, err)
		}
	}
}

// TestRiskTonight: a goal of risk is met where the chance of a loss is no more than it, by hand; a
// goal that any evening meets is not told.
func TestRiskTonight(t *testing.T) {
	h := die(1) // which goes for up to 6 u and costs 10 u more
	const u = 1_000_000
	h.Lots[0].Items[0].Chances = []landed.Outcome{{What: "right", Chance: number("0.75"), Value: money.New(40*u, cad)}, {What: "dead", Chance: number("0.25"), Value: money.New(0, cad)}}
	for risk, want := range map[string]string{"1": "none", "0.25": "true", "0.2499": "false", "0": "false"} {
		h.Bidding.Goal.Risk = fraction(risk)
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil || e.Plan.LossHigh.Cmp(big.NewRat(1, 4)) != 0 {
			t.Fatalf("%+v, %v", e, err)
		}
		got := "none"
		if len(e.Plan.Goals) > 0 {
			got = fmt.Sprint(*e.Plan.Goals[0].Met)
		}
		if got != want {
			t.Errorf("risk %s: %s, want %s", risk, got, want)
		}
	}
}

// TestRiskOfCoarse: of an evening that is planned with few states costs are the most that they may
// be, so that there may be no loss at all: a goal of risk below what is told is open, even 0%.
func TestRiskOfCoarse(t *testing.T) {
	h := die(3)
	const u = 1_000_000
	for i := range h.Lots {
		h.Lots[i].Items[0].Chances = []landed.Outcome{{What: "right", Chance: number("0.75"), Value: money.New(40*u, cad)}, {What: "dead", Chance: number("0.25"), Value: money.New(0, cad)}}
	}
	h.Bidding.Goal.Budget = money.New(30*u, cad)
	for risk, want := range map[string]string{"0": "open", "0.2": "open", "0.25": "true"} {
		h.Bidding.Goal.Risk = fraction(risk)
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}.Few(8))
		if err != nil || e.Plan.Most == nil || e.Plan.LossHigh.Cmp(big.NewRat(1, 4)) != 0 { // one lot is won, and dead one time in four
			t.Fatalf("%+v, %v", e, err)
		}
		got := "open"
		if met := e.Plan.Goals[0].Met; met != nil {
			got = fmt.Sprint(*met)
		}
		if got != want {
			t.Errorf("risk %s: %s, want %s", risk, got, want)
		}
	}
}

// TestLimitBeforeAFall: a limit takes every likely price up to it. Where cost falls as the bid
// rises, so that a bid above one that breaks the budget keeps to it again, the limit is below both.
func TestLimitBeforeAFall(t *testing.T) {
	h := crate()
	h.Market = market("100 JPY = 0.93 CAD", "1 EUR = 1.62 CAD")
	h.Bidding.Steps = []bid.BidStep{{From: amount("0 JPY"), Step: amount("500 JPY")}}
	flatDuty(rand.New(rand.NewPCG(16, 61)), h)
	tightBudget(t, h)
	budget := h.Bidding.Goal.Budget.Minor()
	at := int64(20_000)
	for costAt(t, h, at) <= budget {
		at = nextBid(h.Bidding.Steps, at)
	}
	want, above := int64(0), at
	for b := int64(20_000); b < at; b = nextBid(h.Bidding.Steps, b) {
		want = b
	}
	for costAt(t, h, above) > budget {
		above = nextBid(h.Bidding.Steps, above)
	}
	h.Lots[0].Likely = &landed.Likely{Prices: []money.Amount{money.New(20_000, jpy), money.New(at, jpy)}}
	e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
	if err != nil || e.Lots[0].Limit.Minor() != want || e.Lots[0].Alone.Minor() < above {
		t.Errorf("%+v, %v; want %d, alone %d or more", e.Lots, err, want, above)
	}
}
