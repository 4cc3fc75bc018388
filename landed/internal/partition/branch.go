package partition

import (
	"cmp"
	"maps"
	"slices"
)

// cut is a row of the relaxation that says what choices come to together: parts at least, or at
// most.
type cut struct {
	of    [][]int64 // by sack and step, in parts of one
	sack  int       // the one whose blocks take off, as much as less says
	less  []int64
	parts int64
	most  bool
	all   bool // all parts are counted
}

// has is what a choice comes to.
func (c *cut) has(x choice) int64 {
	of := c.of[x.sack][x.step]
	if c.less != nil && x.sack == c.sack {
		of -= x.group.sum(c.less)
	}
	return of
}

// priced takes what a cut is priced at from what is worth and paid in a sack, rounded so that no
// choice is said to cost more than it does.
func (c *cut) priced(price int64, sack int, worth, paid []int64) {
	if price == 0 {
		return
	}
	for k := range paid {
		if of := c.of[sack][k]; of != 0 {
			paid[k] -= scaled(price, of) + 1
		}
	}
	if c.less != nil && sack == c.sack {
		for b, of := range c.less {
			worth[b] -= scaled(price, of)
		}
	}
}

// valued is the sum of the prices of all blocks and cuts, those of which are brought to their side.
func valued(cuts []cut, price []int64) (sum int64) {
	blocks := len(price) - len(cuts)
	for _, p := range price[:blocks] {
		sum += p
	}
	for i := range cuts {
		p := &price[blocks+i]
		if cuts[i].most {
			*p = min(*p, 0)
		} else {
			*p = max(*p, 0)
		}
		sum += *p * cuts[i].parts
	}
	return sum
}

// cuts are what holds of all plans of the free blocks: that parts hold all there is of a figure,
// and in each bracket no more of its measure than is left by their carriage, and where a bracket
// asks less than one before it, more than is in those.
func (l *large) cuts(free group) (cuts []cut) {
	boxes := &l.s.boxes
	for f, of := range l.s.figures {
		total := free.sum(of)
		if total == 0 || slices.Min(boxes.holds[f]) >= total {
			continue
		}
		c := cut{parts: 1}
		for range l.sacks {
			var list []int64
			for _, most := range boxes.holds[f] {
				list = append(list, mulDiv(min(most, total), one, total)+1)
			}
			c.of = append(c.of, list)
		}
		cuts = append(cuts, c)
	}
	for i := range l.sacks {
		k := &l.sacks[i]
		if unit := slices.Max(k.left); k.rows > 1 && unit > 0 {
			c := l.within(i)
			for n, left := range k.left {
				c.of[i][n] = mulDiv(left, one, unit) + 1
			}
			for _, m := range k.measures {
				c.less = append(c.less, mulDiv(min(m, unit), one, unit))
			}
			cuts = append(cuts, c)
		}
		if most := l.s.all.sum(l.s.levies.measure); k.over != nil && most > 0 {
			c, unit := l.within(i), most
			if l.s.levies.passable() { // what is missing is at first as dear as the plan to beat for each unit
				unit = most>>4 + 1
			}
			for n, over := range k.over {
				c.of[i][n] = -mulDiv(min(over, most), one, unit)
			}
			for _, m := range l.s.levies.measure {
				c.less = append(c.less, -mulDiv(m, one, unit)-1)
			}
			cuts = append(cuts, c)
		}
	}
	return cuts
}

// within is a cut of the parts of one sack.
func (l *large) within(sack int) cut {
	c := cut{sack: sack}
	for i := range l.sacks {
		c.of = append(c.of, make([]int64, len(l.sacks[i].cost)))
	}
	return c
}

// branches is how many kinds of plans are told apart at most: no more once idle of them, one after
// the other, have brought less than one part in gained of what is left to gain.
const branches, idle, gained = 24, 6, 64

// node are the plans that some cuts leave.
type node struct {
	*relaxed
	cuts []cut
	fine bool
}

