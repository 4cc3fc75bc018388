package resale_test

import (
	"errors"
	"math"
	"reflect"
	"testing"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"pgregory.net/rapid"
)

// stepped charges 10% of a price up to 50.00 and 15% of all of a higher one.
func stepped() *resale.Venue {
	return venue(resale.Fee{What: "commission", Method: resale.Whole, Tiers: []resale.Tier{
		{UpTo: cents(5000), Rate: rate("0.1")}, {From: cents(5000), Rate: rate("0.15")}}})
}

func TestGaps(t *testing.T) {
	steep := venue(resale.Fee{What: "commission", Tiers: []resale.Tier{
		{UpTo: cents(5000), Rate: rate("0.1")}, {From: cents(5000), Rate: rate("0.9")}}})
	steep.Fees = append(steep.Fees, resale.Fee{What: "payment", Tiers: flat("0.2")})
	twice := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{What: "commission", Tiers: flat("0.1")}, {What: "payment", Tiers: flat("0.1")}}}
	both := venue(resale.Fee{What: "commission", Method: resale.Whole, Tiers: []resale.Tier{
		{UpTo: cents(4995), Rate: rate("0.1")}, {From: cents(4995), Rate: rate("0.15")}}})
	both.Fees = append(both.Fees, resale.Fee{What: "payment", Tiers: flat("0.1")})
	tests := []struct {
		name  string
		sale  resale.Sale
		price int64
		want  []resale.Gap
	}{
		// 49.44 - 4.94 = 44.50, 50.01 - 7.50 = 42.51, 52.35 - 7.85 = 44.50
		{"a tier edge", resale.Sale{Venue: stepped(), Cost: cents(4450)}, 4944,
			[]resale.Gap{{From: cents(5001), To: cents(5234), Shortfall: cents(199), Cause: resale.TierEdge, Fee: "commission"}}},
		// 49.29 - 4.93 - 9.86 = 34.50; above 50.00 each further 0.10 costs 0.11, and 55 - 9.50 - 11 = 34.50
		{"too steep", resale.Sale{Venue: steep, Cost: cents(3450)}, 4929,
			// less the rounding: 55.03 - 9.53 - 11.01 = 34.49, 55.06 - 9.55 - 11.01 = 34.50, 55.08 - 9.57 - 11.02 = 34.49
			[]resale.Gap{{From: cents(5503), To: cents(5505), Shortfall: cents(1), Cause: resale.TooSteep},
				// of Max, 5.00 + 0.9 x (Max - 50) + 0.2 x Max are taken: 40.00 less a tenth of it is left
				{From: cents(5508), To: cents(resale.Max), Shortfall: cents(3450 - 4000 + resale.Max/10), Cause: resale.TooSteep, NoEnd: true}}},
		// 0.14 - 0.01 - 0.01 = 0.12, but 0.15 - 0.02 - 0.02 = 0.11
		{"rounding", resale.Sale{Venue: twice, Cost: cents(12)}, 14,
			[]resale.Gap{{From: cents(15), To: cents(15), Shortfall: cents(1), Cause: resale.Rounding}}},
		// 49.94 - 4.99 - 4.99 = 39.96, 49.95 - 5.00 - 5.00 = 39.95, 49.96 - 7.49 - 5.00 = 37.47, 53.28 - 7.99 - 5.33 = 39.96
		{"rounding, then a tier edge", resale.Sale{Venue: both, Cost: cents(3996)}, 4994,
			[]resale.Gap{{From: cents(4995), To: cents(5327), Shortfall: cents(249), Cause: resale.TierEdge, Fee: "commission"}}},
		{"none", resale.Sale{Venue: stepped(), Cost: cents(4250)}, 4722, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			a, err := resale.Price(&tt.sale)
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
	v := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{Tiers: flat("0.33")}, {Tiers: flat("0.33")}, {Tiers: flat("0.339")}}}
	a, err := resale.Price(&resale.Sale{Venue: v, Cost: cents(100)})
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
		if a, err := resale.PriceEnding(s, ending); err != nil || a.Price != cents(want) {
			t.Errorf("ending %d: got %v, %v, want %d", ending, a.Price, err, want)
		}
	}
	s.Cost = cents(4500) // 50.00 is the only price below the gap, and 52.94 the first above it
	for ending, want := range map[resale.Ending]int64{
		resale.AnyEnding: 5000, resale.Whole00: 5000, resale.NinetyFive: 5295, resale.NinetyNine: 5299,
	} {
		if a, err := resale.PriceEnding(s, ending); err != nil || a.Price != cents(want) {
			t.Errorf("ending %d: got %v, %v, want %d", ending, a.Price, err, want)
		}
	}
}

