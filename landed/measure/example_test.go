package measure_test

import (
	"fmt"

	"lotcost/landed/measure"
)

func ExampleParseWeight() {
	for _, s := range []string{"780 g", "4 lb 6 oz", "1,900 g", "1,900 kg"} {
		fmt.Println(measure.ParseWeight(s))
	}
	// Output:
	// 780 g <nil>
	// 1.98446661875 kg <nil>
	// 1.9 kg <nil>
	// 0 g weight "1,900 kg": a comma may be a decimal or a thousands mark: write 1.900 kg or 1900 kg
}

func ExampleParseLength() {
	fmt.Println(measure.ParseLength("12 in"))
	// Output: 30.48 cm <nil>
}

func ExampleParseSize() {
	fmt.Println(measure.ParseSize("12 x 8 x 4 in"))
	// Output: 30.48x20.32x10.16 cm <nil>
}

func ExampleWeight_Add() {
	fmt.Println((780 * measure.Gram).Add(measure.Kilogram))
	// Output: 1.78 kg <nil>
}

func ExampleWeight_Mul() {
	fmt.Println((780 * measure.Gram).Mul(3))
	// Output: 2.34 kg <nil>
}
