package partition

import (
	"cmp"
	"slices"
)

// boxes are parts by one mode of some cost at least: what by that mode weighs more than one holds,
// or has more of a figure, is in one that costs more.
type boxes struct {
	tariff           // by weight
	holds  [][]int64 // of each figure, by box: the most that there is in it
}

// box is one of them.
type box struct {
	upTo, cost int64
	holds      []int64
}

// newBoxes reads what the modes ask, of which those stay that no other undercuts; where there are
// no figures they are the tariff.
func (s *solver) newBoxes() boxes {
	b := boxes{tariff: s.steps, holds: make([][]int64, len(s.figures))}
	if len(s.figures) == 0 {
		return b
	}
	b.tariff = tariff{}
	var all []box
	for mode := range s.p.Modes {
		all = append(all, s.boxesOf(mode)...)
	}
	slices.SortStableFunc(all, func(a, b box) int { return cmp.Or(cmp.Compare(a.upTo, b.upTo), cmp.Compare(b.cost, a.cost)) })
	for i := range all {
		if slices.ContainsFunc(all[i+1:], func(o box) bool { return o.undercuts(&all[i]) }) {
			continue
		}
		b.upTo, b.cost = append(b.upTo, all[i].upTo), append(b.cost, all[i].cost)
		for f, most := range all[i].holds {
			b.holds[f] = append(b.holds[f], most)
		}
	}
	return b
}

// undercuts reports whether a box holds all that another does for no more.
func (b *box) undercuts(o *box) bool {
	for f, most := range o.holds {
		if b.holds[f] < most {
			return false
		}
	}
	return b.upTo >= o.upTo && b.cost <= o.cost
}

// boxesOf reads what one mode asks: from each of its prices, for weight alone or for one figure, up
// to the next.
func (s *solver) boxesOf(mode int) (list []box) {
	asks := func(of int) func(int64) (int64, bool) { // of a figure, or of weight below zero
		return func(sum int64) (int64, bool) {
			weight, figures := int64(0), make([]int64, len(s.figures))
			if of < 0 {
				weight = sum
			} else {
				figures[of] = sum
			}
			return s.p.ModeFloor(mode, weight, figures)
		}
	}
	sums := append([][]int64{s.weight}, s.figures...)
	var prices []int64
	for n, of := range sums {
		t := newTariff(asks(n-1), s.all.sum(of))
		prices = append(prices, t.cost...)
	}
	slices.Sort(prices)
	prices = slices.Compact(prices)
	for k, price := range prices {
		var holds []int64
		for n, of := range sums {
			holds = append(holds, most(s.all.sum(of), func(sum int64) bool {
				asked, ok := asks(n - 1)(sum)
				return ok && (k+1 == len(prices) || asked < prices[k+1])
			}))
		}
		list = append(list, box{upTo: holds[0], cost: price, holds: holds[1:]})
	}
	return list
}

// most is the greatest number up to one that is so, as all below it are, and 0.
func most(upTo int64, is func(int64) bool) int64 {
	if is(upTo) {
		return upTo
	}
	low, high := int64(0), upTo
	for high-low > 1 {
		if mid := low + (high-low)/2; is(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
