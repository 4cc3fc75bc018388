package partition

import (
	"cmp"
	"math/bits"
	"slices"
)

// knapsack looks for the groups whose blocks are worth most above what they cost on the grid, among
// those whose measure lies in one bracket or below it.
type knapsack struct {
	cells           // what its steps cost holds for parts of several elements
	least  []int64  // of each step: what a part costs at least
	single int64    // how much less one of a single element costs
	joined group    // the blocks that are of several
	each   []int64  // of each block, what it costs at least beyond the part's step
	heads  []head   // what is asked once of a part that holds any of some blocks, no block in two of them
	rows   int      // of measures, rounded down, from 0 to the bracket's end; one where it holds all that fit by themselves
	row    []int    // of each block; -1 where it is beyond the bracket's end
	last   []int    // the last row of each step; -1 where its carriage leaves none
	value  []int64  // by row and cell: the most that blocks of at most that measure and weight are worth
	taken  []uint64 // bit b: block b is among them, of the blocks put before it and itself
	// What of each block is held down to what of each step is left by its carriage, where rows are
	// many.
	measures, left []int64
	over           []int64 // of each step: what the measure of a part is above, where that tells
	// Of each head in turn: value where it is asked, bit b whether block b is the first of its own,
	// and bit n whether head n is asked where that is worth more.
	asked       []int64
	first, open []uint64
}

// grain is how finely knapsacks look: at weights by so many cells, and where measures are
// distinguished, at those by so many rows and at weights by fewer cells.
type grain struct{ cells, rows, fewer int64 }

var coarse, fine = grain{1 << 12, 32, 1 << 10}, grain{1 << 15, 64, 1 << 10}

// newKnapsacks makes one for each bracket, or one for all parts where there are none.
func (s *solver) newKnapsacks(of grain) []knapsack {
	list := s.levies.list
	if len(list) == 0 {
		list = []bracket{{upTo: never, levy: levy{least: make([]int64, len(s.blocks))}}}
	}
	var sacks []knapsack
	beyond := s.mostOf(s.levies.measure)(s.steps.upTo[len(s.steps.upTo)-1])
	for i := range list {
		b := s.endless(list[i:])
		if i > 0 && list[i-1].owing == nil && !list[i-1].surely && beyond <= list[i-1].left(s.steps.cost[len(s.steps.cost)-1]) {
			break // no part that is carried comes so far
		}
		if n := b.across(); n >= 0 { // those that it is not asked of by themselves
			h, one := b.heads[n], *b
			one.heads = slices.Delete(slices.Clone(b.heads), n, n+1)
			sacks = append(sacks, s.newKnapsack(&one, s.all&^h.of, of, s.over(list[:i], b), nil))
			one.fixed += h.sum
			b = &one
		}
		sacks = append(sacks, s.newKnapsack(b, s.all, of, s.over(list[:i], &list[i]), nil))
		for n := range list[:i] {
			if o := &list[n]; o.surely && o.owing == nil && s.falls(list[:i], &list[i]) {
				by := list[i]
				by.upTo, by.counted, by.owing = o.upTo, o.counted, nil
				sacks = append(sacks, s.newKnapsack(&by, s.all, of, nil, s.raised(o)))
			}
		}
	}
	return sacks
}

// raised is what brings parts beyond a bracket that their measure leaves them in: so much carriage,
// less by so much for each block. Nothing is told where that is far more than plans cost.
func (s *solver) raised(o *bracket) *raised {
	r, sum := &raised{carriage: o.beyond(0)}, int64(0)
	for _, measure := range s.levies.measure {
		less := min(mulDiv(measure, 1<<ShareBits, max(1, o.counted)), MaxCost) + 1
		r.less, sum = append(r.less, less), sum+less
	}
	if s.best.cost >= never || sum/16 > s.best.cost {
		return nil
	}
	return r
}

// raised is a carriage, and how much less it is for each block.
type raised struct {
	carriage int64
	less     []int64
}

// endless is the first of some brackets, without its end where parts beyond it are asked no less by
// it than by the next, so that it need not be looked at.
func (s *solver) endless(list []bracket) *bracket {
	b := &list[0]
	if len(list) == 1 || b.owing != nil || list[1].owing != nil {
		return b
	}
	next := &list[1]
	for _, carriage := range []int64{0, s.steps.cost[len(s.steps.cost)-1]} {
		more := b.askedOfAll() + b.onCarriage(carriage) - next.askedOfMost() - next.onCarriage(carriage)
		for block, measure := range s.levies.measure {
			less := next.least[block] - b.least[block]
			if less > 0 || more+mulDiv(-less, max(0, b.left(carriage)), max(1, measure)) < -(s.best.cost<<FineBits>>14) {
				return b
			}
		}
	}
	end := *b
	end.upTo, end.counted = s.all.sum(s.levies.measure), 0
	return &end
}

// falls reports whether a bracket asks less of all than one before it.
func (s *solver) falls(before []bracket, b *bracket) bool {
	asks := func(b *bracket) int64 { return b.fixed + s.all.sum(b.least) }
	return slices.ContainsFunc(before, func(o bracket) bool { return o.owing == nil && asks(&o) > asks(b) })
}

