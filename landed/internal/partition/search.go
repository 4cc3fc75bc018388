package partition

import (
	"cmp"
	"math/bits"
	"slices"
)

// candidate is a set that may be in a better plan.
type candidate struct {
	excess int64 // what it costs above its blocks' prices
	set    group
	number uint32
}

// rest is a set of blocks that remain.
type rest struct {
	left int64  // the most that is left of the budget there, or what the set needs at least; 0: not looked at
	by   uint32 // the number of the part sent last; 0: not reached
}

// search finds the cheapest plan below upper, sets without a cost standing at their floors. It
// reports whether it asked for the cost of any set.
func (e *space) search() bool {
	least, full := max(0, e.bound-e.prices.sum), e.prices.budget(e)
	if e.proven = least >= full; e.proven {
		return false
	}
	budget := full
	if len(e.sides) == 1 { // there is that plan of a set and all others, or a cheaper one
		if e.sides[0].sum >= e.pairs<<e.prices.shift && e.settlePairs() {
			return true
		}
		budget = min(budget, e.pairs<<e.prices.shift+1-e.prices.sum)
	}
	if e.walk == nil {
		e.walk = &walk{space: e, rests: make([]rest, e.size()), seen: newNumbers(e.size())}
	}
	for _, most := range slices.Compact(append(rising(least, budget), full)) {
		if !e.walk.run(most) {
			return false
		}
		if e.walk.rests[0].by != 0 {
			return e.conclude(e.walk)
		}
		e.bound = max(e.bound, e.prices.sum+most)
	}
	e.proven = true
	return false
}

// settlePairs asks for the costs of plans of a set and all others, the cheapest first, where none
// of more parts costs less than the least of them. It reports whether it asked for any.
func (e *space) settlePairs() (asked bool) {
	pairs, least := e.cheapest(max(1, min(1<<14, e.allowed()-e.s.evaluated+e.before)))
	for n, p := range pairs {
		if n%64 == 0 {
			e.s.report(n, len(pairs))
		}
		if p.cost >= e.upper || e.s.stopped() || e.spent() {
			least = p.cost
			break
		}
		for _, i := range []uint32{p.one, p.other} {
			asked = e.evaluate(i) || asked
		}
		e.take([]uint32{p.one, p.other})
	}
	e.bound = max(e.bound, min(e.sides[0].sum, min(least, e.upper)<<e.prices.shift))
	return asked
}

// cheapest are so many of the plans of a set and all others, the cheapest first, and what the
// others of them cost at least.
func (e *space) cheapest(most int) (pairs []pair, least int64) {
	sort := func() {
		slices.SortFunc(pairs, func(a, b pair) int { return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.one, b.one)) })
	}
	all := uint32(e.size() - 1)
	least = e.upper
	for _, sets := range e.alive {
		for _, i := range sets {
			others := all - e.number[i]
			if others < e.number[i] || others == 0 { // both are alive where one is
				continue
			}
			at := e.at(others)
			if int(at) == len(e.number) || e.number[at] != others || e.low[i]+e.low[at] >= least {
				continue
			}
			if pairs = append(pairs, pair{e.low[i] + e.low[at], i, at}); len(pairs) == 2*most {
				sort()
				pairs, least = pairs[:most], pairs[most].cost
			}
		}
	}
	sort()
	return pairs, least
}

// pair is a plan of two parts, by their places, and what it costs at least.
type pair struct {
	cost       int64
	one, other uint32
}

// rising are budgets up to one, above that for which there is nothing: each twice the one before,
// as the cheapest plan mostly costs little more than the prices, and is then found among few sets.
// A search by one that is little below the last would take as long.
func rising(least, budget int64) (list []int64) {
	for most := max(least+1, budget/64); most < budget/4*3; most *= 2 {
		list = append(list, most)
	}
	return append(list, budget)
}

// walk is one search. Its tables are by number, and take no memory for sets that it does not look
// at.
type walk struct {
	*space
	rests  []rest
	seen   numbers // the rests looked at
	lists  [][]candidate
	most   int64   // what a plan that is looked for costs above its blocks' prices, plus one
	gain   []int64 // how much less than that each set does, 0: none; nil where lists do as well
	onward []int64 // how much less than budget the blocks of each set cost at least
	last   int     // the last class that remains
	alone  [1]candidate
}

