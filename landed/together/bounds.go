package together

import (
	"math/big"
	"math/bits"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// bounds are [planning.Bounds] of a haul. Lots are those whose prices change, and after them all
// others, each in one cell.
type bounds struct {
	adds   [][]int64 // by lot and price
	cell   [][]int
	cells  []int    // of each lot
	stride []int    // of each lot; one more: how many numbers there are
	others int      // the number of the lots whose prices do not change
	rest   []within // by number, the sum of cells times strides
	least  []int64  // of the rest, by the lots whose prices change, as bits
	beside int64    // what is estimated of what has come, which is in the rest
}

// within is between which figures a sum lies.
type within struct{ least, most int64 }

// plus is the sum of two rests, which may be below nothing: never where one of them is.
func (w within) plus(o within) within {
	if w.most == never || o.most == never {
		return within{never, never}
	}
	return within{w.least + o.least, w.most + o.most}
}

// bounder makes bounds.
type bounder struct {
	*planner
	bounds
	order   []partition.Set // by place in the bounds: a lot of the haul
	wide    counting
	terms   [][][]int64 // by lot and price: its part of the sums
	from    [][][]int64 // by lot and cell: the least of them
	upTo    [][][]int64
	parcels []meshed
	slope   []int64 // of each sum, in parts of 2^-slopeBits: what is added for each unit of it
	rounded int64   // how far roundings may move a cost off what is linear
	rises   bool    // whether it then never falls as a sum rises
	// steepest is what a unit of any sum adds at most, but for steps, in the same parts.
	steepest int64
}

// meshed is a parcel whose cost is known where lines through its sums cross.
type meshed struct {
	lots  partition.Set // by their places in the bounds
	asks  []func(sums []int64, together int64) (planning.BySums, error)
	axes  []axis
	cost  [][][]planning.BySums // by side and ask, at the crossings, the first axis going on fastest
	boxes [][]within            // between them: the cost less what the prices add
	carry []int64               // of each ask, in the sum that rules look at beyond one parcel
	most  []int64               // by side: of those that ask least somewhere
}

// axis is a sum from its least on, cut into so many pieces, none where it is one figure.
type axis struct {
	from, upTo int64
	cuts       int
	step       int // from one crossing to the next along it
	boxes      int
	boxStep    int
}

// at is the place of a cut; that of the last is the end.
func (a *axis) at(i int) int64 { return a.from + (a.upTo-a.from)*int64(i)/int64(max(a.cuts, 1)) }

const (
	slopeBits = 24
	// mostMeshed is how many costs are asked for, mostPairs how many times a parcel is tried in a
	// way, mostBounded how many lots there may be.
	mostMeshed  = 400_000
	mostPairs   = 100_000_000
	mostBounded = 16
	// mostCuts is into how many pieces a sum is cut at most.
	mostCuts = 512
)

// NewBounds makes a haul ready to tell between which figures lies what [Least] comes to with any
// of some lots, by their places, at any of some prices of each, rising, in so many cells of all
// lots at most, unless each is in one. It returns nil where that cannot be told by sums of values.
// The errors are those of Least.
func NewBounds(h *landed.Haul, s *Sending, lots []int, prices [][]money.Amount, most int) (planning.Bounds, error) {
	p, err := atOtherPrices(h, s, lots)
	if p == nil || err != nil || len(lots) == 0 || p.hasShared() || p.toCome().Len() > mostBounded || len(p.problem.Together) > 0 {
		return nil, err
	}
	b := &bounder{planner: p, bounds: bounds{beside: p.guessed}}
	b.wide.Together, _ = p.pricer.Together()
	var steepest *big.Rat
	if b.rounded, steepest, b.rises, err = p.pricer.Rounded(); err != nil {
		return nil, err
	}
	b.steepest = fine(steepest, slopeBits) + 1
	if ok, err := b.valued(prices); !ok || err != nil {
		return nil, err
	}
	for _, lot := range lots {
		b.order = append(b.order, partition.SetOf(lot))
	}
	for lot := range h.Lots {
		if !slices.Contains(lots, lot) && !p.gone.Has(lot) {
			b.order = append(b.order, partition.SetOf(lot))
		}
	}
	if ok, err := b.sendable(); !ok || err != nil {
		return nil, err
	}
	if err := b.count(); err != nil {
		return nil, err
	}
	if err := b.mesh(); err != nil {
		return nil, err
	}
	b.slopes()
	b.add()
	if err := b.divide(most); err != nil {
		return nil, err
	}
	b.solve()
	return &b.bounds, nil
}

// valued asks for the terms of all prices; false where sums do not tell.
func (b *bounder) valued(prices [][]money.Amount) (bool, error) {
	for n := range prices {
		var all [][]int64
		for _, price := range prices[n] {
			terms, ok, err := b.pricer.Terms(n, price)
			if err != nil || !ok {
				return false, err
			}
			all = append(all, terms)
		}
		b.terms = append(b.terms, all)
	}
	return true, nil
}

// span is the least and the most of a sum over some prices.
func span(terms [][]int64, sum int) (least, most int64) {
	least, most = terms[0][sum], terms[0][sum]
	for _, t := range terms {
		least, most = min(least, t[sum]), max(most, t[sum])
	}
	return least, most
}

// sendable lists the parcels that some service takes; false where their costs are not told by sums.
func (b *bounder) sendable() (bool, error) {
	taken := make([]bool, 1<<len(b.order))
	grow := b.refusalsGrow()
	for set := partition.Set(1); set < 1<<len(b.order); set++ {
		if grow && set.Len() > 1 && !taken[set&(set-1)] {
			continue
		}
		offers, err := b.offers(lotsOf(b.order, int(set)))
		if err != nil {
			return false, err
		}
		m := meshed{lots: set}
		for i := range offers {
			if !b.asked(&m, offers[i].Carriage) {
				return false, nil
			}
		}
		if taken[set] = offers != nil; taken[set] {
			b.axes(&m)
			b.parcels = append(b.parcels, m)
		}
	}
	return true, nil
}

// asked makes ready what a service asks for a parcel; false where sums do not tell.
func (b *bounder) asked(m *meshed, c landed.Carriage) bool {
	lots := lotsOf(b.order, int(m.lots)).Elements()
	ask, ok := b.pricer.BySums(lots, c.Freight, c.Insurance, c.Fees)
	if !ok {
		return false
	}
	m.asks = append(m.asks, ask)
	all, _, err := b.pricer.Counts(lots, c.Freight, c.Insurance, c.Fees)
	bare, _, errBare := b.pricer.Counts(lots, money.Amount{}, money.Amount{}, money.Amount{})
	m.carry = append(m.carry, all-bare)
	return err == nil && errBare == nil
}

// axes finds between which figures the sums of a parcel lie.
func (b *bounder) axes(m *meshed) {
	m.axes = make([]axis, len(b.terms[0][0]))
	for sum := range m.axes {
		for _, lot := range b.changing(m) {
			from, upTo := span(b.terms[lot], sum)
			m.axes[sum].from += from
			m.axes[sum].upTo += upTo
		}
	}
}

// changing are the lots of a parcel whose prices change.
func (b *bounder) changing(m *meshed) []int {
	return (m.lots & (1<<len(b.terms) - 1)).Elements()
}

// mesh asks for costs where cuts of the sums cross, all as far apart as their number allows.
func (b *bounder) mesh() error {
	pitch, widest := int64(1), int64(1)
	for i := range b.parcels {
		for _, a := range b.parcels[i].axes {
			widest = max(widest, a.upTo-a.from)
		}
	}
	for pitch = max(1, widest/mostCuts); b.crossings(pitch) > mostMeshed && pitch < widest; pitch += pitch/4 + 1 {
	}
	for i := range b.parcels {
		m := &b.parcels[i]
		size, boxes := 1, 1
		for k := range m.axes {
			a := &m.axes[k]
			a.cuts = a.by(pitch)
			a.boxes = max(a.cuts, 1)
			a.step, size = size, size*(a.cuts+1)
			a.boxStep, boxes = boxes, boxes*a.boxes
		}
		for side := range b.wide.sides {
			if err := m.price(size, b.wide.Least(side)); err != nil {
				return err
			}
		}
	}
	return nil
}

// price asks for the costs on a side.
func (m *meshed) price(size int, together int64) error {
	cost, most, sums := make([][]planning.BySums, len(m.asks)), int64(0), make([]int64, len(m.axes))
	for n := range cost {
		cost[n] = make([]planning.BySums, size)
	}
	for at := range size {
		for k := range m.axes {
			a := &m.axes[k]
			sums[k] = a.at(at / a.step % (a.cuts + 1))
		}
		for n, ask := range m.asks {
			var err error
			if cost[n][at], err = ask(sums, together); err != nil {
				return err
			}
		}
		most = max(most, m.carry[leastOf(cost, at)])
	}
	m.cost, m.most = append(m.cost, cost), append(m.most, most)
	return nil
}

// leastOf is the service that surely asks least.
func leastOf(cost [][]planning.BySums, at int) int {
	by := 0
	for n := range cost {
		if cost[n][at].Most < cost[by][at].Most {
			by = n
		}
	}
	return by
}

// by is how many pieces of so much a sum is cut into.
func (a *axis) by(pitch int64) int { return int((a.upTo - a.from + pitch - 1) / pitch) }

// crossings is how many costs are asked for.
func (b *bounder) crossings(pitch int64) int {
	all := 0
	for i := range b.parcels {
		m := &b.parcels[i]
		size := len(m.asks) * b.wide.sides
		for k := range m.axes {
			size = min(size*(m.axes[k].by(pitch)+1), mostMeshed)
		}
		all += size
	}
	return all
}

// parts is over how many parts of a sum it is looked at what it adds: fewer than cuts, as roundings
// would else be most of it, and enough for most to be without a step.
const parts = 8

// slopes finds what each sum adds most often, a unit of it.
func (b *bounder) slopes() {
	b.slope = make([]int64, len(b.terms[0][0]))
	for k := range b.slope {
		var all []int64
		for i := range b.parcels {
			m := &b.parcels[i]
			a := &m.axes[k]
			far := max(1, a.cuts/parts)
			for _, asks := range m.cost {
				cost := asks[leastOf(asks, 0)]
				for at := range cost {
					n := at / a.step % (a.cuts + 1)
					if n%far > 0 || n+far > a.cuts || a.at(n+far) == a.at(n) {
						continue
					}
					all = append(all, (cost[at+far*a.step].Least-cost[at].Least)<<slopeBits/(a.at(n+far)-a.at(n)))
				}
			}
		}
		if slices.Sort(all); len(all) > 0 {
			b.slope[k] = max(0, all[len(all)/2])
		}
	}
}

// sloped is what sums add, rounded down.
func (b *bounder) sloped(sums []int64) int64 {
	add := int64(0)
	for k, sum := range sums {
		add += sum * b.slope[k]
	}
	return add >> slopeBits
}

// add finds what each price adds, and what is left of the costs between the cuts.
func (b *bounder) add() {
	for _, terms := range b.terms {
		var adds []int64
		for _, t := range terms {
			adds = append(adds, b.sloped(t))
		}
		b.adds = append(b.adds, adds)
	}
	for i := range b.parcels {
		m := &b.parcels[i]
		for _, cost := range m.cost {
			m.boxes = append(m.boxes, b.left(m, cost))
		}
		m.cost = nil
	}
}

// left is what is left of costs between the cuts.
func (b *bounder) left(m *meshed, cost [][]planning.BySums) []within {
	corners, size := make([]int, 1<<len(m.axes)), 1
	rests := make([]int64, len(corners)) // what prices add there
	for k := range m.axes {
		size *= m.axes[k].boxes
	}
	boxes := make([]within, size)
	sums := make([]int64, len(m.axes))
	for box := range boxes {
		apart := int64(0)
		for c := range corners {
			at := 0
			for k := range m.axes {
				a := &m.axes[k]
				j := min(box/a.boxStep%a.boxes+c>>k&1, a.cuts)
				at, sums[k] = at+j*a.step, a.at(j)
			}
			if c == 0 {
				apart = -sumOf(sums)
			} else if c == len(corners)-1 {
				apart += sumOf(sums)
			}
			corners[c], rests[c] = at, b.sloped(sums)
		}
		w := within{never, never}
		for n := range cost {
			by := b.cornered(cost[n], corners, rests, apart)
			w = within{min(w.least, by.least), min(w.most, by.most)}
		}
		boxes[box] = within{w.least, w.most + int64(m.lots.Len())} // what all lots together may lose
	}
	return boxes
}

// cornered is what is left of what a service asks between some corners, the lowest first and the
// highest last, so far apart. Where both went the same way it is linear but for roundings, of which
// there are some at the corners too. Else there is a step between them: up, or, where the highest
// costs less, down, and then the way of either rises no more than the steepest does.
func (b *bounder) cornered(cost []planning.BySums, corners []int, adds []int64, apart int64) within {
	last := len(corners) - 1
	low, high := &cost[corners[0]], &cost[corners[last]]
	rising := within{low.Least - adds[last], high.Most - adds[0]}
	if high.Least < low.Least && low.Trail != high.Trail {
		rise := apart*b.steepest>>slopeBits + 2*b.rounded + 1
		return within{high.Least - rise - adds[last], low.Most + rise - adds[0]}
	}
	if !b.rises {
		rising = within{rising.least - 2*b.rounded, rising.most + 2*b.rounded}
	}
	if low.Trail != high.Trail {
		return rising
	}
	linear := within{never, -never}
	for n, at := range corners {
		linear.least, linear.most = min(linear.least, cost[at].Least-adds[n]), max(linear.most, cost[at].Most-adds[n])
	}
	linear = within{linear.least - 2*b.rounded - 1, linear.most + 2*b.rounded + 1}
	return within{max(rising.least, linear.least), min(rising.most, linear.most)}
}

// divide puts the prices of each lot in cells, the widest divided first, as long as there are not
// too many.
func (b *bounder) divide(most int) error {
	b.cells = slices.Repeat([]int{1}, len(b.order))
	cuts := make([]cuts, len(b.terms))
	for lot := range cuts {
		var err error
		if cuts[lot], err = b.cutsOf(lot); err != nil {
			return err
		}
	}
	full := make([]bool, len(cuts))
	for slices.Contains(full, false) {
		next := -1
		for lot := range cuts {
			if !full[lot] && (next < 0 || cuts[lot].need() > cuts[next].need()) {
				next = lot
			}
		}
		b.cells[next]++
		pairs, numbers := 1, 1
		for _, cells := range b.cells {
			pairs, numbers = min(pairs*(1+2*cells), mostPairs+1), min(numbers*(1+cells), most+1)
		}
		if numbers > most || pairs > mostPairs || !cuts[next].cut() {
			b.cells[next]--
			full[next] = true
		}
	}
	size := 1
	for lot, cells := range b.cells {
		b.stride = append(b.stride, size)
		if lot >= len(b.terms) {
			b.others += size
		}
		size *= cells + 1
	}
	b.stride = append(b.stride, size)
	for lot := range b.terms {
		b.fill(lot, cuts[lot].ends)
	}
	return nil
}

// cuts are where the prices of a lot are divided.
type cuts struct {
	worth []int64 // of each price at the border, rising
	ends  []int   // the last price of each cell
	turn  int     // where its cost by itself turns: that price and the next are kept apart first; -1 is nowhere
}

// turned is how many times more a lot needs to be cut where its cost turns.
const turned = 8

// widest is the cell between the most different prices, and how much they differ.
func (c *cuts) widest() (cell int, wide int64) {
	first := 0
	for i, last := range c.ends {
		if w := c.worth[last] - c.worth[first]; w > wide {
			cell, wide = i, w
		}
		first = last + 1
	}
	return cell, wide
}

// need is how much it would help to cut the lot.
func (c *cuts) need() int64 {
	_, wide := c.widest()
	if c.turn >= 0 {
		return turned * wide
	}
	return wide
}

// cut divides a cell; false where none can be.
func (c *cuts) cut() bool {
	cell, wide := c.widest()
	if wide == 0 {
		return false
	}
	first, last := 0, c.ends[cell]
	if cell > 0 {
		first = c.ends[cell-1] + 1
	}
	at := c.turn
	if c.turn = -1; at < 0 || cell > 0 {
		at = first
		for at+1 < last && c.worth[at+1]-c.worth[first] <= wide/2 {
			at++
		}
	}
	c.ends = slices.Insert(c.ends, cell, at)
	return true
}

// cutsOf finds what the prices of a lot are worth, and where its cost by itself turns most.
func (b *bounder) cutsOf(lot int) (cuts, error) {
	c := cuts{turn: -1, ends: []int{len(b.terms[lot]) - 1}}
	for _, terms := range b.terms[lot] {
		sum := int64(0)
		for _, t := range terms {
			sum += t
		}
		if n := len(c.worth); n > 0 {
			sum = max(sum, c.worth[n-1]) // where a rounding tells otherwise
		}
		c.worth = append(c.worth, sum)
	}
	i := slices.IndexFunc(b.parcels, func(m meshed) bool { return m.lots == partition.SetOf(lot) })
	if i < 0 {
		return c, nil
	}
	before, most := int64(0), int64(0)
	for price, terms := range b.terms[lot] {
		rest := int64(never)
		for _, ask := range b.parcels[i].asks {
			cost, err := ask(terms, 0)
			if err != nil {
				return c, err
			}
			rest = min(rest, cost.Least-b.adds[lot][price])
		}
		if turn := max(rest-before, before-rest); price > 0 && turn > most {
			most, c.turn = turn, price-1
		}
		before = rest
	}
	if most <= before/turned {
		c.turn = -1
	}
	return c, nil
}

// fill puts the prices of a lot in cells.
func (b *bounder) fill(lot int, ends []int) {
	var cell []int
	from, upTo := make([][]int64, len(ends)+1), make([][]int64, len(ends)+1)
	sums := make([]within, len(ends)+1)
	for price, t := range b.terms[lot] {
		at, _ := slices.BinarySearch(ends, price)
		c := at + 1
		if cell = append(cell, c); from[c] == nil {
			from[c], upTo[c], sums[c] = slices.Clone(t), slices.Clone(t), within{sumOf(t), sumOf(t)}
		}
		sums[c] = within{min(sums[c].least, sumOf(t)), max(sums[c].most, sumOf(t))}
		for k := range t {
			from[c][k], upTo[c][k] = min(from[c][k], t[k]), max(upTo[c][k], t[k])
		}
	}
	b.cell, b.from, b.upTo = append(b.cell, cell), append(b.from, from), append(b.upTo, upTo)
	b.wide.cells = append(b.wide.cells, sums)
}

// solve finds the rest of every number.
func (b *bounder) solve() {
	size := b.stride[len(b.cells)]
	for side := range b.wide.sides {
		b.wide.rest = append(b.wide.rest, b.onSide(side, size))
	}
	b.rest = make([]within, size)
	b.least = slices.Repeat([]int64{never}, 1<<len(b.terms))
	digits := make([]int, len(b.cells))
	for number := 1; number < size; number++ {
		b.next(digits)
		if b.rest[number] = b.joined(digits); number >= b.others {
			b.keepLeast(digits, b.rest[number].least)
		}
	}
	b.wide.rest = nil
}

// next counts on.
func (b *bounder) next(digits []int) {
	lot := 0
	for digits[lot] == b.cells[lot] {
		digits[lot] = 0
		lot++
	}
	digits[lot]++
}

// onSide finds the rest of every number on a side: of a parcel that holds its last lot, and of what
// then remains.
func (b *bounder) onSide(side, size int) []sided {
	sent := make([]sided, size) // in one parcel
	for i := range sent {
		sent[i].within = within{never, never}
	}
	for i := range b.parcels {
		b.place(&b.parcels[i], side, sent)
	}
	rest := make([]sided, size)
	digits, subs := make([]int, len(b.cells)), make([]int, 1<<max(len(b.cells)-1, 0))
	var parts []int
	for number := 1; number < size; number++ {
		b.next(digits)
		parts = parts[:0]
		for lot, digit := range digits {
			if digit > 0 {
				parts = append(parts, digit*b.stride[lot])
			}
		}
		last := len(parts) - 1
		for t := 1; t < 1<<last; t++ {
			subs[t] = subs[t&(t-1)] + parts[bits.TrailingZeros(uint(t))]
		}
		best := sided{within: within{never, never}}
		for _, sub := range subs[:1<<last] {
			part := sub + parts[last]
			p, r := &sent[part], &rest[number-part]
			w := p.plus(r.within)
			if best.least = min(best.least, w.least); w.most < best.most {
				best.most, best.carry = w.most, p.carry+r.carry
			}
		}
		rest[number] = best
	}
	return rest
}

// keepLeast notes the rest of lots in some cells, if no other is left out.
func (b *bounder) keepLeast(digits []int, least int64) {
	set := 0
	for lot, digit := range digits {
		switch {
		case lot >= len(b.terms) && digit == 0:
			return
		case lot < len(b.terms) && digit > 0:
			set |= 1 << lot
		}
	}
	b.least[set] = min(b.least[set], least)
}

// place finds what is left of a parcel's cost on a side with its lots in any cells.
func (b *bounder) place(m *meshed, side int, sent []sided) {
	lots := b.changing(m)
	number := 0
	for _, lot := range m.lots.Elements() {
		if lot >= len(b.terms) {
			number += b.stride[lot]
		}
	}
	var put func(n, number int, from, upTo []int64)
	put = func(n, number int, from, upTo []int64) {
		if n == len(lots) {
			sent[number] = sided{m.between(from, upTo, side), m.most[side]}
			for lower := range b.wide.lower(side) {
				w := m.between(from, upTo, lower)
				sent[number].most, sent[number].carry = max(sent[number].most, w.most), max(sent[number].carry, m.most[lower])
			}
			return
		}
		for cell := 1; cell <= b.cells[lots[n]]; cell++ {
			more, most := slices.Clone(from), slices.Clone(upTo)
			for k := range more {
				more[k] += b.from[lots[n]][cell][k]
				most[k] += b.upTo[lots[n]][cell][k]
			}
			put(n+1, number+cell*b.stride[lots[n]], more, most)
		}
	}
	put(0, number, make([]int64, len(b.slope)), make([]int64, len(b.slope)))
}

// between is what is left of the cost where the sums lie from one to another.
func (m *meshed) between(from, upTo []int64, side int) within {
	first, last := make([]int, len(from)), make([]int, len(from))
	for k := range m.axes {
		a := &m.axes[k]
		for last[k] = a.boxes - 1; last[k] > 0 && a.at(last[k]) >= upTo[k]; last[k]-- {
		}
		for first[k] = 0; first[k] < last[k] && a.at(first[k]+1) <= from[k]; first[k]++ {
		}
	}
	w := within{never, -never}
	at := slices.Clone(first)
	for {
		box := 0
		for k := range at {
			box += at[k] * m.axes[k].boxStep
		}
		w.least, w.most = min(w.least, m.boxes[side][box].least), max(w.most, m.boxes[side][box].most)
		k := 0
		for ; k < len(at) && at[k] == last[k]; k++ {
			at[k] = first[k]
		}
		if k == len(at) {
			return w
		}
		at[k]++
	}
}

func (b *bounds) Adds(lot, price int) int64 { return b.adds[lot][price] }

func (b *bounds) Cell(lot, price int) int { return b.cell[lot][price] }

func (b *bounds) Rest(cells []int64) (least, most int64, ok bool) {
	number := b.others
	for lot, cell := range cells {
		number += int(cell) * b.stride[lot]
	}
	r := b.rest[number]
	return r.least + b.beside, r.most + b.beside, r.most < never
}

func (b *bounds) Least(lots int) (int64, bool) {
	return b.least[lots] + b.beside, b.least[lots] < never
}
