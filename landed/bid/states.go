package bid

import (
	"errors"
	"math/bits"
	"slices"
	"sort"

	"lotcost/landed/internal/exact"
)

// A state is the lots that are won, and what of their prices matters from then on: the sum
// of each of a few terms (see [planning.Prices.Terms]), and what was paid where a budget
// may bind; or each bid by itself. All of it is packed into one key, so that winning a lot
// adds to it, and states of one set that have the same key are one: they cost the same with
// whatever is won later.
//
// Where those are too many, terms are counted in multiples of a unit, all raised or all lowered to
// one; or, where terms do not tell what a set costs, likely bids side by side are taken for the
// highest of them, or the lowest. What a lot costs by itself is never changed by that, but for the
// budget.

// level is the states of one set, by rising key.
type level struct {
	keys  []uint64
	rest  []int64 // what is paid beside the prices of the lots that are won tonight, bought ones counted
	from  []step  // one way to come there, where its terms do not tell what is paid
	worst int64   // the most of rest
}

// step is a way to a state: from one of the set without its last lot, by a likely bid.
type step struct{ state, bid int32 }

// tree is all states from which an evening may go on: the lots from one on are still to
// come, and those of base were won at the bids of one of the roots.
type tree struct {
	*night
	first   int // the first lot that is still to come
	base    set
	roots   [][]int64 // by root, the bids for the lots of base
	layout  layout
	levels  map[set]*level
	states  int
	most    int  // of states
	weighs  bool // whether those count for more that take longer
	byTerms bool // whether terms tell what is paid beside the prices
	terms   []int64
	levies  map[string]map[uint64]int64 // by classes, where they and the terms tell: what the border asks
	room    []uint64                    // for sums
	bits    []uint64
}

// layout packs terms into a key.
type layout struct {
	placed bool    // the cell of every bid
	money  bool    // what is paid is a term
	shifts []uint  // of what is paid, where that is a term, and then by term, or by lot and then of the root; last the bits of a key
	units  []int64 // by term: in what multiples it is counted
	up     bool    // whether it is raised to one
	grain  int     // how many likely bids are taken for one
}

func (y *layout) counted(i int, term int64) int64 {
	if y.up {
		term += y.units[i] - 1
	}
	return term / y.units[i]
}

// terms is the part of a key that tells what is paid beside the prices.
func (y *layout) terms(key uint64) uint64 {
	if y.money {
		return key >> y.shifts[1]
	}
	return key
}

// errTooMany tells that there are more states than are looked at.
var errTooMany = errors.New("there are too many ways for the evening to go")

