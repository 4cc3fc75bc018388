package selling

import (
	"cmp"
	"fmt"

	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// Plan says how the pieces that are not kept are to be sold. Its amounts
// may be in any currency for which the haul has a rate; the venues' own are in
// the venue's.
type Plan struct {
	Venues          []resale.Venue // where pieces may be sold
	Usual           string         // name of the venue to sell at; the first where it is empty
	Target          resale.Target  // what each sale is to leave
	resale.Dispatch                // of one order, unless the venue says otherwise
	resale.Terms                   // VAT.Bought is worked out for each piece
	CostWord        CostWord       // in which costs stand on labels
	At              source.Origin  // of the section
}

// Venue finds the place of a venue by its name; of the usual one where the name is
// empty. A fault says that there is none, Asked being "venue"; p may be nil.
func (p *Plan) Venue(name string) (int, error) {
	if p == nil {
		return 0, unknownVenue(name, nil)
	}
	name = cmp.Or(name, p.Usual)
	for i := range p.Venues {
		if p.Venues[i].Name == name || name == "" {
			return i, nil
		}
	}
	return 0, unknownVenue(name, p.VenueNames())
}

// VenueNames lists the names of the venues, in file order; p may be nil.
func (p *Plan) VenueNames() []string {
	if p == nil {
		return nil
	}
	var names []string
	for i := range p.Venues {
		names = append(names, p.Venues[i].Name)
	}
	return names
}

func unknownVenue(name string, known []string) error {
	f := &source.Fault{What: fmt.Sprintf("no venue is called %q", name), Remedy: "the haul names none", Asked: "venue"}
	if len(known) > 0 {
		f.Remedy = source.DidYouMean(name, known)
	}
	return source.Faults{f}
}
