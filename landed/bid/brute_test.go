package bid_test

import (
	"cmp"
	"fmt"
	"maps"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// The oracle knows nothing of limits, bisection or convolution: it enumerates
// every outcome of every piece in fractions, prices every bid by Split, and
// asks each goal as it was put.

// oracle is what the lot that is bid for brings: every amount with its chance.
type oracle struct {
	chance map[int64]*big.Rat
	mean   *big.Rat
	spent  int64 // what the other lots cost
}

// enumerate follows every outcome of every piece, and then every risk.
func enumerate(t testing.TB, h *haul) *oracle {
	all := map[int64]*big.Rat{}
	worlds := 1 << len(h.Risks)
	for which := range worlds {
		weight := big.NewRat(1, 1)
		for i, r := range h.Risks {
			c := r.Chance.Rat()
			if which>>i&1 == 0 {
				c = new(big.Rat).Sub(big.NewRat(1, 1), c)
			}
			weight.Mul(weight, c)
		}
		for sum, chance := range enumerateWorld(t, h, which) {
			put(all, sum, new(big.Rat).Mul(chance, weight))
		}
	}
	o := &oracle{chance: all, mean: new(big.Rat)}
	o.spent, _ = spent(t, h)
	for sum, chance := range all {
		o.mean.Add(o.mean, new(big.Rat).Mul(chance, new(big.Rat).SetInt64(sum)))
	}
	return o
}

func put(m map[int64]*big.Rat, key int64, chance *big.Rat) {
	if m[key] == nil {
		m[key] = new(big.Rat)
	}
	m[key].Add(m[key], chance)
}

// enumerateWorld lets every piece of every item come to every end that it can,
// given which risks happen.
func enumerateWorld(t testing.TB, h *haul, which int) map[int64]*big.Rat {
	sums := map[int64]*big.Rat{0: big.NewRat(1, 1)}
	for l := range h.Lots[:1] {
		for i := range h.Lots[l].Items {
			it := &h.Lots[l].Items[i]
			ends := endsOf(t, h, it, left(h, &h.Lots[l], it, which))
			own, next := map[int64]*big.Rat{}, map[int64]*big.Rat{}
			everyWay(ends, it, func(of []int, chance *big.Rat) { put(own, brought(ends, of, it.Keep), chance) })
			for brings, chance := range own {
				for sum, c := range sums {
					put(next, sum+brings, new(big.Rat).Mul(chance, c))
				}
			}
			sums = next
		}
	}
	return sums
}

// everyWay names an end for each piece of an item, in every way there is.
func everyWay(ends []end, it *landed.Item, is func(of []int, chance *big.Rat)) {
	of := make([]int, it.Count)
	var piece func(n int, chance *big.Rat)
	piece = func(n int, chance *big.Rat) {
		if n == len(of) {
			is(of, chance)
			return
		}
		for e := range ends {
			if of[n] = e; it.Alike && n > 0 {
				of[n] = of[0]
				piece(n+1, chance)
				return
			}
			piece(n+1, new(big.Rat).Mul(chance, ends[e].chance))
		}
	}
	piece(0, big.NewRat(1, 1))
}

// end is what a piece comes to, and what it then brings.
type end struct {
	chance     *big.Rat
	value      int64 // before any risk
	best       bool
	sold, kept int64
}

// brought is what all pieces of an item bring: of those that came out best the
// least are kept.
func brought(ends []end, of []int, keep int64) int64 {
	var best []end
	sum := int64(0)
	for _, e := range of {
		if ends[e].best {
			best = append(best, ends[e])
		} else {
			sum += ends[e].sold
		}
	}
	slices.SortFunc(best, func(a, b end) int { return cmp.Compare(a.value, b.value) })
	for n, e := range best {
		if int64(n) < keep {
			sum += e.kept
		} else {
			sum += e.sold
		}
	}
	return sum
}

// endsOf lists the ends of a piece when a part of its value is left.
func endsOf(t testing.TB, h *haul, it *landed.Item, left decimal.Decimal) []end {
	best, most := 0, int64(-1)
	for i, f := range it.Chances {
		if twice := f.Value.Minor() + max(f.Value.Minor(), f.UpTo.Minor()); twice > most {
			best, most = i, twice
		}
	}
	times := func(quarters int64) int64 {
		return decimal.New(quarters, 0).Mul(left).Mul(number("0.25")).Round(0).IntPart()
	}
	var ends []end
	for i, f := range it.Chances {
		points := []int64{4 * f.Value.Minor()}
		if low, high := f.Value.Minor(), f.UpTo.Minor(); f.UpTo.Currency() != 0 { // random ones are 4 minor units wide or more
			points = nil
			for n := range int64(5) {
				points = append(points, 4*low+(high-low)*n)
			}
		}
		for _, value := range points {
			e := end{chance: new(big.Rat).Quo(f.Chance.Rat(), big.NewRat(int64(len(points)), 1)), value: value, best: i == best}
			e.sold = sold(t, h, it, times(value)) - f.Repair.Minor()
			if e.kept = times(value) - f.Repair.Minor(); it.Worth.Currency() != 0 {
				e.kept = times(4*it.Worth.Minor()) - f.Repair.Minor()
			}
			ends = append(ends, e)
		}
	}
	return ends
}

// sold is what a piece leaves at the venue: nothing where nobody would sell it.
func sold(t testing.TB, h *haul, it *landed.Item, value int64) int64 {
	if h.Selling == nil || value == 0 {
		return value
	}
	s := resale.Sale{Venue: &h.Selling.Venues[0], Dispatch: resale.Dispatch{Charged: h.Selling.Charged, Packing: h.Selling.Packing, Postage: h.Selling.Postage}, Weight: it.Weight}
	out, err := s.At(money.New(value, cad))
	if err != nil {
		t.Fatal(err)
	}
	return max(out.Net.Minor(), 0)
}

// left is what the risks of a world that are about an item leave of its value.
func left(h *haul, lot *landed.Lot, it *landed.Item, which int) decimal.Decimal {
	all := number("1")
	for i, r := range h.Risks {
		about := len(r.On) == 0 || slices.Contains(r.On, lot.ID) || slices.Contains(r.On, it.ID)
		if which>>i&1 == 1 && about {
			all = all.Mul(r.Keeps)
		}
	}
	return all
}

// below is the chance to bring less than a cost.
func (o *oracle) below(cost int64) *big.Rat {
	sum := new(big.Rat)
	for brings, chance := range o.chance {
		if brings < cost {
			sum.Add(sum, chance)
		}
	}
	return sum
}

// meets asks each goal as it was put.
func (o *oracle) meets(g *bid.Goal, cost int64) bool {
	c := new(big.Rat).SetInt64(cost)
	profit := new(big.Rat).Sub(o.mean, c)
	part := func(of *big.Rat, d *decimal.Decimal) *big.Rat { return new(big.Rat).Mul(of, d.Rat()) }
	switch {
	case g.Profit.Currency() != 0 && profit.Cmp(new(big.Rat).SetInt64(g.Profit.Minor())) < 0,
		g.Return != nil && profit.Cmp(part(c, g.Return)) < 0,
		g.Margin != nil && profit.Cmp(part(o.mean, g.Margin)) < 0,
		g.Risk != nil && o.below(cost).Cmp(g.Risk.Rat()) > 0,
		g.Budget.Currency() != 0 && cost+o.spent > g.Budget.Minor():
		return false
	case g.Profit.Currency() == 0 && g.Return == nil && g.Margin == nil:
		return profit.Sign() >= 0
	}
	return true
}

// costAt is what a bid adds: all that is paid with the lot, less all that is
// paid without it, each by Split, or by the cheapest of all ways to send them.
func costAt(t testing.TB, h *haul, price int64) int64 {
	other := *h
	other.Lots = slices.Clone(h.Lots)
	other.Lots[0].Price, other.Lots[0].Open = money.New(price, jpy), false
	all, ok := paid(t, &other)
	if !ok {
		return never
	}
	before, _ := spent(t, h)
	return all - before
}

// spent is what is paid without the first lot; false where it cannot be sent. It
// is kept for the haul asked about last.
func spent(t testing.TB, h *haul) (int64, bool) {
	if len(h.Lots) == 1 {
		return 0, true
	}
	if last.haul != h {
		last.haul = h
		last.cost, last.ok = paid(t, without(h))
	}
	return last.cost, last.ok
}

var last struct {
	haul *haul
	cost int64
	ok   bool
}

// without takes the first lot out of a haul, and all that is about it alone.
func without(h *haul) *haul {
	rest := *h
	gone := []string{h.Lots[0].ID}
	for _, it := range h.Lots[0].Items {
		gone = append(gone, it.ID)
	}
	left := func(ids []string) (list []string) {
		for _, id := range ids {
			if !slices.Contains(gone, id) {
				list = append(list, id)
			}
		}
		return list
	}
	rest.Lots, rest.Parcels, rest.Charges, rest.Risks = h.Lots[1:], nil, nil, nil
	for _, p := range h.Parcels {
		if p.Lots = left(p.Lots); len(p.Lots) > 0 {
			rest.Parcels = append(rest.Parcels, p)
		}
	}
	for _, c := range h.Charges {
		all := len(c.On) == 0
		if c.On = left(c.On); all || len(c.On) > 0 {
			rest.Charges = append(rest.Charges, c)
		}
	}
	return &rest
}

// never is what cannot be sent.
const never = 1 << 60

// paid is what a haul costs in all.
func paid(t testing.TB, h *haul) (int64, bool) {
	if h.Sending != nil {
		return sent(t, h)
	}
	st, err := landed.Split(&h.Haul)
	if err != nil {
		t.Fatal(err)
	}
	return st.Total.Minor(), true
}

// nextBid rises by the step of the band, but stops where the next begins.
func nextBid(steps []bid.BidStep, bid int64) int64 {
	up := bid
	for i, s := range steps {
		if s.From.Minor() <= bid {
			up = bid + s.Step.Minor()
			if i+1 < len(steps) && up > steps[i+1].From.Minor() {
				up = steps[i+1].From.Minor()
			}
		}
	}
	return up
}

// bruteForce prices every bid up to one whose price alone is far above what the
// haul can bring.
func bruteForce(t testing.TB, h *haul) (ranges [][2]money.Amount, best, cost int64) {
	o := enumerate(t, h)
	top := int64(0)
	for brings := range o.chance {
		top = max(top, brings)
	}
	steps := h.Bidding.Steps
	price := h.Bidding.Start.Minor()
	if price == 0 {
		price = steps[0].Step.Minor()
	}
	open, last := false, int64(0)
	leastBid, leastCost := int64(-1), int64(0)
	for ; leastBid < 0 || price*93 < 100*max(top+2100, leastCost); price = nextBid(steps, price) { // no goal allows a loss of more than 20.00
		c := costAt(t, h, price)
		if leastBid < 0 || c < leastCost {
			leastBid, leastCost = price, c
		}
		ok := o.meets(&h.Bidding.Goal, c)
		if ok && open {
			ranges[len(ranges)-1][1] = money.New(price, jpy)
		} else if ok {
			ranges = append(ranges, [2]money.Amount{money.New(price, jpy), money.New(price, jpy)})
		}
		if ok {
			last, cost = price, c
		}
		open = ok
	}
	if len(ranges) == 0 {
		return nil, leastBid, leastCost
	}
	return ranges, last, cost
}

// randomHaul makes a haul of a few pieces with a border, a venue, risks, steps
// and a goal, as luck will have it.
func randomHaul(r *rand.Rand) *haul {
	cents := func(most int64) money.Amount { return money.New(r.Int64N(most+1), cad) }
	h := &haul{}
	h.Home, h.Date, h.From = cad, day, "JP"
	h.Market = market("100 JPY = 0.93 CAD", "1 GBP = 1.85 CAD", "1 EUR = 1.60 CAD", "1 CHF = 1.70 CAD", "1 NOK = 0.135 CAD", "1 AUD = 0.91 CAD", "1 NZD = 0.82 CAD")
	h.Spread = decimal.New(r.Int64N(30), -3)
	h.To = []string{"CA-ON", "CA-ON", "CA-QC", "GB", "DE", "CH", "NO", "AU", "NZ"}[r.IntN(9)]
	if r.IntN(8) > 0 {
		h.Border = border(customs.Mode(r.IntN(2)))
	}
	pieces := int64(0)
	for l := range 1 + r.IntN(4) {
		lot := landed.Lot{ID: fmt.Sprintf("lot-%d", l), Seller: "tidemark", Price: money.New(r.Int64N(4000), jpy), Open: l == 0}
		if l == 0 {
			lot.Price = money.Amount{}
			lot.Premium = decimal.New(r.Int64N(15), -2)
		}
		for i := range 1 + r.IntN(3) {
			it := landed.Item{ID: fmt.Sprintf("%s-%d", lot.ID, i), Count: 1 + r.Int64N(5), Weighed: true,
				Weight: measure.Weight(1+r.Int64N(4000)) * measure.Gram, Class: []string{"tool", "pen"}[r.IntN(2)], Alike: r.IntN(3) == 0}
			it.Value = money.New(100+r.Int64N(6000), cad)
			left := int64(100)
			for f := range 1 + r.IntN(3) {
				c := r.Int64N(left + 1)
				if f == 2 {
					c = left
				}
				left -= c
				outcome := landed.Outcome{What: fmt.Sprint(f), Chance: decimal.New(c, -2), Value: cents(6000), Repair: cents(300)}
				if it.Count < 4 && r.IntN(4) == 0 {
					outcome.UpTo = money.New(outcome.Value.Minor()+4+r.Int64N(3000), cad)
				}
				it.Chances = append(it.Chances, outcome)
			}
			it.Chances[0].Chance = it.Chances[0].Chance.Add(decimal.New(left, -2))
			if len(it.Chances) == 3 {
				it.Chances[0].Chance = decimal.NewFromInt(1).Sub(it.Chances[1].Chance).Sub(it.Chances[2].Chance)
			}
			it.Keep = min(r.Int64N(4), it.Count)
			if r.IntN(2) == 0 {
				it.Worth = cents(7000)
			}
			if pieces += it.Count; pieces <= 8 || l > 0 && i == 0 {
				lot.Items = append(lot.Items, it)
			}
		}
		if len(lot.Items) > 0 {
			h.Lots = append(h.Lots, lot)
		}
	}
	h.Charges = []landed.Charge{{What: "Parcel", Kind: landed.Freight, Amount: money.New(r.Int64N(4000), jpy), Per: []landed.Per{landed.PerHaul, landed.PerParcel, landed.PerPiece}[r.IntN(3)]},
		{What: "Cover", Kind: landed.Insurance, OfPrice: true, Percent: decimal.New(r.Int64N(40), -3)},
		{What: "Packing", Kind: landed.Fee, Amount: money.New(r.Int64N(600), jpy), Per: landed.PerLot, Dutiable: landed.Dutiable(r.IntN(3))}}
	if len(h.Lots) > 1 && r.IntN(2) == 0 {
		h.Charges[r.IntN(3)].On = [][]string{{"lot-0"}, {"lot-1"}, {"lot-0", "lot-1"}}[r.IntN(3)]
	}
	if len(h.Lots) == 2 && r.IntN(2) == 0 {
		h.Parcels = []landed.Parcel{{ID: "one", Lots: []string{"lot-0"}, Carriage: landed.Carriage{Freight: money.New(r.Int64N(2000), jpy)}}, {ID: "two", Lots: []string{"lot-1"}}}
	}
	if len(h.Lots) == 3 && r.IntN(2) == 0 {
		h.Parcels = []landed.Parcel{{ID: "one", Lots: []string{"lot-2", "lot-0"}, Carriage: landed.Carriage{Freight: money.New(r.Int64N(2000), jpy)}}, {ID: "two", Lots: []string{"lot-1"}, Carriage: landed.Carriage{Fees: money.New(r.Int64N(300), jpy)}}}
	}
	bill(r, &h.Haul)
	if r.IntN(3) > 0 {
		h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}, Dispatch: resale.Dispatch{Charged: cents(1500), Packing: cents(150)}}
		h.Selling.Venues[0].Fees[0].Bands = []resale.Band{{UpTo: amount("20 CAD"), Rate: number("0.08")}, {From: amount("20 CAD"), Rate: number("0.14")}}
		h.Selling.Postage.Fixed = cents(1800)
	}
	for i := range r.IntN(3) {
		risk := bid.Risk{What: fmt.Sprint("risk ", i), Chance: decimal.New(r.Int64N(30), -2), Keeps: decimal.New(r.Int64N(101), -2)}
		if r.IntN(2) == 0 {
			risk.On = []string{h.Lots[r.IntN(len(h.Lots))].ID}
		}
		h.Risks = append(h.Risks, risk)
	}
	h.Bidding = &bid.Bidding{Steps: []bid.BidStep{
		{From: money.New(0, jpy), Step: money.New(100+r.Int64N(300), jpy)},
		{From: money.New(3000+r.Int64N(2000), jpy), Step: money.New(200+r.Int64N(600), jpy)}}}
	if r.IntN(2) == 0 {
		h.Bidding.Start = money.New(1+r.Int64N(2000), jpy)
	}
	g := &h.Bidding.Goal
	part := func(n int64) *decimal.Decimal {
		d := decimal.New(r.Int64N(n), -2)
		return &d
	}
	switch r.IntN(7) {
	case 0:
		g.Profit = money.New(r.Int64N(6000)-2000, cad)
	case 1:
		g.Return = part(80)
	case 2:
		g.Margin = part(60)
	case 3:
		g.Risk = part(60)
	case 4:
		g.Budget = cents(20000)
	case 5:
		g.Return, g.Risk, g.Budget = part(40), part(70), cents(25000)
	}
	if r.IntN(4) == 0 {
		flatDuty(r, h)
	}
	return h
}

