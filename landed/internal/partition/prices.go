package partition

import "lotcost/landed/internal/exact"

// one is 1 in the fixed point of the basis inverse and of the shares of columns.
const one, oneBits = 1 << 40, 40

// mostPrice bounds a price, so that 64 of them, twice, never overflow an int64.
const mostPrice int64 = 1 << 55

// column is a part as the relaxation sees it.
type column struct {
	rows []uint8 // the row of each block it holds
	more []int64 // what it comes to in each of the last rows, in fixed point
	cost int64   // scaled
	tag  uint64  // whose column it is
}

// master is the linear relaxation of the problem over the parts known so far, each to be taken in
// any share from 0: the least cost at which the shares hold each row's blocks. It is solved by the
// revised simplex method in fixed point. Its prices are suggestions: whoever uses them checks in
// whole numbers that no part costs less than its blocks are priced at, so that an error in the
// fixed point weakens a bound and never breaks it.
type master struct {
	cols  []column
	basis []int     // the column of each row of the basis
	inv   [][]int64 // the inverse of the basis
	share []int64   // of each column of the basis
	price []int64   // of each row, scaled as costs are
	near  []int     // columns that were cheap when all were looked at
	costs []int64   // what all were above their prices then
}

// newMaster starts from one column for each row, which holds one of its blocks at the given cost
// and has the given tag.
//
// Each row asks for a little more than its blocks, differing from row to row, so that no two rows
// of the basis empty at once: the simplex method could else go round in circles. The prices stay
// prices of the true problem.
func newMaster(rows, dear []int64, tags []uint64) *master {
	n := len(rows)
	m := &master{price: make([]int64, n)}
	for i, blocks := range rows {
		m.cols = append(m.cols, column{rows: []uint8{uint8(i)}, cost: dear[i], tag: tags[i]})
		m.basis = append(m.basis, i)
		more := int64(i+1) * 40_503 % 65_521 << 10 // spread by a prime
		m.share = append(m.share, blocks*one+more)
		m.inv = append(m.inv, make([]int64, n))
		m.inv[i][i] = one
	}
	return m
}

// mulDiv returns a*b/c for c > 0, and a bound of the int64 range where that does not fit.
func mulDiv(a, b, c int64) int64 {
	q, _, ok := exact.MulDiv(exact.Magnitude(a), exact.Magnitude(b), uint64(c))
	if q = min(q, 1<<62); !ok {
		q = 1 << 62
	}
	if (a < 0) != (b < 0) {
		return -int64(q)
	}
	return int64(q)
}

// scaled returns a*b in fixed point, wrapping where it does not fit.
func scaled(a, b int64) int64 { return exact.MulShift(a, b, oneBits) }

// reprice works out the prices from the basis.
func (m *master) reprice() {
	clear(m.price)
	for i, j := range m.basis {
		cost := m.cols[j].cost
		for k, v := range m.inv[i] {
			if v != 0 {
				m.price[k] += scaled(cost, v)
			}
		}
	}
	for k, v := range m.price {
		m.price[k] = max(-mostPrice, min(mostPrice, v))
	}
}

// reduced is what a column costs above its blocks' prices.
func (m *master) reduced(c *column) int64 {
	r := c.cost
	for _, k := range c.rows {
		r -= m.price[k]
	}
	for k, of := range c.more {
		if of != 0 {
			r -= scaled(m.price[len(m.price)-len(c.more)+k], of)
		}
	}
	return r
}

// solve brings columns into the basis while one costs less than its blocks are priced at, by more
// than slack, and returns how many figures it looked at. All columns are looked at only once those
// that were the cheapest then are in it.
func (m *master) solve(slack int64) (looked int) {
	m.reprice()
	for range 20 * len(m.price) {
		looked += len(m.near) + len(m.price)*len(m.price)
		enter := m.cheapest(m.near, slack)
		if enter < 0 {
			m.gather(slack)
			looked += len(m.cols)
			enter = m.cheapest(m.near, slack)
		}
		if enter < 0 || !m.pivot(enter) {
			break
		}
		m.reprice()
	}
	return looked
}

// cheapest is the column that costs least below its blocks' prices, by more than slack; -1 where
// none does.
func (m *master) cheapest(of []int, slack int64) (enter int) {
	enter, least := -1, -slack
	for _, j := range of {
		if r := m.reduced(&m.cols[j]); r < least {
			enter, least = j, r
		}
	}
	return enter
}

// gather finds the columns that cost at least half as much less than the prices as any does.
func (m *master) gather(slack int64) {
	least, costs := -slack, m.costs[:0]
	for j := range m.cols {
		costs = append(costs, m.reduced(&m.cols[j]))
		least = min(least, costs[j])
	}
	m.near, m.costs = m.near[:0], costs
	for j, r := range costs {
		if r < -slack && r <= least/2 {
			m.near = append(m.near, j)
		}
	}
}

// parts is how many columns are taken in all.
func (m *master) parts() int64 {
	var sum int64
	for _, share := range m.share {
		sum += share
	}
	return sum
}

// pivot brings a column into the basis; false when it cannot.
func (m *master) pivot(enter int) bool {
	n := len(m.price)
	dir, c := make([]int64, n), &m.cols[enter]
	for i, row := range m.inv {
		for _, k := range c.rows {
			dir[i] += row[k]
		}
		for k, of := range c.more {
			dir[i] += scaled(row[n-len(c.more)+k], of)
		}
	}
	leave := m.leaving(dir)
	if leave < 0 {
		return false
	}
	row := m.inv[leave]
	for k := range row {
		row[k] = mulDiv(row[k], one, dir[leave])
	}
	m.share[leave] = mulDiv(m.share[leave], one, dir[leave])
	for i := range n {
		if i == leave || dir[i] == 0 {
			continue
		}
		for k, v := range row {
			if v != 0 {
				m.inv[i][k] -= scaled(dir[i], v)
			}
		}
		m.share[i] = max(0, m.share[i]-scaled(dir[i], m.share[leave]))
	}
	m.basis[leave] = enter
	return true
}

// leaving picks the row of the basis that the entering column empties first, the firmest pivot
// among equals.
func (m *master) leaving(dir []int64) int {
	const firm = one >> 12
	leave, least := -1, int64(0)
	for i, d := range dir {
		if d < firm {
			continue
		}
		ratio := mulDiv(m.share[i], one, d)
		if leave < 0 || ratio < least || ratio == least && d > dir[leave] {
			leave, least = i, ratio
		}
	}
	return leave
}
