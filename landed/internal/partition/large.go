package partition

import (
	"iter"
	"math/rand/v2"
	"slices"
)

// large is the search for a good plan of more blocks than can be solved exactly, and for a bound.
type large struct {
	s     *solver
	sacks []knapsack // by bracket
	finer []knapsack // the same on a finer grid, once they are needed
	shift uint
	pool  []choice // those to start from
	in    map[choice]bool
}

// choice is a group of blocks as a part by a box of a bracket.
type choice struct {
	group
	sack, step int
}

// relaxed is the relaxation for some free blocks, and those plans alone that its cuts leave.
type relaxed struct {
	*master
	blocks []int // of the first rows
	cuts   []cut // of the others
	from   []choice
	in     map[choice]bool
	bound  int64
}

// solveLarge improves the best plan and the bound until they meet or the work is spent.
func (s *solver) solveLarge() {
	if s.p.Carriage != nil && !s.stopped() {
		s.solveRelaxed()
	}
	s.shake()
}

// solveRelaxed bounds every plan and makes some from the relaxation.
func (s *solver) solveRelaxed() {
	l := s.newLarge()
	root := l.relax(s.all, 1000, nil, l.pool)
	s.bound = max(s.bound, root.bound)
	l.pool = nil
	l.keep(l.near(root))
	random := rand.New(rand.NewPCG(3, 4))
	began := s.work
	for n := 0; n < dives && s.best.cost-s.bound > s.best.cost>>10 && !s.stopped() && s.work-began < l.allowed(); n++ {
		l.dive(random, n > 0)
		s.report(n, dives)
	}
	l.branch(root)
}

// newLarge starts from each block by itself.
func (s *solver) newLarge() *large {
	l := &large{s: s, in: map[choice]bool{}, shift: scaleFor(s.best.cost)}
	s.boxes = s.newBoxes()
	l.sacks = s.newKnapsacks(coarse)
	for rest := s.all; rest != 0; rest &= rest - 1 {
		for i := range l.sacks {
			if step := l.sacks[i].of(rest & -rest); step >= 0 {
				l.pool = append(l.pool, choice{rest & -rest, i, step})
			}
		}
	}
	return l
}

// allowed is how much work may be done on plans from the relaxation, and on telling plans apart.
func (l *large) allowed() int { return len(l.s.blocks) * 25_000 }

// mostPooled is how many choices the pool holds at most for each block.
const mostPooled = 64

// keep adds choices to the pool.
func (l *large) keep(list []choice) {
	for _, c := range list {
		if !l.in[c] && len(l.pool) < mostPooled*len(l.s.blocks) {
			l.in[c] = true
			l.pool = append(l.pool, c)
		}
	}
}

// near are the choices of a relaxation that may be in a plan better than the best: that cost no
// more above their prices than is left to gain.
func (l *large) near(r *relaxed) (list []choice) {
	for j := range r.cols {
		c := &r.cols[j]
		if c.tag > 0 && r.reduced(c) <= (l.s.best.cost-r.bound)<<l.shift {
			list = append(list, r.from[c.tag-1])
		}
	}
	return list
}

// relax solves the relaxation for the free blocks, and those plans alone that some branches leave,
// by column generation from some choices, and finds a bound of their cost.
func (l *large) relax(free group, passes int, branches []cut, from []choice) *relaxed {
	r := l.newRelaxed(free, append(l.cuts(free), branches...), from)
	slack := max(1, l.s.best.cost<<l.shift>>26)
	near := l.s.best.cost << l.shift >> 18 // the last of the way takes as long as all before
	if branches != nil {
		near = l.s.best.cost << l.shift >> 11
	}
	most, began := l.mostParts(r.cuts), l.s.work
	for range passes {
		l.s.looked(16 * r.solve(slack)) // each takes as long as so many cells of a knapsack
		full := valued(r.cuts, r.price)
		short, lost, added := int64(0), int64(0), false
		for i := range l.sacks {
			over, all, more := l.generate(i, r, free, slack)
			short, lost, added = max(short, over), max(lost, all), added || more
		}
		r.bound = max(r.bound, ceilShift(full-min(lost, min(short, mostPrice/64)*most), l.shift))
		if !added || short*most <= near || l.s.stopped() || r.bound >= l.s.best.cost || l.s.work-began > l.allowed() {
			break
		}
	}
	r.bound = min(r.bound, l.s.best.cost)
	return r
}

