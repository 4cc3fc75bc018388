package partition_test

import (
	"context"
	"fmt"
	"log"

	"lotcost/landed/internal/partition"
)

// Four elements, a packet up to 2 kg for 14.50 and a part up to 10 kg for 22.00 and 1.50 a half
// kilogram. Element 3 is a bottle of oil, which may not lie with the drawing instruments, element
// 0.
func ExampleProblem_Solve() {
	grams := []int64{400, 1700, 1500, 900}
	p := &partition.Problem{
		Elements: 4, Modes: 2,
		Apart: [][2]int{{0, 3}},
		Cost: func(elements partition.Set, mode int) (int64, bool) {
			var weight int64
			for _, element := range elements.Elements() {
				weight += grams[element]
			}
			if mode == 0 {
				return 14_50, weight <= 2000
			}
			return 22_00 + (weight+499)/500*1_50, weight <= 10_000
		},
	}
	best, err := p.Solve(context.Background(), partition.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for _, part := range best.Parts {
		fmt.Printf("elements %v by mode %d: %d\n", part.Elements.Elements(), part.Mode, part.Cost)
	}
	fmt.Println("total", best.Cost, "exact", best.Exact)
	// Output:
	// elements [0 2] by mode 0: 1450
	// elements [1] by mode 0: 1450
	// elements [3] by mode 0: 1450
	// total 4350 exact true
}

func ExampleSetOf() {
	s := partition.SetOf(0, 2, 5)
	fmt.Println(s.Len(), s.Has(2), s.Has(3), s.Elements())
	// Output: 3 true false [0 2 5]
}
