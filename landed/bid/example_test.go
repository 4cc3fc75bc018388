package bid_test

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
)

// Six planes in ten work and bring 45, the rest 8 as parts. What is the most to
// bid for four, if it is to return 30 %?
func ExampleBidder_Highest() {
	h := crate()
	h.Bidding.Goal.Return = fraction("0.3")
	b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := b.Highest()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(a.Best.Bid, "costs", a.Best.Cost, "and brings", a.Proceeds.Mean(), "on average")
	fmt.Println("chance of a loss:", a.Best.Loss)
	// Output:
	// 6750 JPY costs 90.68 CAD and brings 120.80 CAD on average
	// chance of a loss: 17.9%
}

func ExampleBidder_Judge() {
	h := crate()
	b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := b.Judge(amount("12000 JPY"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(a.Asked.Cost, "is", a.Asked.Missing, "too much")
	// Output: 139.50 CAD is 18.70 CAD too much
}

func ExampleBidder_Moves() {
	h := crate()
	b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	moves, err := b.Moves()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range moves {
		fmt.Println(m.Factor, m.Less, m.More)
	}
	// Output:
	// values 8500 JPY 11000 JPY
	// chances 9000 JPY 10500 JPY
	// freight 10000 JPY 9500 JPY
	// rate 11000 JPY 8750 JPY
}

// Two lots close one after the other. What is in each sells for 40, and the others will pay 20, 30
// or 50 for it, each as likely: it is won at 20 or at 30, and then leaves 20 or 10.
func ExampleTonight() {
	cad := money.MustCurrency("CAD")
	h := landed.Haul{Home: cad, Share: landed.DefaultBases()}
	for _, id := range []string{"braces", "gauges"} {
		h.Lots = append(h.Lots, landed.Lot{ID: id, Open: true,
			Likely: &landed.Likely{Prices: []money.Amount{amount("20 CAD"), amount("30 CAD"), amount("50 CAD")}},
			Items:  []landed.Item{{ID: id, Count: 1, Value: amount("40 CAD")}}})
	}
	e, err := bid.Tonight(&h, bid.Plans{}, bid.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, lot := range e.Lots {
		fmt.Println(lot.ID, "up to", lot.Limit, "won in", lot.Won.RatString(), "of all evenings")
	}
	value, _ := e.Plan.Value.Float64() // in cents
	fmt.Printf("worth %.2f\n", value/100)
	// Output:
	// braces up to 40.00 CAD won in 2/3 of all evenings
	// gauges up to 40.00 CAD won in 2/3 of all evenings
	// worth 20.00
}

func ExampleLook() {
	h := fact()
	f, err := bid.Look(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("expected", f.Expected, "brought", f.Brought)
	fmt.Println("the forecast gave", f.Less, "to less")
	// Output:
	// expected 113.41 CAD brought 79.08 CAD
	// the forecast gave 17.9% to less
}
