package resale_test

import (
	"errors"
	"reflect"
	"testing"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// stepped charges 10% of a price up to 50.00 and 15% of all of a higher one.
func stepped() *resale.Venue {
	return venue(resale.Fee{What: "commission", Whole: true, Bands: []resale.Band{
		{UpTo: cents(5000), Rate: rate("0.1")}, {From: cents(5000), Rate: rate("0.15")}}})
}

func TestGaps(t *testing.T) {
	steep := venue(resale.Fee{What: "commission", Bands: []resale.Band{
		{UpTo: cents(5000), Rate: rate("0.1")}, {From: cents(5000), Rate: rate("0.9")}}})
	steep.Fees = append(steep.Fees, resale.Fee{What: "payment", Bands: flat("0.2")})
	twice := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{What: "commission", Bands: flat("0.1")}, {What: "payment", Bands: flat("0.1")}}}
	both := venue(resale.Fee{What: "commission", Whole: true, Bands: []resale.Band{
		{UpTo: cents(4995), Rate: rate("0.1")}, {From: cents(4995), Rate: rate("0.15")}}})
	both.Fees = append(both.Fees, resale.Fee{What: "payment", Bands: flat("0.1")})
	later := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{What: "commission", Bands: flat("0.2")}, {What: "payment", Bands: flat("0.2")},
		{What: "fund", Bands: []resale.Band{{UpTo: cents(14), Rate: rate("0.5")}, {From: cents(14), Rate: rate("0.9")}}}}}
	tests := []struct {
		name  string
		sale  resale.Sale
		price int64
		want  []resale.Gap
	}{
		// 49.44 - 4.94 = 44.50, 50.01 - 7.50 = 42.51, 52.35 - 7.85 = 44.50
		{"a tier edge", resale.Sale{Venue: stepped(), Cost: cents(4450)}, 4944,
			[]resale.Gap{{From: cents(5001), To: cents(5234), Shortfall: cents(199), Why: "the commission is higher", Fee: "commission"}}},
		// the same 44.50, of which 2.00 are a profit
		{"a tier edge below a target", resale.Sale{Venue: stepped(), Cost: cents(4250), Target: resale.Target{Amount: cents(200)}}, 4944,
			[]resale.Gap{{From: cents(5001), To: cents(5234), Shortfall: cents(199), Why: "the commission is higher", Fee: "commission", OfTarget: true}}},
		// 49.29 - 4.93 - 9.86 = 34.50; above 50.00 each further 0.10 costs 0.11, and 55 - 9.50 - 11
		// = 34.50
		{"too steep", resale.Sale{Venue: steep, Cost: cents(3450)}, 4929,
			// less the rounding: 55.03 - 9.53 - 11.01 = 34.49, 55.06 - 9.55 - 11.01 = 34.50, 55.08
			// - 9.57 - 11.02 = 34.49
			[]resale.Gap{{From: cents(5503), To: cents(5505), Shortfall: cents(1), Why: "fees take more than each unit of price adds"},
				// of Max, 5.00 + 0.9 x (Max - 50) + 0.2 x Max are taken: 40.00 less a tenth of it is left
				{From: cents(5508), To: cents(resale.Highest), Shortfall: cents(3450 - 4000 + resale.Highest/10), Why: "fees take more than each unit of price adds", NoEnd: true}}},
		// 0.14 - 0.01 - 0.01 = 0.12, but 0.15 - 0.02 - 0.02 = 0.11
		{"rounding", resale.Sale{Venue: twice, Cost: cents(12)}, 14,
			[]resale.Gap{{From: cents(15), To: cents(15), Shortfall: cents(1)}}},
		// 49.94 - 4.99 - 4.99 = 39.96, 49.95 - 5.00 - 5.00 = 39.95, 49.96 - 7.49 - 5.00 = 37.47,
		// 53.28 - 7.99 - 5.33 = 39.96
		{"rounding, then a tier edge", resale.Sale{Venue: both, Cost: cents(3996)}, 4994,
			[]resale.Gap{{From: cents(4995), To: cents(5327), Shortfall: cents(249), Why: "the commission is higher", Fee: "commission"}}},
		// 0.12 - 0.02 - 0.02 - 0.06 = 0.02, but 0.13 - 0.03 - 0.03 - 0.07 = 0.00 and 0.14 - 0.03 - 0.03
		// - 0.07 = 0.01; above, each further 0.10 costs 0.13. Of Max less 0.01, 0.2 x Max are taken
		// twice, and 0.07 + 0.9 x (Max - 0.15) = 0.9 x Max - 0.065, which is rounded up: 0.05 less 0.3 x
		// Max is left
		{"rounding, then too steep", resale.Sale{Venue: later, Cost: cents(2)}, 12,
			[]resale.Gap{{From: cents(13), To: cents(resale.Highest), Shortfall: cents(3*(resale.Highest/10) - 3), Why: "fees take more than each unit of price adds", NoEnd: true}}},
		{"none", resale.Sale{Venue: stepped(), Cost: cents(4250)}, 4722, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a, err := resale.Price(&tt.sale, resale.AnyEnding)
			if err != nil || a.Price != cents(tt.price) || a.More || len(a.Gaps) != len(tt.want) {
				t.Fatalf("got %+v, %v, want %d, %+v", a, err, tt.price, tt.want)
			}
			for i, g := range a.Gaps {
				if g != tt.want[i] {
					t.Errorf("got %+v, want %+v", g, tt.want[i])
				}
			}
		})
	}
}

