package bid

import (
	"cmp"
	"math/bits"
	"slices"
)

// A state is the lots that are won, and what of their prices matters from then on: the sum
// of each of a few terms (see [landed.Repricer.Terms]), and what was paid where a budget
// may bind; or each bid by itself. All of it is packed into one key, so that winning a lot
// adds to it, and states of one set that have the same key are one: they cost the same with
// whatever is won later.

// level is the states of one set, by rising key.
type level struct {
	keys  []uint64
	rest  []int64 // what is paid beside the prices of the lots that are won tonight, bought ones counted
	from  []step  // one way to come there
	worst int64   // the most of rest
}

// step is a way to a state: from one of the set without its last lot, by a likely bid.
type step struct{ state, bid int32 }

// entry is a state that may be.
type entry struct {
	key uint64
	step
}

// tree is all states from which an evening may go on: the lots from one on are still to
// come, and those of base were won at the bids of one of the roots.
type tree struct {
	*night
	first  int // the first lot that is still to come
	base   set
	roots  [][]int64 // by root, the bids for the lots of base
	layout layout
	levels map[set]*level
	states int
	most   int // of states
	terms  []int64
}

// layout packs terms into a key.
type layout struct {
	single bool   // every bid by itself
	money  bool   // what is paid is a term
	used   uint   // bits of a key
	shifts []uint // of what is paid, where that is a term, and then by term; or by lot and then the root
}

// terms is the part of a key that tells what is paid beside the prices.
func (y *layout) terms(key uint64) uint64 {
	if y.money && len(y.shifts) > 1 {
		return key >> y.shifts[1]
	} else if y.money {
		return 0
	}
	return key
}

// errTooMany tells that there are more states than are looked at.
type errTooMany struct{}

func (errTooMany) Error() string { return "there are too many ways for the evening to go" }

// grow makes the states. It returns errTooMany where there are too many.
func (t *tree) grow() error {
	t.levels = map[set]*level{}
	root := &level{}
	for r, bids := range t.roots {
		key, err := t.rootKey(r)
		if err != nil {
			return err
		}
		rest, ok, err := t.restAt(t.base, bids)
		if err != nil {
			return err
		}
		if ok && (t.base == 0 || !t.dear(key, rest)) {
			root.keys, root.rest, root.from = append(root.keys, key), append(root.rest, rest), append(root.from, step{int32(r), 0})
			root.worst = max(root.worst, rest)
		}
	}
	root.sort()
	t.levels[t.base] = root
	for lot := t.first; lot < len(t.lots); lot++ {
		for _, won := range t.sets(lot) {
			if err := t.extend(won, lot); err != nil {
				return err
			}
		}
	}
	return nil
}

// sort puts a level in order; of states of one key the first stays.
func (l *level) sort() {
	order := make([]int, len(l.keys))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(l.keys[a], l.keys[b]) })
	sorted := &level{worst: l.worst}
	for _, i := range order {
		if n := len(sorted.keys); n > 0 && sorted.keys[n-1] == l.keys[i] {
			continue
		}
		sorted.keys, sorted.rest, sorted.from = append(sorted.keys, l.keys[i]), append(sorted.rest, l.rest[i]), append(sorted.from, l.from[i])
	}
	*l = *sorted
}

// sets lists those of which a lot, or those after it, are not yet decided.
func (t *tree) sets(lot int) []set {
	var list []set
	between := set(1)<<lot - set(1)<<t.first
	for s := between; ; s = (s - 1) & between {
		if t.levels[t.base|s] != nil {
			list = append(list, t.base|s)
		}
		if s == 0 {
			slices.Reverse(list)
			return list
		}
	}
}

