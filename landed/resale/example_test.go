package resale_test

import (
	"errors"
	"fmt"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// exampleVenue charges 12% of a price up to 60.00, 15% of all of a higher one,
// and 0.30 an order, and knows what posting costs.
func exampleVenue() *resale.Venue {
	return &resale.Venue{
		Name:     "gable",
		Currency: cad,
		Fees: []resale.Fee{
			{What: "commission", Method: resale.Whole, Tiers: []resale.Tier{
				{UpTo: money.New(6000, cad), Rate: decimal.RequireFromString("0.12")},
				{From: money.New(6000, cad), Rate: decimal.RequireFromString("0.15")},
			}},
			{What: "payment", Kind: resale.PaymentFee, Of: resale.OfPriceAndPostage, Fixed: money.New(30, cad),
				Tiers: []resale.Tier{{Rate: decimal.RequireFromString("0.029")}}},
			{What: "listing", Kind: resale.ListingFee, Fixed: money.New(25, cad)},
		},
		Postage: resale.Postage{Steps: []resale.PostageStep{
			{UpTo: 500 * measure.Gram, Cost: money.New(960, cad)},
			{UpTo: 2 * measure.Kilogram, Cost: money.New(1495, cad)},
		}},
	}
}

// exampleSale is a jack plane that cost 36.40, posted for 14.95 of which the
// buyer pays 12.00.
func exampleSale() *resale.Sale {
	return &resale.Sale{
		Venue:   exampleVenue(),
		Cost:    money.New(3640, cad),
		Charged: money.New(1200, cad),
		Packing: money.New(80, cad),
		Weight:  900 * measure.Gram,
	}
}

func ExamplePrice() {
	s := exampleSale()
	s.Target = resale.MarginOnPrice(decimal.RequireFromString("0.16"))
	answer, err := resale.Price(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("at least", answer.Price)
	for _, g := range answer.Gaps {
		fmt.Printf("but not from %s to %s, where the %s rises: %s short\n", g.From, g.To, g.Fee, g.Shortfall)
	}
	// Output:
	// at least 59.41 CAD
	// but not from 60.01 CAD to 62.10 CAD, where the commission rises: 1.39 CAD short
}

func ExampleSale_At() {
	outcome, err := exampleSale().At(money.New(6000, cad))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range outcome.Lines {
		fmt.Printf("%-26s%-24s%7s\n", l.What, l.Rule, l.Amount.Number())
	}
	fmt.Println("left of it, the plane paid:", outcome.Left)
	// Output:
	// price                                               60.00
	// postage paid by the buyer                           12.00
	// commission                12% of 60.00              -7.20
	// payment                   2.9% of 72.00 + 0.30      -2.39
	// listing                   0.25                      -0.25
	// postage                                            -14.95
	// packing                                             -0.80
	// left of it, the plane paid: 10.01 CAD
}

func ExampleSale_Unsold() {
	s := exampleSale()
	s.Listings = 4
	lost, err := s.Unsold(money.New(6000, cad))
	fmt.Println(lost, err)
	// Output: 1.00 CAD <nil>
}

func ExamplePriceEnding() {
	answer, err := resale.PriceEnding(exampleSale(), resale.NinetyNine)
	fmt.Println(answer.Price, answer.Outcome.Left, err)
	// Output: 48.99 CAD 0.64 CAD <nil>
}

func ExampleRoundToEnding() {
	fmt.Println(resale.RoundToEnding(money.New(3820, cad), resale.NinetyFive))
	// Output: 38.95 CAD
}

func ExampleCompile() {
	compiled, err := resale.Compile(exampleSale())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, cost := range []int64{1000, 2000, 4000} {
		price, ok := compiled.Least(cost)
		fmt.Println(price, ok)
	}
	// Output:
	// 1722 true
	// 2897 true
	// 5247 true
}

func ExampleVenue_Check() {
	v := exampleVenue()
	v.Fees[0].Tiers[1].From = money.New(5000, cad)
	fmt.Println(v.Check())
	// Output: venue "gable": fee "commission", band 2: it begins at "50.00 CAD" and overlaps the band before: begin it at 60.00 CAD, where that ends
}

func ExampleMarginTax() {
	gbp := money.MustCurrency("GBP")
	tax, err := resale.MarginTax(money.New(200_000, gbp), money.New(150_000, gbp), decimal.RequireFromString("0.2"))
	fmt.Println(tax, err)
	// Output: 83.33 GBP <nil>
}

func ExampleVAT_Eligible() {
	planes := resale.VAT{Scheme: resale.MarginScheme, Imported: true}
	var refused *resale.NotEligibleError
	fmt.Println(errors.As(planes.Eligible(), &refused))
	planes.Goods = resale.Antique
	fmt.Println(planes.Eligible())
	// Output:
	// true
	// <nil>
}

func ExamplePayBack() {
	got, err := resale.PayBack(money.New(9200, cad), []resale.Offer{
		{Name: "chisel", Orders: 6, Net: money.New(1150, cad)},
		{Name: "jack plane", Orders: 2, Net: money.New(3810, cad)},
	})
	fmt.Println(got.Pieces, "pieces bring", got.Sum, err)
	// Output: 4 pieces bring 99.20 CAD <nil>
}

func ExampleAsGoodAs() {
	one := exampleSale()
	pair := exampleSale()
	pair.Cost, pair.Pieces, pair.Weight = money.New(7280, cad), 2, 1800*measure.Gram
	answer, err := resale.AsGoodAs(pair, []resale.Priced{{Sale: one, Price: money.New(5900, cad), Times: 2}})
	fmt.Println(answer.Price, answer.Outcome.Left, err)
	// Output: 116.65 CAD 18.32 CAD <nil>
}
