package landed

import (
	"lotcost/fx"
	"lotcost/landed/customs"
	"lotcost/landed/internal/arena"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Splitter splits many hauls, each in the room of the one before: a statement, and what comes of
// it, is good until the next haul is split or checked. The zero value is ready for use, by one
// goroutine.
type Splitter struct{ room room }

// Split is [Split]. A haul in which Check found nothing just before, be it now without its open
// prices, is not checked again: it is not to be changed between the two.
func (s *Splitter) Split(h *Haul) (*Statement, error) {
	if h == nil || !s.room.hasChecked(h) {
		s.room.empty()
	}
	st, err := split(h, &s.room)
	s.room.checked = false
	return st, err
}

// Check is [Haul.Check].
func (s *Splitter) Check(h *Haul) source.Faults {
	s.room.empty()
	found := h.check(&s.room)
	s.room.checked = len(found) == 0 && h.WithoutLost() == h
	return found
}

// hasChecked reports whether the index is that of a haul in which nothing is wrong.
func (r *room) hasChecked(h *Haul) bool {
	c := r.index.haul
	return r.checked && h.Border == c.Border && same(h.Lots, c.Lots) && same(h.Parcels, c.Parcels) && same(h.Charges, c.Charges)
}

func same[T any](a, b []T) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// room is that of one Split: what it works with, and what it makes.
type room struct {
	report   collect.Report
	index    index
	checked  bool // that is the index of a haul in which nothing is wrong
	weights  weights
	vectors  [len(basisKnown)]vector
	rates    exchange.Converter
	splitter splitter
	st       Statement

	items     arena.Of[*Item]
	places    arena.Of[int]
	slots     arena.Of[int32] // of ids
	minors    arena.Of[int64] // shares and weights
	parcels   arena.Of[[]int]
	prices    arena.Of[money.Amount]
	groups    arena.Of[group]
	lines     arena.Of[Line]
	costs     arena.Of[ItemCost]
	lots      arena.Of[LotCost]
	assessors arena.Of[assessor]
	used      arena.Of[fx.Rate]

	consignments arena.Of[customs.Consignments]
	boxes        arena.Of[customs.Parcel]
	goods        arena.Of[customs.Line]
}

// empty makes it ready for another haul.
func (r *room) empty() {
	r.checked, r.report, r.st, r.vectors = false, collect.Report{}, Statement{}, [len(basisKnown)]vector{}
	arena.Empty(&r.items, &r.places, &r.slots, &r.minors, &r.parcels, &r.prices, &r.groups, &r.lines, &r.costs, &r.lots, &r.assessors, &r.used,
		&r.consignments, &r.boxes, &r.goods)
}
