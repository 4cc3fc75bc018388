package desk

import (
	"cmp"
	"slices"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/lotfile"
)

// shown is the file as results tell of it: lots and pieces are called what was typed of them, in
// the place of their ids, with the id behind it where others are called alike.
type shown struct {
	*lotfile.File
	names map[string]string // by ids
	ids   map[string]string // by names
	st    *landed.Statement // of what was bought, as [haul.Statement]
}

// Shown is the file as results tell of it; nil while it has mistakes.
func (h *haul) Shown() *shown {
	if h.asShown != nil || h.File == nil {
		return h.asShown
	}
	s := &shown{names: map[string]string{}, ids: map[string]string{}}
	s.callAll(h.File.Lots)
	file, haul := *h.File, *h.File.Haul
	haul.Lots = slices.Clone(haul.Lots)
	for i := range haul.Lots {
		lot := &haul.Lots[i]
		if lot.ID = s.names[lot.ID]; lot.ID == lot.Title {
			lot.Title = ""
		}
		lot.Items = slices.Clone(lot.Items)
		for j := range lot.Items {
			item := &lot.Items[j]
			if item.ID = s.names[item.ID]; item.ID == item.What || item.What != "" {
				item.What = ""
			}
		}
	}
	haul.Parcels, haul.Charges = slices.Clone(haul.Parcels), slices.Clone(haul.Charges)
	for i := range haul.Parcels {
		haul.Parcels[i].Lots = s.named(haul.Parcels[i].Lots)
	}
	for i := range haul.Charges {
		haul.Charges[i].On = s.named(haul.Charges[i].On)
	}
	file.Haul = &haul
	if b := file.Bidding; b != nil && b.Lot != "" {
		other := *b
		other.Lot = s.names[b.Lot]
		file.Bidding = &other
	}
	file.Risks = sheet.Each(file.Risks, func(r *bid.Risk) bid.Risk { other := *r; other.On = s.named(r.On); return other })
	s.File, h.asShown = &file, s
	return s
}

// callAll finds a name for each lot and piece that no other has.
func (s *shown) callAll(lots []landed.Lot) {
	count := names{}
	each := func(do func(id, name, lot string)) {
		for i := range lots {
			title := sheet.Visible(cmp.Or(lots[i].Title, lots[i].ID))
			do(lots[i].ID, title, "")
			for j := range lots[i].Items {
				item := &lots[i].Items[j]
				do(item.ID, sheet.Visible(cmp.Or(item.What, item.ID)), title)
			}
		}
	}
	each(func(_, name, lot string) { count.add(name, lot) })
	each(func(id, name, lot string) {
		if name != id {
			name = count.apart(name, id, lot)
		}
		if s.ids[name] != "" { // an id that is a name of another
			name = id
		}
		s.names[id], s.ids[name] = name, id
	})
}

func (s *shown) named(ids []string) []string {
	return sheet.Each(ids, func(id *string) string { return cmp.Or(s.names[*id], *id) })
}

// idsOf are the ids of what is called so.
func (s *shown) idsOf(names []string) []string {
	return sheet.Each(names, func(name *string) string { return s.idOf(*name) })
}

func (s *shown) idOf(name string) string { return cmp.Or(s.ids[name], name) }

// ShownStatement is [haul.Statement] as results tell of it.
func (h *haul) ShownStatement() *landed.Statement {
	st := h.Statement()
	if st == nil {
		return nil
	}
	s := h.Shown()
	if s.st == nil {
		if s.st, _ = landed.Split(s.File.WithoutOpen()); s.st == nil { // which would be a mistake of ours: the ids do then
			s.st = st
		}
	}
	return s.st
}
