package bid_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// sent is what a haul costs by the cheapest of all ways to send its lots: every
// division of them over parcels, every service for each, priced here from the
// services' own figures, and each whole by Split. What was billed has come, and what was opened.
func sent(t testing.TB, h *haul) (int64, bool) {
	best := int64(never)
	bare := *h
	bare.Charges, bare.Parcels = nil, nil
	var there []string
	for _, p := range h.Parcels {
		opened := slices.ContainsFunc(h.Lots, func(l landed.Lot) bool { return slices.Contains(p.Lots, l.ID) && l.Items[0].Found != nil })
		if opened || p.Bill != (landed.Bill{}) {
			bare.Parcels, there = append(bare.Parcels, p), append(there, p.Lots...)
		}
	}
	for _, c := range h.Charges {
		if c.Kind == landed.Freight && (c.Per == landed.PerHaul || c.Per == landed.PerParcel) {
			c.On = slices.DeleteFunc(slices.Clone(there), func(id string) bool { return len(c.On) > 0 && !slices.Contains(c.On, id) })
			if len(c.On) == 0 {
				continue // else it was paid for what came
			}
		}
		bare.Charges = append(bare.Charges, c)
	}
	var place func(lot int, boxes [][]int)
	place = func(lot int, boxes [][]int) {
		if lot == len(h.Lots) {
			best = min(best, cheapestServices(t, &bare, boxes, nil))
			return
		}
		if slices.Contains(there, h.Lots[lot].ID) {
			place(lot+1, boxes)
			return
		}
		for i := range boxes {
			next := slices.Clone(boxes)
			next[i] = append(slices.Clone(boxes[i]), lot)
			place(lot+1, next)
		}
		place(lot+1, append(slices.Clone(boxes), []int{lot}))
	}
	place(0, nil)
	return best, best < never
}

// cheapestServices tries every service for each box.
func cheapestServices(t testing.TB, h *haul, boxes [][]int, parcels []landed.Parcel) int64 {
	if len(parcels) == len(boxes) {
		whole := *h
		whole.Parcels = slices.Concat(h.Parcels, parcels)
		st, err := landed.Split(&whole.Haul)
		if err != nil {
			t.Fatal(err)
		}
		return st.Total.Minor()
	}
	best := int64(never)
	for _, s := range h.Sending.Services {
		if p, ok := boxBy(h, s, boxes[len(parcels)]); ok {
			p.ID = fmt.Sprint("p", len(parcels))
			best = min(best, cheapestServices(t, h, boxes, append(slices.Clone(parcels), p)))
		}
	}
	return best
}

// boxBy prices a box: so much for the first kilogram and for each further one
// begun, within limits of weight and value, and cover as a part of the value.
func boxBy(h *haul, s *freight.Service, lots []int) (landed.Parcel, bool) {
	var p landed.Parcel
	var grams, value int64
	for _, l := range lots {
		p.Lots = append(p.Lots, h.Lots[l].ID)
		for _, it := range h.Lots[l].Items {
			grams += int64(it.Weight/measure.Gram) * it.Count
		}
		yen := decimal.New(h.Lots[l].Price.Minor(), 0).Mul(decimal.NewFromInt(1).Add(h.Lots[l].Premium))
		value += yen.Round(0).IntPart()
	}
	limit := s.Limits.Value
	if h.Sending.Insure && !h.Sending.Bare && s.Insurance.Rate.IsZero() {
		return p, false
	}
	if grams > int64(s.Limits.Weight/measure.Gram) || limit.Currency() != 0 && value > limit.Minor() {
		return p, false
	}
	further := max((grams-1)/1000, 0)
	p.Freight = money.New(s.Zones[0].Steps[0].Price.Minor()+further*s.Zones[0].Further.Price.Minor(), jpy)
	if h.Sending.Insure && value > 0 && !s.Insurance.Rate.IsZero() {
		cover := decimal.New(value, 0).Mul(s.Insurance.Rate).Round(0).IntPart()
		p.Insurance = money.New(max(cover, s.Insurance.Least.Minor()), jpy)
	}
	return p, true
}