// mostParts is how many parts there may be in a plan that costs less than the best.
func (l *large) mostParts(cuts []cut) int64 {
	least := l.s.best.cost
	for i := range l.sacks {
		least = min(least, slices.Min(l.sacks[i].least)-l.sacks[i].single)
	}
	most := min(int64(len(l.s.blocks)), l.s.best.cost/max(1, least))
	for i := range cuts {
		if cuts[i].most && cuts[i].all {
			most = min(most, cuts[i].parts)
		}
	}
	return most
}

// newRelaxed starts a relaxation from some choices, of those of free blocks alone.
func (l *large) newRelaxed(free group, cuts []cut, from []choice) *relaxed {
	r := &relaxed{cuts: cuts, in: map[choice]bool{}}
	var rows, dear []int64
	beyond := min(l.s.best.cost, MaxCost) << l.shift
	for rest := free; rest != 0; rest &= rest - 1 {
		r.blocks = append(r.blocks, rest.first())
		rows, dear = append(rows, 1), append(dear, beyond)
	}
	for i := range cuts {
		rows, dear = append(rows, cuts[i].parts), append(dear, beyond)
		if cuts[i].most { // what is left of it costs nothing
			dear[len(dear)-1] = 0
		}
	}
	r.master = newMaster(rows, dear, make([]uint64, len(rows)))
	for i := range cuts {
		if !cuts[i].most { // nor does what is more
			more := make([]int64, len(cuts))
			more[i] = -one
			r.cols = append(r.cols, column{more: more})
		}
	}
	for _, c := range from {
		if c.group&^free == 0 && l.sacks[c.sack].holds(c.group, c.step) {
			l.add(r, c)
		}
	}
	return r
}

// add makes a choice a column of the relaxation; false where it is one.
func (l *large) add(r *relaxed, c choice) bool {
	if r.in[c] {
		return false
	}
	r.in[c], r.from = true, append(r.from, c)
	var rows []uint8
	for row, b := range r.blocks {
		if c.has(b) {
			rows = append(rows, uint8(row))
		}
	}
	var more []int64
	for i := range r.cuts {
		more = append(more, r.cuts[i].has(c))
	}
	r.cols = append(r.cols, column{rows: rows, more: more, cost: l.sacks[c.sack].by(c.group, c.step) << l.shift, tag: uint64(len(r.from))})
	return true
}

// generate adds the groups worth most in the boxes of a bracket, when they are worth more than they
// cost, and returns by how much any group is at most, and by how much all of a plan are that costs
// no more than the best: by no greater part of that than one group is.
func (l *large) generate(i int, r *relaxed, free group, slack int64) (short, lost int64, added bool) {
	sack := &l.sacks[i]
	worth, paid := make([]int64, len(l.s.blocks)), make([]int64, len(sack.cost))
	for row, b := range r.blocks {
		worth[b] = r.price[row] - sack.each[b]<<l.shift
	}
	for k, cost := range sack.cost {
		paid[k] = cost << l.shift
	}
	for n := range r.cuts {
		r.cuts[n].priced(r.price[len(r.blocks)+n], i, worth, paid)
	}
	sack.fill(free, worth, l.shift)
	var found []choice
	var overs []int64
	note := func(over int64, k int, of func() group) {
		if cost := sack.least[k] - sack.single; cost > 0 {
			lost = max(lost, mulDiv(over, l.s.best.cost, cost)+1)
		} else {
			lost = never
		}
		if short = max(short, over); over > slack {
			found, overs = append(found, choice{of(), i, k}), append(overs, over)
		}
	}
	for k := range sack.upTo {
		if sack.last[k] < 0 {
			continue
		}
		note(sack.worth(k)-paid[k], k, func() group { return sack.best(k) })
		for _, b := range r.blocks { // one by itself costs less than the steps say
			if sack.holds(1<<b, k) {
				less := sack.by(1<<b, k) - sack.cost[k] - sack.each[b]
				note(worth[b]-paid[k]-less<<l.shift, k, func() group { return 1 << b })
			}
		}
	}
	for n, c := range found {
		if overs[n] >= short/64 && l.add(r, c) {
			added = true
		}
	}
	l.s.looked(len(r.blocks) * len(sack.value))
	return short, lost, added
}

// dives is how many plans are made from the relaxation at most.
const dives = 12

// exactFrom is how many blocks are left to dynamic programming.
const exactFrom = 12

