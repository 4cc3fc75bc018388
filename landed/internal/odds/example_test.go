package odds_test

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// planes are eleven untested planes: six in ten work and bring 45.00, the rest 8.00 as parts.
func planes() []odds.Group {
	return []odds.Group{{Count: 11, Outcomes: []landed.Outcome{
		{Chance: decimal.RequireFromString("0.6"), Value: money.New(4500, cad), What: "works"},
		{Chance: decimal.RequireFromString("0.4"), Value: money.New(800, cad), What: "parts"},
	}}}
}

// A parcel that may be dropped on the way hits all pieces at once.
func ExampleUnder() {
	dropped := decimal.RequireFromString("0.05")
	d, err := odds.Under([]decimal.Decimal{dropped}, func(happens []bool) ([]odds.Group, error) {
		groups := planes()
		if happens[0] {
			groups[0].Outcomes[0].Value, groups[0].Outcomes[1].Value = money.New(2250, cad), money.New(400, cad)
		}
		return groups, nil
	}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	loss, err := d.Below(money.New(25000, cad))
	fmt.Println("mean", d.Mean(), "chance of a loss", loss, err)
	// Output:
	// mean 323.90 CAD chance of a loss 14.4% <nil>
}

// Of three planes that each work with a chance of a half one is kept, and counts 50.00 instead of
// 40.00, if there is one that works.
func ExampleGroup_keep() {
	half := decimal.RequireFromString("0.5")
	d, err := odds.Of([]odds.Group{{Count: 3, Keep: 1, Kept: []money.Amount{money.New(5000, cad)}, Outcomes: []landed.Outcome{
		{Chance: half, Value: money.New(4000, cad), What: "works"},
		{Chance: half, Value: money.New(0, cad), What: "dead"},
	}}}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, b := range d.Histogram(10) {
		fmt.Println(b.From, b.Chance)
	}
	fmt.Println("mean", d.Mean())
	// Output:
	// 0.00 CAD 12.5%
	// 50.00 CAD 37.5%
	// 90.00 CAD 37.5%
	// 130.00 CAD 12.5%
	// mean 68.75 CAD
}

func ExampleDistribution_Quantile() {
	d, err := odds.Of(planes(), 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("in nineteen of twenty cases at least", d.Quantile(decimal.RequireFromString("0.05")))
	fmt.Println("mean of the worst twentieth", d.WorstTail(decimal.RequireFromString("0.05")))
	// Output:
	// in nineteen of twenty cases at least 236.00 CAD
	// mean of the worst twentieth 209.37 CAD
}

func ExampleDistribution_Shift() {
	d, err := odds.Of(planes(), 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	profit, err := d.Shift(money.New(-25000, cad))
	if err != nil {
		fmt.Println(err)
		return
	}
	loss, err := profit.Below(money.New(0, cad))
	fmt.Println("profit", profit.Mean(), loss, err)
	// Output:
	// profit 82.20 CAD 9.9% <nil>
}
