package partition

import "math"

// ahead is a way to see what blocks cost at least however they are divided: the steps that carry
// their weight, and what each costs in any part.
type ahead struct {
	cells []int   // of each block; none where the way leaves its weight aside
	each  []int64 // of each block, fine
	least []int64 // by cells
}

// aheads returns the ways there are: by all blocks, and by those that are in higher brackets by
// themselves, whose parts bear what those ask of each part, from the bracket on that tells most.
func (s *solver) aheads() []ahead {
	if s.p.Carriage == nil {
		return nil
	}
	all := []ahead{s.aheadFrom(0)}
	for first := 1; first < len(s.levies.list); first++ {
		if next := s.aheadFrom(first); len(all) == 1 {
			all = append(all, next)
		} else if s.boundBy(&next) >= s.boundBy(&all[1]) {
			all[1] = next
		}
	}
	return all
}

// boundBy is what all blocks cost at least by a way.
func (s *solver) boundBy(a *ahead) int64 { return a.least[len(a.least)-1] + rounded(s.all.sum(a.each)) }

// aheadFrom looks at the weight of the blocks that only brackets from one on can hold.
func (s *solver) aheadFrom(first int) ahead {
	levies := &s.levies
	coarse := s.coarseCells()
	a := ahead{cells: coarse.weight, each: make([]int64, len(s.blocks))}
	borne := coarse.bear(levies.list, first, s.all)
	for k := range coarse.cost {
		coarse.cost[k] += s.p.Alone >> FineBits
	}
	for b := range s.blocks {
		a.each[b] = s.each[b]
		if !borne {
			continue
		}
		level := s.surely(b)
		if level < first {
			a.cells[b] = 0
			continue
		}
		least := levies.list[level].least[b]
		for i := range levies.list[level:] {
			least = min(least, levies.list[level+i].least[b])
		}
		a.each[b] += least
	}
	a.least = coarse.covering()
	return a
}

// bear adds to the steps what every bracket from one on asks of a part. Where that may be less than
// nothing it adds nothing and returns false: what is asked of each block may then be nothing too.
func (c *cells) bear(list []bracket, first int, all group) bool {
	if first >= len(list) {
		return false
	}
	dearer, fixed := make([]int64, len(c.cost)), make([]int64, len(list))
	for i := range list {
		fixed[i] = list[i].askedOfAny(all)
	}
	for k, cost := range c.cost {
		least := int64(math.MaxInt64)
		for i := first; i < len(list); i++ {
			least = min(least, fixed[i]+list[i].onCarriage(cost))
		}
		if dearer[k] = cost + least>>FineBits; dearer[k] < 0 {
			return false
		}
	}
	c.cost = dearer
	return true
}

// sight is an ahead for the sets of a space.
type sight struct {
	cells, each halves
	least       []int64 // by cells
}

func (e *space) sights() []sight {
	var all []sight
	for _, a := range e.s.ahead {
		cells := e.halved(func(_, b int) int64 { return int64(a.cells[b]) })
		all = append(all, sight{cells, e.halved(func(_, b int) int64 { return a.each[b] }), a.least})
	}
	return all
}

// least is what the blocks of a set cost at least, however divided.
func (e *space) least(number uint32) (least int64) {
	for i := range e.ways {
		w := &e.ways[i]
		least = max(least, w.least[w.cells.of(number)]+rounded(w.each.of(number)))
	}
	return least
}

// ahead is what a set that remains costs at least above its prices, however divided, and in two
// parts or more; scaled.
func (e *space) ahead(number uint32) (least, divided int64) {
	if e.ways != nil {
		least = max(0, min(e.least(number), e.upper)<<e.prices.shift-e.prices.of(number))
	}
	if len(e.sides) != 1 {
		return least, least
	}
	// Some part is sent already, so that two more make as many as the prices are for.
	p := e.sides[0]
	divided = max(least, p.of(number)+p.price[len(e.rows)]-e.prices.of(number))
	if divided > least {
		least = max(least, min(divided, e.whole(number)))
	}
	return least, divided
}

// whole is what a set in one part costs above its prices, scaled.
func (e *space) whole(number uint32) int64 {
	if i := e.at(number); int(i) < len(e.number) && e.number[i] == number {
		return e.prices.excess(e, i)
	}
	return never
}
