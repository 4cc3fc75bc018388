// Package came tells what of a haul has come. A parcel for which there is a bill of the border has,
// one whose freight the bank took, and one that was opened: it can be sent in no other way, and no
// open lot is in it. One that is said to be counts in a further parcel.
package came

import (
	"cmp"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
)

// Has reports whether a parcel of a haul has come. What carriers are said to ask does not tell, nor
// does a weight: both stand where a plan was written into a file.
func Has(h *landed.Haul, p *landed.Parcel) bool {
	return p.Bill != (landed.Bill{}) || p.Settled.Freight.Currency() != 0 || Opened(h, p.Lots)
}

// Opened reports whether something was found in some lots, or sold of them, by their ids. An item
// of which nobody paid for a piece tells nothing: it cannot be without what was found.
func Opened(h *landed.Haul, lots []string) bool {
	known := func(it landed.Item) bool { return it.Count > 0 && (it.Found != nil || len(it.Sold) > 0) }
	return slices.ContainsFunc(h.Lots, func(l landed.Lot) bool {
		return l.Bought() && slices.Contains(lots, l.ID) && slices.ContainsFunc(l.Items, known)
	})
}

// Apart is the haul with each bill at its parcel, and with one parcel more for the open lots in
// those that have come, if any; the haul itself where no lot is open, or nothing has come.
func Apart(h *landed.Haul) (in *landed.Haul, more landed.Parcel) {
	open := h.Open()
	if len(open) == 0 {
		return h, more
	}
	list := billed(h, open)
	if !slices.ContainsFunc(list, func(p landed.Parcel) bool { return Has(h, &p) }) {
		return h, more
	}
	isOpen := func(id string) bool { return slices.Contains(open, id) }
	for i := range list {
		p := &list[i]
		if !holdsOther(p, open) {
			p.Freight, p.Settled.Freight = cmp.Or(p.Freight, p.Settled.Freight), money.Amount{}
			p.Bill = landed.Bill{}
		} else if Has(h, p) && slices.ContainsFunc(p.Lots, isOpen) {
			p.Lots, more.At = slices.Clone(p.Lots), p.At
			more.Lots = append(more.Lots, slices.DeleteFunc(slices.Clone(p.Lots), func(id string) bool { return !isOpen(id) })...)
			p.Lots = slices.DeleteFunc(p.Lots, isOpen)
		}
	}
	if len(more.Lots) > 0 {
		more.ID = FreeID(list, "to come")
		list = append(list, more)
	}
	other := *h.WithoutBills()
	other.Parcels = list
	return other.AsMet(), more
}

// billed are a haul's parcels, one where it has none, each with its bill. A bill for all of them is
// for those in which something is bought, and stands at the first.
func billed(h *landed.Haul, open []string) []landed.Parcel {
	list := slices.Clone(h.Parcels)
	if len(list) == 0 {
		list = []landed.Parcel{{ID: "that came", Lots: h.LotIDs()}}
	}
	if !all(h) {
		return list
	}
	bill := h.Border.Bill
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

// all reports whether there is a bill for all parcels.
func all(h *landed.Haul) bool { return h.Border != nil && h.Border.Bill != (landed.Bill{}) }

// holdsOther reports whether a parcel holds a lot that is none of some.
func holdsOther(p *landed.Parcel, lots []string) bool {
	return slices.ContainsFunc(p.Lots, func(id string) bool { return !slices.Contains(lots, id) })
}

// FreeID is an id that no parcel has.
func FreeID(list []landed.Parcel, id string) string {
	for slices.ContainsFunc(list, func(p landed.Parcel) bool { return p.ID == id }) {
		id += " later"
	}
	return id
}

// Of is what has come of a haul that is as [Apart] leaves it: parcels, and the ids of their lots.
// A bill for all of them is for all lots, and so is what was found where all are in one parcel.
func Of(h *landed.Haul) (parcels []landed.Parcel, lots []string) {
	if all(h) || len(h.Parcels) == 0 && Opened(h, h.LotIDs()) {
		return h.Parcels, h.LotIDs()
	}
	for i := range h.Parcels {
		if p := h.Parcels[i]; Has(h, &p) {
			parcels, lots = append(parcels, p), append(lots, p.Lots...)
		}
	}
	return parcels, lots
}
