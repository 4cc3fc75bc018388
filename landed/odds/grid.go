package odds

import (
	"math"
	"math/big"
)

// load is what it takes to add the pieces of one kind, or a block, to those
// before it.
type load struct {
	count, outcomes uint64
	row             uint64 // the width of the row afterwards, minor units
	own             uint64 // the width of these pieces alone, minor units
	tails           uint64 // of a block: how many sums of it take as long as adding its pieces one by one
}

// loads estimates widths: all that can occur, or where it is less, eight
// standard deviations each way. Where that is too little the reckoning gives up
// and takes a coarser grid (see fixed).
func (w world) loads() []load {
	var list []load
	var span uint64
	variance := new(big.Rat)
	add := func(each, count int64, own *big.Rat, l load) {
		l.count = uint64(count)
		l.own = min(uint64(each)*l.count, uint64(each)+16*deviation(own))
		span += uint64(each) * l.count
		variance.Add(variance, own)
		l.row = min(span, uint64(each)+16*deviation(variance))
		list = append(list, l)
	}
	unit := new(big.Int).Mul(big.NewInt(one), big.NewInt(one))
	for _, p := range w.pieces {
		own := new(big.Rat).SetFrac(p.variance, unit)
		add(p.span(), p.count, own.Mul(own, ratOf(p.count)), load{outcomes: uint64(len(p.num))})
	}
	for _, b := range w.blocks {
		add(b.span(), b.count, b.variance, load{outcomes: uint64(len(b.num)), tails: b.tails()})
	}
	return list
}

// deviation is the root of a variance, rounded up.
func deviation(variance *big.Rat) uint64 {
	whole := new(big.Int).Quo(variance.Num(), variance.Denom())
	return whole.Sqrt(whole.Add(whole, big.NewInt(1))).Uint64() + 1
}

// steps estimates the multiplications: adding one piece after the other, or
// squaring and adding the power. A block is added whole.
func (l load) steps(step int64) (one, squared uint64) {
	row, own := l.row/uint64(step)+1, l.own/uint64(step)+1
	squared = plus(times(2, times(own, own)), times(own, row))
	if l.tails > 0 {
		squared = plus(squared, times(times(l.tails, l.count), times(l.outcomes, own)))
		return math.MaxUint64, squared
	}
	return times(times(l.count, l.outcomes), row), squared
}

// gridStep chooses the finest grid that keeps within the limits: a multiple of
// the lattice, on which nothing moves if it is the lattice itself.
func (w world) gridStep(loads []load, maxPoints int, maxSteps uint64) int64 {
	lattice, span := w.lattice(), w.span()
	if len(loads) == 0 {
		return lattice
	}
	widest := int64(loads[len(loads)-1].row)
	for ratio := 1 + widest/lattice/int64(maxPoints); ; ratio += 1 + ratio/8 {
		step := ratio * lattice
		if step > span || stepsAt(loads, step) <= maxSteps {
			return step
		}
	}
}

func stepsAt(loads []load, step int64) uint64 {
	var sum uint64
	for _, l := range loads {
		one, squared := l.steps(step)
		sum = plus(sum, min(one, squared))
	}
	return sum
}
