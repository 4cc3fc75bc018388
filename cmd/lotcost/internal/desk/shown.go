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
	lots  map[string]string // names of lots, by ids
	names map[string]string // those of pieces, which may have the ids of lots
	ids   map[string]string // by names
	st    *landed.Statement // of what was bought, as [haul.Statement]
}

// Shown is the file as results tell of it; nil while it has mistakes.
func (h *haul) Shown() *shown {
	if h.asShown != nil || h.File == nil {
		return h.asShown
	}
	s := &shown{lots: map[string]string{}, names: map[string]string{}, ids: map[string]string{}}
	s.callAll(h.File.Lots)
	file, haul := *h.File, *h.File.Haul
	haul.Lots = slices.Clone(haul.Lots)
	for lot := range sheet.All(haul.Lots) {
		if lot.ID = s.lots[lot.ID]; lot.ID == lot.Title {
			lot.Title = ""
		}
		lot.Items = slices.Clone(lot.Items)
		for item := range sheet.All(lot.Items) {
			if item.ID = s.names[item.ID]; item.ID == item.What || item.What != "" {
				item.What = ""
			}
		}
	}
	haul.Parcels, haul.Charges = slices.Clone(haul.Parcels), slices.Clone(haul.Charges)
	for i := range haul.Parcels {
		haul.Parcels[i].Lots = s.lotsNamed(haul.Parcels[i].Lots)
	}
	for i := range haul.Charges {
		haul.Charges[i].On = s.named(haul.Charges[i].On)
	}
	file.Haul = &haul
	if b := file.Bidding; b != nil && b.Lot != "" {
		other := *b
		other.Lot = s.lots[b.Lot]
		file.Bidding = &other
	}
	file.Risks = sheet.Each(file.Risks, func(r *bid.Risk) bid.Risk { other := *r; other.On = s.named(r.On); return other })
	s.File, h.asShown = &file, s
	return s
}

// callAll finds a name for each lot and piece that no other has.
func (s *shown) callAll(lots []landed.Lot) {
	count := names{}
	called := func(item *landed.Item) string { return sheet.Visible(cmp.Or(item.What, item.ID)) }
	each := func(do func(id, name, lot string, isPiece bool)) { // isPiece: the lot is that piece, and called so
		for i := range lots {
			items := lots[i].Items
			title := sheet.Visible(cmp.Or(lots[i].Title, spoken("lot", lots[i].ID)))
			isPiece := len(items) == 1 && called(&items[0]) == title
			do(lots[i].ID, title, "", isPiece)
			for j := range items {
				do(items[j].ID, called(&items[j]), title, isPiece)
			}
		}
	}
	each(func(_, name, lot string, _ bool) { count.add(name, lot) })
	each(func(id, name, lot string, isPiece bool) {
		switch {
		case name == id:
		case isPiece && count[name] == 2 && lot == "":
			name += " (lot)"
		case isPiece && count[name] == 2:
		default:
			name = count.apart(name, id, lot)
		}
		if s.ids[name] != "" { // an id that is a name of another
			name = id
		}
		s.ids[name] = id
		if lot == "" {
			s.lots[id] = name
		} else {
			s.names[id] = name
		}
	})
}

// named are the names of pieces, or of lots.
func (s *shown) named(ids []string) []string {
	return sheet.Each(ids, func(id *string) string { return cmp.Or(s.names[*id], s.lots[*id], *id) })
}

func (s *shown) lotsNamed(ids []string) []string {
	return sheet.Each(ids, func(id *string) string { return cmp.Or(s.lots[*id], *id) })
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