// flatDuty makes it a haul of dear pieces on their way to where each heading
// bears a flat duty up to a threshold, and free goods none above it, so that
// there cost falls as the bid rises.
func flatDuty(r *rand.Rand, h *haul) {
	h.To, h.Border = "DE", border(customs.Post)
	free := customs.Rate{}
	for l := range h.Lots {
		for i := range h.Lots[l].Items {
			it := &h.Lots[l].Items[i]
			it.Class = it.ID
			h.Border.Classes[it.ID] = customs.Class{Code: fmt.Sprintf("90%02d.%d0", 10+l, i), Duty: &free}
			for n := range it.Chances {
				it.Chances[n].Value, it.Chances[n].UpTo = money.New(15000+r.Int64N(9000), cad), money.Amount{}
			}
		}
	}
	for i := range h.Bidding.Steps {
		h.Bidding.Steps[i].Step = money.New(300+r.Int64N(400), jpy)
	}
}

// tightBudget makes the goal of a haul a budget that the bid just above the
// first fall in cost still meets, and the one below it does not.
func tightBudget(t testing.TB, h *haul) {
	cost := int64(0)
	for price := int64(20_000); price < 40_000; price = nextBid(h.Bidding.Steps, price) {
		next := costAt(t, h, price)
		if next < cost {
			h.Bidding.Goal, h.Bidding.Start = bid.Goal{Budget: money.New(next, cad)}, money.New(20_000, jpy)
			return
		}
		cost = next
	}
}

