package partition

import (
	"math/bits"
	"slices"
)

// tariff is a lower bound of what parts cost by weight: up to upTo[k] at least cost[k], and above
// the last, never.
type tariff struct {
	upTo, cost []int64
}

// at returns the least cost of a part of that weight.
func (t *tariff) at(weight int64) int64 {
	k, _ := slices.BinarySearch(t.upTo, weight)
	if k == len(t.cost) {
		return never
	}
	return t.cost[k]
}

// refined is how many steps of a tariff are found to the unit of weight. One with more is from
// there on read from below at weights that are so far apart that the whole would be samples of
// them.
const samples, refined = 4096, 512

// newTariff reads a tariff that never falls up to a weight.
func newTariff(carriage func(int64) (int64, bool), end int64) tariff {
	read := func(weight int64) int64 {
		cost, ok := carriage(weight)
		if !ok || cost > MaxCost {
			return never
		}
		return max(cost, 0)
	}
	var t tariff
	weight, cost, last := int64(0), read(0), read(end)
	for range refined {
		if cost == last {
			break
		}
		upTo := most(end, func(weight int64) bool { return read(weight) <= cost })
		t.add(upTo, cost)
		weight, cost = upTo+1, read(upTo+1)
	}
	for stride := end/samples + 1; cost != last; {
		next := min(weight+stride-weight%stride, end)
		if above := read(next); above != cost {
			t.add(next-1, cost)
			cost = above
		}
		weight = next
	}
	t.add(end, last)
	return t
}

// add ends a step; a step of cost never ends nothing.
func (t *tariff) add(upTo, cost int64) {
	if cost >= never {
		return
	}
	if last := len(t.cost) - 1; last >= 0 && t.cost[last] == cost {
		t.upTo[last] = upTo
		return
	}
	t.upTo, t.cost = append(t.upTo, upTo), append(t.cost, cost)
}

// cells is a tariff and weights on a coarser grid. Weights are rounded down to it, so that what a
// group costs on the grid is never more than what it costs.
type cells struct {
	weight []int   // of each block
	upTo   []int   // the last cell of each step
	cost   []int64 // of each step
}

// newCells puts the weights on a grid on which the heaviest part is at most most cells.
func newCells(t *tariff, weight []int64, most int64) cells {
	var grid, total int64
	for _, w := range weight {
		grid = gcd(grid, w)
		total += w
	}
	heaviest := min(total, t.upTo[len(t.upTo)-1])
	grid = max(grid, 1)
	if heaviest/grid > most {
		grid = (heaviest + most - 1) / most
	}
	var c cells
	for _, w := range weight {
		c.weight = append(c.weight, int(w/grid))
	}
	for k, w := range t.upTo {
		c.upTo = append(c.upTo, int(min(w, total)/grid))
		c.cost = append(c.cost, t.cost[k])
	}
	return c
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// covering returns, by total weight, the least sum of steps that together carry it: no division
// costs less. It is never where there is no step at all.
func (c *cells) covering() []int64 {
	total := 0
	for _, w := range c.weight {
		total += w
	}
	least := make([]int64, total+1)
	for w := 1; w <= total; w++ {
		least[w] = never
		for k, upTo := range c.upTo {
			if upTo > 0 {
				least[w] = min(least[w], c.cost[k]+least[max(0, w-upTo)])
			}
		}
	}
	return least
}

// boundAll sets a bound from what each block costs at least and what all their weight does.
func (s *solver) boundAll() {
	s.ahead = s.aheads()
	s.bound = rounded(s.all.sum(s.each))
	for i := range s.ahead {
		s.bound = max(s.bound, s.boundBy(&s.ahead[i]))
	}
	s.proven = s.best.cost <= s.bound
}

// coarseCells is the grid of the covering bound: the fewer cells, the more steps there are, and no
// more than it takes to look at all sets of few blocks.
func (s *solver) coarseCells() cells {
	most := min(gridCells, 1<<20/len(s.steps.cost), 8<<min(len(s.blocks), 20))
	return newCells(&s.steps, s.weight, int64(max(256, most)))
}

// gridCells is the most cells of a part on the grid of the knapsack; the covering bound takes fewer
// where steps are many.
const gridCells = 1 << 15

// ceilShift divides by a power of two, rounding up.
func ceilShift(n int64, shift uint) int64 { return -(-n >> shift) }

// scaleFor returns the binary places that costs up to most are given in the relaxation, at most 16.
func scaleFor(most int64) uint {
	return uint(max(0, min(16, 48-bits.Len64(uint64(most)))))
}
