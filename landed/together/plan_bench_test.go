package together_test

import (
	"fmt"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// sizable is a haul of unlike lots by five services to Ontario; with sizes,
// every parcel's box is worked out too.
func sizable(lots int, sized bool) *haul {
	var all []landed.Lot
	for i := range int64(lots) {
		l := lot(fmt.Sprint("lot-", i), 1200+i*i*331%14_000, 260+i*977%3100)
		if sized {
			side := func(k int64) units.Length { return units.Length(5+(i*7+k*5)%24) * units.Centimetre }
			l.Size = units.Size{L: side(1), W: side(2), H: side(3)}
		}
		all = append(all, l)
	}
	h := haulOf(all)
	for n := range int64(5) {
		s := service(fmt.Sprint("service-", n), 900+n*420, 880-n*110)
		s.Limits = freight.Limits{Weight: units.Weight(2+5*n) * units.Kilogram, LengthPlusGirth: units.Length(120+30*n) * units.Centimetre}
		h.Sending.Services = append(h.Sending.Services, s)
	}
	duty := customs.Rate{Fraction: number("0.065")}
	h.Border = &landed.Border{Book: customs.NewBook(), Class: "tool", Classes: map[string]customs.Class{"tool": {Code: "8205.59", Duty: &duty}}}
	return h
}

func BenchmarkPlan(b *testing.B) {
	for _, lots := range []int{4, 8, 12, 16, 20, 30, 60} {
		for _, sized := range []bool{false, true} {
			if sized && lots > 60 {
				continue
			}
			b.Run(fmt.Sprintf("lots=%d/services=5/sized=%t", lots, sized), func(b *testing.B) {
				h := sizable(lots, sized)
				var last *together.Report
				for b.Loop() {
					last = plan(b, h)
				}
				b.ReportMetric(float64(last.Asked()), "costs/op")
			})
		}
	}
}

// entries are territories with their currency and what a yen is there; into Japan lots come from
// elsewhere.
var entries = []struct{ to, home, rate string }{
	{"CH", "CHF", "100 JPY = 0.55 CHF"}, {"CA-ON", "CAD", "100 JPY = 0.93 CAD"}, {"JP", "JPY", "1 USD = 150 JPY"}, {"AU", "AUD", "100 JPY = 1.02 AUD"},
	{"NZ", "NZD", "100 JPY = 1.15 NZD"}, {"GB", "GBP", "100 JPY = 0.5 GBP"}, {"DE", "EUR", "100 JPY = 0.6 EUR"}, {"US", "USD", "100 JPY = 0.66 USD"},
	{"NO", "NOK", "100 JPY = 7.1 NOK"}, {"ZA", "ZAR", "100 JPY = 11.8 ZAR"}, {"BR", "USD", "100 JPY = 0.66 USD"}, {"KR", "USD", "100 JPY = 0.66 USD"},
}

// TestGapOfManyLots wants the bound of a plan of more lots than can be proven within a hundredth of
// its total, whatever the border asks.
func TestGapOfManyLots(t *testing.T) {
	if testing.Short() {
		t.Skip("many lots take long")
	}
	for _, e := range entries[:effort.Cases(len(entries), 1, 1)] {
		for _, lots := range []int{30, 60}[:effort.Cases(2, 1, 1)] {
			h := sizable(lots, false)
			h.To, h.Home, h.Market = e.to, amount("1 "+e.home).Currency(), market(e.rate)
			if e.to == "JP" {
				h.From = "US"
			}
			r := plan(t, h)
			if gap := r.Best.Total.Minor() - r.Bound.Minor(); gap*100 > r.Bound.Minor() {
				t.Errorf("%s, %d lots: no plan costs less than %s, and the best found costs %s", e.to, lots, r.Bound, r.Best.Total)
			}
		}
	}
}

// TestFewCostsAreAsked holds how many costs a plan with a border asks for: nearly every set's, five
// services each, before the border's floors were known.
func TestFewCostsAreAsked(t *testing.T) {
	for lots, most := range map[int]int{8: 400, 12: 800, 16: 40_000, 20: 80_000} {
		if lots > effort.Cases(20, 12, 12) {
			continue
		}
		if asked := plan(t, sizable(lots, false)).Asked(); asked > most {
			t.Errorf("%d costs were asked for %d lots; want %d at most", asked, lots, most)
		}
	}
}

// TestFewFitByValue holds how many costs a plan asks for where limits of value let few lots travel
// together, though their weights would fit. Before the solver knew of them it asked for 3,800 and
// searched for half a minute.
func TestFewFitByValue(t *testing.T) {
	var all []landed.Lot
	for i := range int64(20) {
		all = append(all, lot(fmt.Sprint("lot-", i), 6_000+i*i*331%14_000, 600+i*977%1500))
	}
	h := haulOf(all)
	for n := range int64(5) {
		s := service(fmt.Sprint("service-", n), 900+n*420, 880-n*110)
		s.Limits.Value = money.New(20_000+n*2_500, jpy)
		h.Sending.Services = append(h.Sending.Services, s)
	}
	if r := plan(t, h); !r.Exact || r.Asked() > 2_000 {
		t.Errorf("proven: %t; %d costs were asked for, want 2000 at most", r.Exact, r.Asked())
	}
}

// TestForwarderIsBound holds how many costs a plan by way of a forwarder asks for, beside a service
// of which a heavier parcel may cost less. Before what both ask for a parcel stood in the bounds it
// asked for 2,620 and ended without a proof.
func TestForwarderIsBound(t *testing.T) {
	h := sizable(16, false)
	h.Border, h.Spread = nil, number("0.025")
	h.Sending.Forwarder = &freight.Forwarder{PerParcel: amount("400 JPY"), PerLot: amount("150 JPY"), Consolidation: amount("300 JPY")}
	steps := &h.Sending.Services[4].Zones[0].Steps
	*steps = append(*steps, money.Step[units.Weight]{UpTo: (*steps)[len(*steps)-1].UpTo + units.Kilogram, Price: amount("2000 JPY")})
	if r := plan(t, h); !r.Exact || r.Asked() > 500 {
		t.Errorf("proven: %t; %d costs were asked for, want 500 at most", r.Exact, r.Asked())
	}
}

// TestCostsAskedGrow: of few lots, costs are asked for little more than as often as each lot is
// looked at with each other, though the sets of lots double with each.
func TestCostsAskedGrow(t *testing.T) {
	asked := func(border bool) func(lots int) float64 {
		return func(lots int) float64 {
			h := sizable(lots, false)
			if !border {
				h.Border = nil
			}
			return float64(plan(t, h).Asked())
		}
	}
	effort.Grows(t, 4, 12, 100, 2, asked(true))
	effort.Grows(t, 8, 16, 200, 2, asked(false))
}