func TestRoundToEnding(t *testing.T) {
	kwd, jpy := money.MustCurrency("KWD"), money.MustCurrency("JPY")
	tests := []struct {
		p      money.Amount
		ending resale.Ending
		want   int64
	}{
		{cents(3800), resale.Whole00, 3800},
		{cents(3801), resale.Whole00, 3900},
		{cents(3801), resale.AnyEnding, 3801},
		{cents(3801), resale.NinetyNine, 3899},
		{cents(3899), resale.NinetyNine, 3899},
		{cents(3896), resale.NinetyFive, 3995},
		{cents(0), resale.NinetyFive, 95},
		{cents(-150), resale.NinetyNine, 99},
		{cents(math.MaxInt64), resale.NinetyNine, math.MaxInt64},
		{money.New(3801, kwd), resale.NinetyNine, 3990},
		{money.New(3951, kwd), resale.NinetyFive, 4950},
		{money.New(3801, jpy), resale.NinetyNine, 3801},
	}
	for _, tt := range tests {
		if got := resale.RoundToEnding(tt.p, tt.ending); got != money.New(tt.want, tt.p.Currency()) {
			t.Errorf("%v to ending %d: got %v, want %d", tt.p, tt.ending, got, tt.want)
		}
	}
}

// TestHardlyAnything: 99.9999% is taken, and rounding hides what is left up to
// 5 000.00: of 2k cents, k and k - k/500 000 cents are taken, and the second is
// rounded to less than k once k is above 250 000.
func TestHardlyAnything(t *testing.T) {
	v := &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{Tiers: flat("0.5")}, {Tiers: flat("0.499999")}}}
	a, err := resale.Price(&resale.Sale{Venue: v, Cost: cents(1)})
	if err != nil || a.Price != cents(500_002) || !a.More {
		t.Errorf("got %v, %v, more gaps %v", a.Price, err, a.More)
	}
}

// TestRefunded: where more was refunded than paid, a mark-up of 33% on -10.01
// is -3.3033, which -3.30 meets.
func TestRefunded(t *testing.T) {
	s := &resale.Sale{Venue: venue(resale.Fee{Fixed: cents(2000)}), Cost: cents(-1001), Target: resale.MarkupOnCost(rate("0.33"))}
	a, err := resale.Price(s)
	if err != nil || a.Price != cents(669) || a.Outcome.Target != cents(-330) || a.Outcome.Left != cents(-330) {
		t.Errorf("got %+v, %v", a, err)
	}
}

// TestLeastRange: a cost beyond Max has no price.
func TestLeastRange(t *testing.T) {
	compiled, err := resale.Compile(&resale.Sale{Venue: stepped()})
	if err != nil {
		t.Fatal(err)
	}
	for cost, want := range map[int64]bool{resale.Max + 1: false, -resale.Max - 1: false, math.MaxInt64: false, math.MinInt64: false, -resale.Max: true, 1: true} {
		if price, ok := compiled.Least(cost); ok != want {
			t.Errorf("Least(%d) = %d, %v", cost, price, ok)
		}
	}
}