// grow makes the states. It returns errTooMany where there are too many.
func (t *tree) grow() error {
	t.levels, t.levies = map[set]*level{}, map[string]map[uint64]int64{}
	root := &level{}
	for r, bids := range t.roots {
		key := t.rootKey(r)
		rest, ok, err := t.restAt(t.base, bids)
		if err != nil {
			return err
		}
		if !ok || t.base != 0 && t.dear(key, rest) {
			continue
		}
		root.worst = max(root.worst, rest)
		if at, known := slices.BinarySearch(root.keys, key); !known { // of states of one key the first stays
			root.keys, root.rest, root.from = slices.Insert(root.keys, at, key), slices.Insert(root.rest, at, rest), slices.Insert(root.from, at, step{int32(r), 0})
		}
	}
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

// sets lists those of which a lot, or those after it, are not yet decided.
func (t *tree) sets(lot int) []set {
	var list []set
	between := set(1)<<lot - set(1)<<t.first
	for s := set(0); ; s = (s - between) & between {
		if t.levels[t.base|s] != nil {
			list = append(list, t.base|s)
		}
		if s == between {
			return list
		}
	}
}

// extend makes the states in which a lot is won on top of a set.
func (t *tree) extend(won set, lot int) error {
	parent := t.levels[won]
	cost := t.costs[won.with(lot)]
	adds := t.adds(lot, t.allowed(won, lot, parent.worst), 0, 1)
	states := t.sums(parent.keys, adds, t.affordable(parent, adds, t.least(won.with(lot), cost)))
	weight, err := t.weight(cost)
	if err != nil {
		return err
	}
	if t.states += len(states) * weight; t.states > t.most {
		return errTooMany
	}
	if !t.options.goes(t.states) {
		return ErrStopped
	}
	child := &level{}
	t.levels[won.with(lot)] = child
	from := t.ways(parent, adds, states)
	rest, ok := int64(0), false
	for i, key := range states {
		if i == 0 || t.layout.terms(key) != t.layout.terms(states[i-1]) {
			var known bool
			switch rest, known, err = t.restOf(cost, key); {
			case err != nil:
			case known || cost.refused || t.bounds != nil:
				ok = known
			default:
				bids := t.bidsOf(won, parent, int(from[i].state), nil)
				rest, ok, err = t.restAt(won.with(lot), append(bids, t.lots[lot].bids[from[i].bid]))
			}
			if err != nil {
				return err
			}
		}
		if !ok || t.dear(key, rest) {
			continue
		}
		child.keys, child.rest = append(child.keys, key), append(child.rest, rest)
		if from != nil {
			child.from = append(child.from, from[i])
		}
		child.worst = max(child.worst, rest)
	}
	return nil
}

// weight is for how many states one of a set counts, by the time it takes to price it: a parcel
// takes as long as a state without services, and a plan as several hundred parcels.
func (t *tree) weight(c *setCost) (int, error) {
	if !t.weighs || t.byTerms || !c.bySending() {
		return 1, nil
	}
	replan, err := c.ways()
	if replan == nil || err != nil {
		return aPlan, err
	}
	return replan.Parcels(), nil
}

// aPlan is for how many states a plan counts.
const aPlan = 300

// add is what winning a lot at one likely bid adds to a key, or at several that add the same: from
// one on, and before another.
type add struct {
	key      uint64
	bid, end int
}

// adds are those of the first likely bids for a lot, with what is paid in a unit, raised to the
// next, in so many bits below the key.
func (t *tree) adds(lot, bids int, below uint, unit int64) []add {
	var list []add
	for b, bid := range t.lots[lot].bids[:bids] {
		key := t.key(lot, bid)
		if below > 0 {
			key = key<<below + uint64((t.lots[lot].pays(bid)+unit-1)/unit)
		}
		if n := len(list); n > 0 && list[n-1].key == key {
			list[n-1].end++
			continue
		}
		list = append(list, add{key, b, b + 1})
	}
	return list
}

// affordable is how many of the adds may be within the budget in each state of a level, where keys
// tell; nil for all.
func (t *tree) affordable(l *level, adds []add, rest int64) []int {
	if !t.limited || !t.layout.money {
		return nil
	}
	counts := make([]int, len(l.keys))
	for i, key := range l.keys {
		left := t.budget - rest - t.layout.paid(key)
		counts[i] = sort.Search(len(adds), func(a int) bool { return t.layout.paid(adds[a].key) > left })
	}
	return counts
}

// sums are all sums of keys and what is added to them, rising; of each key the first so many adds,
// or all where counts is nil.
func (t *tree) sums(keys []uint64, adds []add, counts []int) []uint64 {
	if len(keys) == 0 || len(adds) == 0 {
		return nil
	}
	t.room = t.room[:0]
	low, high := ^uint64(0), uint64(0)
	for i, key := range keys {
		n := len(adds)
		if counts != nil {
			n = counts[i]
		}
		for _, a := range adds[:n] {
			sum := key + a.key
			low, high = min(low, sum), max(high, sum)
			t.room = append(t.room, sum)
		}
	}
	if n := uint64(len(t.room)); n == 0 || (high-low)/64 > n {
		t.room, t.bits = rising(t.room, t.bits, low^high)
		return slices.Clone(slices.Compact(t.room))
	}
	t.bits = slices.Grow(t.bits[:0], int((high-low)/64+1))[:(high-low)/64+1]
	clear(t.bits)
	for _, sum := range t.room {
		t.bits[(sum-low)/64] |= 1 << ((sum - low) % 64)
	}
	list := make([]uint64, 0, len(keys))
	for i, word := range t.bits {
		for ; word != 0; word &= word - 1 {
			list = append(list, low+uint64(64*i+bits.TrailingZeros64(word)))
		}
	}
	return list
}

// rising sorts keys by their bytes, in the room given; they differ in no other bits than some.
func rising(keys, room []uint64, differ uint64) (sorted, left []uint64) {
	room = slices.Grow(room[:0], len(keys))[:len(keys)]
	for shift := 0; shift < bits.Len64(differ); shift += 8 {
		var from [256]int
		for _, key := range keys {
			from[byte(key>>shift)]++
		}
		sum := 0
		for i, n := range from {
			from[i], sum = sum, sum+n
		}
		for _, key := range keys {
			room[from[byte(key>>shift)]] = key
			from[byte(key>>shift)]++
		}
		keys, room = room, keys
	}
	return keys, room
}

// ways finds one way to each state; nil where none is asked for.
func (t *tree) ways(parent *level, adds []add, states []uint64) []step {
	if t.byTerms {
		return nil
	}
	from := make([]step, len(states))
	for _, a := range adds {
		at := 0
		for i, key := range parent.keys {
			for at < len(states) && states[at] < key+a.key {
				at++
			}
			if at < len(states) && states[at] == key+a.key {
				from[at] = step{int32(i), int32(a.bid)}
			}
		}
	}
	return from
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
	if t.bounds != nil {
		rest, ok := t.between(c, key)
		return rest, ok, nil
	}
	if !t.byTerms || c.flat {
		return c.fixed, t.byTerms && !c.refused, nil
	}
	if c.kinds == "" {
		return t.restBy(c, key)
	}
	fixed, at := c.quick.Fixed().Minor(), t.layout.terms(key)
	levy, known := t.levies[c.kinds][at]
	if !known {
		rest, ok, err := t.restBy(c, key)
		if err != nil || !ok {
			return 0, ok, err
		}
		if t.levies[c.kinds] == nil {
			t.levies[c.kinds] = map[uint64]int64{}
		}
		levy = rest - fixed
		t.levies[c.kinds][at] = levy
	}
	return fixed + levy, true, nil
}

// between is the most that is paid beside the prices with lots in the cells of a key, or else the
// least.
func (t *tree) between(c *setCost, key uint64) (int64, bool) {
	t.terms = t.layout.parts(key, t.terms[:0])
	least, most, ok := t.bounds.Rest(t.terms[:len(t.lots)])
	if t.up {
		least = most
	}
	return c.least + least, ok
}

// restBy is restOf by the terms in a key.
func (t *tree) restBy(c *setCost, key uint64) (int64, bool, error) {
	t.terms = t.layout.parts(key, t.terms[:0])
	units := t.layout.units[len(t.layout.units)-len(t.terms):]
	for i := range t.terms {
		t.terms[i] *= units[i]
	}
	rest, ok, err := c.quick.Rest(t.classes, t.terms)
	return rest.Minor(), ok, err
}

// parts appends what a key is packed of, but for what is paid.
func (y *layout) parts(key uint64, to []int64) []int64 {
	shifts := y.shifts
	if y.money {
		shifts = shifts[1:]
	}
	for i, next := range shifts[1:] {
		to = append(to, int64(key>>shifts[i]&(1<<(next-shifts[i])-1)))
	}
	return to
}

// restAt is what is paid beside the prices at some bids for a set. It reports false where
// no service takes the lots, or the budget is broken.
func (t *tree) restAt(won set, bids []int64) (int64, bool, error) {
	c := t.costs[won]
	bids = t.standIns(c, bids)
	total, ok, err := c.total(bids)
	if err != nil || !ok || t.limited && won != 0 && !t.layout.money && total > t.budget {
		return 0, false, err
	}
	for i, l := range c.lots {
		total -= l.price(bids[i])
	}
	return total, true, nil
}

// dear reports whether the budget is broken, as far as the key tells what is paid.
func (t *tree) dear(key uint64, rest int64) bool {
	return t.limited && t.layout.money && rest+t.layout.paid(key) > t.budget
}

// paid is what a key says of prices and premiums.
func (y *layout) paid(key uint64) int64 {
	return int64(key&(1<<y.shifts[1]-1)) * y.units[0]
}

func (t *tree) rootKey(r int) uint64 {
	if y := &t.layout; y.placed {
		return uint64(r) << y.shifts[len(y.shifts)-2]
	}
	key, at := uint64(0), 0
	for lot := range t.lots {
		if t.base.has(lot) {
			key, at = key+t.key(lot, t.roots[r][at]), at+1
		}
	}
	return key
}

// key is what winning a lot at a bid adds to a key.
func (t *tree) key(lot int, bid int64) uint64 {
	l, y := t.lots[lot], &t.layout
	key, at := uint64(0), 0
	if y.money {
		key, at = uint64(y.counted(0, l.pays(l.standIn(bid, y)))), 1
	}
	if y.placed {
		place, _ := slices.BinarySearch(l.bids, bid)
		return key + uint64(t.cell(lot, place))<<y.shifts[at+lot]
	}
	for i, term := range l.terms[l.standIn(bid, y)] {
		key += uint64(y.counted(at+i, term)) << y.shifts[at+i]
	}
	return key
}

// cell is that of a likely bid, from 1 on.
func (t *tree) cell(lot, place int) int {
	if t.bounds != nil {
		return t.bounds.Cell(lot, place)
	}
	return place/t.layout.grain + 1
}

// standIn is the bid that a likely one is taken for.
func (l *lotTonight) standIn(bid int64, y *layout) int64 {
	at, likely := slices.BinarySearch(l.bids, bid)
	switch {
	case y.grain == 1 || !likely:
		return bid
	case y.up:
		return l.bids[min(at/y.grain*y.grain+y.grain, len(l.bids))-1]
	}
	return l.bids[at/y.grain*y.grain]
}

// standIns are those for the lots of a set.
func (t *tree) standIns(c *setCost, bids []int64) []int64 {
	if t.layout.grain == 1 {
		return bids
	}
	bids = slices.Clone(bids)
	for i, l := range c.lots {
		bids[i] = l.standIn(bids[i], &t.layout)
	}
	return bids
}

// chooseLayout chooses the layout: sums where they tell all, else the cell of each bid. It returns
// errTooMany where no key holds them.
func (t *tree) chooseLayout(money bool) error {
	if t.layout = (layout{grain: 1, up: t.up}); t.bounds != nil {
		t.byTerms = true
		return t.place(money)
	}
	most, ok, err := t.termSums(money)
	if err != nil {
		return err
	}
	t.byTerms = ok && t.common.byTerms && (money || !t.limited)
	if !t.byTerms {
		t.layout.grain = max(1, int(t.grain))
	}
	if ok {
		t.layout.measure(most, t.byTerms, t.grain, int64(len(t.lots)))
		if t.layout.pack(most) {
			t.layout.money = money
			return nil
		}
	}
	t.byTerms, t.layout.grain = false, max(1, int(t.grain))
	return t.place(false)
}

// place is the layout of cells, and of what is paid, in multiples of the grain, where that is
// wanted.
func (t *tree) place(money bool) error {
	t.layout.placed, t.layout.money = true, money
	var most []int64
	if money {
		t.layout.units = []int64{t.grain}
		most = append(most, t.dearest()/t.grain+int64(len(t.lots)))
	}
	for lot, l := range t.lots {
		most = append(most, int64(t.cell(lot, len(l.bids)-1)))
	}
	if !t.layout.pack(append(most, int64(len(t.roots)-1))) {
		return errTooMany
	}
	return nil
}

// dearest is the sum of what the highest likely bids cost.
func (n *night) dearest() int64 {
	sum := int64(0)
	for _, l := range n.lots {
		sum += l.pays(l.bids[len(l.bids)-1])
	}
	return sum
}

// measure gives each term its unit, those of like sums like ones, and counts the sums in it.
func (y *layout) measure(most []int64, byTerms bool, grain, lots int64) {
	for i, m := range most {
		unit := int64(1)
		if byTerms && grain > 0 {
			part, _, _ := exact.MulDiv(uint64(m), uint64(grain), uint64(slices.Max(most)))
			unit = max(1, int64(part))
		}
		if y.units = append(y.units, unit); unit > 1 {
			most[i] = m/unit + lots
		}
	}
}

// pack gives each term as many bits as its greatest sum needs.
func (y *layout) pack(most []int64) bool {
	y.shifts = append(y.shifts[:0], 0)
	for _, m := range most {
		y.shifts = append(y.shifts, y.used()+uint(bits.Len64(uint64(m))))
	}
	return y.used() <= 64
}

func (y *layout) used() uint { return y.shifts[len(y.shifts)-1] }

// tooFine reports that there would be many more states than are looked at, so that it need not
// be tried.
func (t *tree) tooFine() bool {
	y, most := &t.layout, uint(bits.Len(uint(t.most)))
	if y.placed && t.bounds == nil {
		return y.used() > most+3
	}
	widest, from := uint(0), y.used()
	for _, shift := range slices.Backward(y.shifts) {
		widest, from = max(widest, from-shift), shift
	}
	return widest+uint(len(t.lots)) > most+2
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
			dearest = max(dearest, l.price(bid))
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
	all := n.costs[1<<len(n.lots)-1]
	var terms []int64
	ok := all.flat
	if all.quick != nil {
		var err error
		if terms, ok, err = all.quick.Terms(lot, l.bid(bid)); err != nil {
			return nil, false, err
		}
	}
	if ok {
		l.terms[bid] = terms
	}
	return terms, ok, nil
}
