package partition

import (
	"slices"

	"lotcost/landed/internal/exact"
)

// knapsack looks for the groups whose blocks are worth most above what they cost on the grid, among
// those whose measure lies in one bracket or below it.
type knapsack struct {
	cells           // what its steps cost holds for parts of several elements
	single int64    // how much less one of a single element costs
	joined group    // the blocks that are of several
	each   []int64  // of each block, what it costs at least beyond the part's step
	rows   int      // of measures, rounded down, from 0 to the bracket's end; one where it holds all that fit by themselves
	row    []int    // of each block; -1 where it is beyond the bracket's end
	last   []int    // the last row of each step; -1 where its carriage leaves none
	value  []int64  // by row and cell: the most that blocks of at most that measure and weight are worth
	taken  []uint64 // bit b: block b is among them, of the blocks up to b
}

// measureRows is how finely measures are distinguished where a bracket ends, and fewCells how
// finely weights are then.
const measureRows, fewCells = 64, 1 << 10

// newKnapsacks makes one for each bracket, or one for all parts where there are none.
func (s *solver) newKnapsacks() []knapsack {
	list := s.levies.list
	if len(list) == 0 {
		list = []bracket{{upTo: never, each: make([]int64, len(s.blocks))}}
	}
	var sacks []knapsack
	beyond := s.mostMeasure()
	for i := range list {
		b := &list[i]
		if i > 0 && beyond <= list[i-1].left(s.steps.cost[len(s.steps.cost)-1]) {
			break // no part that is carried comes so far
		}
		if rest := s.all &^ b.sure; b.due > 0 && rest != 0 && rest != s.all { // which are asked less by themselves
			sacks = append(sacks, s.newKnapsack(b, rest))
		}
		sacks = append(sacks, s.newKnapsack(b, s.all))
	}
	return sacks
}

// mostMeasure is the most that any part carried may measure: of the blocks that measure most for
// their weight, and of a part of one.
func (s *solver) mostMeasure() int64 {
	left, most := s.steps.upTo[len(s.steps.upTo)-1], int64(0)
	blocks := make([]int, len(s.blocks))
	for b := range blocks {
		blocks[b] = b
	}
	measure := s.levies.measure
	slices.SortFunc(blocks, func(a, b int) int { // measure[b]/weight[b] against measure[a]/weight[a]
		return exact.Product(uint64(measure[b]), uint64(s.weight[a])).Cmp(exact.Product(uint64(measure[a]), uint64(s.weight[b])))
	})
	for _, b := range blocks {
		most += measure[b]
		if left -= s.weight[b]; left <= 0 {
			break
		}
	}
	return most
}

// newKnapsack makes one for some blocks.
func (s *solver) newKnapsack(b *bracket, of group) knapsack {
	fixed := b.askedOfAny(of)
	if of&b.sure != 0 {
		fixed += b.due
	}
	if least := s.steps.cost[0]; least+(s.p.Alone+fixed+b.onCarriage(least))>>FineBits < 0 {
		fixed, b = 0, &bracket{upTo: b.upTo, counted: b.counted, each: make([]int64, len(s.blocks))} // the relaxation knows no costs below zero
	}
	alone := s.p.Alone >> FineBits
	joined := min(s.p.Joined>>FineBits, alone+s.best.cost) // dearer is as bad, and might not fit when scaled
	k := knapsack{single: joined - alone, joined: s.joined, rows: 1, row: make([]int, len(s.blocks)), each: make([]int64, len(s.blocks))}
	var fitting int64
	for block, measure := range s.levies.measure {
		k.each[block] = (s.each[block] + b.each[block]) >> FineBits
		if of.has(block) && measure <= b.left(s.carriage(s.weight[block])) {
			fitting += measure
		} else {
			k.row[block] = -1
		}
	}
	grid, unit := int64(gridCells), b.upTo
	if fitting > b.left(s.steps.cost[len(s.steps.cost)-1]) {
		k.rows, grid, unit = measureRows+1, fewCells, b.upTo/measureRows
		for block, measure := range s.levies.measure {
			if k.row[block] == 0 {
				k.row[block] = rowOf(measure, unit)
			}
		}
	}
	k.cells = newCells(&s.steps, s.weight, grid)
	for i, cost := range k.cost {
		k.last = append(k.last, rowOf(b.left(cost), unit))
		cost += (fixed + b.onCarriage(cost)) >> FineBits
		k.cost[i] = min(cost+joined, s.best.cost+k.single)
	}
	return k
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

// fill finds the value of each measure and weight from what the free blocks are worth.
func (k *knapsack) fill(free group, worth []int64) {
	size := k.size()
	if k.value == nil {
		k.value, k.taken = make([]int64, k.rows*size), make([]uint64, k.rows*size)
	}
	clear(k.value)
	clear(k.taken)
	for ; free != 0; free &= free - 1 {
		b := free.first()
		if k.row[b] < 0 || worth[b] <= 0 || k.weight[b] > size {
			continue
		}
		for row := k.rows - 1; row >= k.row[b]; row-- {
			from, to := (row-k.row[b])*size, row*size
			put(k.value[to:to+size], k.taken[to:to+size], k.value[from:from+size], k.weight[b], worth[b], 1<<b)
		}
	}
}

// put adds a block to what each weight holds in a row, where that is worth more than without it.
func put(value []int64, taken []uint64, below []int64, w int, worth int64, bit uint64) {
	value, taken = value[min(w, len(value)):], taken[min(w, len(taken)):]
	for i := len(value) - 1; i >= 0; i-- {
		if with := below[i] + worth; with > value[i] {
			value[i] = with
			taken[i] |= bit
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
func (k *knapsack) best(step int) group {
	var g group
	cells := k.upTo[step]
	size, row := k.size(), k.last[step]
	for b := 63; b >= 0; b-- {
		if k.taken[row*size+cells]>>b&1 == 1 {
			g |= 1 << b
			row, cells = row-k.row[b], cells-k.weight[b]
		}
	}
	return g
}

// of returns the least that a group costs as far as the grid tells; false when it is beyond the
// bracket.
func (k *knapsack) of(g group) (int64, bool) {
	weight, row, cost := 0, 0, int64(0)
	for rest := g; rest != 0; rest &= rest - 1 {
		b := rest.first()
		if k.row[b] < 0 {
			return 0, false
		}
		weight, row, cost = weight+k.weight[b], row+k.row[b], cost+k.each[b]
	}
	step, _ := slices.BinarySearch(k.upTo, weight)
	if step == len(k.cost) || row > k.last[step] {
		return 0, false
	}
	if g.len() == 1 && g&k.joined == 0 {
		cost -= k.single
	}
	return cost + k.cost[step], true
}
