package customs_test

import (
	"fmt"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// A plane and a drawing set come to Ontario by mail. The rates are for the
// example only.
func ExampleAssess() {
	cad := money.MustCurrency("CAD")
	on := time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)
	rules, err := customs.NewBook().For("CA-ON", on)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := customs.Assess(rules, &customs.Consignments{
		On: on, From: "JP", To: "CA-ON",
		Classes: map[string]customs.Class{
			"hand-tool": {Code: "8205.59", Duty: &customs.Rate{Fraction: decimal.RequireFromString("0.04")}},
			"drawing":   {Code: "9017.20", Duty: &customs.Rate{}},
		},
		Parcels: []customs.Parcel{{ID: "box-1", Lines: []customs.Line{
			{ID: "jack", Class: "hand-tool", Count: 1, Value: money.New(11500, cad), Freight: money.New(2000, cad)},
			{ID: "compass", Class: "drawing", Count: 1, Value: money.New(4000, cad), Freight: money.New(500, cad)},
		}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range a.Steps() {
		fmt.Printf("%s: %s = %s (%s)\n", s.What, s.Text, s.Result, s.Confidence)
	}
	for _, l := range a.Parcels[0].Lines {
		fmt.Println(l.ID, "duty", l.Duty, "tax", l.Tax)
	}
	// Output:
	// value for customs: 155.00 CAD = 155.00 CAD (published)
	// duty and tax not relieved: 155.00 CAD of goods in the parcel, over the threshold of 20.00 CAD by 135.00 CAD = 155.00 CAD (published)
	// duty on hand-tool: 4% of 115.00 CAD = 4.60 CAD (given)
	// duty on drawing: 0% of 40.00 CAD = 0.00 CAD (given)
	// HST: 13% of 159.60 CAD = 20.75 CAD (reported)
	// postal handling: 9.95 CAD, when duty or tax is due = 9.95 CAD (published)
	// jack duty 4.60 CAD tax 15.55 CAD
	// compass duty 0.00 CAD tax 5.20 CAD
}

func ExampleBook_For() {
	book := customs.NewBook()
	for _, on := range []time.Time{time.Date(2026, 6, 30, 0, 0, 0, 0, time.UTC), time.Date(2026, 7, 1, 0, 0, 0, 0, time.UTC)} {
		rules, err := book.For("DE", on)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(rules.Territory, rules.From.Format(time.DateOnly), rules.About)
	}
	// Output:
	// EU 2025-08-01 VAT of Romania 21 %
	// EU 2026-07-01 no duty-free limit; EUR 3 for each item up to EUR 150 by post and one-stop shop
}

func ExampleDifferences() {
	book := customs.NewBook()
	before, _ := book.For("CA-NS", time.Date(2025, 3, 31, 0, 0, 0, 0, time.UTC))
	after, _ := book.For("CA-NS", time.Date(2025, 4, 1, 0, 0, 0, 0, time.UTC))
	for _, d := range customs.Differences(before, after) {
		fmt.Printf("%s: %s -> %s\n", d[1].What, d[0].Text, d[1].Text)
	}
	// Output:
	// HST, standard, CA-NS, for personal use and gifts: 15% -> 14%
}
