package bid

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/landed/together"
)

// A parcel for which there is a bill of the border has come. What it cost is known, whatever else
// is bid for, and no open lot is in it: one that is said to be counts in one more parcel.

// parcelsOf are a haul's parcels, each with its bill. A bill for all of them is for those in which
// something is bought, and stands at the first.
func parcelsOf(h *landed.Haul, open []string) []landed.Parcel {
	list := slices.Clone(h.Parcels)
	if h.Border == nil || h.Border.Bill == (landed.Bill{}) {
		return list
	}
	if len(list) == 0 {
		list = []landed.Parcel{{ID: "that came", Lots: h.LotIDs()}}
	}
	bill := h.Border.Bill
	for i := range list {
		if list[i].At = h.Border.At; holdsOther(&list[i], open) {
			list[i].Bill = bill
			for _, line := range []*money.Amount{&bill.Duty, &bill.Tax, &bill.Fee} {
				*line = money.New(0, line.Currency())
			}
		}
	}
	return list
}

// holdsOther reports whether a parcel holds a lot that is none of some.
func holdsOther(p *landed.Parcel, lots []string) bool {
	return slices.ContainsFunc(p.Lots, func(id string) bool { return !slices.Contains(lots, id) })
}

// inTime is the haul with each bill at its parcel, and with one parcel more for the open lots in
// those that were billed, if any; the haul itself where no lot is open, or nothing is billed.
func inTime(h *landed.Haul) (in *landed.Haul, more landed.Parcel) {
	open := h.Open()
	if len(open) == 0 {
		return h, more
	}
	list := parcelsOf(h, open)
	if !slices.ContainsFunc(list, func(p landed.Parcel) bool { return p.Bill != (landed.Bill{}) }) {
		return h, more
	}
	isOpen := func(id string) bool { return slices.Contains(open, id) }
	more.ID = "to come"
	for i := range list {
		p := &list[i]
		if p.ID == more.ID {
			more.ID += " later"
		}
		if !holdsOther(p, open) {
			p.Bill = landed.Bill{}
		} else if p.Bill != (landed.Bill{}) && slices.ContainsFunc(p.Lots, isOpen) {
			p.Lots, more.At = slices.Clone(p.Lots), p.At
			more.Lots = append(more.Lots, slices.DeleteFunc(slices.Clone(p.Lots), func(id string) bool { return !isOpen(id) })...)
			p.Lots = slices.DeleteFunc(p.Lots, isOpen)
		}
	}
	if len(more.Lots) > 0 {
		list = append(list, more)
	}
	other := *withoutBills(h, open)
	other.Parcels = list
	return other.AsMet(), more
}

// checkBilled warns of open lots in parcels that have come.
func checkBilled(h *landed.Haul, report *collect.Report) {
	if _, more := inTime(h); len(more.Lots) > 0 {
		report.Add(&source.Fault{At: more.At.Key("assessed"), Field: "assessed", Warning: true,
			What:   fmt.Sprintf("what was billed has come, but not what is still open (%s), which bids count in a further parcel", strings.Join(more.Lots, ", ")),
			Remedy: "list what is open in a parcel of its own"})
	}
}

// withoutBills is the haul as it is estimated where some lots are bid for: without the bills of
// parcels that hold one of them, since those are for another price.
func withoutBills(h *landed.Haul, lots []string) *landed.Haul {
	other := *h
	other.Parcels = slices.Clone(h.Parcels)
	for i := range other.Parcels {
		if p := &other.Parcels[i]; slices.ContainsFunc(p.Lots, func(id string) bool { return slices.Contains(lots, id) }) {
			p.Bill = landed.Bill{}
		}
	}
	if h.Border != nil {
		border := *h.Border
		border.Bill, other.Border = landed.Bill{}, &border
	}
	return &other
}

// came lists the lots of parcels that have come.
func came(h *landed.Haul) []string {
	var lots []string
	for i := range h.Parcels {
		if p := &h.Parcels[i]; p.Bill != (landed.Bill{}) {
			lots = append(lots, p.Lots...)
		}
	}
	return lots
}

// sentAs is [together.SentAs] of the lots that are still to come: parcels that have come stand, and
// so does freight that was charged for what is in them.
func sentAs(h *landed.Haul, parcels []together.Sent) *landed.Haul {
	there := came(h)
	if len(there) == 0 {
		return together.SentAs(h, parcels)
	}
	sent := *h
	sent.Parcels = slices.DeleteFunc(slices.Clone(h.Parcels), func(p landed.Parcel) bool { return p.Bill == (landed.Bill{}) })
	for i := range parcels {
		p := parcels[i].Parcel
		for slices.ContainsFunc(sent.Parcels, func(o landed.Parcel) bool { return o.ID == p.ID }) {
			p.ID += " to come"
		}
		sent.Parcels = append(sent.Parcels, p)
	}
	paid := h.Only(func(l *landed.Lot) bool { return slices.Contains(there, l.ID) })
	sent.Charges = together.SentAs(h, nil).Charges
	for _, c := range paid.Charges {
		if !c.OfParcels() {
			continue
		}
		if len(c.On) == 0 {
			c.On = there
		}
		sent.Charges = append(sent.Charges, c)
	}
	return &sent
}