// extend makes the states in which a lot is won on top of a set.
func (t *tree) extend(won set, lot int) error {
	parent := t.levels[won]
	allowed, err := t.allowed(won, lot, parent.worst)
	if err != nil {
		return err
	}
	runs := make([][]entry, 0, allowed)
	for b := range allowed {
		add, err := t.key(lot, t.lots[lot].bids[b])
		if err != nil {
			return err
		}
		run := make([]entry, len(parent.keys))
		for i, key := range parent.keys {
			run[i] = entry{key + add, step{int32(i), int32(b)}}
		}
		runs = append(runs, run)
	}
	states := merged(runs)
	if t.states += len(states); t.states > t.most {
		return errTooMany{}
	}
	if !t.options.goes(t.states) {
		return ErrStopped
	}
	cost, err := t.of(won.with(lot))
	if err != nil {
		return err
	}
	child, bids := &level{}, []int64{}
	rest, ok := int64(0), false
	for i, s := range states {
		if i == 0 || t.layout.terms(s.key) != t.layout.terms(states[i-1].key) {
			var known bool
			if rest, known, err = t.restOf(cost, s.key); err == nil && known {
				ok = true
			} else if err == nil {
				bids = append(t.bidsOf(won, parent, int(s.state), bids[:0]), t.lots[lot].bids[s.bid])
				rest, ok, err = t.restAt(won.with(lot), bids)
			}
			if err != nil {
				return err
			}
		}
		if ok && !t.dear(s.key, rest) {
			child.keys, child.rest, child.from = append(child.keys, s.key), append(child.rest, rest), append(child.from, s.step)
			child.worst = max(child.worst, rest)
		}
	}
	t.levels[won.with(lot)] = child
	return nil
}

// merged merges rising runs; of entries of one key one stays.
func merged(runs [][]entry) []entry { return mergeAll(runs, true) }

// mergedAll merges rising runs, and keeps them all.
func mergedAll(runs [][]entry) []entry { return mergeAll(runs, false) }

func mergeAll(runs [][]entry, once bool) []entry {
	if len(runs) == 0 {
		return nil
	}
	for len(runs) > 1 {
		half := (len(runs) + 1) / 2
		for i := range len(runs) / 2 {
			runs[i] = merge(runs[i], runs[half+i], once)
		}
		runs = runs[:half]
	}
	return runs[0]
}

func merge(a, b []entry, once bool) []entry {
	out := make([]entry, 0, len(a)+len(b))
	i, j := 0, 0
	for i < len(a) && j < len(b) {
		switch {
		case a[i].key < b[j].key:
			out, i = append(out, a[i]), i+1
		case a[i].key == b[j].key && once:
			out, i, j = append(out, a[i]), i+1, j+1
		default:
			out, j = append(out, b[j]), j+1
		}
	}
	return append(append(out, a[i:]...), b[j:]...)
}

// bidsOf appends the bids that lead to a state, in the order in which the lots close.
func (t *tree) bidsOf(won set, l *level, state int, bids []int64) []int64 {
	if won == t.base {
		return append(bids, t.roots[l.from[state].state]...)
	}
	last := bits.Len32(uint32(won)) - 1
	before := won &^ (1 << last)
	bids = t.bidsOf(before, t.levels[before], int(l.from[state].state), bids)
	return append(bids, t.lots[last].bids[l.from[state].bid])
}

// restOf is what is paid beside the prices in the states of a key, where its terms tell that.
func (t *tree) restOf(c *setCost, key uint64) (int64, bool, error) {
	if t.layout.single || c.quick == nil || t.classes == nil || t.limited && !t.layout.money {
		return 0, false, nil
	}
	shifts := t.layout.shifts
	if t.layout.money {
		shifts = shifts[1:]
	}
	t.terms = t.terms[:0]
	for i, shift := range shifts {
		term := key >> shift
		if i+1 < len(shifts) {
			term &= 1<<(shifts[i+1]-shift) - 1
		}
		t.terms = append(t.terms, int64(term))
	}
	rest, ok, err := c.quick.Rest(t.classes, t.terms)
	return rest.Minor(), ok, err
}

// restAt is what is paid beside the prices at some bids for a set. It reports false where
// no service takes the lots, or the budget is broken.
func (t *tree) restAt(won set, bids []int64) (int64, bool, error) {
	c, err := t.of(won)
	if err != nil {
		return 0, false, err
	}
	total, ok, err := c.total(bids)
	if err != nil || !ok || t.limited && won != 0 && !t.layout.money && total > t.budget {
		return 0, false, err
	}
	for i, l := range c.lots {
		paid, err := l.price(bids[i])
		if err != nil {
			return 0, false, err
		}
		total -= paid
	}
	return total, true, nil
}

// dear reports whether the budget is broken, as far as the key tells what is paid.
func (t *tree) dear(key uint64, rest int64) bool {
	return t.limited && t.layout.money && rest+t.layout.paid(key) > t.budget
}

