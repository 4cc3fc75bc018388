package odds_test

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/odds"

	"github.com/shopspring/decimal"
)

// Eleven untested planes: six in ten work and bring 45.00, the rest 8.00 as parts.
func ExampleOf() {
	cad := money.MustCurrency("CAD")
	planes := odds.Group{Count: 11, Outcomes: []landed.Outcome{
		{Chance: decimal.RequireFromString("0.6"), Value: money.New(4500, cad), What: "works"},
		{Chance: decimal.RequireFromString("0.4"), Value: money.New(800, cad), What: "parts"},
	}}
	d, err := odds.Of([]odds.Group{planes}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	loss, err := d.Below(money.New(25000, cad)) // what it all cost
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("mean", d.Mean(), "give or take", d.StdDev())
	fmt.Println("chance of a loss", loss)
	for _, b := range d.Histogram(4) {
		fmt.Println(b.From, "to", b.To, b.Chance)
	}
	// Output:
	// mean 332.20 CAD give or take 60.12 CAD
	// chance of a loss 9.9%
	// 88.00 CAD to 236.00 CAD 9.9%
	// 236.01 CAD to 310.01 CAD 36.8%
	// 310.02 CAD to 384.02 CAD 41.4%
	// 384.03 CAD to 495.00 CAD 11.9%
}
