package odds

import (
	"math"
	"math/big"
)

// load is what it takes to add the pieces of one kind to those before it.
type load struct {
	each              uint64 // pieces x outcomes
	row               uint64 // the width of the row afterwards, minor units
	own               uint64 // the width of these pieces alone, minor units
	dependent, listed bool
	tails             uint64 // how many sums take as long as adding the pieces one by one, two for each open turn
}

// loads estimates widths: all that can occur, or where it is less, eight standard deviations each
// way. Where that is too little the work is given up and a coarser grid taken (see fixed).
func (s *scenario) loads() []load {
	var list []load
	var span uint64
	variance := wholeRatio(0)
	for _, k := range s.kinds {
		l := load{each: uint64(k.count) * uint64(len(k.num)), dependent: len(k.turns) > 0, listed: k.listed != nil}
		if l.dependent && !l.listed {
			open, _, _ := k.openTurns()
			l.tails = 2 * uint64(len(open))
		}
		one, all := uint64(k.width), uint64(k.span())
		l.own = min(all, one+16*deviation(k.variance))
		span += all
		variance = variance.plus(k.variance)
		l.row = min(span, one+16*deviation(variance))
		list = append(list, l)
	}
	return list
}

// deviation is the root of a variance, rounded up.
func deviation(variance ratio) uint64 {
	whole := new(big.Int).Quo(variance.num, variance.den)
	return whole.Sqrt(whole.Add(whole, big.NewInt(1))).Uint64() + 1
}

// steps estimates the multiplications: adding one piece after the other, or squaring and adding the
// power. Pieces with turns are added whole.
func (l load) steps(step int64) (one, squared uint64) {
	row, own := l.row/uint64(step)+1, l.own/uint64(step)+1
	alone := times(2, times(own, own))
	if !l.dependent {
		return times(l.each, row), plus(alone, times(own, row))
	}
	if alone = min(alone, times(l.each, own)); l.listed {
		alone = 0
	}
	return math.MaxUint64, plus(plus(alone, times(own, row)), times(l.tails, times(l.each, own)))
}

// gridStep chooses the finest grid that keeps within the limits: a multiple of the lattice, on
// which nothing moves if it is the lattice itself.
func (s *scenario) gridStep(loads []load, maxPoints int, maxSteps uint64) int64 {
	all := s.size()
	if len(loads) == 0 {
		return all.lattice
	}
	widest := int64(loads[len(loads)-1].row)
	for ratio := 1 + widest/all.lattice/int64(maxPoints); ; ratio += 1 + ratio/8 {
		step := ratio * all.lattice
		if step > all.span || stepsAt(loads, step) <= maxSteps {
			return s.leastMoved(step, all.lattice, maxSteps/256)
		}
	}
}

// leastMoved looks among steps, from one to twice as long, for the one on which amounts move least;
// so many times at an amount.
func (s *scenario) leastMoved(step, lattice int64, looks uint64) int64 {
	amounts := int64(1)
	for _, k := range s.kinds {
		amounts += int64(len(k.gridAmounts()))
	}
	stride := lattice * (1 + step/lattice/(1+int64(looks)/amounts))
	best, least := step, int64(math.MaxInt64)
	for try := step; try <= 2*step && least > 0; try += stride {
		var all drift
		for _, k := range s.kinds {
			p, _ := k.placed(try)
			all.add(p)
		}
		if most, _ := all.bound(); most < least {
			best, least = try, most
		}
	}
	return best
}

func stepsAt(loads []load, step int64) uint64 {
	var sum uint64
	for _, l := range loads {
		one, squared := l.steps(step)
		sum = plus(sum, min(one, squared))
	}
	return sum
}
