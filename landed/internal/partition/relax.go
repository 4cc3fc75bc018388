package partition

import "slices"

// prices are what the blocks of each class are priced at so that no set costs less than its blocks:
// what a set costs above them is never negative, and the sum over all blocks is a lower bound of
// every plan. Where parts are counted, each has a price too, and the sum is a bound of plans of so
// many parts, or more where that price is above zero, or fewer where it is below.
type prices struct {
	shift  uint  // costs and prices are scaled by 2^shift
	parts  int64 // how many parts are counted; 0: none are
	side   int64 // 1 for plans of at least so many, -1 of at most
	master *master
	column map[uint32]int // of each set in the master, by its place
	price  []int64        // of the classes, and then of a part where they are counted
	sum    int64          // over all blocks, and parts
	halves                // the price of each set
}

// start sets all prices to 0 and the relaxation to one block a part.
func (p *prices) start(e *space) {
	p.price = make([]int64, len(e.rows))
	p.halves = e.halved(func(_, _ int) int64 { return 0 })
	if e.upper >= never {
		return // with no plan to beat, nothing could be dropped
	}
	p.shift = scaleFor(e.upper)
	p.column = map[uint32]int{}
	dear, tags := make([]int64, len(e.rows)), make([]uint64, len(e.rows))
	for c, stride := range e.stride[:len(e.rows)] {
		i := e.at(uint32(stride))
		dear[c], tags[c], p.column[i] = e.columnCost(i), uint64(i), c
	}
	p.master = newMaster(e.rows, dear, tags)
}

// counting are prices for plans of so many parts at least, or at most, which start from those of
// all plans.
func (e *space) counting(parts, side int64) *prices {
	p := &prices{shift: e.prices.shift, parts: parts, side: side, column: map[uint32]int{}, price: make([]int64, len(e.rows)+1)}
	copy(p.price, e.prices.price)
	p.halves = e.halved(func(c, _ int) int64 { return p.price[c] })
	p.master = newMaster(p.wanted(e), slices.Repeat([]int64{e.upper << p.shift}, len(p.price)), make([]uint64, len(p.price)))
	for i := range e.prices.master.cols {
		p.add(e, uint32(e.prices.master.cols[i].tag))
	}
	return p
}

// wanted are how many blocks of each class there are, and parts where they are counted.
func (p *prices) wanted(e *space) []int64 {
	if p.parts == 0 {
		return e.rows
	}
	return append(slices.Clone(e.rows), p.parts)
}

// columnCost is what a set counts as in the relaxation. As dear as the plan to beat is as bad as
// not carried.
func (e *space) columnCost(i uint32) int64 { return min(e.low[i], e.upper) << e.prices.shift }

// excess is what a set, as far as it is not too dear, costs above its blocks' prices, scaled.
func (p *prices) excess(e *space, i uint32) int64 {
	return e.columnCost(i) - p.of(e.number[i])
}

// budget is how much, scaled, a plan below upper costs at most above its prices, plus one: costs
// are whole, so that it costs a whole unit less.
func (p *prices) budget(e *space) int64 { return (e.upper-1)<<p.shift + 1 - p.sum }

// tabulate works out the prices of the sets.
func (p *prices) tabulate(e *space) {
	if p.parts > 0 {
		p.hi[0] = p.price[len(e.rows)] // and so in all that are made of it
	}
	e.halve(&p.halves, func(c, _ int) int64 { return p.price[c] })
}

// relax finds prices with a great sum, settling the sets that hold them down, and drops what they
// rule out.
func (e *space) relax() {
	if e.prices.master == nil {
		return
	}
	for range 64 {
		before := e.bound
		e.drop() // a set that turned out to be refused would hold the prices down
		e.prices.raise(e)
		e.drop()
		e.count()
		asked := e.evaluateBasis(&e.prices)
		for _, p := range e.sides {
			asked = e.evaluateBasis(p) || asked
		}
		// Asking set by set is worth its while only as long as it teaches much.
		slow := e.bound-before < e.prices.budget(e)/16
		if e.s.stopped() || e.prices.budget(e) <= 0 || !asked || slow {
			return
		}
	}
}

// few is up to how many parts plans are looked at as a set and all others.
const few = 2

// count looks at plans of as many parts as the relaxation takes, rounded down, or fewer, and at
// those of more: it mostly takes shares of parts, and neither costs as little as it does then.
func (e *space) count() {
	parts := e.prices.master.parts()
	most := max(parts>>oneBits, few)
	e.pairs = e.upper
	if most > few && parts&(one-1) < one>>6 || e.prices.budget(e) <= 0 {
		return
	}
	if e.sides == nil || e.sides[0].parts != most+1 {
		if e.sides = []*prices{e.counting(most+1, 1)}; most > few {
			e.sides = append(e.sides, e.counting(most, -1))
		}
	}
	bound := e.upper << e.prices.shift
	for _, p := range e.sides {
		p.raise(e)
		bound = min(bound, p.sum)
	}
	if e.pairs = e.drop(); len(e.sides) == 1 {
		bound = min(bound, e.pairs<<e.prices.shift)
	}
	e.bound = max(e.bound, bound)
}

