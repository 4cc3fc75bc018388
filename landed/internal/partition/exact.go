package partition

// space numbers every set of some blocks, alike ones counted and not distinguished: a set's number
// is the sum of its blocks' numbers, and the number of what remains of a set is a difference.
type space struct {
	s       *solver
	members []group // the classes
	rows    []int64 // how many blocks of each class
	stride  []int   // the number of one block of each class; one more entry: how many sets there are
	binary  bool    // every class is one block

	sets    []group // in standard form
	least   []int64 // what its blocks cost at least, however divided; nil where nothing is known
	low     []int64 // what the set costs at least; never: no mode carries it
	known   []bool  // low is its cost
	mode    []int32
	refused []uint64 // the modes below 64 that refuse the set; nil unless refusals grow

	alive [][]uint32 // the sets that may be in a better plan, by the last of their classes

	prices prices

	upper  int64    // only plans below are looked for
	chosen []uint32 // the best found
	proven bool     // nothing below upper is left to find
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
	e.sets, e.low = make([]group, size), make([]int64, size)
	e.known, e.mode = make([]bool, size), make([]int32, size)
	if s.p.RefusalsGrow {
		e.refused = make([]uint64, size)
	}
	return e
}

func (e *space) size() int { return len(e.sets) }

// fill describes each set and lists those that may be carried.
func (e *space) fill() {
	sums := e.sums()
	e.alive = make([][]uint32, len(e.members))
	for c, class := range e.members {
		stride, b := e.stride[c], class.first()
		for i := stride; i < e.stride[c+1]; i++ {
			// The set without its last block was described before.
			next := class &^ e.sets[i-stride]
			e.sets[i] = e.sets[i-stride] | next&-next
			for _, sum := range sums {
				sum.by[i] = sum.by[i-stride] + sum.of[b]
			}
			switch {
			case e.s.apart[b]&e.sets[i-stride] != 0, e.low[i-stride] >= never && e.known[i-stride]:
				e.low[i], e.known[i] = never, true
			default:
				e.low[i] = e.lowOf(sums, i)
			}
			if e.low[i] < e.upper {
				e.alive[c] = append(e.alive[c], uint32(i))
			}
		}
	}
	e.s.looked(e.size())
}

// sums is what the blocks of each set have together.
type sums struct{ of, by []int64 }

// sums makes room for weight and each; where there are brackets, for the measure and each by
// bracket too.
func (e *space) sums() []sums {
	levies := &e.s.levies
	of := [][]int64{e.s.weight, e.s.each}
	if len(levies.list) > 0 {
		of = append(of, levies.measure)
	}
	for i := range levies.list {
		of = append(of, levies.list[i].each)
	}
	all := make([]sums, len(of))
	for n := range of {
		all[n] = sums{of[n], make([]int64, e.size())}
	}
	return all
}

// lowOf returns the floor of a set whose sums are known.
func (e *space) lowOf(all []sums, i int) int64 {
	carriage, each := e.s.carriage(all[0].by[i]), all[1].by[i]
	if len(all) == 2 || carriage >= never {
		return e.s.floorOf(carriage, each, nil, 0)
	}
	levies := &e.s.levies
	at := levies.of(all[2].by[i], carriage)
	return e.s.floorOf(carriage, each, &levies.list[at], all[3+at].by[i])
}

// firstRound halves the budget so many times to tell which sets are evaluated first.
const firstRound = 5

// run looks for the cheapest division into parts that costs less than upper.
func (e *space) run(upper int64) {
	e.upper = upper
	e.fill()
	e.foresee()
	e.prices.start(e)
	// The sets most likely to matter are evaluated first, what they teach is used to drop others, and
	// so on. Without floors nothing is known that could tell sets apart.
	round := firstRound
	if p := e.s.p; p.Carriage == nil && p.Each == nil && p.Brackets == nil {
		round = 0
	}
	before := e.s.evaluated
	for ; !e.s.stopped() && !e.spent(before); round = max(round-1, 0) {
		e.relax()
		if all, open := e.count(); round == firstRound || open == 0 || all <= 20_000 {
			if e.searchOn(open); e.proven || e.spent(before) {
				return
			}
		}
		e.evaluateUpTo(e.budget() >> round)
		_, open := e.count()
		e.s.report(e.size()-open, e.size())
	}
}