// dive makes a plan from the relaxation: what it takes almost whole is sent, or else the group of
// which it takes most, and the relaxation solved for what remains. When drawing, a group drawn by
// its share stands in for the one taken most.
func (l *large) dive(random *rand.Rand, draw bool) {
	free := l.s.all
	var sent []group
	for free.len() > exactFrom && !l.s.stopped() {
		r := l.relax(free, 40, nil, l.pool)
		l.keep(r.from)
		took := l.round(r, free)
		if draw {
			took = l.draw(r, random)
		}
		if len(took) == 0 {
			break
		}
		for _, g := range took {
			free &^= g
		}
		sent = append(sent, took...)
	}
	var rest plan
	for ; free != 0; free &= free - 1 {
		rest.parts = append(rest.parts, free&-free)
	}
	rest = l.s.total(rest.parts)
	if better, ok := l.s.solvePart(rest); ok {
		rest = better
	}
	p := l.s.total(append(sent, rest.parts...))
	l.s.improve(&p)
	l.s.offer(p)
}

// round returns the groups that the relaxation takes almost whole, or the one it takes most of;
// none that is refused.
func (l *large) round(r *relaxed, free group) []group {
	var took []group
	var most int64
	var largest group
	for c, share := range r.taken() {
		g := c.group
		if g == 0 {
			continue
		}
		if share > one*15/16 && g&^free == 0 && l.s.cost(g) < never {
			took = append(took, g)
			free &^= g
		}
		if share > most && l.s.cost(g) < never {
			most, largest = share, g
		}
	}
	if len(took) == 0 && largest != 0 {
		took = append(took, largest)
	}
	return took
}

// taken are what the relaxation takes, and how much of it.
func (r *relaxed) taken() iter.Seq2[choice, int64] {
	return func(yield func(choice, int64) bool) {
		for row, j := range r.basis {
			if tag := r.cols[j].tag; tag > 0 && !yield(r.from[tag-1], r.share[row]) {
				return
			}
		}
	}
}

// draw returns a group that the relaxation takes, the more likely the more of it is taken; none
// when only refused ones are left.
func (l *large) draw(r *relaxed, random *rand.Rand) []group {
	var sum int64
	var drawn []group
	for c, share := range r.taken() {
		if c.group == 0 || share <= one>>8 || l.s.cost(c.group) >= never {
			continue
		}
		if sum += share; random.Int64N(sum) < share {
			drawn = []group{c.group}
		}
	}
	return drawn
}

// The plan is shaken until so many times in turn bring no gain, or so many steps none of a
// thousandth, or so many in all: a tenth of the times where less than that is left to gain, and
// fewer where Options.Work allows fewer.
const shakes, shakeWork, shakeMost = 1000, 20_000, 30_000

// shake takes some parts of the plan apart and rebuilds them, keeping what is no worse.
func (s *solver) shake() {
	random := rand.New(rand.NewPCG(1, 2))
	current, all := s.best.clone(), min(s.limit, s.work+shakeMost)
	s.limit = min(all, s.work+shakeWork)
	reached := s.best.cost
	for idle := 0; idle < shakes && !s.stopped() && s.best.cost > s.bound; idle++ {
		next := s.rebuilt(current, random)
		if next.cost <= current.cost {
			current = next
		}
		if next.cost < s.best.cost {
			idle = 0
			s.offer(next)
		}
		if reached-s.best.cost > reached>>10 {
			reached, s.limit = s.best.cost, min(all, s.work+shakeWork)
		}
		s.report(idle, shakes)
		if s.best.cost-s.bound < s.best.cost>>10 {
			idle += 9
		}
	}
}

// rebuilt takes two or three parts apart: few blocks are solved exactly, of many some are put in
// elsewhere.
func (s *solver) rebuilt(p plan, random *rand.Rand) plan {
	p = p.clone()
	var out plan
	blocks := 0
	for range 2 + random.IntN(2) {
		if len(p.parts) == 0 {
			break
		}
		i := random.IntN(len(p.parts))
		out.parts = append(out.parts, p.parts[i])
		blocks += p.parts[i].len()
		p.parts = slices.Delete(p.parts, i, i+1)
	}
	if blocks <= exactFrom {
		out = s.total(out.parts)
		if better, ok := s.solvePart(out); ok {
			out = better
		}
		return s.total(append(p.parts, out.parts...))
	}
	var loose []group
	for i, g := range out.parts {
		for rest := g; rest != 0; rest &= rest - 1 {
			if random.IntN(2) == 0 {
				loose = append(loose, rest&-rest)
				out.parts[i] &^= rest & -rest
			}
		}
		if out.parts[i] != 0 {
			p.parts = append(p.parts, out.parts[i])
		}
	}
	random.Shuffle(len(loose), func(i, j int) { loose[i], loose[j] = loose[j], loose[i] })
	p = s.insert(s.total(p.parts), loose)
	s.improve(&p)
	return p
}
