package partition

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"
)

// group is a set of blocks: bit i stands for block i. A block is what travels as one: an element,
// or elements merged by Together.
type group uint64

func (g group) has(b int) bool { return g>>b&1 == 1 }
func (g group) len() int       { return bits.OnesCount64(uint64(g)) }
func (g group) first() int     { return bits.TrailingZeros64(uint64(g)) }

// quote is the cheapest mode for a group; cost is never when none carries it.
type quote struct {
	cost    int64
	mode    int
	refused uint64 // the modes below 64 that refuse it
}

// plan is a division of blocks into parts. It costs never or more while it holds a part that no
// mode carries.
type plan struct {
	parts []group
	cost  int64
}

func (p plan) clone() plan { return plan{slices.Clone(p.parts), p.cost} }

// solver is one run of Solve.
type solver struct {
	p   *Problem
	ctx context.Context

	all     group
	blocks  []Set   // the elements of each block
	weight  []int64 // of each block
	each    []int64 // fine
	joined  group   // the blocks of several elements
	apart   []group // the blocks that each block must not meet
	class   []int   // alike blocks share a number; classes are numbered in the order of their first blocks
	alike   []group // the classes of more than one block
	steps   tariff
	boxes   boxes
	levies  brackets
	figures [][]int64 // by block
	sums    []int64   // of one part
	likely  int       // the mode that asked least of one last
	list    []quote   // room for what modes ask at least
	ahead   []ahead

	work, limit int
	thousandth  int // sets looked at that do not make up a step yet
	exactUpTo   int
	progress    func(done, total int, best int64)
	known       map[group]quote
	evaluated   int
	best        plan
	bound       int64 // no plan costs less
	proven      bool  // best is best
	err         error
}

// newSolver checks the problem and prepares a run.
func newSolver(ctx context.Context, p *Problem, o Options) (*solver, error) {
	if err := p.check(o); err != nil {
		return nil, err
	}
	merged := p.Blocks()
	if err := p.conflict(merged); err != nil {
		return nil, err
	}
	s := &solver{p: p, ctx: ctx, blocks: merged, known: map[group]quote{},
		limit: cmp.Or(o.Work, 20_000_000), exactUpTo: cmp.Or(o.exactUpTo, 20), progress: o.Progress}
	s.describe()
	return s, nil
}

// describe works out what is known of each block.
func (s *solver) describe() {
	p, n := s.p, len(s.blocks)
	s.all = group(^uint64(0) >> (64 - n))
	s.weight, s.each, s.apart = make([]int64, n), make([]int64, n), make([]group, n)
	var total int64
	for b, elements := range s.blocks {
		s.weight[b], s.each[b] = elements.sum(p.Weight), elements.sum(p.Each)
		total += s.weight[b]
		if elements.Len() > 1 {
			s.joined |= 1 << b
		}
	}
	for _, of := range p.Figures {
		list := make([]int64, n)
		for b, elements := range s.blocks {
			list[b] = elements.sum(of)
		}
		s.figures = append(s.figures, list)
	}
	for _, pair := range p.Apart {
		a, b := s.blockOf(pair[0]), s.blockOf(pair[1])
		s.apart[a] |= 1 << b
		s.apart[b] |= 1 << a
	}
	if p.Carriage != nil {
		s.steps = newTariff(p.Carriage, total)
	}
	s.levies = s.newBrackets()
	s.classify()
}

func (s *solver) blockOf(element int) int {
	return slices.IndexFunc(s.blocks, func(elements Set) bool { return elements.Has(element) })
}

// classify finds the blocks that may stand for each other: as many elements of each kind, and apart
// from the same blocks.
func (s *solver) classify() {
	s.class = make([]int, len(s.blocks))
	for c, g := range classes(s.all, s.twins) {
		for rest := g; rest != 0; rest &= rest - 1 {
			s.class[rest.first()] = c
		}
		if g.len() > 1 {
			s.alike = append(s.alike, g)
		}
	}
}

// classes divides blocks into those that are the same, in the order of their first ones.
func classes(blocks group, same func(a, b int) bool) []group {
	var found []group
	for ; blocks != 0; blocks &= blocks - 1 {
		b := blocks.first()
		c := slices.IndexFunc(found, func(g group) bool { return same(g.first(), b) })
		if c < 0 {
			c, found = len(found), append(found, 0)
		}
		found[c] |= 1 << b
	}
	return found
}

