package together_test

import (
	"context"
	"fmt"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

// limits are territories that count parcels together by what they cost to send, or by seller, each
// with its limit in yen at the rates of the test.
var limits = map[string]int64{"KR": 22_000, "TW": 9_400, "JP": 10_000, "SG": 45_000}

// limited draws a haul near the limit of a territory: lots of up to three sellers, by one service
// or two, with all that may be asked for a parcel beside.
func limited(t *rapid.T, lots int) *haul {
	h := haulOf(nil)
	h.To = rapid.SampledFrom([]string{"KR", "TW", "JP", "SG"}).Draw(t, "to")
	if h.To == "JP" {
		h.From = "CA"
	}
	h.Market = market("100 JPY = 0.93 CAD", "1 USD = 1.37 CAD", "1 SGD = 1.06 CAD", "1 TWD = 0.044 CAD")
	h.Spread = number(rapid.SampledFrom([]string{"0", "0.025"}).Draw(t, "spread"))
	sellers := []string{"tidemark", "northlight", ""}[:rapid.IntRange(1, 3).Draw(t, "sellers")]
	each := limits[h.To] * int64(len(sellers)) * rapid.Int64Range(30, 120).Draw(t, "percent") / 100 / int64(lots)
	for i := range lots {
		l := lot(fmt.Sprint("lot-", i), rapid.Int64Range(each/2, each*3/2).Draw(t, "price"), rapid.Int64Range(200, 1500).Draw(t, "grams"))
		l.Seller = rapid.SampledFrom(sellers).Draw(t, "seller")
		h.Lots = append(h.Lots, l)
	}
	for n := range rapid.IntRange(1, 2).Draw(t, "services") {
		s := service(fmt.Sprint("service-", n), rapid.Int64Range(500, 3000).Draw(t, "first"), rapid.Int64Range(0, 800).Draw(t, "further"))
		s.Limits.Weight = units.Weight(rapid.Int64Range(15, 60).Draw(t, "limit")) * 100 * units.Gram
		if rapid.IntRange(0, 3).Draw(t, "insures") == 0 {
			s.Insurance = freight.Insurance{Rate: number("0.02"), Least: amount("200 JPY")}
		}
		h.Sending.Services = append(h.Sending.Services, s)
	}
	some := func(label string) bool { return rapid.IntRange(0, 3).Draw(t, label) == 0 }
	h.Sending.Leaves, h.Sending.Insure, h.Sending.Bare = h.Date.AddDate(0, 0, 15), some("insure"), true
	if some("forwarder") {
		h.Sending.Forwarder = &freight.Forwarder{PerParcel: amount("300 JPY"), PerLot: amount("90 JPY"), Consolidation: amount("250 JPY")}
	}
	for _, c := range []landed.Charge{
		{What: "Label", Kind: landed.Fee, Amount: amount("130 JPY"), Per: landed.PerParcel},
		{What: "Inland", Kind: landed.Freight, Amount: amount("400 JPY"), Per: landed.PerItem},
		{What: "Cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.015"), Per: landed.PerParcel},
		{What: "Wrap", Kind: landed.Fee, Amount: amount("120 JPY"), Per: landed.PerParcel, Dutiable: landed.AsGoods},
	} {
		if some(c.What) {
			h.Charges = append(h.Charges, c)
		}
	}
	duty := customs.Rate{Fraction: number("0.065")}
	h.Border = &landed.Border{Book: customs.NewBook(), Class: "tool", Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}},
		Use: []customs.Use{customs.Personal, customs.Resale}[rapid.IntRange(0, 1).Draw(t, "use")], Mode: []customs.Mode{customs.Post, customs.Courier}[rapid.IntRange(0, 1).Draw(t, "by")]}
	return h
}