// over is the measure above which the parts of a bracket are by those before it, by carriage; nil
// where none of those asks more, so that no part would be said to be in a bracket above its own.
func (s *solver) over(before []bracket, b *bracket) func(carriage int64) int64 {
	if !s.falls(before, b) {
		return nil
	}
	return func(carriage int64) (most int64) {
		for i := range before {
			if before[i].owing == nil {
				most = max(most, before[i].left(carriage))
			}
		}
		return most
	}
}

// across is the place of a head above nothing some of whose blocks have others of their own; -1
// where there is none.
func (b *levy) across() int {
	return slices.IndexFunc(b.heads, func(h head) bool {
		return h.sum > 0 && slices.ContainsFunc(b.heads, func(o head) bool { return o.of != h.of && o.of&h.of != 0 })
	})
}

// headsOf are what a bracket asks once of parts of some blocks, those below nothing first: of all
// parts, and of those that hold a block of a group. The groups have no block in common: what is
// below nothing and would is asked of all, what is above only of the blocks that no group has yet.
func (b *levy) headsOf(of group) (sum int64, groups []head) {
	heads, left := slices.Clone(b.heads), of
	slices.SortStableFunc(heads, func(a, b head) int { return cmp.Compare(a.sum, b.sum) })
	for _, h := range heads {
		own := h.of & of
		same := slices.IndexFunc(groups, func(g head) bool { return g.of == own })
		switch {
		case own == 0:
		case own == of, h.sum < 0 && own&^left != 0 && same < 0:
			sum += h.sum
		case same >= 0:
			groups[same].sum += h.sum
		case own&left != 0:
			groups, left = append(groups, head{own & left, h.sum}), left&^own
		}
	}
	return sum, groups
}

// newKnapsack makes one for some blocks.
func (s *solver) newKnapsack(b *bracket, of group, by grain, over func(carriage int64) int64, raised *raised) knapsack {
	asked, groups := b.headsOf(of)
	fixed := b.fixed + asked
	measures, left := s.within(b)
	half := mulDiv(s.all.sum(b.least), left(0)/2, max(1, s.all.sum(measures)))
	if least := s.steps.cost[0]; least+(s.p.Alone+fixed+b.onCarriage(least))>>FineBits < 0 || fixed+half < 0 {
		// The relaxation knows no costs below zero, and of most parts more is told by nothing.
		fixed, groups, b = 0, nil, &bracket{upTo: b.upTo, counted: b.counted, owing: b.owing, levy: levy{least: make([]int64, len(s.blocks))}}
	}
	alone := s.p.Alone >> FineBits
	joined := min(s.p.Joined>>FineBits, alone+s.best.cost) // dearer is as bad, and might not fit when scaled
	k := knapsack{single: joined - alone, joined: s.joined, heads: groups, rows: 1, row: make([]int, len(s.blocks)), each: make([]int64, len(s.blocks))}
	below := int64(0) // what heads take off at most
	for n := range groups {
		groups[n].sum = min(groups[n].sum>>FineBits, s.best.cost)
		below += min(0, groups[n].sum)
	}
	var fitting int64
	for block, measure := range measures {
		k.each[block] = (s.each[block] + b.least[block]) >> FineBits
		if of.has(block) && measure <= left(s.carriage(s.weight[block])) {
			fitting += measure
		} else {
			k.row[block] = -1
		}
	}
	grid, unit := by.cells, left(0)
	if fitting > left(s.steps.cost[len(s.steps.cost)-1]) {
		k.rows, grid, unit = int(by.rows)+1, by.fewer, unit/by.rows
		for block, measure := range measures {
			if k.row[block] == 0 {
				k.row[block] = rowOf(measure, unit)
			}
		}
	}
	k.cells = newCells(&s.boxes.tariff, s.weight, grid)
	k.measures = measures
	dearest := s.best.cost + k.single // as dear as the plan to beat is as bad
	if raised != nil {
		for block, less := range raised.less {
			k.each[block] -= less + (b.onCarriage(less)+1<<FineBits)>>FineBits
			dearest -= min(0, k.each[block])
		}
	}
	for i, cost := range k.cost {
		k.last = append(k.last, rowOf(left(cost), unit))
		k.left = append(k.left, left(cost))
		if over != nil {
			if k.over = append(k.over, over(cost)); k.over[i] >= s.all.sum(s.levies.measure) {
				k.last[i] = -1
			}
		}
		k.cost[i] = min(cost+(fixed+b.onCarriage(cost))>>FineBits+joined, s.best.cost+k.single)
		if k.least = append(k.least, k.cost[i]+below); raised != nil {
			k.cost[i] = min(raised.carriage+(fixed+b.onCarriage(raised.carriage))>>FineBits+joined, dearest)
		}
	}
	return k
}

// within is what of each block the parts of a bracket hold no more of than is left by a carriage:
// of its measure, or of what is owing, where half as much of all blocks fits in.
func (s *solver) within(b *bracket) (measures []int64, left func(carriage int64) int64) {
	if b.owing == nil || mulDiv(s.all.sum(b.owing.least), b.upTo/2, max(1, s.all.sum(s.levies.measure))) < b.owing.free(0) {
		return s.levies.measure, b.left
	}
	return b.owing.least, b.owing.free
}

