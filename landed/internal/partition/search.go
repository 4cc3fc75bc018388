package partition

import (
	"cmp"
	"slices"
)

// candidate is a set that may be in a better plan.
type candidate struct {
	excess int64 // what it costs above its blocks' prices
	set    group
	number uint32
}

// reach is how cheaply the blocks outside of each set can be sent, above their prices, and by which
// part last.
type reach struct {
	excess []int64
	by     []uint32
}

// search finds the cheapest plan below upper, sets without a cost standing at their floors.
//
// It is dynamic programming over the sets of blocks that remain: the next part is one that holds a
// block of the last class that remains, because some part must.
func (e *space) search() {
	budget := e.budget()
	r := reach{excess: make([]int64, e.size()), by: make([]uint32, e.size())}
	for i := range r.excess {
		r.excess[i] = budget
	}
	full := e.size() - 1
	r.excess[full] = 0
	lists := e.candidates()
	table := e.table(budget)
	last := len(e.members) - 1
	for rest := full; rest > 0; rest-- {
		for rest < e.stride[last] {
			last--
		}
		if r.excess[rest] >= budget {
			continue
		}
		// Only so many candidates fit in what is left of the budget.
		list := lists[last]
		left := budget - r.excess[rest]
		fit, _ := slices.BinarySearchFunc(list, left, func(c candidate, left int64) int { return cmp.Compare(c.excess, left) })
		if table != nil && fit > 1<<(e.sets[rest].len()-1) {
			e.trySubsets(&r, table, rest, e.stride[last])
		} else {
			e.tryList(&r, list[:fit], rest)
		}
		if rest%64 == 0 && e.s.stopped() {
			return
		}
	}
	e.conclude(&r, budget)
}

// tryList sends each candidate that the rest holds.
func (e *space) tryList(r *reach, list []candidate, rest int) {
	sofar, set := r.excess[rest], e.sets[rest]
	for n := range list {
		c := &list[n]
		if c.set&^set != 0 {
			continue
		}
		if to := rest - int(c.number); sofar+c.excess < r.excess[to] {
			r.excess[to], r.by[to] = sofar+c.excess, c.number
		}
	}
	e.s.looked(len(list) + 1)
}

// trySubsets takes each subset of the rest that holds its last block; the classes are of one block
// each, so that a set's number is its bits.
func (e *space) trySubsets(r *reach, table []int64, rest, top int) {
	sofar, others := r.excess[rest], rest&^top
	for subset := others; ; subset = (subset - 1) & others {
		if with, to := sofar+table[subset|top], others&^subset; with < r.excess[to] {
			r.excess[to], r.by[to] = with, uint32(subset|top)
		}
		if subset == 0 {
			break
		}
	}
	e.s.looked(1 << (e.sets[rest].len() - 1))
}

// candidates lists the sets that may be in a better plan, the cheapest above their prices first.
func (e *space) candidates() [][]candidate {
	lists := make([][]candidate, len(e.alive))
	for c, sets := range e.alive {
		list := make([]candidate, len(sets))
		for n, i := range sets {
			list[n] = candidate{e.prices.excess(e, i), e.sets[i], i}
		}
		slices.SortFunc(list, func(a, b candidate) int {
			return cmp.Or(cmp.Compare(a.excess, b.excess), cmp.Compare(a.number, b.number))
		})
		lists[c] = list
	}
	return lists
}

// table holds each set's excess by number, budget for those that are dropped; nil where walking
// lists does as well.
func (e *space) table(budget int64) []int64 {
	if all, _ := e.count(); !e.binary || all < 512 {
		return nil
	}
	table := make([]int64, e.size())
	for i := range table {
		table[i] = budget
	}
	for _, sets := range e.alive {
		for _, i := range sets {
			table[i] = e.prices.excess(e, i)
		}
	}
	return table
}

// conclude reads the plan off and asks for the costs of its sets. When they cost no more than their
// floors, no plan costs less.
func (e *space) conclude(r *reach, budget int64) {
	e.prices.bound = max(e.prices.bound, e.prices.sum+r.excess[0])
	if r.excess[0] >= budget {
		e.proven = true
		return
	}
	var chosen []uint32
	for i := 0; i < e.size()-1; i += int(r.by[i]) {
		chosen = append(chosen, r.by[i])
		if !e.known[r.by[i]] {
			e.evaluate(r.by[i])
		}
	}
	e.take(chosen)
	e.proven = e.upper<<e.prices.shift == e.prices.sum+r.excess[0]
}
