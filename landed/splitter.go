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
type Splitter struct{ room *room }

// Split is [Split].
func (s *Splitter) Split(h *Haul) (*Statement, error) { return split(h, s.next()) }

// Check is [Haul.Check].
func (s *Splitter) Check(h *Haul) source.Faults { return h.check(s.next()) }

// next is room for another haul.
func (s *Splitter) next() *room {
	if s.room == nil {
		s.room = &room{}
	}
	s.room.empty()
	return s.room
}

// mostKept is room for how many items, lines and the like is kept: that of larger hauls is not.
const mostKept = 10_000

// room is that of one Split: what it works with, and what it makes.
type room struct {
	report   collect.Report
	index    index
	weights  weights
	vectors  [len(basisKnown)]vector
	rates    exchange.Converter
	splitter splitter
	st       Statement

	items     arena.Of[*Item]
	places    arena.Of[int]
	slots     arena.Of[int32] // of ids
	minors    arena.Of[int64] // shares and weights
	prices    arena.Of[money.Amount]
	groups    arena.Of[group]
	lines     arena.Of[Line]
	costs     arena.Of[ItemCost]
	lots      arena.Of[LotCost]
	assessors arena.Of[assessor]
	goods     arena.Of[customs.Line]
	used      arena.Of[fx.Rate]
}

// empty makes it ready for another haul.
func (r *room) empty() {
	r.report, r.st, r.vectors = collect.Report{}, Statement{}, [len(basisKnown)]vector{}
	r.items.Empty(mostKept)
	r.places.Empty(mostKept)
	r.slots.Empty(mostKept)
	r.minors.Empty(mostKept)
	r.prices.Empty(mostKept)
	r.groups.Empty(mostKept)
	r.lines.Empty(mostKept)
	r.costs.Empty(mostKept)
	r.lots.Empty(mostKept)
	r.assessors.Empty(mostKept)
	r.goods.Empty(mostKept)
	r.used.Empty(mostKept)
}
