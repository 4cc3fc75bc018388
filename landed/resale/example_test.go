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
			{What: "commission", Whole: true, Bands: []resale.Band{
				{UpTo: money.New(6000, cad), Rate: decimal.RequireFromString("0.12")},
				{From: money.New(6000, cad), Rate: decimal.RequireFromString("0.15")},
			}},
			{What: "payment", WithPostage: true, Fixed: money.New(30, cad),
				Bands: []resale.Band{{Rate: decimal.RequireFromString("0.029")}}},
			{What: "listing", Kind: resale.ListingFee, Fixed: money.New(25, cad)},
		},
		Dispatch: resale.Dispatch{Postage: resale.Postage{Steps: []money.Step[measure.Weight]{
			{UpTo: 500 * measure.Gram, Price: money.New(960, cad)},
			{UpTo: 2 * measure.Kilogram, Price: money.New(1495, cad)},
		}}},
	}
}

// exampleSale is a jack plane that cost 36.40, posted for 14.95 of which the
// buyer pays 12.00.
func exampleSale() *resale.Sale {
	return &resale.Sale{
		Venue: exampleVenue(),
		Cost:  money.New(3640, cad),
		Dispatch: resale.Dispatch{Charged: money.New(1200, cad),
			Packing: money.New(80, cad)},
		Weight: 900 * measure.Gram,
	}
}

func ExampleDesk_Price() {
	s := exampleSale()
	s.Target = resale.Target{Margin: decimal.RequireFromString("0.16")}
	least, err := new(resale.Desk).Price(s, resale.AnyEnding)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("at least", least.Price)
	for _, g := range least.Gaps {
		fmt.Printf("but not from %s to %s, where the %s rises: %s short\n", g.From, g.To, g.Fee, g.Shortfall)
	}
	// Output:
	// at least 59.41 CAD
	// but not from 60.01 CAD to 62.10 CAD, where the commission rises: 1.39 CAD short
}

func ExampleSale_At() {
	result, err := exampleSale().At(money.New(6000, cad))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range result.Steps {
		fmt.Printf("%-26s%-24s%7s\n", l.What, l.Rule, l.Amount.Number())
	}
	fmt.Println("left of it, the plane paid:", result.Left)
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

func ExampleDesk_Price_ending() {
	least, err := new(resale.Desk).Price(exampleSale(), resale.NinetyNine)
	fmt.Println(least.Price, err)
	// Output: 48.99 CAD <nil>
}

func ExampleVenue_Check() {
	v := exampleVenue()
	v.Fees[0].Bands[1].From = money.New(5000, cad)
	fmt.Println(v.Check())
	// Output: venue "gable": fee "commission", band 2: it begins at "50.00 CAD" and overlaps the band before: begin it at 60.00 CAD, where that ends
}

func ExampleVAT_Check() {
	planes := resale.VAT{Scheme: resale.MarginScheme, Imported: true}
	var refused *resale.FieldError
	fmt.Println(errors.As(planes.Check(), &refused))
	planes.Collectible = true
	fmt.Println(planes.Check())
	// Output:
	// true
	// <nil>
}
