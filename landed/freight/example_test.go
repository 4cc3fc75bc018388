package freight_test

import (
	"fmt"

	"lotcost/landed/freight"
	"lotcost/landed/internal/typed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// All that is wrong with a service is reported at once.
func ExampleService_Check() {
	s := freight.Service{Name: "Harbour Surface", Currency: money.MustCurrency("CAD"), Billed: freight.Greater,
		Zones: []freight.Zone{{Name: "DE", Steps: []money.Step[measure.Weight]{
			{UpTo: measure.Kilogram, Price: typed.Amount("24 CAD")},
			{UpTo: measure.Kilogram, Price: typed.Amount("31 CAD")},
		}}}}
	fmt.Println(s.Check())
	s.Divisor, s.Zones[0].Steps[1].UpTo = 5000, 2*measure.Kilogram
	fmt.Println(s.Check())
	// Output:
	// service Harbour Surface: volumetric divisor: is missing where the volume is billed: give the cm3 that count as 1 kg, as in 5000
	// service Harbour Surface: zone DE: step 2: does not reach beyond the step before: list the steps from the least to the greatest, each above zero
	// <nil>
}