// list takes the sets that cost less above their prices than most.
func (w *walk) list(most int64) {
	w.tabulate(func(*candidate) int64 { return 0 })
	var all int
	w.most = most
	w.lists, all = w.candidates(w.lists, most)
	if !w.binary || all < 512 {
		w.gain = nil
	} else if w.gain == nil {
		w.gain = make([]int64, w.size())
	}
	w.tabulate(func(c *candidate) int64 { return most - c.excess })
}

// tabulate notes something of each candidate by number, where there is room for it.
func (w *walk) tabulate(of func(c *candidate) int64) {
	if w.gain == nil {
		return
	}
	for _, list := range w.lists {
		for n := range list {
			w.gain[list[n].number] = of(&list[n])
		}
	}
}

// run finds the cheapest plan that costs less than most above its blocks' prices; false when it was
// stopped.
//
// It is dynamic programming over the sets of blocks that remain: the next part is one that holds a
// block of the last class that remains, because some part must. What remains costs no less than its
// floor.
func (w *walk) run(most int64) bool {
	w.clear()
	w.list(most)
	w.last = len(w.members) - 1
	w.rests[w.size()-1].left = most
	w.seen.add(w.size() - 1)
	for at, n := w.size()-1, 1; at > 0; at, n = w.seen.below(at), n+1 {
		if list, ok := w.from(at); ok {
			w.try(list, at)
		}
		if n%64 == 0 && (w.s.stopped() || w.spent()) {
			return false
		}
		if n%4096 == 0 {
			w.s.report(w.size()-at, w.size())
		}
	}
	return true
}

// clear forgets what the last run has found.
func (w *walk) clear() {
	w.seen.all(func(at int) {
		w.rests[at] = rest{}
		if w.onward != nil {
			w.onward[at] = 0
		}
	})
	clear(w.seen)
}

// from returns the candidates that fit in what is left of the budget where a set remains, if it is
// reached. Sets are asked for in falling order.
func (w *walk) from(at int) ([]candidate, bool) {
	for at < w.stride[w.last] {
		w.last--
	}
	if at < w.size()-1 && w.rests[at].by == 0 {
		return nil, false
	}
	return w.fitting(at, w.rests[at].left), true
}

// fitting returns the candidates of the last class that cost less above their prices than is left
// where a set remains: no other than itself where that is too little to divide it.
func (w *walk) fitting(at int, left int64) []candidate {
	if at < w.size()-1 {
		if _, divided := w.ahead(uint32(at)); left <= divided {
			w.alone[0] = candidate{w.whole(uint32(at)), w.group(uint32(at)), uint32(at)}
			if w.alone[0].excess < left {
				return w.alone[:]
			}
			return nil
		}
	}
	list := w.lists[w.last]
	fit, _ := slices.BinarySearchFunc(list, left, func(c candidate, left int64) int { return cmp.Compare(c.excess, left) })
	return list[:fit]
}

// dense reports whether to walk the subsets of a set rather than a list.
func (w *walk) dense(list []candidate, set group) bool {
	return w.gain != nil && len(list) > 1<<(set.len()-1)
}

func (w *walk) try(list []candidate, at int) {
	if set := w.group(uint32(at)); w.dense(list, set) {
		w.trySubsets(at, w.stride[w.last])
	} else {
		w.tryList(list, at, set)
	}
}

// tryList sends each candidate that the rest holds.
func (w *walk) tryList(list []candidate, at int, set group) {
	left := w.rests[at].left
	for n := range list {
		if c := &list[n]; c.set&^set == 0 {
			w.reach(at-int(c.number), left-c.excess, c.number)
		}
	}
	w.s.looked(len(list) + 1)
}

// trySubsets takes each subset of the rest that holds its last block; the classes are of one block
// each, so that a set's number is its bits.
func (w *walk) trySubsets(at, top int) {
	spent, others := w.most-w.rests[at].left, at&^top
	for subset := others; ; subset = (subset - 1) & others {
		w.reach(others&^subset, w.gain[subset|top]-spent, uint32(subset|top))
		if subset == 0 {
			break
		}
	}
	w.s.looked(1 << (bits.OnesCount(uint(at)) - 1))
}

