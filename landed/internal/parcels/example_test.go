package parcels_test

import (
	"fmt"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
)

func ExamplePack() {
	lots := []parcels.Lot{
		{ID: "jack-plane", Weight: kg("2.1 kg"), Size: size("40x10x15 cm"), Value: amount("120 CAD")},
		{ID: "chisels", Weight: kg("900 g"), Size: size("35x10x5 cm"), Value: amount("75 CAD")},
	}
	boxes, err := parcels.Pack(lots, freight.Packing{Share: percent("8%"), Fixed: kg("200 g"), Padding: length("2 cm")})
	if err != nil {
		panic(err)
	}
	fmt.Println(boxes[0].Size, boxes[0].Weight, boxes[0].Value)
	// Output: 44x14x24 cm 3.44 kg 195.00 CAD
}

func ExamplePack_several() {
	rule := parcels.Lot{ID: "rule", Weight: kg("150 g"), Size: size("30x4x4 cm")}
	boxes, err := parcels.Pack([]parcels.Lot{rule, rule, rule, rule}, freight.Packing{})
	if err != nil {
		panic(err)
	}
	for _, b := range boxes {
		fmt.Println(b.Size, measure.Length(parcels.LengthPlusGirth(b.Size)))
	}
	// Output:
	// 30x8x8 cm 62 cm
	// 30x16x4 cm 70 cm
	// 60x8x4 cm 84 cm
	// 120x4x4 cm 1.36 m
}

func ExampleTariff_Ask() {
	s := surface() // 12.5% fuel; 14.00 up to 500 g, 21.80 up to 1 kg, 31.20 up to 2 kg
	q, err := must(parcels.Compile(&s, "CA", on)).Ask([]parcels.Box{{Weight: kg("1.18 kg"), Size: size("20x15x10 cm"), Value: amount("240 CAD")}})
	if err != nil {
		panic(err)
	}
	for _, l := range q.Lines {
		fmt.Println(l.What, l.Figure, l.Amount)
	}
	fmt.Println(q.Total, "set by the", q.SetBy, "weight")
	fmt.Println(q.NextCheaper)
	// Output:
	// postage 1.2 kg billed: up to 2 kg 31.20 CAD
	// per parcel  2.50 CAD
	// fuel 12.5% of 31.20 CAD 3.90 CAD
	// insurance 240.00 CAD covered: up to 300.00 CAD 4.50 CAD
	// 42.10 CAD set by the actual weight
	// 180 g less would save 10.57 CAD
}

func ExampleTariff_Ask_cheapest() {
	s := surface()
	s.Limits.Longest = length("35 cm")
	rule := parcels.Lot{ID: "rule", Weight: kg("150 g"), Size: size("34x4x4 cm")}
	boxes, err := parcels.Pack([]parcels.Lot{rule, rule, rule}, freight.Packing{})
	if err != nil {
		panic(err)
	}
	q, err := must(parcels.Compile(&s, "CA", on)).Ask(boxes)
	if err != nil {
		panic(err)
	}
	fmt.Println(q.Size, q.Total)
	// Output: 34x12x4 cm 18.25 CAD
}

func ExampleTariff() {
	s := surface()
	tariff, err := parcels.Compile(&s, "DE", on)
	if err != nil {
		panic(err)
	}
	for _, w := range []string{"500 g", "510 g", "11 kg"} {
		fmt.Println(tariff.Floor(kg(w), 0, 0))
	}
	fmt.Println(tariff.Price(&parcels.Box{Weight: kg("2 kg"), Value: amount("300.01 CAD")})) // one unit beyond the steps is begun
	// Output:
	// 1488 0 true
	// 1966 0 true
	// 0 0 false
	// 2922 625 true
}

func ExampleRefusedError() {
	s := surface()
	boxes, err := parcels.Pack([]parcels.Lot{{ID: "try-plane", Weight: kg("4 kg"), Size: size("61.5x9x16 cm")}}, freight.Packing{})
	if err != nil {
		panic(err)
	}
	_, err = must(parcels.Compile(&s, "DE", on)).Ask(boxes)
	fmt.Println(err)
	// Output: service "Harbour Surface" refuses lot "try-plane": longest side 61.5 cm is 1.5 cm over the 60 cm allowed
}

func ExampleCheck() {
	s := surface()
	s.PerParcel = amount("300 JPY")
	s.Zones[0].Steps[1].UpTo = kg("400 g")
	fmt.Println(parcels.Check(&s))
	// Output:
	// service Harbour Surface: charge per parcel: is in "JPY", not in the service's currency: give it in "CAD"
	// service Harbour Surface: zone CA: step 2: does not reach beyond the step before: list the steps from the least to the greatest, each above zero
}

func ExampleCharges() {
	f := warehouse()
	charges, err := parcels.Charges(&f, []parcels.Lot{
		{ID: "brace", Arrived: date("2026-11-01")},
		{ID: "rule", Arrived: date("2026-11-09")},
	}, date("2026-11-14"))
	if err != nil {
		panic(err)
	}
	for _, c := range charges {
		fmt.Println(c.What, c.Lot, c.Figure, c.Amount)
	}
	// Output:
	// per parcel   500 JPY
	// consolidation  2 lots in one parcel 800 JPY
	// per lot brace  200 JPY
	// storage brace 3 days beyond 10 free, 30 JPY each 90 JPY
	// per lot rule  200 JPY
}
