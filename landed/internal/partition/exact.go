package partition

import (
	"math"
	"slices"
)

// space numbers every set of some blocks, alike ones counted and not distinguished: a set's number
// is the sum of its blocks' numbers, and the number of what remains of a set is a difference. What
// is known of sets is kept for those that may be carried, in the order of their numbers; the place
// of the empty one is 0.
type space struct {
	s       *solver
	members []group // the classes
	rows    []int64 // how many blocks of each class
	stride  []int   // the number of one block of each class; one more entry: how many sets there are
	binary  bool    // every class is one block
	groups  halves  // the blocks of each set, in standard form
	floors  floors
	ways    []sight

	number  []uint32 // of each set that may be carried
	low     []int64  // what it costs at least; never: no mode carries it
	known   []bool   // low is its cost
	mode    []int32
	refused []uint64 // the modes below 64 that refuse the set; nil unless refusals grow

	alive [][]uint32 // the places of the sets that may be in a better plan, by the last of their classes

	prices prices
	sides  []*prices // for plans of more parts than some number, and of others where that is not few
	pairs  int64     // the least of a set and all others in one part, or upper where that is not known
	bound  int64     // no plan costs less, scaled
	walk   *walk     // the last one

	before  int      // how many costs were asked for before
	began   int      // how much work was done before
	upper   int64    // only plans below are looked for
	dropped int64    // upper when sets were dropped last
	chosen  []uint32 // the places of the best found
	proven  bool     // nothing below upper is left to find
}

// newSpace numbers the sets of the blocks; nil when there are more than so many unlike blocks have.
func newSpace(blocks group, s *solver, upTo int) *space {
	e := &space{s: s, binary: true, members: classes(blocks, func(a, b int) bool { return s.class[a] == s.class[b] })}
	size := 1
	for _, class := range e.members {
		n := class.len()
		e.rows = append(e.rows, int64(n))
		e.stride = append(e.stride, size)
		e.binary = e.binary && n == 1
		if size *= n + 1; size > 1<<upTo {
			return nil
		}
	}
	e.stride = append(e.stride, size)
	e.groups = e.halved(func(_, b int) int64 { return 1 << b })
	return e
}

// size is how many sets there are, carried or not.
func (e *space) size() int { return e.stride[len(e.rows)] }

// group returns the blocks of a set.
func (e *space) group(number uint32) group { return group(e.groups.of(number)) }

// at returns the place of a set that may be carried.
func (e *space) at(number uint32) uint32 {
	if int(number) < len(e.number) && e.number[number] == number { // none before it is left out
		return number
	}
	place, _ := slices.BinarySearch(e.number[:min(len(e.number), int(number)+1)], number)
	return uint32(place)
}

// fill lists the sets that may be carried: each is one that was found before and a block more. One
// that no mode carries, or that costs as much as the plan to beat however little is levied, does
// not grow into any other.
func (e *space) fill() {
	e.floors = e.newFloors()
	e.number, e.low, e.alive = []uint32{0}, []int64{0}, make([][]uint32, len(e.members))
	most := min(e.upper, never)
	for c, class := range e.members {
		for i := 0; i < len(e.number) && int(e.number[i])+e.stride[c] < e.stride[c+1]; i++ {
			g := e.group(e.number[i])
			if e.s.apart[(class&^g).first()]&g != 0 {
				continue
			}
			number := e.number[i] + uint32(e.stride[c])
			bare, low := e.floors.of(number, e.upper)
			if bare >= most && i > 0 {
				continue
			}
			if low < e.upper {
				e.alive[c] = append(e.alive[c], uint32(len(e.number)))
			}
			e.number, e.low = append(e.number, number), append(e.low, low)
		}
	}
	e.known, e.mode = make([]bool, len(e.number)), make([]int32, len(e.number))
	if e.s.p.RefusalsGrow {
		e.refused = make([]uint64, len(e.number))
	}
	e.s.looked(len(e.number))
}

// run looks for the cheapest division into parts that costs less than upper.
func (e *space) run(upper int64) {
	e.upper, e.pairs = upper, upper
	e.fill()
	e.ways = e.sights()
	e.prices.start(e)
	e.bound = min(e.least(uint32(e.size()-1)), e.upper) << e.prices.shift
	e.before, e.began = e.s.evaluated, e.s.work
	for asked := true; asked && !e.s.stopped() && !e.spent(); e.drop() {
		e.relax()
		asked = e.search()
	}
}

// Of more unlike blocks than provenAt a plan is taken once so many costs were asked for without a
// proof: what is left to gain is the roundings of plans as good.
// Where that is less than a minor unit a block fewer do, as long as many sets are left.
// The same goes for steps of work where there are brackets: what they leave open would be searched
// for many times as long, for less than a hundredth.
const provenAt, enough, littleLeft, enoughWork = 12, 12_000, 1_000, 100_000

// allowed is how many costs may be asked for in all.
func (e *space) allowed() int {
	if e.size() <= 1<<provenAt {
		return math.MaxInt
	}
	left := 0
	for _, sets := range e.alive {
		left += len(sets)
	}
	if left > littleLeft && e.upper-ceilShift(e.bound, e.prices.shift) <= int64(len(e.rows)) {
		return littleLeft
	}
	return enough
}