func (s *solver) twins(a, b int) bool {
	return s.p.Kind != nil && s.apart[a] == s.apart[b] && slices.Equal(s.kinds(a), s.kinds(b))
}

func (s *solver) kinds(b int) []int {
	var kinds []int
	for _, element := range s.blocks[b].Elements() {
		kinds = append(kinds, s.p.Kind[element])
	}
	slices.Sort(kinds)
	return kinds
}

// elements returns the elements of a group.
func (s *solver) elements(g group) Set {
	var out Set
	for ; g != 0; g &= g - 1 {
		out |= s.blocks[g.first()]
	}
	return out
}

// standard replaces alike blocks by the first ones of their class, so that groups that cost the
// same are the same.
func (s *solver) standard(g group) group {
	for _, class := range s.alike {
		count := (g & class).len()
		g &^= class
		for rest := class; count > 0; count-- {
			g |= rest & -rest
			rest &= rest - 1
		}
	}
	return g
}

// parted reports whether the group holds two blocks that must be apart.
func (s *solver) parted(g group) bool {
	for rest := g; rest != 0; rest &= rest - 1 {
		if s.apart[rest.first()]&g != 0 {
			return true
		}
	}
	return false
}

// floor returns a lower bound of the group's cost without asking for it.
func (s *solver) floor(g group) int64 {
	if s.parted(g) {
		return never
	}
	s.sum(g)
	weight := g.sum(s.weight)
	return s.floorWith(g, weight, s.more(weight, s.carriage(weight)))
}

// floorWith is floor where sending costs so much more than the carriage.
func (s *solver) floorWith(g group, weight, more int64) int64 {
	b, each, carriage := &s.levies, rounded(g.sum(s.each)+s.fixed(g)), s.carriage(weight)
	if len(b.list) == 0 || carriage >= never {
		return s.floorOf(carriage, each+more, 0)
	}
	return s.levied(g.sum(b.measure), carriage, each, more,
		func(at int) int64 { return b.asked(b.list[at].owing, g, carriage) },
		func(at int, carriage int64) int64 { return b.asked(&b.list[at].levy, g, carriage) })
}

// levied is what a part of known sums costs at least in its bracket, or in one that it comes to by
// costing more to carry.
func (s *solver) levied(measure, carriage, each, more int64, owing func(at int) int64, asked func(at int, carriage int64) int64) int64 {
	b, least, raised := &s.levies, never, carriage
	for at := 0; ; at++ {
		at = b.of(at, measure, carriage, owing)
		least = min(least, s.floorOf(carriage, each+max(more, raised-carriage), asked(at, raised)))
		if !b.list[at].surely {
			return least
		}
		raised = max(raised, b.list[at].beyond(measure))
	}
}

// fixed is what a part costs at least whatever it weighs and holds, fine.
func (s *solver) fixed(g group) int64 {
	if g.len() > 1 || g&s.joined != 0 {
		return s.p.Joined
	}
	return s.p.Alone
}

// more is how much more than a carriage the modes ask at least for a weight and the sums of
// figures: the mode that asked least before is asked first, and none once one asks no more.
func (s *solver) more(weight, carriage int64) int64 {
	if len(s.figures) == 0 || carriage >= never {
		return 0
	}
	least, first := never, s.likely
	for n := range s.p.Modes {
		mode := (first + n) % s.p.Modes
		if cost, ok := s.p.ModeFloor(mode, weight, s.sums); ok && cost < least {
			if least, s.likely = cost, mode; cost <= carriage {
				return 0
			}
		}
	}
	return least - carriage
}

// carriage is what a part of a weight costs at least to send.
func (s *solver) carriage(weight int64) int64 {
	if s.p.Carriage == nil {
		return 0
	}
	return s.steps.at(weight)
}

// sum adds up what the blocks of a group have.
func (g group) sum(of []int64) int64 {
	var sum int64
	for ; g != 0; g &= g - 1 {
		sum += of[g.first()]
	}
	return sum
}

// floorOf is floor where the sums over the group's blocks are known.
func (s *solver) floorOf(carriage, each, levied int64) int64 {
	if carriage+each > MaxCost {
		return never
	}
	return min(carriage+each+rounded(levied), MaxCost)
}

// quote returns the cheapest mode for a group, asking for a cost once.
func (s *solver) quote(g group) quote {
	g = s.standard(g)
	q, ok := s.known[g]
	if !ok {
		q = s.ask(g, s.floor(g), 0)
		s.known[g] = q
	}
	return q
}

