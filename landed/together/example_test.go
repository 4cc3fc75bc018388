package together_test

import (
	"context"
	"fmt"
	"log"

	"lotcost/landed/together"
)

// Four lots, a packet up to 2 kg for 14.50 and a parcel up to 10 kg for 22.00 and 1.50 a half kilogram. Lot 3
// is a bottle of oil, which may not lie with the drawing instruments, lot 0.
func ExampleProblem_Solve() {
	grams := []int64{400, 1700, 1500, 900}
	p := &together.Problem{
		Lots: 4, Services: 2,
		Apart: [][2]int{{0, 3}},
		Cost: func(lots together.Set, service int) (int64, bool) {
			var weight int64
			for _, lot := range lots.Lots() {
				weight += grams[lot]
			}
			if service == 0 {
				return 14_50, weight <= 2000
			}
			return 22_00 + (weight+499)/500*1_50, weight <= 10_000
		},
	}
	best, err := p.Solve(context.Background(), together.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, parcel := range best.Parcels {
		fmt.Printf("lots %v by service %d: %d\n", parcel.Lots.Lots(), parcel.Service, parcel.Cost)
	}
	fmt.Println("total", best.Cost, "exact", best.Exact)
	// Output:
	// lots [0 2] by service 0: 1450
	// lots [1] by service 0: 1450
	// lots [3] by service 0: 1450
	// total 4350 exact true
}

func ExampleSetOf() {
	s := together.SetOf(0, 2, 5)
	fmt.Println(s.Len(), s.Has(2), s.Has(3), s.Lots())
	// Output: 3 true false [0 2 5]
}
