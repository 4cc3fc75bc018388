package partition

import "slices"

// prices are what the blocks of each class are priced at so that no set costs less than its blocks:
// what a set costs above them is never negative, and the sum over all blocks is a lower bound of
// every plan.
type prices struct {
	shift  uint // costs and prices are scaled by 2^shift
	master *master
	column map[uint32]int // of each set in the master, by its place
	price  []int64
	sum    int64 // over all blocks
	bound  int64 // the greatest sum so far
	halves       // the price of each set
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

// columnCost is what a set counts as in the relaxation. As dear as the plan to beat is as bad as
// not carried.
func (e *space) columnCost(i uint32) int64 { return min(e.low[i], e.upper) << e.prices.shift }

// excess is what a set, as far as it is not too dear, costs above its blocks' prices, scaled.
func (p *prices) excess(e *space, i uint32) int64 {
	return e.columnCost(i) - p.of(e.number[i])
}

// tabulate works out the prices of the sets.
func (p *prices) tabulate(e *space) {
	e.halve(&p.halves, func(c, _ int) int64 { return p.price[c] })
}

// relax finds prices with a great sum, settling the sets that hold them down, and drops what they
// rule out.
func (e *space) relax() {
	if e.prices.master == nil {
		return
	}
	for range 64 {
		before := e.prices.bound
		e.drop() // a set that turned out to be refused would hold the prices down
		e.prices.raise(e)
		e.drop()
		// Asking set by set is worth its while only as long as it teaches much.
		slow := e.prices.bound-before < e.budget()/16
		if e.s.stopped() || e.budget() <= 0 || !e.evaluateBasis() || slow {
			return
		}
	}
}

// raise solves the relaxation over all sets that may be in a better plan.
func (p *prices) raise(e *space) {
	m := p.master
	p.renew(e)
	slack := max(1, e.upper<<p.shift>>26)
	for range 40 * len(e.rows) {
		m.solve(slack)
		copy(p.price, m.price)
		p.tabulate(e)
		added, short := p.scan(e, slack)
		if !added || e.s.stopped() {
			p.lower(e, short)
			return
		}
	}
	_, short := p.scan(e, slack)
	p.lower(e, short)
}

// renew brings the columns' costs up to date and forgets those that are far from being taken.
func (p *prices) renew(e *space) {
	m := p.master
	clear(p.column)
	kept := m.cols[:0]
	for j, c := range m.cols {
		i := uint32(c.tag)
		row := slices.Index(m.basis, j)
		if row < 0 && p.excess(e, i) > e.budget()/8 {
			continue
		}
		if row >= 0 {
			m.basis[row] = len(kept)
		}
		c.cost = e.columnCost(i)
		p.column[i] = len(kept)
		kept = append(kept, c)
	}
	m.cols = kept
}

// scan adds to the relaxation, for each class, the set that costs least below its blocks' prices,
// and returns by how much any set does at most.
func (p *prices) scan(e *space, slack int64) (added bool, short int64) {
	for c, sets := range e.alive {
		at, least := uint32(0), int64(0)
		for _, i := range sets {
			if r := p.excess(e, i); r < least {
				at, least = i, r
			}
		}
		short = max(short, -least)
		if _, known := p.column[at]; least < -slack && !known {
			p.add(e, at)
			added = true
		}
		e.s.looked(len(e.alive[c]))
	}
	return added, short
}

// add makes a set a column of the relaxation.
func (p *prices) add(e *space, i uint32) {
	var rows []uint8
	for c, class := range e.members {
		for range (e.group(e.number[i]) & class).len() {
			rows = append(rows, uint8(c))
		}
	}
	p.column[i] = len(p.master.cols)
	p.master.cols = append(p.master.cols, column{rows: rows, cost: e.columnCost(i), tag: uint64(i)})
}

// lower takes off every block's price what some set costs too little. As a set holds a block or
// more, no set is then below its price.
func (p *prices) lower(e *space, short int64) {
	if short > 0 {
		lowered(p.price, short)
		p.tabulate(e)
	}
	p.sum = value(e.rows, p.price)
	p.bound = max(p.bound, p.sum)
}

// evaluateBasis asks for the costs of the sets that the relaxation takes; false when it knew them
// all.
func (e *space) evaluateBasis() bool {
	asked := false
	for row, j := range e.prices.master.basis {
		i := uint32(e.prices.master.cols[j].tag)
		if e.prices.master.share[row] > one>>8 && !e.known[i] && e.low[i] < e.upper {
			e.evaluate(i)
			asked = true
		}
	}
	return asked
}