// spent reports whether that many were, or as much work was done as is worth its while.
func (e *space) spent() bool {
	if len(e.s.levies.list) > 0 && e.size() > 1<<provenAt && e.s.work-e.began > enoughWork {
		return true
	}
	return e.s.evaluated-e.before > e.allowed()
}

// evaluate asks for the cost of the set at a place; false where it is known.
func (e *space) evaluate(i uint32) bool {
	if e.known[i] {
		return false
	}
	g := e.s.standard(e.group(e.number[i]))
	q, ok := e.s.known[g]
	if !ok {
		q = e.s.ask(g, e.low[i], e.refusing(i))
		e.s.known[g] = q
	}
	e.low[i], e.mode[i], e.known[i] = q.cost, int32(q.mode), true
	if e.refused != nil {
		e.refused[i] = q.refused
	}
	return true
}

// refusing returns the modes that refuse a smaller set, and so this one when refusals grow.
func (e *space) refusing(i uint32) (modes uint64) {
	if e.refused == nil {
		return 0
	}
	g := e.group(e.number[i])
	for c, class := range e.members {
		if g&class != 0 {
			modes |= e.refused[e.at(e.number[i]-uint32(e.stride[c]))]
		}
	}
	return modes
}

// drop forgets the sets that no plan below upper can hold: those that cost more than their blocks'
// prices by all that such a plan may, of whichever number of parts, or with which all others cost
// too much however divided. It returns the least of a set that is left and all others in one part.
func (e *space) drop() (pairs int64) {
	budget, all, other := e.prices.budget(e), uint32(e.size()-1), len(e.number)-1
	pairs = e.upper
	for c, sets := range e.alive {
		kept := sets[:0]
		for _, i := range sets {
			if e.low[i] >= e.upper || e.prices.excess(e, i) >= budget {
				continue
			}
			others := all - e.number[i]
			for e.number[other] > others {
				other--
			}
			pair := e.upper
			if e.number[other] == others {
				pair = min(pair, e.low[i]+e.low[other])
			}
			if (pair < e.upper || e.may(i)) && (e.upper == e.dropped || e.low[i]+e.least(others) < e.upper) {
				kept, pairs = append(kept, i), min(pairs, pair)
			}
		}
		e.alive[c] = kept
	}
	e.dropped = e.upper
	return pairs
}

// may reports whether a set may be in a plan of other than few parts.
func (e *space) may(i uint32) bool {
	for _, p := range e.sides {
		if p.excess(e, i) < p.budget(e) {
			return true
		}
	}
	return e.sides == nil
}

// take keeps a plan found.
func (e *space) take(chosen []uint32) {
	var cost int64
	for _, i := range chosen {
		cost += e.low[i]
	}
	if cost < e.upper {
		e.upper, e.chosen = cost, chosen
	}
}

// improve changes a plan found for the better, a part or two at a time.
func (e *space) improve(chosen []uint32) {
	p := e.planOf(chosen)
	if e.s.improve(&p); p.cost >= e.upper || e.s.err != nil {
		return
	}
	var better []uint32
	for _, g := range p.parts {
		i := e.at(e.numberOf(g))
		if int(i) == len(e.number) || e.number[i] != e.numberOf(g) {
			return
		}
		e.evaluate(i)
		better = append(better, i)
	}
	e.take(better)
}

// numberOf is the number of a group's set.
func (e *space) numberOf(g group) (number uint32) {
	for c, class := range e.members {
		number += uint32((g & class).len() * e.stride[c])
	}
	return number
}

// planOf is a plan of sets of known costs, each block in one part.
func (e *space) planOf(chosen []uint32) plan {
	var out plan
	for _, i := range chosen {
		out.cost += e.low[i]
		out.parts = append(out.parts, e.group(e.number[i]))
	}
	deal(out.parts, e.members)
	return out
}

// deal gives each part blocks of its own: a class's blocks are handed out in turn, as many as the
// part holds.
func deal(parts []group, classes []group) {
	for _, class := range classes {
		rest := class
		for i, g := range parts {
			parts[i] &^= class
			for count := (g & class).len(); count > 0; count-- {
				parts[i] |= rest & -rest
				rest &= rest - 1
			}
		}
	}
}

// solveExact finds the best plan of all blocks, as far as the work allows.
func (s *solver) solveExact(e *space) {
	e.run(s.best.cost)
	if e.chosen != nil && s.err == nil {
		s.offer(e.planOf(e.chosen))
	}
	s.proven = e.proven
	s.bound = max(s.bound, ceilShift(e.bound, e.prices.shift))
}

// solvePart finds a cheaper division of the parts' blocks, proven as far as the work allows; false
// when it finds none.
func (s *solver) solvePart(parts plan) (plan, bool) {
	var blocks group
	for _, g := range parts.parts {
		blocks |= g
	}
	e := newSpace(blocks, s, exactFrom)
	if e == nil {
		return plan{}, false
	}
	e.run(parts.cost)
	if e.chosen == nil || s.err != nil {
		return plan{}, false
	}
	return e.planOf(e.chosen), true
}
