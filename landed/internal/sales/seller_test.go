package sales_test

import (
	"testing"

	"lotcost/landed/internal/sales"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
)

// TestUnsent: what buyers pay for postage is no gain where nobody said what sending costs; where it
// was said, as one amount or by steps, of the venue or of all, nothing is amiss.
func TestUnsent(t *testing.T) {
	cad := money.MustCurrency("CAD")
	fixed := resale.Postage{Fixed: money.New(900, cad)}
	steps := resale.Postage{Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(900, cad)}}}
	for _, c := range []struct {
		name     string
		of, all  resale.Postage
		sending  resale.Sending
		reported bool
	}{
		{name: "nothing said", reported: true},
		{name: "one amount", of: fixed},
		{name: "steps", of: steps},
		{name: "one amount of all", all: fixed},
		{name: "steps of all", all: steps},
		{name: "it is fetched", sending: resale.Fetched},
	} {
		v := &resale.Venue{Name: "gable", Currency: cad, Sending: c.sending, Dispatch: resale.Dispatch{Postage: c.of, Charged: money.New(700, cad)}}
		if got := sales.Unsent(&selling.Plan{Dispatch: resale.Dispatch{Postage: c.all}}, v); (got != "") != c.reported {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}
