package landed_test

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// haul is one crate of planes bought in yen for Canadian books.
func haul() *landed.Haul {
	yen, dollars := money.MustCurrency("JPY"), money.MustCurrency("CAD")
	return &landed.Haul{
		Home:   dollars,
		Market: market("100 JPY = 0.93 CAD"),
		Lots: []landed.Lot{{ID: "crate-a", Price: money.New(4200, yen), Items: []landed.Item{
			{ID: "jack", Count: 2, Weight: 1900 * measure.Gram, Weighed: true, Value: money.New(3800, dollars)},
			{ID: "block", Count: 1, Weight: 780 * measure.Gram, Weighed: true, Value: money.New(2400, dollars)},
		}}},
		Charges: []landed.Charge{{What: "Surface parcel", Kind: landed.Freight, Amount: money.New(7400, yen)}},
	}
}

// A crate is bought for one price and comes in one parcel: what did each plane
// cost?
func ExampleSplit() {
	st, err := landed.Split(haul())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("in all", st.Total)
	for _, item := range st.Items {
		fmt.Printf("%s: %v, of which freight %v\n", item.ID, item.Cost, item.Share(landed.Freight))
		for _, pieces := range item.Each() {
			fmt.Printf("  %d at %v\n", pieces.Count, pieces.Each)
		}
	}
	// Output:
	// in all 107.88 CAD
	// jack: 86.79 CAD, of which freight 57.10 CAD
	//   1 at 43.40 CAD
	//   1 at 43.39 CAD
	// block: 21.09 CAD, of which freight 11.72 CAD
	//   1 at 21.09 CAD
}

// All that is wrong is reported at once.
func ExampleSplit_faults() {
	h := haul()
	h.Lots[0].Items[1].Weighed = false
	h.Lots[0].Price = money.New(50, money.MustCurrency("USD"))
	_, err := landed.Split(h)
	fmt.Println(err)
	// Output:
	// lot crate-a: price: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it
	// item block: has no weight, but the freight "Surface parcel" is shared by weight: write what one piece weighs, or share that cost by count, value or line
}

// The same haul with its price shared in other ways.
func ExampleBases_WithPrice() {
	for _, basis := range []landed.Basis{landed.ByValue, landed.ByWeight, landed.ByCount, landed.ByLine} {
		h := haul()
		h.Share = h.Share.WithPrice(basis)
		st, err := landed.Split(h)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("by %v: jack %v, block %v\n", basis, st.Items[0].Share(landed.Price), st.Items[1].Share(landed.Price))
	}
	// Output:
	// by value: jack 29.69 CAD, block 9.37 CAD
	// by weight: jack 32.41 CAD, block 6.65 CAD
	// by count: jack 26.04 CAD, block 13.02 CAD
	// by line: jack 19.53 CAD, block 19.53 CAD
}

// How the freight bill came to its amount in home, and how it was shared.
func ExampleStatement_Working() {
	st, err := landed.Split(haul())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, step := range st.Working(&st.Lines[1]) {
		fmt.Println(step.What)
		fmt.Println("  from", step.From)
		fmt.Println("  by the rule:", step.Rule)
		fmt.Println("  result:", step.Result)
	}
	// Output:
	// freight: Surface parcel
	//   from 7400 JPY x 0.93 / 100
	//   by the rule: equation 100 JPY = 0.93 CAD, rounded once, half away from zero
	//   result: 68.82 CAD
	// shared over 2 items
	//   from 68.82 CAD over 4.58 kg
	//   by the rule: by weight, largest remainder, ties to the earlier item
	//   result: shares sum to 68.82 CAD
}

// What the block plane bears, share by share.
func ExampleStatement_ItemWorking() {
	st, err := landed.Split(haul())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, step := range st.ItemWorking(1) {
		fmt.Printf("%s: %s = %s\n", step.What, step.From, step.Result)
	}
	// Output:
	// price: crate-a: 24.00 CAD of 100.00 CAD, of 39.06 CAD = 9.37 CAD
	// freight: Surface parcel: 780 g of 4.58 kg, of 68.82 CAD = 11.72 CAD
	// cost of block: 2 shares = 21.09 CAD
	// cost of a piece: 21.09 CAD over 1 piece = 1 x 21.09 CAD
}
