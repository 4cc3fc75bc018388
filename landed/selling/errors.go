package selling

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// UnknownVenueError tells that no venue has the name asked for.
type UnknownVenueError struct {
	Name  string
	Known []string // none where no venue is named at all
}

// Error names the one that may be meant.
func (e *UnknownVenueError) Error() string {
	if len(e.Known) == 0 {
		return fmt.Sprintf("no venue is called %q: the haul names none", e.Name)
	}
	return fmt.Sprintf("no venue is called %q: %s", e.Name, source.DidYouMean(e.Name, e.Known))
}

// NoWeightError tells that an item has no weight where postage goes by weight.
type NoWeightError struct{ Item, Venue string }

// Error says what to write at the item.
func (e *NoWeightError) Error() string {
	return fmt.Sprintf("item %s has no weight, but postage at %s goes by weight: write what one piece weighs, as in weight: 1.9 kg", e.Item, e.Venue)
}

// CheckWeight returns a [*NoWeightError] where the postage of a sale goes by weight
// and the item has none.
func CheckWeight(item *landed.Item, s *resale.Sale) error {
	if s.ByWeight() && !item.Weighed {
		return &NoWeightError{item.ID, s.Venue.Name}
	}
	return nil
}

// UnsentError tells that buyers pay postage, or orders are packed, at a venue of
// which nobody says what sending costs, nor that nothing is sent.
type UnsentError struct {
	Venue            string
	Charged, Packing money.Amount // no currency when nothing
}

// Error says what is wrong and what would put it right.
func (e *UnsentError) Error() string {
	what, at := fmt.Sprintf("buyers pay %s for postage", e.Charged), ""
	if e.Charged.Sign() <= 0 {
		what = fmt.Sprintf("packing costs %s", e.Packing)
	}
	if e.Venue != "" {
		at = fmt.Sprintf("venue %q: ", e.Venue)
	}
	return at + what + ", but it is not said what sending costs: write ships: no at the venue if nothing is sent from there, or what sending costs, as in postage: 14.95"
}