// mostNear is of how many sets at once the relaxation chooses columns: to look at all for each
// choice would be most of the work.
const mostNear = 1 << 13

// raise solves the relaxation over all sets that may be in a better plan: over some that cost less
// than their prices, again and again until there are none.
func (p *prices) raise(e *space) {
	m := p.master
	p.renew(e)
	slack := max(1, e.upper<<p.shift>>26)
	var short int64
	for n := 0; ; n++ {
		m.solve(slack)
		p.set(e)
		var near []uint32
		if near, short = p.below(e, slack); n == 40 || e.s.stopped() || !p.choose(e, near, slack) {
			break
		}
		for m.solve(slack); ; m.solve(slack) {
			if p.set(e); !p.choose(e, near, slack) {
				break
			}
		}
	}
	p.lower(e, short)
	if p.parts == 0 {
		e.bound = max(e.bound, p.sum)
	}
}

// set takes the prices of the relaxation; those of parts as far as they hold for all plans that are
// looked at.
func (p *prices) set(e *space) {
	copy(p.price, p.master.price)
	if n := len(e.rows); p.parts > 0 && p.price[n]*p.side < 0 {
		p.price[n] = 0
	}
	p.tabulate(e)
}

// renew brings the columns' costs up to date and forgets those that are far from being taken.
func (p *prices) renew(e *space) {
	m := p.master
	clear(p.column)
	kept := m.cols[:0]
	for j, c := range m.cols {
		i := uint32(c.tag)
		row := slices.Index(m.basis, j)
		if row < 0 && (i == 0 || p.excess(e, i) > e.prices.budget(e)/8) {
			continue
		}
		if row >= 0 {
			m.basis[row] = len(kept)
		}
		if c.cost = e.upper << p.shift; i > 0 {
			c.cost = e.columnCost(i)
			p.column[i] = len(kept)
		}
		kept = append(kept, c)
	}
	m.cols = kept
}

// below lists sets that cost less than their prices by more than slack, all or some of them all
// over, and returns by how much any set does at most.
func (p *prices) below(e *space, slack int64) (near []uint32, short int64) {
	step, n := 1, 0
	for _, sets := range e.alive {
		for _, i := range sets {
			r := p.excess(e, i)
			if short = max(short, -r); r >= -slack {
				continue
			}
			if n++; n%step > 0 {
				continue
			}
			if near = append(near, i); len(near) == mostNear {
				for k := range mostNear / 2 {
					near[k] = near[2*k+1]
				}
				near, step = near[:mostNear/2], 2*step
			}
		}
		e.s.looked(len(sets))
	}
	return near, short
}

// choose adds to the relaxation, for each class, the set of some that costs least below its prices;
// false where none does.
func (p *prices) choose(e *space, near []uint32, slack int64) (added bool) {
	for c := 0; c < len(e.members); c++ {
		at, least := uint32(0), -slack
		for len(near) > 0 && int(e.number[near[0]]) < e.stride[c+1] {
			if r := p.excess(e, near[0]); r < least {
				at, least = near[0], r
			}
			near = near[1:]
		}
		if _, known := p.column[at]; at > 0 && !known {
			p.add(e, at)
			added = true
		}
	}
	e.s.looked(mostNear)
	return added
}

// add makes a set a column of the relaxation.
func (p *prices) add(e *space, i uint32) {
	var rows []uint8
	for c, class := range e.members {
		for range (e.group(e.number[i]) & class).len() {
			rows = append(rows, uint8(c))
		}
	}
	if p.parts > 0 {
		rows = append(rows, uint8(len(e.rows)))
	}
	p.column[i] = len(p.master.cols)
	p.master.cols = append(p.master.cols, column{rows: rows, cost: e.columnCost(i), tag: uint64(i)})
}

// lower takes off every block's price what some set costs too little: as a set holds a block or
// more, none is then below its price. Of what is beyond reason all, because no cost is negative.
func (p *prices) lower(e *space, short int64) {
	if short > 0 {
		for i := range e.rows {
			p.price[i] -= short
		}
		if short > mostPrice {
			clear(p.price)
		}
		p.tabulate(e)
	}
	p.sum = 0
	for i, n := range p.wanted(e) {
		p.sum += n * p.price[i]
	}
}

// evaluateBasis asks for the costs of the sets that a relaxation takes; false when it knew them
// all.
func (e *space) evaluateBasis(p *prices) bool {
	asked := false
	for row, j := range p.master.basis {
		i := uint32(p.master.cols[j].tag)
		asked = i > 0 && p.master.share[row] > one>>8 && e.low[i] < e.upper && e.evaluate(i) || asked
	}
	return asked
}