func TestNames(t *testing.T) {
	for goods, want := range []string{"ordinary second-hand goods", "works of art", "antiques over 100 years old", "collectors' pieces"} {
		if got := resale.Goods(goods).String(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	for _, tt := range []struct {
		target resale.Target
		want   string
	}{
		{resale.Target{}, "what was paid"},
		{resale.BreakEven(), "what was paid"},
		{resale.AtLeast(cents(500)), "5.00 CAD more than was paid"},
		{resale.MarginOnPrice(rate("0.25")), "a margin of 25% on the price"},
		{resale.MarkupOnCost(rate("0.4")), "a mark-up of 40% on the cost"},
	} {
		if got := tt.target.String(); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

// TestWorking reads the whole working of one price.
func TestWorking(t *testing.T) {
	v := threeTiers()
	v.Fees = append(v.Fees,
		resale.Fee{What: "listing", Kind: resale.ListingFee, Fixed: cents(35)},
		resale.Fee{What: "promotion", Kind: resale.PromotionFee, Floor: cents(100), Tiers: flat("0.01")},
		resale.Fee{What: "closing", Method: resale.Whole, Cap: cents(50), Tiers: flat("0.02")})
	s := resale.Sale{
		Venue: v, Cost: cents(2255), Charged: cents(1450), Packing: cents(120), Weight: 1900 * measure.Gram, Listings: 3, Promoted: true,
		Postage: resale.Postage{Fixed: cents(100), Steps: []resale.PostageStep{{UpTo: measure.Kilogram, Cost: cents(990)}, {UpTo: 2 * measure.Kilogram, Cost: cents(1510)}}},
		VAT:     resale.VAT{Scheme: resale.MarginScheme, Rate: rate("0.2"), Bought: cents(1800), Goods: resale.Antique, Imported: true},
		Target:  resale.MarginOnPrice(rate("0.25")),
	}
	o, err := s.At(cents(8800))
	want := []resale.Line{
		{resale.PriceLine, "price", money.Amount{}, "", cents(8800)},
		{resale.ChargedLine, "postage paid by the buyer", money.Amount{}, "", cents(1450)},
		{resale.FeeLine, "commission", cents(11583), "13.25% of 100.00 + 7% of 15.83 + 0.30", cents(-1466)},
		{resale.FeeLine, "payment", cents(11583), "2.9% of 115.83 + 0.30", cents(-366)},
		{resale.FeeLine, "listing", cents(8800), "3 x (0.35)", cents(-105)},
		{resale.FeeLine, "promotion", cents(8800), "1% of 88.00, at least 1.00", cents(-100)},
		{resale.FeeLine, "closing", cents(8800), "2% of 88.00, at most 0.50", cents(-50)},
		{resale.VATLine, "value added tax", cents(8450), "20% / 120% of 84.50", cents(-1408)},
		{resale.PostageLine, "postage", money.Amount{}, "", cents(-1610)},
		{resale.PackingLine, "packing", money.Amount{}, "", cents(-120)},
	}
	if err != nil || !reflect.DeepEqual(o.Lines, want) {
		t.Fatalf("%v\ngot  %v\nwant %v", err, o.Lines, want)
	}
	o.Lines = nil
	sum := resale.Outcome{Price: cents(8800), BuyerPays: cents(11583), SalesTax: cents(1333), Net: cents(5025), Cost: cents(2255),
		Left: cents(2770), Target: cents(2200), Met: true}
	if !reflect.DeepEqual(o, sum) {
		t.Errorf("got  %+v\nwant %+v", o, sum)
	}
	if unsold, err := s.Unsold(cents(8800)); err != nil || unsold != cents(105) {
		t.Errorf("unsold: got %v, %v, want 1.05", unsold, err)
	}
}

// TestSalesTaxOnPostage: a fee on the price alone has the tax on the price alone
// in its base, whatever else is taxed.
func TestSalesTaxOnPostage(t *testing.T) {
	v := &resale.Venue{Currency: cad, SalesTax: resale.SalesTax{Rate: rate("0.1"), OnPostage: true}, Fees: []resale.Fee{
		{WithTax: true}, {Of: resale.OfPriceAndPostage, WithTax: true}, {Of: resale.OfPriceAndPostage}, {}}}
	s := resale.Sale{Venue: v, Charged: cents(500)}
	for onPostage, want := range map[bool][]int64{true: {1100, 1650, 1500, 1000}, false: {1100, 1600, 1500, 1000}} {
		v.SalesTax.OnPostage = onPostage
		o, err := s.At(cents(1000))
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range want {
			if got := o.Lines[2+i].Base; got != cents(w) {
				t.Errorf("tax on postage %v, fee %d: base %v, want %d", onPostage, i, got, w)
			}
		}
	}
}

func TestMarginTaxErrors(t *testing.T) {
	tests := []struct {
		sold, bought money.Amount
		rate, want   string
	}{
		{cents(1), money.New(1, money.MustCurrency("JPY")), "0.2", (&money.MismatchError{A: cad, B: money.MustCurrency("JPY")}).Error()},
		{cents(math.MaxInt64), cents(-1), "0.2", money.ErrOverflow.Error()},
		{cents(2), cents(1), "-0.2", `value added tax: "-20%" is negative: write a rate of 0% or more`},
		{cents(2), cents(1), "2", `value added tax: "200%" is more than the price without it: write a rate of at most 100%`},
	}
	for _, tt := range tests {
		if _, err := resale.MarginTax(tt.sold, tt.bought, rate(tt.rate)); err == nil || err.Error() != tt.want {
			t.Errorf("got  %v\nwant %s", err, tt.want)
		}
	}
}

// TestEligible: of what the seller imported, only art, antiques and collectors'
// pieces (Directive 2006/112/EC, articles 314 and 317).
func TestEligible(t *testing.T) {
	for _, scheme := range []resale.Scheme{resale.NotRegistered, resale.OrdinaryScheme, resale.MarginScheme} {
		for _, goods := range []resale.Goods{resale.SecondHand, resale.Art, resale.Antique, resale.CollectorsPiece} {
			for _, imported := range []bool{false, true} {
				refused := scheme == resale.MarginScheme && goods == resale.SecondHand && imported
				err := resale.VAT{Scheme: scheme, Goods: goods, Imported: imported}.Eligible()
				var e *resale.NotEligibleError
				if errors.As(err, &e) != refused || (err != nil) != refused {
					t.Errorf("scheme %d, %v, imported %v: %v", scheme, goods, imported, err)
				}
			}
		}
	}
}

// TestImportedPurchase: what was valued at 1,000 for import tax and taxed 50.00
// (25% of the value at 20%: HMRC IMPS05200, as VATA 1994 s.21(4) has it for
// antiques) counts as bought for 1,050.
func TestImportedPurchase(t *testing.T) {
	got, err := resale.ImportedPurchase(cents(100_000), cents(5000))
	if err != nil || got != cents(105_000) {
		t.Errorf("got %v, %v", got, err)
	}
}

// TestOneOfFourPays: of four alike pieces bought for one price, one working
// resale can pay for the lot. (Common practice, no source.)
func TestOneOfFourPays(t *testing.T) {
	s := &resale.Sale{Venue: stepped(), Cost: cents(4500)} // all four, on the one that is sold
	a, err := resale.Price(s)
	if err != nil {
		t.Fatal(err)
	}
	got, err := resale.PayBack(s.Cost, []resale.Offer{{Name: "plane", Orders: 4, Net: a.Outcome.Net}})
	want := resale.Payback{Steps: []resale.PaybackStep{{Offer: 0, Orders: 1, Pieces: 1, Sum: cents(4500)}},
		Orders: 1, Pieces: 1, Sum: cents(4500), Over: cents(0), Paid: true}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v, want %+v", got, err, want)
	}
}

func TestPayBack(t *testing.T) {
	offers := []resale.Offer{
		{Name: "brace", Orders: 2, Net: cents(1200)},
		{Name: "pair of chisels", Orders: 2, Pieces: 2, Net: cents(2500)},
		{Name: "rust", Net: cents(-300)},
		{Name: "plane", Net: cents(1200)},
	}
	tests := []struct {
		name string
		cost int64
		want resale.Payback
	}{
		{"nothing to pay", 0, resale.Payback{Sum: cents(0), Over: cents(0), Paid: true}},
		{"the first pair", 2500, resale.Payback{Orders: 1, Pieces: 2, Sum: cents(2500), Over: cents(0), Paid: true,
			Steps: []resale.PaybackStep{{1, 1, 2, cents(2500)}}}},
		{"ties by order", 6201, resale.Payback{Orders: 4, Pieces: 6, Sum: cents(7400), Over: cents(1199), Paid: true,
			Steps: []resale.PaybackStep{{1, 2, 4, cents(5000)}, {0, 2, 2, cents(7400)}}}},
		{"never", 9000, resale.Payback{Orders: 5, Pieces: 7, Sum: cents(8600), Over: cents(-400),
			Steps: []resale.PaybackStep{{1, 2, 4, cents(5000)}, {0, 2, 2, cents(7400)}, {3, 1, 1, cents(8600)}}}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := resale.PayBack(cents(tt.cost), offers)
			if err != nil || !reflect.DeepEqual(got, tt.want) {
				t.Errorf("got  %+v, %v\nwant %+v", got, err, tt.want)
			}
		})
	}
}

// TestPayBackIsLeast compares with every choice of single pieces.
func TestPayBackIsLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nets := rapid.SliceOfN(rapid.Int64Range(-5, 40), 0, 9).Draw(t, "nets")
		cost := rapid.Int64Range(-5, 200).Draw(t, "cost")
		var offers []resale.Offer
		for _, n := range nets {
			offers = append(offers, resale.Offer{Net: cents(n)})
		}
		least := -1
		for choice := range 1 << len(nets) {
			var sum int64
			pieces := 0
			for i, n := range nets {
				if choice>>i&1 == 1 {
					sum, pieces = sum+n, pieces+1
				}
			}
			if sum >= cost && (least < 0 || pieces < least) {
				least = pieces
			}
		}
		got, err := resale.PayBack(cents(cost), offers)
		if err != nil || got.Paid != (least >= 0) || got.Paid && got.Pieces != int64(least) {
			t.Errorf("got %+v, %v, want %d pieces", got, err, least)
		}
		if got.Over.Minor() != got.Sum.Minor()-cost {
			t.Errorf("over %v, sum %v, cost %d", got.Over, got.Sum, cost)
		}
	})
}

