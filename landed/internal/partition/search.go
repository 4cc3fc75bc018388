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
// part last; none where the set is not reached.
type reach struct {
	excess []int64
	by     []uint32
}

// search finds the cheapest plan below upper, sets without a cost standing at their floors.
//
// It is dynamic programming over the sets of blocks that remain: the next part is one that holds a
// block of the last class that remains, because some part must. What remains costs no less than its
// floor. It reports whether it asked for the cost of any set.
func (e *space) search() bool {
	w := e.newWalk()
	for rest := e.size() - 1; rest > 0; rest-- {
		if list, ok := w.from(rest); ok {
			w.try(list, rest)
		}
		if rest%64 == 0 && e.s.stopped() {
			return false
		}
		if rest%4096 == 0 {
			e.s.report(e.size()-rest, e.size())
		}
	}
	return e.conclude(w)
}

// walk is one search.
type walk struct {
	*space
	reach
	lists [][]candidate
	table []int64
	most  int64 // what a plan below upper costs above its blocks' prices, plus one
	last  int   // the last class that remains
}

func (e *space) newWalk() *walk {
	most := e.budget()
	w := &walk{space: e, most: most, lists: e.candidates(), table: e.table(most), last: len(e.members) - 1}
	w.reach = reach{excess: make([]int64, e.size()), by: make([]uint32, e.size())}
	for i := range w.excess {
		w.excess[i] = most - e.ahead(i)
	}
	w.excess[e.size()-1] = 0
	return w
}

// ahead is what the blocks of a set cost at least above their prices, scaled.
func (e *space) ahead(i int) int64 {
	if e.least == nil {
		return 0
	}
	return max(0, min(e.least[i], e.upper)<<e.prices.shift-e.prices.hi[i/e.prices.split]-e.prices.lo[i%e.prices.split])
}

// from returns the candidates that fit in what is left of the budget where a set remains, if it is
// reached. Sets are asked for in falling order.
func (w *walk) from(rest int) ([]candidate, bool) {
	for rest < w.stride[w.last] {
		w.last--
	}
	if rest < w.size()-1 && w.by[rest] == 0 {
		return nil, false
	}
	list, left := w.lists[w.last], w.most-w.excess[rest]
	fit, _ := slices.BinarySearchFunc(list, left, func(c candidate, left int64) int { return cmp.Compare(c.excess, left) })
	return list[:fit], true
}

// dense reports whether to walk the subsets of a set rather than a list.
func (w *walk) dense(list []candidate, rest int) bool {
	return w.table != nil && len(list) > 1<<(w.sets[rest].len()-1)
}

func (w *walk) try(list []candidate, rest int) {
	if w.dense(list, rest) {
		w.trySubsets(&w.reach, w.table, rest, w.stride[w.last])
	} else {
		w.tryList(&w.reach, list, rest)
	}
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
// floors, no plan costs less. Else it asks for those of all sets in plans that may be cheaper. It
// reports whether it asked for any.
func (e *space) conclude(w *walk) (asked bool) {
	if w.by[0] == 0 {
		e.prices.bound, e.proven = max(e.prices.bound, e.prices.sum+w.most), true
		return false
	}
	e.prices.bound = max(e.prices.bound, e.prices.sum+w.excess[0])
	var chosen []uint32
	for i := 0; i < e.size()-1; i += int(w.by[i]) {
		chosen = append(chosen, w.by[i])
		if !e.known[w.by[i]] {
			e.evaluate(w.by[i])
			asked = true
		}
	}
	e.take(chosen)
	e.proven = e.upper<<e.prices.shift == e.prices.sum+w.excess[0]
	if asked && !e.proven {
		w.evaluateAround()
	}
	return asked
}

// evaluateAround asks for the costs of the sets without one that are in some plan below upper, as
// far as is known.
func (w *walk) evaluateAround() {
	most := w.budget() // the plan just found may have lowered it
	onward := make([]int64, w.size())
	var open []uint32
	w.last = 0
	for rest := 1; rest < w.size(); rest++ {
		for rest >= w.stride[w.last+1] {
			w.last++
		}
		onward[rest] = most
		if rest < w.size()-1 && w.by[rest] == 0 || w.excess[rest] >= most {
			continue
		}
		w.each(rest, most-w.excess[rest], func(excess int64, number uint32) {
			with := excess + onward[rest-int(number)]
			onward[rest] = min(onward[rest], with)
			if w.excess[rest]+with < most && !w.known[number] {
				open = append(open, number)
			}
		})
	}
	before := w.s.evaluated
	for _, i := range open {
		if w.s.stopped() || w.spent(before) {
			return
		}
		if !w.known[i] {
			w.evaluate(i)
		}
	}
}

// each visits the sets that may be sent next where a set remains, of those that cost less above
// their prices than is left.
func (w *walk) each(rest int, left int64, visit func(excess int64, number uint32)) {
	list := w.lists[w.last]
	fit, _ := slices.BinarySearchFunc(list, left, func(c candidate, left int64) int { return cmp.Compare(c.excess, left) })
	if list = list[:fit]; w.dense(list, rest) {
		top := w.stride[w.last]
		others := rest &^ top
		for subset := others; ; subset = (subset - 1) & others {
			if excess := w.table[subset|top]; excess < left {
				visit(excess, uint32(subset|top))
			}
			if subset == 0 {
				break
			}
		}
		w.s.looked(1 << (w.sets[rest].len() - 1))
		return
	}
	for n := range list {
		if c := &list[n]; c.set&^w.sets[rest] == 0 {
			visit(c.excess, c.number)
		}
	}
	w.s.looked(len(list))
}