// branch raises the bound by telling plans apart by how many parts of a kind they have, of which
// the relaxation takes shares.
func (l *large) branch(root *relaxed) {
	s := l.s
	open, closed, began, reached := []node{{relaxed: root}}, s.best.cost, s.work, s.bound
	for n := 0; n < branches && len(open) > 0 && !s.stopped() && s.work-began < l.allowed(); n++ {
		slices.SortStableFunc(open, func(a, b node) int { return cmp.Compare(a.bound, b.bound) })
		next := open[0]
		s.bound = max(s.bound, min(next.bound, closed))
		if left := s.best.cost - s.bound; left <= s.best.cost>>10 || n > 0 && n%idle == 0 && s.bound-reached < left/gained {
			break
		}
		if n%idle == 0 {
			reached = s.bound
		}
		open = open[1:]
		c, ok := l.between(next.relaxed)
		switch {
		case ok:
			open = append(open, l.split(next, c)...)
		case next.fine:
			closed = min(closed, next.bound)
		default:
			next.fine = true
			open = append(open, l.solve(next, next.cuts)...)
		}
	}
	for i := range open {
		closed = min(closed, open[i].bound)
	}
	s.bound = max(s.bound, closed)
}

// split are the plans of a node with no more parts of a kind, and those with more.
func (l *large) split(n node, c cut) []node {
	below, above := c, c
	below.most = true
	above.parts++
	return append(l.solve(n, append(slices.Clone(n.cuts), below)), l.solve(n, append(slices.Clone(n.cuts), above))...)
}

// solve finds the bound of the plans of a node that some cuts leave; none where they cost as much
// as the best.
func (l *large) solve(n node, cuts []cut) []node {
	if n.fine {
		if l.finer == nil {
			l.finer = l.s.newKnapsacks(fine)
		}
		l.sacks, l.finer = l.finer, l.sacks
		defer func() { l.sacks, l.finer = l.finer, l.sacks }()
	}
	r := l.relax(l.s.all, 40, cuts, l.near(n.relaxed))
	if r.bound = max(r.bound, n.bound); r.bound >= l.s.best.cost {
		return nil
	}
	return []node{{r, cuts, n.fine}}
}

// kind is which parts are counted: those of a bracket, or of all where it is below zero, that cost
// so much at least.
type kind struct {
	sack int
	cost int64
}

// between is the kind of part of which the relaxation takes a number far from whole ones, where
// those that cost less cost much less, and the whole number below; false where all are nearly
// whole.
func (l *large) between(r *relaxed) (c cut, ok bool) {
	shares := map[kind]int64{}
	for x, share := range r.taken() {
		shares[kind{x.sack, l.sacks[x.sack].cost[x.step]}] += share
	}
	takes := slices.SortedFunc(maps.Keys(shares), func(a, b kind) int {
		return cmp.Or(cmp.Compare(b.cost, a.cost), cmp.Compare(a.sack, b.sack))
	})
	var best int64
	var of kind
	for sack := -1; sack < len(l.sacks); sack++ {
		sum, last := int64(0), int64(0)
		for _, next := range append(takes, kind{sack, 0}) {
			if sack >= 0 && next.sack != sack {
				continue
			}
			far := min(sum&(one-1), one-sum&(one-1))
			if score := scaled(far, last-next.cost); far > one>>7 && score > best {
				best, of, c.parts = score, kind{sack, (last + next.cost) / 2}, sum>>oneBits
				if next.cost == 0 { // all of them
					of.cost = 0
				}
			}
			sum, last = sum+shares[next], next.cost
		}
	}
	c.of, c.all = l.counting(of), of == kind{-1, 0}
	return c, best > 0
}

// counting is one for each part of a kind.
func (l *large) counting(k kind) (of [][]int64) {
	for i := range l.sacks {
		list := make([]int64, len(l.sacks[i].cost))
		for n, cost := range l.sacks[i].cost {
			if cost >= k.cost && (k.sack < 0 || k.sack == i) {
				list[n] = one
			}
		}
		of = append(of, list)
	}
	return of
}
