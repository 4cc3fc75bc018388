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
// is bid for, and an open lot is in none that has: what is said of it otherwise is told, and the
// lot counts in one more parcel.

// parcelsOf are a haul's parcels, each with its bill. A bill for all of them is for those in which
// something is bought, and stands at the first.
func parcelsOf(h *landed.Haul) []landed.Parcel {
	list := slices.Clone(h.Parcels)
	if h.Border == nil || h.Border.Bill == (landed.Bill{}) {
		return list
	}
	if len(list) == 0 {
		list = []landed.Parcel{{ID: "that came", Lots: h.LotIDs(), At: h.Border.At}}
	}
	bill, open := h.Border.Bill, h.Open()
	for i := range list {
		if holdsOther(&list[i], open) {
			list[i].Bill, list[i].At = bill, h.Border.At
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

// misplaced are the open lots in a parcel that has come.
func misplaced(p *landed.Parcel, open []string) []string {
	if p.Bill == (landed.Bill{}) || !holdsOther(p, open) {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(p.Lots), func(id string) bool { return !slices.Contains(open, id) })
}

// checkBilled warns of open lots in parcels that have come.
func checkBilled(h *landed.Haul, report *collect.Report) {
	open := h.Open()
	if len(open) == 0 {
		return
	}
	for _, p := range parcelsOf(h) {
		if lots := misplaced(&p, open); len(lots) > 0 {
			field, remedy := "parcel "+p.ID, "list what is open in another parcel"
			if h.Border != nil && h.Border.Bill != (landed.Bill{}) {
				field, remedy = "customs", "list what is open in one under parcels, all that came in another"
			}
			report.Add(&source.Fault{At: p.At.Key("assessed"), Field: field + ": assessed", Warning: true,
				What:   fmt.Sprintf("what was billed has come, but not what is still open (%s), which bids count in a further parcel", strings.Join(lots, ", ")),
				Remedy: remedy})
		}
	}
}

// inTime is the haul with no open lot in a parcel that has come, and with each bill at its parcel;
// the haul itself where no lot is open, or nothing is billed.
func inTime(h *landed.Haul) *landed.Haul {
	open, list := h.Open(), parcelsOf(h)
	if len(open) == 0 || !slices.ContainsFunc(list, func(p landed.Parcel) bool { return p.Bill != (landed.Bill{}) }) {
		return h
	}
	later := landed.Parcel{ID: "to come"}
	for i := range list {
		p := &list[i]
		for p.ID == later.ID {
			later.ID += " later"
		}
		if lots := misplaced(p, open); len(lots) > 0 {
			later.Lots, later.At = append(later.Lots, lots...), p.At
			p.Lots = slices.DeleteFunc(slices.Clone(p.Lots), func(id string) bool { return slices.Contains(lots, id) })
		} else if !holdsOther(p, open) {
			p.Bill = landed.Bill{}
		}
	}
	if len(later.Lots) > 0 {
		list = append(list, later)
	}
	other := *h
	if other.Parcels = list; h.Border != nil {
		border := *h.Border
		border.Bill, other.Border = landed.Bill{}, &border
	}
	return other.AsMet()
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
	if h.Border != nil && len(lots) > 0 {
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
		if c.Kind != landed.Freight {
			continue
		}
		if len(c.On) == 0 {
			c.On = there
		}
		sent.Charges = append(sent.Charges, c)
	}
	return &sent
}
