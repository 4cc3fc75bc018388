package resale_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// venue is a venue with one fee.
func venue(f resale.Fee) *resale.Venue {
	return &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{f}}
}

func flat(r string) []resale.Band { return []resale.Band{{Rate: rate(r)}} }

func TestVenueErrors(t *testing.T) {
	yen := money.New(5, money.MustCurrency("JPY"))
	tests := []struct {
		name  string
		venue *resale.Venue
		want  string
	}{
		{"gap", venue(resale.Fee{What: "commission", Bands: []resale.Band{{UpTo: cents(5000)}, {From: cents(6000)}}}),
			`venue "gable": fee "commission", band 2: it begins at "60.00 CAD", so nothing covers what is between 50.00 CAD and that: begin it at 50.00 CAD`},
		{"overlap", venue(resale.Fee{What: "commission", Bands: []resale.Band{{UpTo: cents(5000)}, {From: cents(4000)}}}),
			`venue "gable": fee "commission", band 2: it begins at "40.00 CAD" and overlaps the band before: begin it at 50.00 CAD, where that ends`},
		{"first band", venue(resale.Fee{Bands: []resale.Band{{From: cents(100)}}}),
			`venue "gable": fee 1, band 1: it begins at "1.00 CAD", so nothing covers what is between 0.00 CAD and that: begin it at 0.00 CAD`},
		{"empty band", venue(resale.Fee{What: "commission", Bands: []resale.Band{{UpTo: cents(0)}, {From: cents(0)}}}),
			`venue "gable": fee "commission", band 1: it ends at "0.00 CAD", not above 0.00 CAD where it begins: raise its end or leave the band out`},
		{"after the last", venue(resale.Fee{What: "commission", Bands: []resale.Band{{}, {From: cents(4000)}}}),
			`venue "gable": fee "commission", band 2: it follows a band without an end: give the band before an end, or leave this one out`},
		{"twice without an end", venue(resale.Fee{What: "commission", Bands: []resale.Band{{}, {}}}),
			`venue "gable": fee "commission", band 2: it follows a band without an end: give the band before an end, or leave this one out`},
		{"an end that is wrong", venue(resale.Fee{What: "commission", Bands: []resale.Band{{UpTo: yen}, {From: yen}}}),
			`venue "gable": fee "commission", band 1, end: "5 JPY" is not in CAD, the currency of the venue: convert it first`},
		{"no last", venue(resale.Fee{What: "commission", Bands: []resale.Band{{UpTo: cents(5000)}}}),
			`venue "gable": fee "commission", band 1: it is the last and ends at "50.00 CAD", so nothing covers higher prices: leave out its end`},
		{"100 %", venue(resale.Fee{What: "commission", Bands: flat("1")}),
			`venue "gable": fee "commission", band 1, rate: "100%" takes the whole price or more, so no price exists: write a rate below 100%`},
		{"beyond reading", venue(resale.Fee{What: "commission", Bands: []resale.Band{{Rate: decimal.New(1, 2_000_000_000)}}}),
			`venue "gable": fee "commission", band 1, rate: "that many digits" has more than four decimals: round it to 0.0001%`},
		{"too large to be a rate", venue(resale.Fee{What: "commission", Bands: []resale.Band{{Rate: decimal.New(1, 30)}}}),
			`venue "gable": fee "commission", band 1, rate: "100000000000000000000000000000000%" takes the whole price or more, so no price exists: write a rate below 100%`},
		{"negative rate", venue(resale.Fee{What: "commission", Bands: flat("-0.1")}),
			`venue "gable": fee "commission", band 1, rate: "-10%" is negative: write a rate of 0% or more`},
		{"too fine", venue(resale.Fee{What: "commission", Bands: flat("0.1234567")}),
			`venue "gable": fee "commission", band 1, rate: "12.34567%" has more than four decimals: round it to 0.0001%`},
		{"floor above cap", venue(resale.Fee{What: "commission", Floor: cents(300), Cap: cents(200)}),
			`venue "gable": fee "commission": the floor "3.00 CAD" is above the cap "2.00 CAD": exchange them or lower the floor`},
		{"a cap that is wrong", venue(resale.Fee{What: "commission", Floor: cents(300), Cap: yen}),
			`venue "gable": fee "commission", cap: "5 JPY" is not in CAD, the currency of the venue: convert it first`},
		{"packing", &resale.Venue{Name: "gable", Currency: cad, Dispatch: resale.Dispatch{Packing: cents(-1)}},
			`venue "gable": packing: "-0.01 CAD" is negative: write an amount of 0 or more`},
		{"all taken", &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{{Bands: flat("0.6")}, {Bands: flat("0.45")}}},
			`venue "gable": the fees take 105% of every price or more, so no price exists that leaves anything: lower a rate`},
		{"currency", venue(resale.Fee{What: "commission", Fixed: yen}),
			`venue "gable": fee "commission", fixed amount: "5 JPY" is not in CAD, the currency of the venue: convert it first`},
		{"too large", venue(resale.Fee{What: "commission", Floor: cents(resale.Highest + 1)}),
			`venue "gable": fee "commission", floor: "10000000000.01 CAD" is too large: write at most 10000000000.00 CAD`},
		{"no currency", &resale.Venue{},
			`currency: "" names none: name the currency that the venue charges in`},
		{"too many fees", &resale.Venue{Name: "gable", Currency: cad, Fees: make([]resale.Fee, 101)},
			`venue "gable": fees: "101" are too many: write at most 100`},
		{"sales tax", &resale.Venue{Name: "gable", Currency: cad, SalesTax: rate("1")},
			`venue "gable": sales tax: "100%" doubles the price or more: write a rate below 100%`},
		{"postage", &resale.Venue{Name: "gable", Currency: cad, Dispatch: resale.Dispatch{Postage: resale.Postage{Steps: []money.Step[measure.Weight]{
			{UpTo: measure.Kilogram, Price: cents(900)}, {UpTo: measure.Kilogram, Price: cents(-1)}}}}},
			`venue "gable": postage, step 2, cost: "-0.01 CAD" is negative: write an amount of 0 or more
venue "gable": postage, step 2, weight: "1 kg" is not above the step before: write the steps by rising weight`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if err := tt.venue.Check(); err == nil || err.Error() != tt.want {
				t.Errorf("got  %v\nwant %s", err, tt.want)
			}
		})
	}
}

