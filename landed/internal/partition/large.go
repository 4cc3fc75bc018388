package partition

import (
	"math/rand/v2"
	"slices"
)

// large is the search for a good plan of more blocks than can be solved exactly, and for a bound.
type large struct {
	s     *solver
	sacks []knapsack // by bracket
	shift uint
	pool  []group // the groups that the relaxation has ever held
	in    map[group]bool
}

// solveLarge improves the best plan and the bound until they meet or the work is spent.
func (s *solver) solveLarge() {
	if s.p.Carriage != nil && !s.stopped() {
		s.solveRelaxed()
	}
	s.shake()
}

// solveRelaxed bounds every plan and makes one from the relaxation.
func (s *solver) solveRelaxed() {
	l := &large{s: s, in: map[group]bool{}, shift: scaleFor(s.best.cost)}
	if s.best.cost >= never {
		l.shift = 0
	}
	l.sacks = s.newKnapsacks()
	_, bound := l.relax(s.all, 1000)
	s.bound = max(s.bound, bound)
	random := rand.New(rand.NewPCG(3, 4))
	for n := 0; n < dives && s.best.cost > s.bound && !s.stopped(); n++ {
		l.dive(random, n > 0)
		s.report(n, dives)
	}
}

// relax solves the relaxation for the free blocks by column generation and returns it and a bound
// of their cost.
func (l *large) relax(free group, passes int) (*master, int64) {
	m, blocks := l.newMaster(free)
	rows := make([]int64, len(blocks))
	for i := range rows {
		rows[i] = 1
	}
	slack := max(1, l.s.best.cost<<l.shift>>26)
	price := make([]int64, len(rows))
	near := l.s.best.cost << l.shift >> 18 // the last of the way takes as long as all before
	var bound int64
	for range passes {
		m.solve(slack)
		short, added := int64(0), false
		for i := range l.sacks {
			over, more := l.generate(&l.sacks[i], m, free, blocks, slack)
			short, added = max(short, over), added || more
		}
		copy(price, m.price)
		lowered(price, short)
		least := value(rows, price)
		bound = max(bound, ceilShift(least, l.shift))
		if !added || value(rows, m.price)-least <= near || l.s.stopped() {
			break
		}
	}
	return m, bound
}

// newMaster starts a relaxation from each block alone and what the pool holds.
func (l *large) newMaster(free group) (*master, []int) {
	var blocks []int
	var rows, dear []int64
	var tags []uint64
	for rest := free; rest != 0; rest &= rest - 1 {
		b := rest.first()
		blocks = append(blocks, b)
		rows = append(rows, 1)
		dear = append(dear, l.cost(1<<b))
		tags = append(tags, 1<<b)
	}
	m := newMaster(rows, dear, tags)
	for _, g := range l.pool {
		if g&^free == 0 {
			l.add(m, blocks, g)
		}
	}
	return m, blocks
}

// cost is what a group costs on the grid, scaled.
func (l *large) cost(g group) int64 {
	least := never
	for i := range l.sacks {
		if cost, ok := l.sacks[i].of(g); ok {
			least = min(least, cost)
		}
	}
	return least << l.shift
}

func (l *large) add(m *master, blocks []int, g group) {
	var rows []uint8
	for row, b := range blocks {
		if g.has(b) {
			rows = append(rows, uint8(row))
		}
	}
	m.cols = append(m.cols, column{rows: rows, cost: l.cost(g), tag: uint64(g)})
}

// generate adds the group worth most at each step of the tariff in a bracket, when it is worth more
// than it costs, and returns by how much any group is at most.
func (l *large) generate(sack *knapsack, m *master, free group, blocks []int, slack int64) (short int64, added bool) {
	worth := make([]int64, len(l.s.blocks))
	for row, b := range blocks {
		worth[b] = m.price[row] - sack.each[b]<<l.shift
	}
	sack.fill(free, worth, l.shift)
	for row, b := range blocks {
		if cost, ok := sack.of(1 << b); ok { // less than the steps say
			short = max(short, m.price[row]-cost<<l.shift)
		}
	}
	for k := range sack.upTo {
		over := sack.worth(k) - sack.cost[k]<<l.shift
		short = max(short, over)
		if over <= slack {
			continue
		}
		if g := sack.best(k); !l.in[g] {
			l.in[g] = true
			l.pool = append(l.pool, g)
			l.add(m, blocks, g)
			added = true
		}
	}
	l.s.looked(len(blocks) * len(sack.value))
	return short, added
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
		m, _ := l.relax(free, 40)
		took := l.round(m, free)
		if draw {
			took = l.draw(m, random)
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
func (l *large) round(m *master, free group) []group {
	var took []group
	var most int64
	var largest group
	for row, j := range m.basis {
		g, share := group(m.cols[j].tag), m.share[row]
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

// draw returns a group that the relaxation takes, the more likely the more of it is taken; none
// when only refused ones are left.
func (l *large) draw(m *master, random *rand.Rand) []group {
	var sum int64
	var drawn []group
	for row, j := range m.basis {
		share := m.share[row]
		if share <= one>>8 || l.s.cost(group(m.cols[j].tag)) >= never {
			continue
		}
		if sum += share; random.Int64N(sum) < share {
			drawn = []group{group(m.cols[j].tag)}
		}
	}
	return drawn
}

// The plan is shaken until so many times in turn bring no gain, or so many steps none of a
// thousandth, or so many in all: a tenth of the times where less than that is left to gain, and
// fewer where Options.Work allows fewer.
const shakes, shakeWork, shakeMost = 1000, 40_000, 60_000

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