func TestBruteForce(t *testing.T) {
	hauls := effort.Cases(1000, 40, 20)
	r := rand.New(rand.NewPCG(20261003, 6))
	reached, several, falls, turns := 0, 0, 0, 0
	for n := range hauls {
		h := randomHaul(r)
		if h.To == "DE" && n%2 == 0 {
			tightBudget(t, h)
		}
		want, best, cost := bruteForce(t, h)
		b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatalf("haul %d: %v", n, err)
		}
		a, err := b.Highest()
		if err != nil {
			t.Fatalf("haul %d: %v", n, err)
		}
		if (len(a.Ranges) > 0) != (len(want) > 0) || !slices.Equal(a.Ranges, want) || a.Best.Bid.Minor() != best || a.Best.Cost.Minor() != cost {
			t.Fatalf("haul %d: ranges %v, best %v at %v; brute force finds %v, %d at %d", n, a.Ranges, a.Best.Bid, a.Best.Cost, want, best, cost)
		}
		spent := int64(0)
		if a.Before != nil {
			spent = a.Before.Total.Minor()
		}
		if (a.Best.Missing.Sign() == 0) != (len(a.Ranges) > 0) || a.Statement.Total.Minor() != a.Best.Cost.Minor()+spent {
			t.Fatalf("haul %d: %+v", n, a.Best)
		}
		checkCliffs(t, n, h, a)
		if len(a.Ranges) > 0 {
			reached++
		}
		if len(want) > 1 {
			several++
		}
		for i := range a.Cliffs {
			if c := &a.Cliffs[i]; c.At.Cost.Cmp(c.Below.Cost) < 0 {
				falls++
			}
		}
		turns += len(a.Cliffs)
	}
	t.Logf("%d hauls: %d reach their goal, %d in several ranges; %d cliffs, %d of them falls", hauls, reached, several, turns, falls)
	if reached < hauls/4 || reached > hauls*19/20 || several < hauls/100 || falls == 0 {
		t.Error("the hauls are too much alike to test anything")
	}
}