// TestManyGaps: with 99.9% taken, prices that do and prices that do not take
// turns for long. The list is cut, and says so.
func TestManyGaps(t *testing.T) {
	v := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{Bands: flat("0.33")}, {Bands: flat("0.33")}, {Bands: flat("0.339")}}}
	a, err := resale.Price(&resale.Sale{Venue: v, Cost: cents(100)}, resale.AnyEnding)
	if err != nil || !a.More || len(a.Gaps) != 100 {
		t.Errorf("%d gaps, more: %v, error %v; want 100, true", len(a.Gaps), a.More, err)
	}
}

// TestEndingLeapsGap: where 50.00 is the last price below a gap, the next that
// ends in .95 or .99 lies above the gap, not in it.
func TestEndingLeapsGap(t *testing.T) {
	s := &resale.Sale{Venue: stepped(), Cost: cents(4495)}
	for ending, want := range map[resale.Ending]int64{
		resale.AnyEnding: 4994, resale.Whole00: 5000, resale.NinetyFive: 4995, resale.NinetyNine: 4999,
	} {
		if a, err := resale.Price(s, ending); err != nil || a.Price != cents(want) {
			t.Errorf("ending %d: got %v, %v, want %d", ending, a.Price, err, want)
		}
	}
	s.Cost = cents(4500) // 50.00 is the only price below the gap, and 52.94 the first above it
	for ending, want := range map[resale.Ending]int64{
		resale.AnyEnding: 5000, resale.Whole00: 5000, resale.NinetyFive: 5295, resale.NinetyNine: 5299,
	} {
		if a, err := resale.Price(s, ending); err != nil || a.Price != cents(want) {
			t.Errorf("ending %d: got %v, %v, want %d", ending, a.Price, err, want)
		}
	}
}

func TestEndings(t *testing.T) {
	tests := []struct {
		p      int64
		ending resale.Ending
		digits int
		want   int64
	}{
		{3800, resale.Whole00, 2, 3800},
		{3801, resale.Whole00, 2, 3900},
		{3801, resale.AnyEnding, 2, 3801},
		{3801, resale.NinetyNine, 2, 3899},
		{3899, resale.NinetyNine, 2, 3899},
		{3896, resale.NinetyFive, 2, 3995},
		{0, resale.NinetyFive, 2, 95},
		{3801, resale.NinetyNine, 3, 3990},
		{3951, resale.NinetyFive, 3, 4950},
		{3801, resale.NinetyNine, 0, 3801},
		{3801, resale.NinetyNine + 1, 2, 3801},
	}
	for _, tt := range tests {
		if got := resale.EndingFrom(tt.p, tt.ending, tt.digits); got != tt.want {
			t.Errorf("%d to ending %d: got %d, want %d", tt.p, tt.ending, got, tt.want)
		}
	}
}

// TestHardlyAnything: 99.9999% is taken, and rounding hides what is left up to
// 5 000.00: of 2k cents, k and k - k/500 000 cents are taken, and the second is
// rounded to less than k once k is above 250 000.
func TestHardlyAnything(t *testing.T) {
	v := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{Bands: flat("0.5")}, {Bands: flat("0.499999")}}}
	a, err := resale.Price(&resale.Sale{Venue: v, Cost: cents(1)}, resale.AnyEnding)
	if err != nil || a.Price != cents(500_002) || !a.More {
		t.Errorf("got %v, %v, more gaps %v", a.Price, err, a.More)
	}
}

// TestRefunded: where more was refunded than paid, a mark-up of 33% on -10.01
// is -3.3033, which -3.30 meets.
func TestRefunded(t *testing.T) {
	s := &resale.Sale{Venue: venue(resale.Fee{Fixed: cents(2000)}), Cost: cents(-1001), Target: resale.Target{Markup: rate("0.33")}}
	a, err := resale.Price(s, resale.AnyEnding)
	if err != nil || a.Price != cents(669) {
		t.Errorf("got %+v, %v", a, err)
	}
	if o, err := s.At(a.Price); err != nil || o.Target != cents(-330) || o.Left != cents(-330) {
		t.Errorf("got %+v, %v", o, err)
	}
}

