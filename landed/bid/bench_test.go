package bid_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/together"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

func twenty() *haul { return untested(20) }

// untested is a lot of so many untested items, with customs, a venue and a risk.
func untested(items int) *haul {
	h := crate()
	lot := &h.Lots[0]
	lot.Items, lot.Premium = nil, number("0.1")
	r := rand.New(rand.NewPCG(3, 5))
	for i := range items {
		best := 1500 + r.Int64N(4500)
		works := 30 + r.Int64N(60)
		lot.Items = append(lot.Items, landed.Item{
			ID: fmt.Sprintf("item-%d", i), Count: 1 + r.Int64N(2), Weighed: true, Weight: measure.Weight(100+r.Int64N(1900)) * measure.Gram,
			Value: money.New(best, cad), Class: []string{"tool", "pen"}[i%2],
			Chances: []landed.Outcome{{What: "works", Chance: decimal.New(works, -2), Value: money.New(best, cad)},
				{What: "parts", Chance: decimal.New(100-works, -2), Value: money.New(best/5, cad)}}})
	}
	h.Border = border(customs.Post)
	h.Selling = &selling.Plan{Venues: []resale.Venue{gable()}, Dispatch: resale.Dispatch{Packing: amount("0.80 CAD")}}
	h.Risks = []bid.Risk{{What: "box dropped", Chance: number("0.02"), Keeps: number("0.3")}}
	h.Bidding.Goal = bid.Goal{Return: fraction("0.3"), Risk: fraction("0.2")}
	return h
}