// reach notes that a set remains with so much left after a part, if that is the most so far and not
// less than the set needs.
func (w *walk) reach(at int, left int64, by uint32) {
	r := &w.rests[at]
	if left <= r.left {
		return
	}
	if r.left == 0 {
		w.seen.add(at)
		if r.left, _ = w.ahead(uint32(at)); left <= r.left {
			return
		}
	}
	r.left, r.by = left, by
}

// candidates lists the sets that cost less above their prices than most, the cheapest first, in the
// room of the lists before, and tells how many there are.
func (e *space) candidates(lists [][]candidate, most int64) (_ [][]candidate, all int) {
	lists = slices.Grow(lists[:0], len(e.alive))[:len(e.alive)]
	for c, sets := range e.alive {
		list := lists[c][:0]
		for _, i := range sets {
			if excess := e.prices.excess(e, i); excess < most {
				list = append(list, candidate{excess, e.group(e.number[i]), e.number[i]})
			}
		}
		all += len(list)
		slices.SortFunc(list, func(a, b candidate) int {
			if a.excess != b.excess {
				return cmp.Compare(a.excess, b.excess)
			}
			return cmp.Compare(a.number, b.number)
		})
		lists[c] = list
	}
	return lists, all
}

// conclude reads the plan off and asks for the costs of its sets. When they cost no more than their
// floors, no plan costs less. Else it asks for those of all sets in plans as cheap as are looked
// for. It reports whether it asked for any.
func (e *space) conclude(w *walk) (asked bool) {
	least := e.prices.sum + w.most - w.rests[0].left
	e.bound = max(e.bound, least)
	var chosen []uint32
	for at := 0; at < e.size()-1; {
		by := w.rests[at].by
		i := e.at(by)
		chosen = append(chosen, i)
		asked = e.evaluate(i) || asked
		at += int(by)
	}
	e.take(chosen)
	if e.size() > 1<<provenAt && e.upper<<e.prices.shift > least {
		e.improve(chosen)
	}
	e.proven = e.upper<<e.prices.shift == least
	return asked && !e.proven && w.evaluateAround()
}

// evaluateAround asks for the costs of the sets without one that are in some plan that costs less
// than most above its prices, as far as is known. Where they are more than costs may be asked for
// it asks for none and reports false: what some of them cost would prove nothing.
func (w *walk) evaluateAround() bool {
	budget := min(w.most, w.prices.budget(w.space)) // the plan just found may have lowered it
	if w.onward == nil {
		w.onward = make([]int64, w.size())
	}
	w.onward[0] = budget
	wanted, open, room := newNumbers(w.size()), []uint32(nil), w.allowed()-w.s.evaluated+w.before
	w.last = 0
	w.seen.all(func(at int) {
		spent := w.most - w.rests[at].left
		if at == 0 || at < w.size()-1 && w.rests[at].by == 0 || spent >= budget || len(open) > room {
			return
		}
		for at >= w.stride[w.last+1] {
			w.last++
		}
		w.each(at, budget-spent, func(excess int64, number uint32) {
			left := w.onward[at-int(number)] - excess
			w.onward[at] = max(w.onward[at], left)
			if left > spent && wanted.add(int(number)) && !w.known[w.at(number)] {
				open = append(open, number)
			}
		})
	})
	if len(open) > room {
		return false
	}
	for _, number := range open {
		if w.s.stopped() || w.spent() {
			break
		}
		w.evaluate(w.at(number))
	}
	return true
}

// each visits the sets that may be sent next where a set remains, of those that cost less above
// their prices than is left.
func (w *walk) each(at int, left int64, visit func(excess int64, number uint32)) {
	list, set := w.fitting(at, left), w.group(uint32(at))
	if !w.dense(list, set) {
		for n := range list {
			if c := &list[n]; c.set&^set == 0 {
				visit(c.excess, c.number)
			}
		}
		w.s.looked(len(list))
		return
	}
	top := w.stride[w.last]
	others := at &^ top
	for subset := others; ; subset = (subset - 1) & others {
		if excess := w.most - w.gain[subset|top]; excess < left {
			visit(excess, uint32(subset|top))
		}
		if subset == 0 {
			break
		}
	}
	w.s.looked(1 << (set.len() - 1))
}