func TestPayBackErrors(t *testing.T) {
	jpy := money.MustCurrency("JPY")
	for _, tt := range []struct {
		offer resale.Offer
		want  string
	}{
		{resale.Offer{Net: money.New(1, jpy)}, (&money.MismatchError{A: cad, B: jpy}).Error()},
		{resale.Offer{Net: cents(1), Orders: -2}, `offer "1", orders: "-2" is out of range: write a number from 1 to 1000000`},
		{resale.Offer{Name: "plane", Net: cents(1), Pieces: 1_000_001}, `offer "plane", pieces: "1000001" is out of range: write a number from 1 to 1000000`},
	} {
		if _, err := resale.PayBack(cents(100), []resale.Offer{tt.offer}); err == nil || err.Error() != tt.want {
			t.Errorf("got  %v\nwant %s", err, tt.want)
		}
	}
	huge := []resale.Offer{{Net: cents(math.MaxInt64 - 1)}, {Net: cents(math.MaxInt64 - 1)}}
	if _, err := resale.PayBack(cents(math.MaxInt64), huge); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("got %v, want %v", err, money.ErrOverflow)
	}
}

func TestCompare(t *testing.T) {
	v := venue(resale.Fee{What: "commission", Fixed: cents(30), Tiers: flat("0.1")})
	post := resale.Postage{Fixed: cents(900)}
	one := &resale.Sale{Venue: v, Cost: cents(1000), Postage: post}
	pair := &resale.Sale{Venue: v, Cost: cents(2000), Pieces: 2, Postage: post}
	singly := []resale.Priced{{Sale: one, Price: cents(3000), Times: 2}}
	got, err := resale.Compare([]resale.Priced{{Sale: pair, Price: cents(5500)}}, singly)
	want := resale.Comparison{
		A:    resale.Sum{Orders: 1, Pieces: 2, Net: cents(4020), Cost: cents(2000), Left: cents(2020)},
		B:    resale.Sum{Orders: 2, Pieces: 2, Net: cents(3540), Cost: cents(2000), Left: cents(1540)},
		Gain: cents(480),
	}
	if err != nil || got != want {
		t.Errorf("got %+v, %v, want %+v", got, err, want)
	}
	// 0.9 P - 0.30 - 9.00 - 20.00 = 15.40 at P = 49.666...
	a, err := resale.AsGoodAs(pair, singly)
	if err != nil || a.Price != cents(4967) || a.Outcome.Left != cents(1540) {
		t.Errorf("got %+v, %v, want 49.67", a, err)
	}
	for what, err := range map[string]error{
		"compare": second(resale.Compare([]resale.Priced{{Sale: one, Price: cents(5500)}}, singly)),
		"as good": second(resale.AsGoodAs(one, singly)),
	} {
		if want := `pieces: "1" are set against 2: compare two ways of selling the same pieces`; err == nil || err.Error() != want {
			t.Errorf("%s:\ngot  %v\nwant %s", what, err, want)
		}
	}
	for _, tt := range []struct {
		priced resale.Priced
		want   string
	}{
		{resale.Priced{}, `order: "" is no sale: say what is sold`},
		{resale.Priced{Sale: one, Times: -1}, `orders: "-1" is out of range: write a number from 1 to 1000000`},
		{resale.Priced{Sale: one, Price: cents(-1)}, `venue "gable": price: "-0.01 CAD" is negative: write an amount of 0 or more`},
	} {
		if _, err := resale.Total([]resale.Priced{tt.priced}); err == nil || err.Error() != tt.want {
			t.Errorf("got  %v\nwant %s", err, tt.want)
		}
	}
}
