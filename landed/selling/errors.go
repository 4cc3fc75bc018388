package selling

import (
	"fmt"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// UnknownVenue tells that no venue has the name asked for.
const UnknownVenue source.Reason = "no venue has that name"

func unknownVenue(name string, known []string) error {
	f := &source.Fault{What: fmt.Sprintf("no venue is called %q", name), Remedy: "the haul names none", Err: UnknownVenue}
	if len(known) > 0 {
		f.Remedy = source.DidYouMean(name, known)
	}
	return source.Faults{f}
}

// CheckWeight returns a fault of the figure "weight" where the postage of a sale
// goes by weight and the item has none.
func CheckWeight(item *landed.Item, s *resale.Sale) error {
	if s.ByWeight() && !item.Weighed {
		return &source.Fault{What: fmt.Sprintf("item %s has no weight, but postage at %s goes by weight", item.ID, s.Venue.Name),
			Remedy: "write what one piece weighs", Figure: "weight"}
	}
	return nil
}

// UnsentError tells that buyers pay postage, or orders are packed, at a venue of
// which nobody says what sending costs, nor that nothing is sent.
type UnsentError struct {
	venue            string
	charged, packing money.Amount // no currency when nothing
}

// Error says what is wrong and what would put it right.
func (e *UnsentError) Error() string {
	what, at := fmt.Sprintf("buyers pay %s for postage", e.charged), ""
	if e.charged.Sign() <= 0 {
		what = fmt.Sprintf("packing costs %s", e.packing)
	}
	if e.venue != "" {
		at = fmt.Sprintf("venue %q: ", e.venue)
	}
	return at + what + ", but it is not said what sending costs: write ships: no at the venue if nothing is sent from there, or what sending costs, as in postage: 14.95"
}
