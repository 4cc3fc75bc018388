package parcels

import (
	"math"
	"slices"

	"lotcost/landed/internal/exact"
)

// table is a price by steps of some whole number, and beyond the last step by
// units begun. upTo rises.
type table struct {
	upTo, price []int64
	each        int64 // the unit beyond the last step; 0 when there is nothing beyond
	further     int64 // its price
}

// at is the price at x, and whether x is within the table and the price within
// an int64. Nothing is allocated.
func (t *table) at(x int64) (price int64, ok bool) {
	if i := t.step(x); i < len(t.upTo) {
		return t.price[i], true
	}
	if t.each <= 0 {
		return 0, false
	}
	more, ok := exact.Mul(t.units(x), t.further)
	base := t.price[len(t.price)-1]
	if !ok || more > math.MaxInt64-base {
		return 0, false
	}
	return base + more, true
}

// units is how many units beyond the last step are begun at x.
func (t *table) units(x int64) int64 {
	over := x - t.last()
	n := over / t.each
	if over%t.each > 0 {
		n++
	}
	return n
}

func (t *table) last() int64 { return t.upTo[len(t.upTo)-1] }

// most is the greatest x that has a price.
func (t *table) most() int64 {
	if t.each > 0 {
		return math.MaxInt64
	}
	return t.last()
}

// floor is the bound that x has passed: the greatest x of the step, or unit,
// before its own. It is 0 in the first step.
func (t *table) floor(x int64) int64 {
	i := t.step(x)
	switch {
	case i == 0:
		return 0
	case i < len(t.upTo):
		return t.upTo[i-1]
	}
	return t.last() + (t.units(x)-1)*t.each
}

// step is the place of the step that holds x; beyond the last one, how many there are.
func (t *table) step(x int64) int {
	i, _ := slices.BinarySearch(t.upTo, x)
	return i
}

// onward is the least of some prices from each on: a table may fall, so that more costs less.
func onward(price []int64) []int64 {
	least := slices.Clone(price)
	for i := len(least) - 2; i >= 0; i-- {
		least[i] = min(least[i], least[i+1])
	}
	return least
}

// ceilTo is the least multiple of step that is not below n, or n when there is
// no step; at the end of the range it is the greatest number.
func ceilTo(n, step int64) int64 {
	if step <= 0 || n%step == 0 {
		return n
	}
	over := step - n%step
	if n > math.MaxInt64-over {
		return math.MaxInt64
	}
	return n + over
}