// Every amount that the pieces may bring has the chance that listing every way
// gives it: kept pieces, ranges, risks, alike ones and what nobody would sell.
func TestProceedsBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(20261004, 9))
	kept, ranges, struck := 0, 0, 0
	for n := range effort.Cases(3000, 60, 30) {
		h := randomHaul(r)
		want, d := enumerate(t, h), bidder(t, h, bid.Options{}).Proceeds()
		if d.MeanRat().Cmp(want.mean) != 0 {
			t.Fatalf("haul %d: mean %v, want %v", n, d.MeanRat(), want.mean)
		}
		less := new(big.Rat)
		amounts, chances := d.ErrorBounds()
		for _, sum := range slices.Sorted(maps.Keys(want.chance)) {
			below, err := d.Below(money.New(sum, cad))
			low, high := below.Bounds()
			if err != nil || low.Cmp(less) > 0 || high.Cmp(less) < 0 || amounts.Sign() == 0 && chances.Sign() == 0 && low.Cmp(high) != 0 {
				t.Fatalf("haul %d: below %d: %v to %v, want %v", n, sum, low, high, less)
			}
			less.Add(less, want.chance[sum])
		}
		struck += len(h.Risks)
		for l := range h.Lots {
			for _, it := range h.Lots[l].Items {
				if it.Keep > 0 && it.Keep < it.Count && !it.Alike {
					kept++
				}
				if slices.ContainsFunc(it.Chances, func(f landed.Outcome) bool { return f.UpTo.Currency() != 0 }) {
					ranges++
				}
			}
		}
	}
	if kept == 0 || ranges == 0 || struck == 0 {
		t.Error("the hauls are too much alike to test anything")
	}
	t.Logf("%d items of which some are kept, %d with ranges, %d risks", kept, ranges, struck)
}

