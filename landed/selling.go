package landed

import (
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// Selling says how the pieces that are not kept are to be sold. Its amounts
// may be in any currency for which the haul has a rate; the venues' own are in
// the venue's.
type Selling struct {
	Venues   []resale.Venue
	Usual    string         // name of the venue to sell at; the first where it is empty
	Target   resale.Target  // what each sale is to leave
	Charged  money.Amount   // postage that the buyer pays, unless the venue says otherwise; no currency when nothing
	Packing  money.Amount   // what packing one order costs, likewise
	Postage  resale.Postage // what sending costs the seller; the venue's where this is zero
	Promoted bool           // whether fees for promotion are paid
	Listings int64          // how often a piece is listed until it sells; 0 is once
	VAT      resale.VAT     // Bought is worked out for each piece
	At       source.Origin
}

// Venue finds a venue by its name; the usual one where the name is empty.
func (s *Selling) Venue(name string) (int, bool) {
	if name == "" {
		name = s.Usual
	}
	for i := range s.Venues {
		if s.Venues[i].Name == name || name == "" {
			return i, true
		}
	}
	return 0, false
}

// VenueNames lists the names of the venues, in file order.
func (s *Selling) VenueNames() []string {
	var names []string
	for i := range s.Venues {
		names = append(names, s.Venues[i].Name)
	}
	return names
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

// CheckSending returns an [*UnsentError] where a venue takes postage from
// buyers, or packs, while nothing is said of what sending costs.
func (s *Selling) CheckSending(v *resale.Venue) error {
	said := func(p resale.Postage) bool { return p.Fixed.Currency() != 0 || len(p.Steps) > 0 }
	if v.Sending != resale.SendingUnsaid || said(v.Postage) || said(s.Postage) {
		return nil
	}
	e := &UnsentError{v.Name, s.Charged, s.Packing}
	if v.Charged.Currency() != 0 {
		e.Charged = v.Charged
	}
	if v.Packing.Currency() != 0 {
		e.Packing = v.Packing
	}
	if e.Charged.Sign() > 0 || e.Packing.Sign() > 0 {
		return e
	}
	return nil
}

// DefaultImported reports whether the goods count as imported by whoever sells
// them: unless both countries are known and the same.
func (h *Haul) DefaultImported() bool {
	from, _, _ := strings.Cut(h.From, "-")
	to, _, _ := strings.Cut(h.To, "-")
	return from == "" || from != to
}