// TestLimitOverParcels: where a limit is over several parcels the best way is proven, and it is the
// least of every division and choice of services, each by a Split of the whole haul.
func TestLimitOverParcels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := limited(t, rapid.IntRange(2, effort.Cases(6, 5, 4)).Draw(t, "lots"))
		if rapid.Bool().Draw(t, "some have come") {
			arrive(h, func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "below") })
		}
		best, _, _ := wayTotals(h)
		r, err := together.Least(context.Background(), &h.Haul, h.Sending, together.Options{})
		if best < 0 {
			if err == nil {
				t.Fatalf("there is no way, but %v", r.Best.Total)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if r.Best.Total.Minor() != best || !r.Exact || r.Bound != r.Best.Total {
			t.Fatalf("to %s: %v, bound %v, exact %t; want %d", h.To, r.Best.Total, r.Bound, r.Exact, best)
		}
		still := slices.IndexFunc(h.Lots, func(l landed.Lot) bool { return !hasCome(h, l.ID) })
		if still < 0 {
			return
		}
		replanner, err := together.NewReplanner(&h.Haul, h.Sending, []int{still})
		if replanner == nil || err != nil {
			return
		}
		if total, ok, err := replanner.Total([]money.Amount{h.Lots[still].Price}); err != nil || !ok || total.Minor() != best {
			t.Fatalf("to %s: at the same price %v (%t, %v), want %d", h.To, total, ok, err, best)
		}
	})
}

// mixed are lots of two sellers into Korea. The best way has two of them in one parcel, which is
// above the limit with all others, and one of each seller by itself, below it: those do not count
// together.
func mixed() *haul {
	h := bordered(lot("a1", 6000, 1000), lot("b1", 6000, 1000), lot("a2", 7400, 500), lot("b2", 7400, 500))
	h.Lots[1].Seller, h.Lots[3].Seller = "northlight", "northlight"
	h.To, h.Market = "KR", market("100 JPY = 0.93 CAD", "1 USD = 1.37 CAD")
	h.Sending.Services[0] = service("post", 4000, 0)
	h.Sending.Services[0].Limits.Weight = units.Kilogram
	return h
}

// TestMixedParcel: what is told of other prices knows that too.
func TestMixedParcel(t *testing.T) {
	h := mixed()
	best, _, _ := wayTotals(h)
	if r := plan(t, h); r.Best.Total.Minor() != best || !r.Exact || len(r.Best.Parcels) != 3 {
		t.Errorf("%v in %d parcels, want %d", r.Best.Total, len(r.Best.Parcels), best)
	}
	replanner, err := together.NewReplanner(&h.Haul, h.Sending, []int{0})
	if err != nil {
		t.Fatal(err)
	}
	if total, ok, err := replanner.Total([]money.Amount{h.Lots[0].Price}); err != nil || !ok || total.Minor() != best {
		t.Errorf("%v (%t, %v), want %d", total, ok, err, best)
	}
	bounds, err := together.NewBounds(&h.Haul, h.Sending, []int{0}, [][]money.Amount{{h.Lots[0].Price}}, 1000)
	if err != nil {
		t.Fatal(err)
	}
	parcels, _ := parcelsOf(t, h)
	if least, most, ok := bounds.Rest([]int64{int64(bounds.Cell(0, 0))}); !ok || parcels < least+bounds.Adds(0, 0) || parcels > most+bounds.Adds(0, 0) {
		t.Errorf("from %d to %d (%t), want %d", least+bounds.Adds(0, 0), most+bounds.Adds(0, 0), ok, parcels)
	}
}

// TestBelowLimit: two lots into Taiwan in one parcel, beside a third, are asked 1000 JPY for
// consolidation, which customs does not see, and 200 JPY less of freight, which it does: 9350 JPY
// are below the limit of 2000 TWD, 9462 JPY, and with all apart 9550 JPY above it.
func TestBelowLimit(t *testing.T) {
	h := bordered(lot("a", 2450, 1000), lot("b", 2450, 1000), lot("c", 2450, 2000))
	h.To, h.Market = "TW", market("100 JPY = 0.93 CAD", "1 TWD = 0.044 CAD")
	h.Sending.Services[0] = service("post", 600, 400)
	h.Sending.Services[0].Limits.Weight = 2 * units.Kilogram
	h.Sending.Forwarder = &freight.Forwarder{Consolidation: amount("1000 JPY")}
	best, _, _ := wayTotals(h)
	if r := plan(t, h); r.Best.Total.Minor() != best || !r.Exact || len(r.Best.Parcels) != 2 || r.Best.Border.Sign() != 0 {
		t.Errorf("%v in %d parcels, %v at the border, want %d", r.Best.Total, len(r.Best.Parcels), r.Best.Border, best)
	}
}
