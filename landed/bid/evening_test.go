package bid_test

import (
	"errors"
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/internal/effort"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/selling"
	"lotcost/landed/together"
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
	_, w := x.decide(bids, n)
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
	won, bids, cost, proceeds, loss *big.Rat
	lot                             []went // won and bids alone
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
// from a narrow ladder, with or without border, venue, budget, goal of return, charges.
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
	return h
}

// second makes an evening ready for the second computation.
func second(t testing.TB, h *haul, e *bid.Evening) *tonight {
	x := &tonight{t: t, h: h, gain: big.NewRat(1, 1), costs: map[string]int64{}}
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
	for n := range effort.Cases(500, 24, 8) {
		lots := 2 + r.IntN(3)
		compare(t, fmt.Sprint("evening ", n), evening(r, lots, 8-lots))
	}
}

func TestEveningSent(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 5))
	for n := range effort.Cases(60, 4, 2) {
		h := evening(r, 2+r.IntN(2), 3)
		withServices(r, h)
		for i := range h.Lots {
			h.Lots[i].Items[0].Weight = measure.Weight(1+r.IntN(6)) * measure.Kilogram
		}
		compare(t, fmt.Sprint("evening ", n), h)
	}
}