func TestNames(t *testing.T) {
	for _, tt := range []struct {
		target resale.Target
		want   string
	}{
		{resale.Target{}, "up for the cost"},
		{resale.Target{Amount: cents(500)}, "a profit of 5.00 CAD"},
		{resale.Target{Margin: rate("0.25")}, "a margin of 25% on the price"},
		{resale.Target{Markup: rate("0.4")}, "a mark-up of 40% on the cost"},
	} {
		if got := tt.target.Words(); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
	for want, target := range map[string]resale.Target{
		"5.00 CAD":     {Amount: cents(500)},
		"25%":          {Margin: rate("0.25")},
		"30% on cost":  {Markup: rate("0.3")},
		"nothing lost": {Amount: cents(0)},
	} {
		if got := target.String(); got != want || target.IsZero() != (want == "nothing lost") {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// TestWorking reads the whole working of one price.
func TestWorking(t *testing.T) {
	v := threeTiers()
	v.Fees = append(v.Fees,
		resale.Fee{What: "listing", Kind: resale.ListingFee, Fixed: cents(35)},
		resale.Fee{What: "promotion", Kind: resale.AdvertisingFee, Floor: cents(100), Bands: flat("0.01")},
		resale.Fee{What: "closing", Whole: true, Cap: cents(50), Bands: flat("0.02")})
	s := resale.Sale{
		Venue: v, Cost: cents(2255), Dispatch: resale.Dispatch{Charged: cents(1450), Packing: cents(120), Postage: resale.Postage{Fixed: cents(100), Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: cents(990)}, {UpTo: 2 * measure.Kilogram, Price: cents(1510)}}}}, Weight: 1900 * measure.Gram, Terms: resale.Terms{Offered: 3, Advertised: true, VAT: resale.VAT{Scheme: resale.MarginScheme, Rate: rate("0.2"), Bought: cents(1800), Collectible: true, Imported: true}},
		Target: resale.Target{Margin: rate("0.25")},
	}
	o, err := s.At(cents(8800))
	want := []resale.Step{
		{"price", money.Amount{}, "", cents(8800)},
		{"postage paid by the buyer", money.Amount{}, "", cents(1450)},
		{"commission", cents(11583), "13.25% of 100.00 + 7% of 15.83 + 0.30", cents(-1466)},
		{"payment", cents(11583), "2.9% of 115.83 + 0.30", cents(-366)},
		{"listing", cents(8800), "3 x (0.35)", cents(-105)},
		{"promotion", cents(8800), "1% of 88.00, at least 1.00", cents(-100)},
		{"closing", cents(8800), "2% of 88.00, at most 0.50", cents(-50)},
		{"value added tax", cents(8450), "20% / 120% of 84.50", cents(-1408)},
		{"postage", money.Amount{}, "", cents(-1610)},
		{"packing", money.Amount{}, "", cents(-120)},
	}
	if err != nil || !reflect.DeepEqual(o.Steps, want) {
		t.Fatalf("%v\ngot  %v\nwant %v", err, o.Steps, want)
	}
	o.Steps = nil
	sum := resale.Result{Takings: resale.Takings{Price: cents(8800), Charged: cents(1450), Fees: cents(1466 + 366 + 105 + 100 + 50), VAT: cents(1408), Sending: cents(1730)}, SalesTax: cents(1333), Net: cents(5025), Left: cents(2770), Target: cents(2200), Unsold: cents(105)}
	if !reflect.DeepEqual(o, sum) {
		t.Errorf("got  %+v\nwant %+v", o, sum)
	}
}

// TestSalesTaxOnPostage: a fee on the price alone has the tax on the price alone
// in its base, whatever else is taxed.
func TestSalesTaxOnPostage(t *testing.T) {
	v := &resale.Venue{Currency: cad, SalesTax: rate("0.1"), TaxOnPostage: true, Fees: []resale.Fee{
		{WithTax: true}, {WithPostage: true, WithTax: true}, {WithPostage: true}, {}}}
	s := resale.Sale{Venue: v, Dispatch: resale.Dispatch{Charged: cents(500)}}
	for onPostage, want := range map[bool][]int64{true: {1100, 1650, 1500, 1000}, false: {1100, 1600, 1500, 1000}} {
		v.TaxOnPostage = onPostage
		o, err := s.At(cents(1000))
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range want {
			if got := o.Steps[2+i].Base; got != cents(w) {
				t.Errorf("tax on postage %v, fee %d: base %v, want %d", onPostage, i, got, w)
			}
		}
	}
}

// TestEligible: of what the seller imported, only art, antiques and collectors'
// pieces (Directive 2006/112/EC, articles 314 and 317).
func TestEligible(t *testing.T) {
	for _, scheme := range []resale.Scheme{resale.NotRegistered, resale.OrdinaryScheme, resale.MarginScheme} {
		for _, collectible := range []bool{false, true} {
			for _, imported := range []bool{false, true} {
				refused := scheme == resale.MarginScheme && !collectible && imported
				err := resale.VAT{Scheme: scheme, Collectible: collectible, Imported: imported}.Check()
				var e *resale.FieldError
				if errors.As(err, &e) != refused || (err != nil) != refused {
					t.Errorf("scheme %d, collectible %v, imported %v: %v", scheme, collectible, imported, err)
				}
			}
		}
	}
}