// cost is the cost of the quote.
func (s *solver) cost(g group) int64 { return s.quote(g).cost }

// ask calls Cost for the modes that are not known to refuse the group.
func (s *solver) ask(g group, floor int64, refused uint64) quote {
	q := quote{cost: never, refused: refused}
	if floor >= never || s.err != nil {
		return q
	}
	elements := s.elements(g)
	for _, o := range s.offers(g, floor, &q) {
		mode := o.mode
		if mode < 64 && refused>>mode&1 == 1 || o.cost > q.cost || o.cost == q.cost && mode > q.mode {
			continue
		}
		cost, ok := s.p.Cost(elements, mode)
		s.evaluated++
		s.work++
		if !ok {
			q.refused |= 1 << mode
			continue
		}
		s.checkCost(elements, mode, cost, floor)
		if cost < q.cost || cost == q.cost && mode < q.mode {
			q.cost, q.mode = cost, mode
		}
	}
	return q
}

// offers are what the modes ask for a group at least, the cheapest first, where all of them ask so
// much at least; those that refuse it are noted.
func (s *solver) offers(g group, floor int64, noted *quote) []quote {
	s.list = s.list[:0]
	weight, least := g.sum(s.weight), int64(math.MaxInt64)
	s.sum(g)
	for mode := range s.p.Modes {
		cost := int64(0)
		if s.p.ModeFloor != nil {
			var ok bool
			if cost, ok = s.p.ModeFloor(mode, weight, s.sums); !ok {
				noted.refused |= 1 << mode
				continue
			}
		}
		least = min(least, cost)
		s.list = append(s.list, quote{cost: cost, mode: mode})
	}
	passable, carriage := s.levies.passable(), s.carriage(weight)
	for i := range s.list {
		if o := &s.list[i]; passable {
			o.cost = max(floor, s.floorWith(g, weight, max(0, o.cost-carriage)))
		} else {
			o.cost += floor - least
		}
	}
	slices.SortStableFunc(s.list, func(a, b quote) int { return cmp.Compare(a.cost, b.cost) })
	return s.list
}

// sum adds up the figures of a group.
func (s *solver) sum(g group) {
	s.sums = s.sums[:0]
	for _, of := range s.figures {
		s.sums = append(s.sums, g.sum(of))
	}
}

// checkCost notes the first cost out of range.
func (s *solver) checkCost(elements Set, mode int, cost, floor int64) {
	switch {
	case s.err != nil:
	case cost < 0 || cost > MaxCost:
		s.err = wrong("Cost of "+listed(elements.Elements()), cost, "must be from 0 to 2^50")
	case cost < floor:
		s.err = &problemError{fmt.Sprintf("part of %s by mode %d: cost %d is below the stated floor of %d: lower the floor", listed(elements.Elements()), mode, cost, floor)}
	}
}

// looked counts sets that were looked at without asking for a cost.
func (s *solver) looked(sets int) {
	s.thousandth += sets
	s.work += s.thousandth / 1000
	s.thousandth %= 1000
}

// stopped reports whether the search must end.
func (s *solver) stopped() bool {
	return s.err != nil || s.work >= s.limit || s.ctx.Err() != nil
}

// report tells how far the search is.
func (s *solver) report(done, total int) {
	if s.progress == nil {
		return
	}
	best := s.best.cost
	if best >= never {
		best = -1
	}
	s.progress(done, total, best)
}

// total prices a division.
func (s *solver) total(parts []group) plan {
	out := plan{parts: parts}
	for _, g := range parts {
		out.cost += s.cost(g)
	}
	return out
}

// offer keeps the plan when it is cheaper than the best so far.
func (s *solver) offer(p plan) {
	if s.best.parts == nil || p.cost < s.best.cost {
		s.best = p.clone()
	}
}

// uncarried returns an error when it is plain that some block fits in no part.
func (s *solver) uncarried() error {
	left := s.elementsOf(func(b int) bool {
		tooHeavy := s.p.Carriage != nil && s.steps.at(s.weight[b]) >= never
		return tooHeavy || s.p.RefusalsGrow && s.cost(1<<b) >= never
	})
	if s.err != nil {
		return s.err
	}
	if len(left) > 0 {
		return &NoPlanError{Elements: left, proven: true}
	}
	return nil
}

// elementsOf returns the elements of such blocks.
func (s *solver) elementsOf(such func(b int) bool) []int {
	var out Set
	for b, elements := range s.blocks {
		if such(b) {
			out |= elements
		}
	}
	return out.Elements()
}
