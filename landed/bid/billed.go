package bid

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/came"
	"lotcost/landed/internal/collect"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// checkCame warns of open lots in parcels that have come, where that makes a difference.
func (p *Plans) checkCame(h *landed.Haul, report *collect.Report) {
	_, more := came.Apart(h)
	each := func(c landed.Charge) bool { return c.Per == landed.PerParcel }
	carried := func(p landed.Parcel) bool { return p.Carriage != landed.Carriage{} || p.Settled != landed.Carriage{} }
	if len(more.Lots) > 0 && (h.Border != nil || planned(p.Sending) || slices.ContainsFunc(h.Charges, each) || slices.ContainsFunc(h.Parcels, carried)) {
		report.Add(&source.Fault{At: cmp.Or(more.At.Key("assessed"), h.At.Key("lots")), Field: "parcels", Warning: true,
			What:   fmt.Sprintf("what was billed, paid or opened has come, but not what is still open (%s), which bids count in a further parcel", strings.Join(more.Lots, ", ")),
			Remedy: "list what is open in a parcel of its own"})
	}
}

// asToCome is a haul of which a lot is bid for though it was bought: without the bills, since those
// are for another price, and where services are named as if what came with it were not opened.
func (d deal) asToCome(lot string) *landed.Haul {
	other, there := *d.Haul, d.LotIDs()
	other.Parcels = slices.Clone(d.Parcels)
	for i := range other.Parcels {
		p := &other.Parcels[i]
		if !slices.Contains(p.Lots, lot) {
			continue
		}
		if there, p.Bill = p.Lots, (landed.Bill{}); planned(d.Sending) {
			p.Settled.Freight = money.Amount{}
		}
	}
	other.Lots = slices.Clone(d.Lots)
	for i := range other.Lots {
		if l := &other.Lots[i]; planned(d.Sending) && slices.Contains(there, l.ID) {
			l.Items = slices.Clone(l.Items)
			for n := range l.Items {
				if it := &l.Items[n]; it.Count > 0 {
					it.Found, it.Sold = nil, nil
				}
			}
		}
	}
	if d.Border != nil {
		border := *d.Border
		border.Bill, other.Border = landed.Bill{}, &border
	}
	return &other
}