// checkCliffs finds the steps at which cost falls, one by one: all of them must
// be named, with the cost on both sides.
func checkCliffs(t *testing.T, n int, h *haul, a *bid.Answer) {
	t.Helper()
	named := map[int64]bool{}
	for _, c := range a.Cliffs {
		named[c.At.Bid.Minor()] = true
		if costAt(t, h, c.At.Bid.Minor()) != c.At.Cost.Minor() || costAt(t, h, c.Below.Bid.Minor()) != c.Below.Cost.Minor() {
			t.Fatalf("haul %d: cliff at %v", n, c.At.Bid)
		}
	}
	for i := 1; i < len(a.Ladder); i++ {
		if a.Ladder[i].Cost.Cmp(a.Ladder[i-1].Cost) >= 0 {
			continue
		}
		if !named[a.Ladder[i].Bid.Minor()] {
			t.Fatalf("haul %d: cost falls at %v and nothing says so", n, a.Ladder[i].Bid)
		}
	}
}

// TestMovesBruteForce checks what would change the answer against hauls that
// were changed by hand.
func TestMovesBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	hauls := effort.Cases(60, 3, 2)
	for n := range hauls {
		h := randomHaul(r)
		moves, err := bidder(t, h, bid.Options{}).Moves()
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range moves {
			for _, side := range []struct {
				times decimal.Decimal
				got   money.Amount
			}{{number("0.9"), m.Less}, {number("1.1"), m.More}} {
				want := changed(t, h, m.Factor, side.times)
				if got := side.got.Minor(); got != want {
					t.Fatalf("haul %d: %v x %v: %d, brute force finds %d", n, m.Factor, side.times, got, want)
				}
			}
		}
	}
}