func TestSaleErrors(t *testing.T) {
	plain := venue(resale.Fee{What: "commission", Bands: flat("0.1")})
	table := &resale.Venue{Name: "gable", Currency: cad,
		Dispatch: resale.Dispatch{Postage: resale.Postage{Steps: []money.Step[measure.Weight]{{UpTo: 2 * measure.Kilogram, Price: cents(900)}}}}}
	tests := []struct {
		name string
		sale resale.Sale
		want string
	}{
		{"no venue", resale.Sale{},
			`venue: "" names none: say where it is to be sold`},
		{"all at once", resale.Sale{Venue: plain, Cost: money.New(1, money.MustCurrency("JPY")), Dispatch: resale.Dispatch{Packing: cents(-1)}, Pieces: -1, Terms: resale.Terms{Offered: 101}, Weight: -measure.Gram},
			`venue "gable": cost: "1 JPY" is not in CAD, the currency of the venue: convert it first
venue "gable": packing: "-0.01 CAD" is negative: write an amount of 0 or more
venue "gable": pieces: "-1" is no number of pieces in an order: write one from 1 to 1000000, and several orders for more
venue "gable": weight: "-1 g" is negative: write the weight of the packed order
venue "gable": offered: "101" is out of range: write a number from 1 to 100`},
		{"one more than there may be", resale.Sale{Venue: plain, Pieces: 1_000_001, Terms: resale.Terms{Offered: -1}},
			`venue "gable": pieces: "1000001" is no number of pieces in an order: write one from 1 to 1000000, and several orders for more
venue "gable": offered: "-1" is out of range: write a number from 1 to 100`},
		{"too heavy", resale.Sale{Venue: table, Weight: 2*measure.Kilogram + measure.Gram},
			`venue "gable": postage goes up to 2 kg and the order weighs "2.001 kg": add a step, or sell it elsewhere`},
		{"too heavy together", resale.Sale{Venue: table, Weight: 3 * measure.Kilogram, Pieces: 2},
			`venue "gable": postage goes up to 2 kg and the order weighs "3 kg": add a step, or sell it in two orders`},
		{"margin of 100 %", resale.Sale{Venue: plain, Target: resale.Target{Margin: rate("1.2")}},
			`venue "gable": target: "120%" is the whole price or more, so no price exists: write a rate below 100%`},
		{"mark-up", resale.Sale{Venue: plain, Target: resale.Target{Markup: rate("1000.1")}},
			`venue "gable": target: "100010%" is too large: write at most 100000%`},
		{"value added tax", resale.Sale{Venue: plain, Terms: resale.Terms{VAT: resale.VAT{Scheme: resale.OrdinaryScheme, Rate: rate("20")}}},
			`venue "gable": value added tax: "2000%" is more than the price without it: write a rate of at most 100%`},
		{"margin scheme without a purchase price", resale.Sale{Venue: plain, Terms: resale.Terms{VAT: resale.VAT{Scheme: resale.MarginScheme, Rate: rate("0.2")}}},
			`venue "gable": purchase price: "" is missing: the margin scheme needs what was paid for the goods`},
		{"imported goods", resale.Sale{Venue: plain, Terms: resale.Terms{VAT: resale.VAT{Scheme: resale.MarginScheme, Rate: rate("0.2"), Bought: cents(1), Imported: true}}},
			`venue "gable": the margin scheme does not take "ordinary second-hand goods" that the seller imported: it wants goods bought within the tax area ` +
				`from somebody who could not deduct the tax, and of imported goods only works of art, antiques over 100 years old and collectors' pieces ` +
				`(Directive 2006/112/EC, articles 314 and 317): use the ordinary scheme, say which of these they are, or imported: no where they were bought within the tax area`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for what, err := range map[string]error{"Price": second(resale.Price(&tt.sale, resale.AnyEnding)), "At": second(tt.sale.At(cents(1)))} {
				if err == nil || err.Error() != tt.want {
					t.Errorf("%s:\ngot  %v\nwant %s", what, err, tt.want)
				}
			}
		})
	}
}

