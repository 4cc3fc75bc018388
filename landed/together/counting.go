package together

import (
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// counting is what bounds know of a sum over several parcels that rules of the border look at. All
// is then found once for each side of what they turn at.
type counting struct {
	planning.Together
	sides   int
	sellers []uint64   // of each lot, as bits
	several bool       // whether the sum is by seller, and there are several
	base    []within   // of lots, as bits: the sum at prices of nothing, the carriage aside
	carry   []int64    // of lots, as bits: the least that carriage adds
	cells   [][]within // by lot and cell: what prices add
	rest    [][]sided  // by side and number
}

// sided is a rest on a side, and what the carriage then is in the sum.
type sided struct {
	within
	carry int64
}

// count finds what lots are in the sum, and which sides there are.
func (b *bounder) count() error {
	c := &b.wide
	if c.sides = 1; len(c.Turns) == 0 {
		return nil
	}
	sellers, all := b.planner.sellers(&c.Together), uint64(0)
	stand, err := b.planner.count()
	if err != nil {
		return err
	}
	for _, lot := range b.order {
		seller := sellers[lot.Elements()[0]]
		c.sellers, all = append(c.sellers, seller), all|seller
	}
	c.several = c.BySeller && all&(all-1) != 0
	c.base = make([]within, 1<<len(b.order))
	for set := partition.Set(1); set < 1<<len(b.order); set++ {
		w := &c.base[set]
		var err error
		if w.least, w.most, err = b.pricer.Counts(lotsOf(b.order, int(set)).Elements(), money.Amount{}, money.Amount{}, money.Amount{}); err != nil {
			return err
		}
		of := uint64(0)
		for _, lot := range set.Elements() {
			of |= c.sellers[lot]
		}
		for lot, s := range stand {
			if sellers[lot]&of != 0 {
				w.least, w.most = w.least+s.least, w.most+s.most
			}
		}
	}
	most := c.base[len(c.base)-1].most + b.carriages()
	for lot := range b.terms {
		dearest := int64(0)
		for _, terms := range b.terms[lot] {
			dearest = max(dearest, sumOf(terms))
		}
		most += dearest
	}
	c.sides = 1 + c.Side(most)
	return nil
}

// carriages finds the least that the carriage of any lots is in the sum, and the most of all.
func (b *bounder) carriages() int64 {
	c := &b.wide
	least, most := make([]int64, len(c.base)), make([]int64, len(c.base))
	for i := range least {
		least[i], most[i] = never, 0
	}
	for i := range b.parcels {
		m := &b.parcels[i]
		for _, carry := range m.carry {
			least[m.lots], most[m.lots] = min(least[m.lots], carry), max(most[m.lots], carry)
		}
	}
	c.carry = make([]int64, len(c.base))
	upTo := make([]int64, len(c.base))
	for set := 1; set < len(c.base); set++ {
		c.carry[set] = never
		for part := set; part > 0; part = (part - 1) & set {
			if part&(set&-set) != 0 {
				c.carry[set] = min(c.carry[set], least[part]+c.carry[set^part])
				upTo[set] = max(upTo[set], most[part]+upTo[set^part])
			}
		}
	}
	return upTo[len(upTo)-1]
}

func sumOf(terms []int64) int64 {
	sum := int64(0)
	for _, t := range terms {
		sum += t
	}
	return sum
}

// lower is how many sides are below one whose costs are taken for at least theirs: where what a way
// counts for is not known beforehand.
func (c *counting) lower(side int) int {
	if c.Carriage || c.several {
		return side
	}
	return 0
}

// joined is the rest with lots in some cells, over all sides on which their sum may be. Of several
// sellers each may have its own parcels, or some of one count with no more than what is in a parcel
// with theirs; all together no more counts.
func (b *bounder) joined(digits []int) within {
	c := &b.wide
	all := b.one(digits, false)
	if !c.several {
		return all
	}
	sellers, pure := uint64(0), within{}
	for lot, digit := range digits {
		if digit > 0 {
			sellers |= c.sellers[lot]
		}
	}
	if sellers&(sellers-1) == 0 {
		return all
	}
	own := make([]int, len(digits))
	for rest := sellers; rest > 0; rest &= rest - 1 {
		for lot, digit := range digits {
			own[lot] = 0
			if c.sellers[lot] == rest&-rest {
				own[lot] = digit
			}
		}
		pure = pure.plus(b.one(own, false))
	}
	return within{min(b.one(digits, true).least, pure.least), min(all.most, pure.most)}
}

// one is the rest with lots in some cells that all count together, or any number of them.
func (b *bounder) one(digits []int, any bool) within {
	c := &b.wide
	number, set, cells := 0, 0, within{}
	for lot, digit := range digits {
		if digit == 0 {
			continue
		}
		if number, set = number+digit*b.stride[lot], set|1<<lot; lot < len(c.cells) {
			w := &c.cells[lot][digit]
			cells.least, cells.most = cells.least+w.least, cells.most+w.most
		}
	}
	if w := c.rest[0][number].within; c.sides == 1 || w.most == never {
		return w
	}
	sum := within{cells.least + c.base[set].least, cells.most + c.base[set].most}
	first, last := c.Side(min(sum.least+c.carry[set], never)), min(c.Side(sum.most), c.sides-1)
	if first = min(first, c.sides-1); any {
		first = 0
	}
	if c.Carriage {
		last = c.sides - 1
	}
	w := within{never, 0}
	if c.Carriage {
		w.most = never
	}
	for side := first; side <= last; side++ {
		r := &c.rest[side][number]
		w.least = min(w.least, r.least)
		switch {
		case !c.Carriage:
			w.most = max(w.most, r.most)
		case c.Side(min(sum.most+r.carry, never)) <= side:
			w.most = min(w.most, r.most)
		}
	}
	return w
}
