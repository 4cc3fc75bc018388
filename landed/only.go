package landed

// Only returns the haul as if it held no lots but those that keep accepts.
// Parcels and charges lose what names the others, and are gone where nothing else
// is left of them: a charge that covers none of the lots kept is not asked. Every
// other amount stands as it is, but for a bill of customs: that is for all that
// came of the haul or the parcel, so that none stands once a lot is gone that is
// neither lost nor open. The haul itself is not changed. What is returned may hold
// no lots; that costs nothing and is not for [Split].
func (h *Haul) Only(keep func(*Lot) bool) *Haul {
	billed := true
	other, gone := *h, map[string]bool{}
	other.Lots = kept(h.Lots, func(lot *Lot) bool {
		if keep(lot) {
			return true
		}
		gone[lot.ID], billed = true, billed && (lot.Lost || !lot.Bought())
		for i := range lot.Items {
			gone[lot.Items[i].ID] = true
		}
		return false
	})
	if len(gone) == 0 {
		return &other
	}
	// of takes the ids that are gone from a list of those that something is on.
	of := func(ids *[]string) bool {
		*ids = kept(*ids, func(id *string) bool { return !gone[*id] })
		return len(*ids) > 0
	}
	other.Parcels = kept(h.Parcels, func(p *Parcel) bool {
		before := len(p.Lots)
		some := of(&p.Lots)
		if len(p.Lots) < before && !billed {
			p.Bill = Bill{}
		}
		return some
	})
	other.Charges = kept(h.Charges, func(c *Charge) bool { return len(c.On) == 0 || of(&c.On) })
	if !billed {
		other.Border = h.Border.unbilled()
	}
	return &other
}

// OnlyBought returns the haul as if it held no lots but those that are bought: none that is lost,
// and none with an open price. See [Haul.Only].
func (h *Haul) OnlyBought() *Haul {
	return h.Only(func(l *Lot) bool { return l.Bought() && !l.Lost })
}

// ForSale returns the haul of which pieces are sold: as [Haul.OnlyBought] while other lots are
// open, since nobody knows yet what those will cost; the haul itself where none is, or nothing is
// bought.
func (h *Haul) ForSale() *Haul {
	if len(h.Open()) == 0 {
		return h
	}
	if bought := h.OnlyBought(); len(bought.Lots) > 0 {
		return bought
	}
	return h
}

// WithoutLost returns the haul without the lots that are lost, as [Haul.Only]
// does; the haul itself where none is.
func (h *Haul) WithoutLost() *Haul {
	lost := false
	for i := range h.Lots {
		lost = lost || h.Lots[i].Lost
	}
	if !lost {
		return h
	}
	other := h.Only(func(l *Lot) bool { return !l.Lost })
	other.allLost = len(other.Lots) == 0
	return other
}

// kept lists copies of those that keep accepts, as it leaves them.
func kept[T any](list []T, keep func(*T) bool) []T {
	var rest []T
	for _, one := range list {
		if keep(&one) {
			rest = append(rest, one)
		}
	}
	return rest
}