// rowOf returns the row of a measure where each has all up to a unit, and the next begins one above
// it: -1 below zero, however great the unit.
func rowOf(measure, unit int64) int {
	if measure < 0 {
		return -1
	}
	return int(uint64(measure) / (uint64(max(unit, 0)) + 1))
}

// size is how many cells of weight there are.
func (k *knapsack) size() int { return k.upTo[len(k.upTo)-1] + 1 }

// fill finds the value of each measure and weight from what the free blocks are worth, scaled:
// first those without a head, and then with each head its own.
func (k *knapsack) fill(free group, worth []int64, shift uint) {
	if size := k.rows * k.size(); k.value == nil {
		k.value, k.taken = make([]int64, size), make([]uint64, size)
		if k.heads != nil {
			k.asked, k.first, k.open = make([]int64, size), make([]uint64, size), make([]uint64, size)
		}
	}
	clear(k.value)
	clear(k.taken)
	clear(k.first)
	clear(k.open)
	k.put(k.value, free&^k.headed(), worth, nil)
	for n, h := range k.heads {
		for i := range k.asked {
			k.asked[i] = -never
		}
		asked := h.sum << shift
		k.put(k.asked, free&h.of, worth, &asked)
		for i, v := range k.asked {
			if v > k.value[i] {
				k.value[i] = v
				k.open[i] |= 1 << n
			}
		}
	}
}

// headed are the blocks that have a head.
func (k *knapsack) headed() (of group) {
	for _, h := range k.heads {
		of |= h.of
	}
	return of
}

// put adds some blocks to what each measure and weight holds; where they have a head, to what is
// held of its own.
func (k *knapsack) put(value []int64, blocks group, worth []int64, head *int64) {
	size, least := k.size(), int64(0)
	if head != nil {
		least = min(0, *head)
	}
	for ; blocks != 0; blocks &= blocks - 1 {
		b := blocks.first()
		if k.row[b] < 0 || worth[b] <= least || k.weight[b] > size {
			continue
		}
		for row := k.rows - 1; row >= k.row[b]; row-- {
			from, to := (row-k.row[b])*size, row*size
			put(value[to:to+size], k.taken[to:to+size], nil, value[from:from+size], k.weight[b], worth[b], 1<<b)
			if head != nil {
				put(value[to:to+size], k.taken[to:to+size], k.first[to:to+size], k.value[from:from+size], k.weight[b], worth[b]-*head, 1<<b)
			}
		}
	}
}

// put adds a block to what each weight holds in a row, where that is worth more than without it:
// maybe as the first of its head.
func put(value []int64, taken, first []uint64, below []int64, w int, worth int64, bit uint64) {
	w = min(w, len(value))
	value, taken = value[w:], taken[w:]
	for i := len(value) - 1; i >= 0; i-- {
		if with := below[i] + worth; with > value[i] {
			value[i] = with
			if taken[i] |= bit; first != nil {
				first[w+i] |= bit
			}
		}
	}
}

// worth returns what the blocks that a step carries are worth at most.
func (k *knapsack) worth(step int) int64 {
	if k.last[step] < 0 {
		return 0
	}
	return k.value[k.last[step]*k.size()+k.upTo[step]]
}

// best returns the blocks that a step carries and that are worth most.
func (k *knapsack) best(step int) (g group) {
	size := k.size()
	at := k.last[step]*size + k.upTo[step]
	take := func(of group) {
		for in, first := of&group(k.taken[at]), false; in != 0 && !first; in = of & group(k.taken[at]) {
			b := bits.Len64(uint64(in)) - 1
			g, of, first = g|1<<b, of&(1<<b-1), k.first != nil && k.first[at]>>b&1 == 1
			at -= k.row[b]*size + k.weight[b]
		}
	}
	for n := len(k.heads) - 1; n >= 0; n-- {
		if k.open[at]>>n&1 == 1 {
			take(k.heads[n].of)
		}
	}
	take(^k.headed())
	return g
}

// of returns the step by which a block by itself costs least; -1 where it is beyond the bracket.
func (k *knapsack) of(block group) (step int) {
	step = -1
	for n, cost := range k.cost {
		if k.holds(block, n) && (step < 0 || cost < k.cost[step]) {
			step = n
		}
	}
	return step
}

// holds reports whether a step carries a group.
func (k *knapsack) holds(g group, step int) bool {
	weight, row := 0, 0
	for ; g != 0; g &= g - 1 {
		b := g.first()
		if k.row[b] < 0 {
			return false
		}
		weight, row = weight+k.weight[b], row+k.row[b]
	}
	return weight <= k.upTo[step] && row <= k.last[step]
}

// by is what a group costs by a step.
func (k *knapsack) by(g group, step int) int64 {
	cost := k.cost[step] + g.sum(k.each)
	for _, h := range k.heads {
		if g&h.of != 0 {
			cost += h.sum
		}
	}
	if g.len() == 1 && g&k.joined == 0 {
		cost -= k.single
	}
	return cost
}
