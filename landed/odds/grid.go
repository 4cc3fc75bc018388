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
	block, listed   bool
	tails           uint64 // of a block: how many sums take as long as adding its pieces one by one
}

// loads estimates widths: all that can occur, or where it is less, eight
// standard deviations each way. Where that is too little the reckoning gives up
// and takes a coarser grid (see fixed).
func (w world) loads() []load {
	var list []load
	var span uint64
	variance := wholeRatio(0)
	add := func(each, count int64, own ratio, l load) {
		l.count = uint64(count)
		l.own = min(uint64(each)*l.count, uint64(each)+16*deviation(own))
		span += uint64(each) * l.count
		variance = variance.plus(own)
		l.row = min(span, uint64(each)+16*deviation(variance))
		list = append(list, l)
	}
	unit := new(big.Int).Mul(big.NewInt(one), big.NewInt(one))
	for _, p := range w.pieces {
		own := ratio{new(big.Int).Mul(p.variance, big.NewInt(p.count)), unit}
		add(p.span(), p.count, own, load{outcomes: uint64(len(p.num))})
	}
	for _, b := range w.blocks {
		l := load{outcomes: uint64(len(b.num)), block: true, listed: b.listed != nil}
		if !l.listed {
			l.tails = b.tails()
		}
		add(b.span(), b.count, b.variance, l)
	}
	return list
}

// deviation is the root of a variance, rounded up.
func deviation(variance ratio) uint64 {
	whole := new(big.Int).Quo(variance.num, variance.den)
	return whole.Sqrt(whole.Add(whole, big.NewInt(1))).Uint64() + 1
}

// steps estimates the multiplications: adding one piece after the other, or
// squaring and adding the power. A block is added whole.
func (l load) steps(step int64) (one, squared uint64) {
	row, own := l.row/uint64(step)+1, l.own/uint64(step)+1
	each, alone := times(l.count, l.outcomes), times(2, times(own, own))
	if !l.block {
		return times(each, row), plus(alone, times(own, row))
	}
	alone = min(alone, times(each, own))
	if l.listed {
		alone = 0
	}
	return math.MaxUint64, plus(plus(alone, times(own, row)), times(l.tails, times(each, own)))
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
			return w.leastMoved(step, lattice, maxSteps/256)
		}
	}
}

// leastMoved looks among steps, from one to twice as long, for the one on which
// amounts move least; so many times at an amount.
func (w world) leastMoved(step, lattice int64, looks uint64) int64 {
	amounts := int64(1)
	for _, p := range w.pieces {
		amounts += int64(len(p.above))
	}
	for i := range w.blocks {
		amounts += int64(len(w.blocks[i].amounts()))
	}
	stride := lattice * (1 + step/lattice/(1+int64(looks)/amounts))
	best, least := step, int64(math.MaxInt64)
	for s := step; s <= 2*step && least > 0; s += stride {
		if most, _ := w.slipOn(s).bound(); most < least {
			best, least = s, most
		}
	}
	return best
}

// slipOn is how far amounts may move on their way to a grid.
func (w world) slipOn(step int64) *slip {
	var all slip
	for _, p := range w.pieces {
		_, moved := gridStart(p.above, step)
		all.add(placed{count: p.count, moved: moved, change: moved})
	}
	for i := range w.blocks {
		b := &w.blocks[i]
		_, moved := gridStart(b.amounts(), step)
		all.add(b.placed(moved))
	}
	return &all
}

func stepsAt(loads []load, step int64) uint64 {
	var sum uint64
	for _, l := range loads {
		one, squared := l.steps(step)
		sum = plus(sum, min(one, squared))
	}
	return sum
}