// TestAtLimits: what is just at a limit is taken, and a fee at its floor or its cap is that by its
// percentage alone: 2% of 25.00 are 0.50.
func TestAtLimits(t *testing.T) {
	half, two := cents(50), resale.Fee{What: "commission", Bands: flat("0.02")}
	floor, most, both := two, two, resale.Fee{What: "commission", Floor: half, Cap: half}
	floor.Floor, most.Cap = half, half
	s := resale.Sale{Venue: &resale.Venue{Name: "gable", Currency: cad, Fees: []resale.Fee{floor, most, both, {What: "none"}}}, Pieces: 1_000_000,
		Terms: resale.Terms{Offered: 100, VAT: resale.VAT{Scheme: resale.OrdinaryScheme, Rate: rate("1")}}}
	o, err := s.At(cents(2500))
	if err != nil {
		t.Fatal(err)
	}
	var rules []string
	for _, step := range o.Steps {
		rules = append(rules, step.Rule)
	}
	if want := []string{"", "2% of 25.00", "2% of 25.00", "0.00, at least 0.50", "0.00", "100% / 200% of 25.00"}; !slices.Equal(rules, want) {
		t.Errorf("got  %q\nwant %q", rules, want)
	}
}

func second[T any](_ T, err error) error { return err }

func TestPriceRange(t *testing.T) {
	s := resale.Sale{Venue: venue(resale.Fee{Bands: flat("0.1")})}
	for price, want := range map[money.Amount]string{
		cents(-1):                               `venue "gable": price: "-0.01 CAD" is negative: write an amount of 0 or more`,
		cents(resale.Highest + 1):               `venue "gable": price: "10000000000.01 CAD" is too large: write at most 10000000000.00 CAD`,
		money.New(1, money.MustCurrency("JPY")): `venue "gable": price: "1 JPY" is not in CAD, the currency of the venue: convert it first`,
	} {
		if _, err := s.At(price); err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

// TestErrorsAreData reaches the figures through what was joined.
func TestErrorsAreData(t *testing.T) {
	v := venue(resale.Fee{What: "commission", Floor: cents(300), Cap: cents(200),
		Bands: []resale.Band{{UpTo: cents(5000), Rate: rate("1.5")}, {From: cents(6000)}}})
	v.Charged, v.Postage.Steps = cents(-1), []money.Step[measure.Weight]{{}}
	err := v.Check()
	type place struct {
		key             string
		fee, band, step int
	}
	var got []place
	for _, err := range err.(interface{ Unwrap() []error }).Unwrap() {
		field := err.(*resale.FieldError)
		fee, band, step := field.Place()
		got = append(got, place{field.Key, fee, band, step})
	}
	want := []place{{"cap", 1, 0, 0}, {"rate", 1, 1, 0}, {"from", 1, 2, 0}, {"charged", 0, 0, 0}, {"up-to", 0, 0, 1}}
	if !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v\n%v", got, want, err)
	}
}

func TestNoPrice(t *testing.T) {
	fee := func(r string) *resale.Venue { return venue(resale.Fee{What: "commission", Bands: flat(r)}) }
	taxed := venue(resale.Fee{What: "commission", WithTax: true, Bands: flat("0.5")})
	taxed.SalesTax = rate("0.2")
	tests := []struct {
		name string
		sale resale.Sale
		want string
	}{
		{"margin and fees over the whole", resale.Sale{Venue: fee("0.8"), Cost: cents(500), Target: resale.Target{Margin: rate("0.25")}},
			`venue "gable": no price makes a margin of 25% on the price: fees, tax and target take 105% of each further unit of price: lower the target, or sell elsewhere`},
		{"exactly the whole", resale.Sale{Venue: fee("0.6"), Cost: cents(1), Target: resale.Target{Margin: rate("0.4")}},
			`venue "gable": no price makes a margin of 40% on the price: fees, tax and target take 100% of each further unit of price: lower the target, or sell elsewhere`},
		{"too high", resale.Sale{Venue: fee("0.99"), Cost: cents(resale.Highest / 50)},
			`venue "gable": no price makes up for the cost: it would have to be above 10000000000.00 CAD: lower the target, or sell elsewhere`},
		{"an amount too high", resale.Sale{Venue: fee("0.1"), Cost: cents(1), Target: resale.Target{Amount: cents(resale.Highest)}},
			`venue "gable": no price makes a profit of 10000000000.00 CAD: it would have to be above 10000000000.00 CAD: lower the target, or sell elsewhere`},
		{"a mark-up too high", resale.Sale{Venue: fee("0.1"), Cost: cents(resale.Highest), Target: resale.Target{Markup: rate("1000")}},
			`venue "gable": no price makes a mark-up of 100000% on the cost: it would have to be above 10000000000.00 CAD: lower the target, or sell elsewhere`},
		{"rounding would decide", resale.Sale{Venue: taxed, Cost: cents(2), Target: resale.Target{Margin: rate("0.4")}},
			`venue "gable": no price makes a margin of 40% on the price: fees, tax and target take 100% of each further unit of price, and rounding alone would decide: lower the target`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, ending := range []resale.Ending{resale.AnyEnding, resale.NinetyNine} {
				_, err := resale.Price(&tt.sale, ending)
				var e *resale.NoPriceError
				if !errors.As(err, &e) || err.Error() != tt.want || resale.Reason(err) != strings.TrimPrefix(tt.want, `venue "gable": `) {
					t.Errorf("ending %d:\ngot  %v\nwant %s", ending, err, tt.want)
				}
			}
		})
	}
}

