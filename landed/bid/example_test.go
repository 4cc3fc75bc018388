package bid_test

import (
	"fmt"

	"lotcost/landed/bid"
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
