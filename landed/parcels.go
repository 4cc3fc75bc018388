package landed

import (
	"lotcost/landed/money"
)

// parcelCost is what one parcel cost of one kind.
type parcelCost struct {
	kind           Kind
	key            string // in files
	asked, settled money.Amount
}

// costs lists what a parcel cost to send, that which is not known left out.
func (p *Parcel) costs() []parcelCost {
	var known []parcelCost
	for _, cost := range []parcelCost{{Freight, "freight", p.Freight, p.Settled.Freight},
		{Insurance, "insurance", p.Insurance, p.Settled.Insurance}, {Fee, "fees", p.Fees, p.Settled.Fees}} {
		if cost.asked.Currency() != 0 || cost.settled.Currency() != 0 {
			known = append(known, cost)
		}
	}
	return known
}

// parcels adds the lines of what each parcel cost to send.
func (s *splitter) parcels() {
	if len(s.haul.Parcels) == 0 {
		return
	}
	for n, items := range s.byParcel() {
		p := &s.haul.Parcels[n]
		for _, cost := range p.costs() {
			c := Charge{What: "parcel " + p.ID, Kind: cost.kind, Amount: cost.asked, Settled: cost.settled, At: p.At}
			s.addCharge(&c, s.line(&c), group{items: items, parcel: p.ID, times: 1}, cost.key)
		}
	}
}