// BenchmarkHighest is the whole of a bid: proceeds, every range, the cliffs, the
// ladder and what would change it.
func BenchmarkHighest(b *testing.B) {
	h := twenty()
	b.ReportAllocs()
	for b.Loop() {
		bidder, err := bid.New(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := bidder.Highest(); err != nil {
			b.Fatal(err)
		}
		if _, err := bidder.Moves(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkAnswer is the same without what would change it.
func BenchmarkAnswer(b *testing.B) {
	h := twenty()
	for b.Loop() {
		if _, err := bidder(b, h, bid.Options{}).Highest(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSimulation does by a million draws what [bid.New] does without any:
// the chance of a loss at one cost, a quantile, and the mean of the worst 5 %.
func BenchmarkSimulation(b *testing.B) {
	const draws = 1_000_000
	h := twenty()
	outcomes := drawable(b, h)
	r := rand.New(rand.NewPCG(1, 2))
	cost := costAt(b, h, 20_000)
	sums := make([]int64, draws)
	for b.Loop() {
		for i := range sums {
			sums[i] = draw(r, outcomes)
		}
		slices.Sort(sums)
		losses, _ := slices.BinarySearch(sums, cost)
		tail := int64(0)
		for _, s := range sums[:draws/20] {
			tail += s
		}
		b.ReportMetric(float64(losses)/draws, "loss")
		b.ReportMetric(float64(sums[draws/5]), "quantile")
		b.ReportMetric(float64(tail/(draws/20)), "worst")
	}
}

// drawn is a piece as a simulation sees it.
type drawn struct {
	limit   []int // out of 10 000
	brings  []int64
	dropped []int64
}

// drawable lists the pieces of a haul with one risk for all.
func drawable(t testing.TB, h *haul) []drawn {
	var list []drawn
	for l := range h.Lots {
		for i := range h.Lots[l].Items {
			it := &h.Lots[l].Items[i]
			var d drawn
			sum := 0
			dropped := endsOf(t, h, it, left(h, &h.Lots[l], it, 1))
			for f, e := range endsOf(t, h, it, number("1")) {
				sum += int(it.Chances[f].Chance.Shift(4).IntPart())
				d.limit = append(d.limit, sum)
				d.brings = append(d.brings, e.sold)
				d.dropped = append(d.dropped, dropped[f].sold)
			}
			for range it.Count {
				list = append(list, d)
			}
		}
	}
	return list
}

func draw(r *rand.Rand, pieces []drawn) int64 {
	sum, dropped := int64(0), r.IntN(100) < 2
	for i := range pieces {
		p, roll := &pieces[i], r.IntN(10_000)
		at := 0
		for roll >= p.limit[at] {
			at++
		}
		if dropped {
			sum += p.dropped[at]
		} else {
			sum += p.brings[at]
		}
	}
	return sum
}

// TestSimulation draws a lot up to 200 000 times, from a fixed seed: the chance of a
// loss and the expected proceeds lie within five standard errors.
func TestSimulation(t *testing.T) {
	draws := effort.Cases(200_000, 100_000, 30_000)
	h := twenty()
	a := highest(t, h, bid.Options{})
	outcomes, r := drawable(t, h), rand.New(rand.NewPCG(8, 9))
	sums := make([]int64, draws)
	losses, total := 0, 0.0
	for i := range sums {
		sums[i] = draw(r, outcomes)
		total += float64(sums[i])
		if sums[i] < a.Best.Cost.Minor() {
			losses++
		}
	}
	slices.Sort(sums)
	want, _ := a.Best.Loss.Rat().Float64()
	got := float64(losses) / float64(draws)
	if gap := got - want; gap*gap*float64(draws) > 25*want*(1-want) {
		t.Errorf("chance of a loss %v, the simulation gives %v", want, got)
	}
	deviation := float64(a.Proceeds.StdDev().Minor())
	mean, _ := a.Proceeds.MeanRat().Float64()
	if gap := total/float64(draws) - mean; gap*gap*float64(draws) > 25*deviation*deviation {
		t.Errorf("expected proceeds %v, the simulation gives %v", mean, total/float64(draws))
	}
	worst, err := a.Worst(money.New(0, cad), number("0.05"))
	if err != nil {
		t.Fatal(err)
	}
	tail := 0.0
	for _, s := range sums[:draws/20] {
		tail += float64(s) / float64(draws/20)
	}
	if gap := tail - float64(worst.Minor()); gap*gap*float64(draws/20) > 25*deviation*deviation {
		t.Errorf("worst 5 %% %v, the simulation gives %v", worst, tail)
	}
}

// BenchmarkNew is the distribution of what the haul brings, and the limits.
func BenchmarkNew(b *testing.B) {
	h := twenty()
	b.ReportAllocs()
	for b.Loop() {
		bidder(b, h, bid.Options{})
	}
}

// BenchmarkSearch is what follows: every range, the cliffs and the ladder.
func BenchmarkSearch(b *testing.B) {
	h := twenty()
	for b.Loop() {
		b.StopTimer()
		bidder := bidder(b, h, bid.Options{})
		b.StartTimer()
		if _, err := bidder.Highest(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkEvening is by the number of open lots, of five items each, with a border and a venue,
// with a budget and without.
func BenchmarkEvening(b *testing.B) {
	for _, lots := range []int{2, 4, 6, 8, 10, 12} {
		for _, budget := range []string{"", "250 CAD"} {
			h := manyLots(lots)
			if budget != "" {
				h.Bidding.Goal.Budget = amount(budget)
			}
			b.Run(fmt.Sprintf("%d%s", lots, strings.ReplaceAll(budget, " ", "")), func(b *testing.B) {
				for b.Loop() {
					if _, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkEveningSent is by the number of open lots with four services, and tells how wide its
// bounds are.
func BenchmarkEveningSent(b *testing.B) {
	for _, lots := range []int{4, 8, 12} {
		h := manyLots(lots)
		h.Parcels, h.Sending = nil, &together.Sending{}
		for n := range int64(4) {
			s := &freight.Service{Name: fmt.Sprint("service-", n), Currency: jpy, Zones: []freight.Zone{{
				Steps:   []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(900+n*420, jpy)}},
				Further: money.Step[measure.Weight]{UpTo: measure.Kilogram, Price: money.New(380-n*60, jpy)}}}}
			s.Limits.Weight = measure.Weight(12+6*n) * measure.Kilogram
			h.Sending.Services = append(h.Sending.Services, s)
		}
		b.Run(fmt.Sprint(lots), func(b *testing.B) {
			var e *bid.Evening
			for b.Loop() {
				var err error
				if e, err = bid.Tonight(&h.Haul, h.Plans, bid.Options{}); err != nil {
					b.Fatal(err)
				}
			}
			value, _ := e.Plan.Value.Float64()
			if most := e.Plan.Most; most != nil {
				high, _ := most.Float64()
				b.ReportMetric(100*(high-value)/value, "gap%")
			}
		})
	}
}

// manyLots is an evening of lots of five items that may go for some twenty prices each.
func manyLots(lots int) *haul {
	h, r := crate(), rand.New(rand.NewPCG(16, uint64(lots)))
	h.Lots, h.Border = nil, border(customs.Post)
	for i := range lots {
		lot := landed.Lot{ID: fmt.Sprint("lot-", i+1), Open: true, Premium: number("0.1")}
		least := 1000 + 100*r.Int64N(30)
		lot.Likely = &landed.Likely{From: money.New(least, jpy), To: money.New(least+2000+100*r.Int64N(20), jpy)}
		for k := range 5 {
			value := money.New(800+r.Int64N(1700), cad)
			lot.Items = append(lot.Items, landed.Item{ID: fmt.Sprintf("i%d-%d", i, k), Count: 1 + r.Int64N(2), Weight: measure.Kilogram, Weighed: true, Value: value,
				Chances: []landed.Outcome{{What: "works", Chance: number("0.6"), Value: value}, {What: "parts", Chance: number("0.4"), Value: amount("3 CAD")}}})
		}
		h.Lots = append(h.Lots, lot)
	}
	h.Selling = &selling.Plan{}
	h.Selling.Venues = append(h.Selling.Venues, gable())
	h.Spread, h.Bidding.Goal.Return = number("0.025"), fraction("0.2")
	return h
}

// TestBidAllocates: what a bid and what would change it allocate grows as the items do.
func TestBidAllocates(t *testing.T) {
	effort.Grows(t, 20, 200, 70_000, 1.02, func(items int) float64 {
		h := untested(items)
		return effort.Allocations(func() {
			b := bidder(t, h, bid.Options{})
			_, err := b.Highest()
			if err == nil {
				_, err = b.Moves()
			}
			if err != nil {
				t.Fatal(err)
			}
		})
	})
}