// changed finds by brute force the highest bid of a haul with one factor
// changed; 0 is none. What only changes the proceeds must not change the cost,
// so that is priced as it was.
func changed(t *testing.T, h *haul, f string, times decimal.Decimal) int64 {
	other := *h
	round := func(a money.Amount) money.Amount {
		if a.Currency() == 0 {
			return a
		}
		b, err := money.Round(a.Decimal().Mul(times), number("1"), a.Currency())
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	other.Lots = nil
	for _, lot := range h.Lots {
		lot.Items = slices.Clone(lot.Items)
		for i := range lot.Items {
			it := &lot.Items[i]
			it.Chances = slices.Clone(it.Chances)
			if f == "values" {
				it.Worth = round(it.Worth)
				for n := range it.Chances {
					it.Chances[n].Value, it.Chances[n].UpTo = round(it.Chances[n].Value), round(it.Chances[n].UpTo)
				}
			}
			if f == "chances" {
				shiftChances(it, times)
			}
		}
		other.Lots = append(other.Lots, lot)
	}
	if f == "freight" {
		other.Charges = slices.Clone(h.Charges)
		other.Charges[0].Amount = round(h.Charges[0].Amount)
		other.Parcels = slices.Clone(h.Parcels)
		for i := range other.Parcels {
			other.Parcels[i].Freight = round(other.Parcels[i].Freight)
		}
	}
	if f == "rate" {
		other.Market = market(fmt.Sprintf("100 JPY = %s CAD", number("0.93").Mul(times)), "1 GBP = 1.85 CAD", "1 EUR = 1.60 CAD", "1 CHF = 1.70 CAD", "1 NOK = 0.135 CAD", "1 AUD = 0.91 CAD", "1 NZD = 0.82 CAD")
	}
	ranges, best, _ := bruteForce(t, &other)
	if len(ranges) == 0 {
		return 0
	}
	return best
}

// shiftChances lets the dearest outcome be more or less likely; with two or three
// outcomes the rest is shared in proportion, to 10^-18.
func shiftChances(it *landed.Item, times decimal.Decimal) {
	best, most := 0, int64(-1)
	for i, f := range it.Chances {
		if twice := f.Value.Minor() + max(f.Value.Minor(), f.UpTo.Minor()); twice > most {
			best, most = i, twice
		}
	}
	one := number("1")
	was := it.Chances[best].Chance
	if was.Equal(one) {
		return
	}
	now := decimal.Min(was.Mul(times), one)
	left, first := one.Sub(now), -1
	for i := range it.Chances {
		if i == best {
			continue
		}
		if first < 0 {
			first = i
		}
		part := it.Chances[i].Chance.Mul(one.Sub(now)).DivRound(one.Sub(was), 25).Truncate(18)
		it.Chances[i].Chance = part
		left = left.Sub(part)
	}
	it.Chances[best].Chance = now
	it.Chances[first].Chance = it.Chances[first].Chance.Add(left)
}
