package landed

import (
	"lotcost/landed/measure"
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

// SentWeight returns the weight of the lot as it goes into a box: as packed,
// or else that of its items. It reports false when an item has no weight, or
// when the sum does not fit.
func (l *Lot) SentWeight() (measure.Weight, bool) {
	if l.Packed > 0 {
		return l.Packed, true
	}
	var sum measure.Weight
	for i := range l.Items {
		item := &l.Items[i]
		all, err := item.Weight.Mul(item.Count)
		if err == nil {
			sum, err = sum.Add(all)
		}
		if err != nil || !item.Weighed && item.Count > 0 {
			return 0, false
		}
	}
	return sum, sum > 0
}
