package selling_test

import (
	"testing"

	"lotcost/landed/resale"
	"lotcost/landed/selling"
)

// TestVenue: a venue is found by its name, and one that is not there may be meant
// for another.
func TestVenue(t *testing.T) {
	p := &selling.Plan{Usual: "quay", Venues: []resale.Venue{{Name: "gable"}, {Name: "quay"}}}
	for name, want := range map[string]int{"": 1, "gable": 0, "quay": 1} {
		if at, err := p.Venue(name); err != nil || at != want {
			t.Errorf("%q is at %d, %v; want %d", name, at, err, want)
		}
	}
	for want, of := range map[string]*selling.Plan{
		`no venue is called "gabel": did you mean gable?`: p,
		`no venue is called "gabel": the haul names none`: nil,
	} {
		if _, err := of.Venue("gabel"); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}
