package odds

import (
	"math/big"
)

// load is what it takes to add the pieces of one kind to those before them.
type load struct {
	count, outcomes uint64
	row             uint64 // the width of the row afterwards, minor units
	own             uint64 // the width of these pieces alone, minor units
}

// loads estimates widths: all that can occur, or where it is less, eight
// standard deviations each way. Where that is too little the reckoning gives up
// and takes a coarser grid (see fixed).
func (w world) loads() []load {
	list := make([]load, len(w.pieces))
	var span uint64
	variance, term, count := new(big.Int), new(big.Int), new(big.Int)
	for i, p := range w.pieces {
		each, n := uint64(p.span()), uint64(p.count)
		term.Mul(p.variance, count.SetUint64(n))
		own := min(each*n, each+16*deviation(term))
		span += each * n
		variance.Add(variance, term)
		row := min(span, each+16*deviation(variance))
		list[i] = load{count: n, outcomes: uint64(len(p.num)), row: row, own: own}
	}
	return list
}

// deviation is the root of a variance in units of 10^-36, rounded up to minor
// units.
func deviation(variance *big.Int) uint64 {
	root := new(big.Int).Sqrt(variance)
	return root.Div(root, big.NewInt(one)).Uint64() + 1
}

// steps estimates the multiplications: adding one piece after the other, or
// squaring and adding the power.
func (l load) steps(step int64) (one, squared uint64) {
	row, own := l.row/uint64(step)+1, l.own/uint64(step)+1
	one = times(times(l.count, l.outcomes), row)
	return one, plus(times(2, times(own, own)), times(own, row))
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