// TestSending: what stands at the venue wins, and where nothing is sent, nothing of all that
// counts.
func TestSending(t *testing.T) {
	steps := resale.Postage{Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: cents(900)}}}
	for _, c := range []struct {
		name     string
		venue    resale.Venue
		sale     resale.Sale
		net      int64 // of 40.00
		byWeight bool
	}{
		{"the sale's", resale.Venue{}, resale.Sale{Dispatch: resale.Dispatch{Charged: cents(700), Packing: cents(50), Postage: resale.Postage{Fixed: cents(800)}}}, 3850, false},
		{"the venue's", resale.Venue{Dispatch: resale.Dispatch{Charged: cents(1200), Packing: cents(0), Postage: steps}}, resale.Sale{Dispatch: resale.Dispatch{Charged: cents(700), Packing: cents(50)}}, 4300, true},
		{"the venue's postage wins", resale.Venue{Sending: resale.Sent, Dispatch: resale.Dispatch{Postage: steps}}, resale.Sale{Dispatch: resale.Dispatch{Postage: resale.Postage{Fixed: cents(800)}}}, 3100, true},
		{"and where it is one price", resale.Venue{Dispatch: resale.Dispatch{Postage: resale.Postage{Fixed: cents(800)}}}, resale.Sale{Dispatch: resale.Dispatch{Postage: steps}}, 3200, false}, // 40.00 - 8.00
		{"nothing is sent", resale.Venue{Sending: resale.Fetched, Dispatch: resale.Dispatch{Charged: cents(1200), Postage: steps}}, resale.Sale{Dispatch: resale.Dispatch{Charged: cents(700), Packing: cents(50), Postage: steps}}, 4000, false},
	} {
		c.venue.Currency, c.sale.Venue = cad, &c.venue
		out, err := c.sale.At(cents(4000))
		byWeight := len(c.sale.AsSent().Postage.Steps) > 0
		if err != nil || out.Net != cents(c.net) || byWeight != c.byWeight {
			t.Errorf("%s: 40.00 leaves %s, by weight: %v, %v; want %d, %v", c.name, out.Net, byWeight, err, c.net, c.byWeight)
		}
	}
}
