package partition

import (
	"cmp"
	"slices"

	"lotcost/landed/internal/exact"
)

// startPlans looks at all apart and all in one part, whatever the limits, and then for a good plan
// to start from.
func (s *solver) startPlans() {
	var apart plan
	for b := range s.blocks {
		apart.parts = append(apart.parts, 1<<b)
	}
	apart = s.total(apart.parts)
	s.offer(apart)
	s.offer(s.total([]group{s.all}))
	builds := []func(plan) plan{s.merge, s.pack}
	if last := len(s.levies.list) - 1; last > 0 && s.falls(s.levies.list[:last], &s.levies.list[last]) {
		builds = append(builds, s.dense)
	}
	for _, build := range builds {
		if s.stopped() {
			return
		}
		p := build(apart.clone())
		s.improve(&p)
		s.offer(p)
	}
}

// least is a lower bound of a group's cost: its cost where that is known.
func (s *solver) least(g group) int64 {
	if g == 0 {
		return 0
	}
	g = s.standard(g)
	if q, ok := s.known[g]; ok {
		return q.cost
	}
	return s.floor(g)
}

// below returns what two groups cost in two parts, if it is less than most. An empty one costs
// nothing.
func (s *solver) below(a, b group, most int64) (cost int64, ok bool) {
	leastA, leastB := s.least(a), int64(0)
	if leastA < most {
		leastB = s.least(b)
	}
	if leastA+leastB >= most {
		return 0, false
	}
	if leastB > leastA { // the dearer may be refused, and the other need not be asked about then
		a, b, leastB = b, a, leastA
	}
	if a != 0 {
		cost = s.cost(a)
	}
	if cost+leastB >= most {
		return 0, false
	}
	if b != 0 {
		cost += s.cost(b)
	}
	return cost, cost < most
}

// merge joins the two parts that save most by it, again and again.
func (s *solver) merge(p plan) plan {
	for !s.stopped() {
		bestI, bestJ, bestSaving := 0, 0, int64(0)
		for j, b := range p.parts {
			for i, a := range p.parts[:j] {
				was := s.cost(a) + s.cost(b)
				if cost, ok := s.below(a|b, 0, was-bestSaving); ok {
					bestI, bestJ, bestSaving = i, j, was-cost
				}
			}
		}
		if bestSaving == 0 {
			return p
		}
		p.parts[bestI] |= p.parts[bestJ]
		p.parts = slices.Delete(p.parts, bestJ, bestJ+1)
		p.cost -= bestSaving
	}
	return p
}

// pack puts the blocks, the heaviest or dearest first, each where it adds least.
func (s *solver) pack(p plan) plan {
	order := slices.Clone(p.parts)
	slices.SortStableFunc(order, func(a, b group) int {
		return cmp.Or(cmp.Compare(s.weight[b.first()], s.weight[a.first()]), cmp.Compare(s.cost(b), s.cost(a)))
	})
	return s.insert(plan{}, order)
}

// dense fills parts with the blocks of most measure for their weight, as long as one comes into a
// bracket that asks less, where a part costs less with a block more, and inserts the rest.
func (s *solver) dense(p plan) plan {
	left, measure := slices.Clone(p.parts), s.levies.measure
	slices.SortStableFunc(left, func(a, b group) int { // as in mostOf
		i, j := a.first(), b.first()
		return exact.Product(uint64(measure[j]), uint64(s.weight[i])).Cmp(exact.Product(uint64(measure[i]), uint64(s.weight[j])))
	})
	p = plan{}
	for passed := true; passed && len(left) > 0; {
		part, rest := left[0], []group(nil)
		passed = false
		for _, b := range left[1:] {
			if next := s.cost(part | b); next >= never {
				rest = append(rest, b)
			} else {
				passed = passed || next < s.cost(part)
				part |= b
			}
		}
		if passed {
			p.parts, left = append(p.parts, part), rest
		}
	}
	return s.insert(s.total(p.parts), left)
}

// insert puts each block where it adds least: into a part or one of its own.
func (s *solver) insert(p plan, blocks []group) plan {
	for _, b := range blocks {
		at, least := -1, s.cost(b)
		for i, g := range p.parts {
			was := s.cost(g)
			if cost, ok := s.below(g|b, 0, was+least); ok {
				at, least = i, cost-was
			}
		}
		if at < 0 {
			p.parts = append(p.parts, b)
		} else {
			p.parts[at] |= b
		}
		p.cost += least
	}
	return p
}

// improve changes two parts at a time for the better until no such change is left.
func (s *solver) improve(p *plan) {
	for changed := true; changed; {
		changed = false
		for i := 0; i < len(p.parts); i++ {
			for j := -1; j < len(p.parts); j++ {
				if s.stopped() {
					return
				}
				changed = j != i && s.improvePair(p, i, j) || changed
				if i >= len(p.parts) {
					break
				}
			}
		}
	}
}

// improvePair moves blocks between the parts i and j, j = -1 being a new one: all of i, one, or one
// for one. It reports whether it did.
func (s *solver) improvePair(p *plan, i, j int) bool {
	a, b := p.parts[i], group(0)
	if j >= 0 {
		b = p.parts[j]
	}
	most := s.least(a) + s.least(b)
	try := func(newA, newB group) bool {
		_, ok := s.below(newA, newB, most)
		if ok {
			s.replace(p, i, j, newA, newB)
		}
		return ok
	}
	if b != 0 && try(0, a|b) {
		return true
	}
	for out := a; out != 0; out &= out - 1 {
		x := out & -out
		if try(a&^x, b|x) {
			return true
		}
		for in := b; in != 0; in &= in - 1 {
			if y := in & -in; try(a&^x|y, b&^y|x) {
				return true
			}
		}
	}
	return false
}

// replace puts new groups in place of the parts i and j.
func (s *solver) replace(p *plan, i, j int, a, b group) {
	p.cost -= s.least(p.parts[i])
	p.parts[i] = a
	if j >= 0 {
		p.cost -= s.least(p.parts[j])
		p.parts[j] = b
	} else {
		p.parts = append(p.parts, b)
	}
	p.cost += s.least(a) + s.least(b)
	p.parts = slices.DeleteFunc(p.parts, func(g group) bool { return g == 0 })
}