// paid is what a key says of prices and premiums.
func (y *layout) paid(key uint64) int64 {
	if len(y.shifts) > 1 {
		key &= 1<<y.shifts[1] - 1
	}
	return int64(key)
}

// rootKey is the key of a root.
func (t *tree) rootKey(r int) (uint64, error) {
	if t.layout.single {
		return uint64(r) << t.layout.shifts[len(t.lots)], nil
	}
	key, at := uint64(0), 0
	for lot := range t.lots {
		if t.base.has(lot) {
			k, err := t.key(lot, t.roots[r][at])
			if err != nil {
				return 0, err
			}
			key, at = key+k, at+1
		}
	}
	return key, nil
}

// key is what winning a lot at a bid adds to a key.
func (t *tree) key(lot int, bid int64) (uint64, error) {
	l := t.lots[lot]
	if t.layout.single {
		at, _ := slices.BinarySearch(l.bids, bid)
		return uint64(at+1) << t.layout.shifts[lot], nil
	}
	key := uint64(0)
	shifts := t.layout.shifts
	if t.layout.money {
		paid, err := l.price(bid)
		if err != nil {
			return 0, err
		}
		key, shifts = uint64(paid), shifts[1:]
	}
	for i, term := range l.terms[bid] {
		key += uint64(term) << shifts[i]
	}
	return key, nil
}

// lay chooses the layout: sums where they tell all, else each bid by itself. It returns
// errTooMany where no key holds them.
func (t *tree) lay(money bool) error {
	most, ok, err := t.termSums(money)
	if err != nil {
		return err
	}
	if ok && t.layout.pack(most) {
		t.layout.money = money
		return nil
	}
	most = most[:0]
	for _, l := range t.lots {
		most = append(most, int64(len(l.bids)))
	}
	t.layout.single, t.layout.money = true, false
	if !t.layout.pack(append(most, int64(len(t.roots)))) {
		return errTooMany{}
	}
	return nil
}

// pack gives each term as many bits as its greatest sum needs.
func (y *layout) pack(most []int64) bool {
	y.shifts = y.shifts[:0]
	used := 0
	for _, m := range most {
		y.shifts = append(y.shifts, uint(used))
		used += bits.Len64(uint64(m))
	}
	y.used = uint(used)
	return used <= 64
}

// termSums are the greatest sums of the terms; false where terms do not tell all.
func (t *tree) termSums(money bool) ([]int64, bool, error) {
	var most []int64
	paid := int64(0)
	at := 0
	for lot, l := range t.lots {
		var bids []int64
		switch {
		case lot >= t.first:
			bids = l.bids
		case t.base.has(lot):
			for _, root := range t.roots {
				bids = append(bids, root[at])
			}
			at++
		}
		var here []int64
		dearest := int64(0)
		for _, bid := range bids {
			terms, ok, err := t.termsOf(lot, bid)
			if err != nil || !ok {
				return nil, false, err
			}
			here = slices.Grow(here, len(terms))[:len(terms)]
			for i, term := range terms {
				if term < 0 {
					return nil, false, nil
				}
				here[i] = max(here[i], term)
			}
			price, err := l.price(bid)
			if err != nil {
				return nil, false, err
			}
			dearest = max(dearest, price)
		}
		most = slices.Grow(most, max(len(here)-len(most), 0))
		for i, term := range here {
			if i == len(most) {
				most = append(most, 0)
			}
			most[i] += term
		}
		paid += dearest
	}
	if money {
		most = slices.Insert(most, 0, paid)
	}
	return most, true, nil
}

// termsOf are the terms by which a bid enters the costs of all sets; false where it counts
// by itself.
func (n *night) termsOf(lot int, bid int64) ([]int64, bool, error) {
	l := n.lots[lot]
	if terms, known := l.terms[bid]; known {
		return terms, true, nil
	}
	all, err := n.of(1<<len(n.lots) - 1)
	if err != nil {
		return nil, false, err
	}
	var terms []int64
	ok := all.flat
	if all.quick != nil {
		if terms, ok, err = all.quick.Terms(lot, l.bid(bid)); err != nil {
			return nil, false, err
		}
	}
	if ok {
		l.terms[bid] = terms
	}
	return terms, ok, nil
}