// Of more unlike blocks than provenAt a plan is taken once so many costs were asked for without a
// proof: what is left to gain is the roundings of plans as good.
// Where that is less than a minor unit a block fewer do.
const provenAt, enough, littleLeft = 12, 20_000, 1_000

// spent reports whether so many costs were asked for since there were before.
func (e *space) spent(before int) bool {
	most := enough
	if e.upper-ceilShift(e.prices.bound, e.prices.shift) <= int64(len(e.rows)) {
		most = littleLeft
	}
	return e.size() > 1<<provenAt && e.s.evaluated-before > most
}

// searchOn searches again with what the costs of the plan found have taught, as long as that is
// less work than to ask for half of the open sets.
func (e *space) searchOn(open int) {
	limit := e.s.work + open*e.s.p.Modes/2
	before := e.s.evaluated
	for e.search() && !e.proven && !e.s.stopped() && e.s.work < limit && !e.spent(before) {
		e.drop()
	}
}

// count is how many sets may be in a better plan, and how many of them have no cost yet.
func (e *space) count() (all, open int) {
	for _, sets := range e.alive {
		all += len(sets)
		for _, i := range sets {
			if !e.known[i] {
				open++
			}
		}
	}
	return all, open
}

// evaluate asks for the cost of a set.
func (e *space) evaluate(i uint32) {
	g := e.s.standard(e.sets[i])
	q, ok := e.s.known[g]
	if !ok {
		q = e.s.ask(g, e.low[i], e.refusing(i))
		// The sets of a small space come back in other spaces; those of a large one would only fill
		// memory.
		if e.size() <= 1<<14 {
			e.s.known[g] = q
		}
	}
	e.low[i], e.mode[i], e.known[i] = q.cost, int32(q.mode), true
	if e.refused != nil {
		e.refused[i] = q.refused
	}
}

// refusing returns the modes that refuse a smaller set, and so this one, when refusals grow.
func (e *space) refusing(i uint32) uint64 {
	if e.refused == nil {
		return 0
	}
	var modes uint64
	for c, class := range e.members {
		if e.sets[i]&class != 0 {
			modes |= e.refused[int(i)-e.stride[c]]
		}
	}
	return modes
}

// evaluateUpTo asks for the costs of the sets that cost so much, or less, above their blocks'
// prices.
func (e *space) evaluateUpTo(excess int64) {
	for _, sets := range e.alive {
		for n, i := range sets {
			if e.known[i] || e.prices.excess(e, i) > excess {
				continue
			}
			e.evaluate(i)
			if n%256 == 0 {
				if e.s.stopped() {
					return
				}
				e.s.report(int(i), e.size())
			}
		}
	}
}

// drop forgets the sets that no plan below upper can hold: those that cost more than their blocks'
// prices by all that such a plan may.
func (e *space) drop() {
	budget := e.budget()
	for c, sets := range e.alive {
		kept := sets[:0]
		for _, i := range sets {
			if e.low[i] < e.upper && e.prices.excess(e, i) < budget {
				kept = append(kept, i)
			}
		}
		e.alive[c] = kept
	}
}

// budget is how much, scaled, a plan below upper costs at most above the blocks' prices, plus one.
func (e *space) budget() int64 {
	return e.upper<<e.prices.shift - e.prices.sum
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

// plan returns the best plan found, each block in one part.
func (e *space) plan() plan {
	out := plan{cost: e.upper}
	for _, i := range e.chosen {
		g := e.sets[i]
		e.s.known[e.s.standard(g)] = quote{cost: e.low[i], mode: int(e.mode[i])}
		out.parts = append(out.parts, g)
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
		s.offer(e.plan())
	}
	s.proven = e.proven
	s.bound = max(s.bound, ceilShift(e.prices.bound, e.prices.shift))
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
	return e.plan(), true
}