// withServices lets the lots of a haul be sent by one to three services.
func withServices(r *rand.Rand, h *haul) {
	h.Parcels = nil
	h.Sending = &together.Sending{Insure: r.IntN(3) == 0, Bare: r.IntN(2) == 0}
	for n := range 1 + r.IntN(3) {
		s := &freight.Service{Name: fmt.Sprint("service-", n), Currency: jpy, Zones: []freight.Zone{{
			Steps:   []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(300+r.Int64N(1500), jpy)}},
			Further: money.Step[measure.Weight]{UpTo: measure.Kilogram, Price: money.New(50+r.Int64N(500), jpy)}}}}
		s.Limits.Weight = measure.Weight(4+r.Int64N(36)) * measure.Kilogram
		if r.IntN(3) == 0 {
			s.Limits.Value = money.New(2000+r.Int64N(12_000), jpy)
		}
		if r.IntN(2) == 0 {
			s.Insurance = freight.Insurance{Rate: decimal.New(5+r.Int64N(30), -3), Least: money.New(r.Int64N(300), jpy)}
		} else if h.Sending.Insure && n == 0 {
			s.Insurance = freight.Insurance{Rate: number("0.01")}
		}
		h.Sending.Services = append(h.Sending.Services, s)
	}
}

// TestSentBruteForce: where the haul names services, what a bid adds is the
// total of the cheapest way with the lot less that of the cheapest way without.
func TestSentBruteForce(t *testing.T) {
	hauls := effort.Cases(80, 8, 4)
	r := rand.New(rand.NewPCG(20261003, 9))
	reached, beside, refused, unsent := 0, 0, 0, 0
	for n := range hauls {
		h := randomHaul(r)
		withServices(r, h)
		if cost := costAt(t, h, firstBid(h)); cost == never {
			unsent++
			if b, err := bid.New(&h.Haul, h.Plans, bid.Options{}); err == nil {
				if a, err := b.Highest(); err == nil {
					t.Fatalf("haul %d: no service takes the lots, but bid up to %v", n, a.Best.Bid)
				}
			}
			continue
		}
		if _, ok := spent(t, h); !ok {
			t.Fatalf("haul %d: the services take more and not less", n)
		}
		want, best, cost := bruteForce(t, h)
		a := highest(t, h, bid.Options{})
		if (len(a.Ranges) > 0) != (len(want) > 0) || !slices.Equal(a.Ranges, want) || a.Best.Bid.Minor() != best || a.Best.Cost.Minor() != cost {
			t.Fatalf("haul %d of %d lots: ranges %v, best %v at %v; brute force finds %v, %d at %d", n, len(h.Lots), a.Ranges, a.Best.Bid, a.Best.Cost, want, best, cost)
		}
		for _, p := range a.Ladder {
			if c := costAt(t, h, p.Bid.Minor()); c != p.Cost.Minor() {
				t.Fatalf("haul %d: %v adds %v, brute force finds %d", n, p.Bid, p.Cost, c)
			}
		}
		if a.Refused != nil {
			refused++
			if costAt(t, h, a.Refused.Bid.Minor()) != never {
				t.Fatalf("haul %d: %v is not refused", n, a.Refused.Bid)
			}
		}
		if len(a.Ranges) > 0 {
			reached++
		}
		if len(a.Beside) > 0 {
			beside++
		}
	}
	t.Logf("%d hauls: %d reach their goal, %d beside others, %d refused above some bid, %d not sent at all", hauls, reached, beside, refused, unsent)
	if hauls >= 80 && (reached == 0 || beside == 0 || refused == 0 || unsent == 0) {
		t.Error("the hauls are too much alike to test anything")
	}
}

func firstBid(h *haul) int64 {
	if first := h.Bidding.Start.Minor(); first > 0 {
		return first
	}
	return h.Bidding.Steps[0].Step.Minor()
}

// TestSentAsPlanned: the account of a bid is the plan's.
func TestSentAsPlanned(t *testing.T) {
	h := crate()
	h.Sending = &together.Sending{Services: []*freight.Service{{Name: "sea", Currency: jpy, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: 20 * measure.Kilogram, Price: amount("5500 JPY")}}}}}}}
	a := highest(t, h, bid.Options{})
	h.Lots[0].Price, h.Lots[0].Open = a.Best.Bid, false
	plan, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if a.Statement.Total != plan.Best.Total || a.Added(landed.Freight) != amount("51.15 CAD") {
		t.Errorf("%v of which freight is %v, planned are %v", a.Statement.Total, a.Added(landed.Freight), plan.Best.Total)
	}
}
