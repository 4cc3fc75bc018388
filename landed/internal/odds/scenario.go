package odds

import (
	"math/big"
	"math/bits"
	"slices"
	"sync"

	"github.com/shopspring/decimal"
)

const (
	defaultPoints = 1 << 18
	defaultSteps  = 24_000_000
	// exactShare is what part of the steps may go into exact chances, as each is more work than a
	// multiplication.
	exactShare = 6
)

// scenario is what there is when it is known which shared risks happen.
type scenario struct {
	weight    *big.Int // its chance, as a part of what the weights of all scenarios sum to
	base      int64    // what the amounts of kinds stand over
	low, high int64    // the extremes, over the base
	kinds     []*kind  // those that are uncertain, in an order that does not depend on the input's
	room      int64    // bits left for the chances of pieces with turns
	excess    uint64   // by how much chances may be too great where they are in units of 2^-63
}

// under is [Under] with so many amounts at most, beyond which they are moved to a coarser grid.
func under(risks []decimal.Decimal, groups func(happens []bool) ([]Group, error), points int, steps int64) (*Distribution, error) {
	var c checker
	all, err := c.scenarios(risks, groups)
	if err != nil {
		return nil, err
	}
	d := &Distribution{currency: c.currency}
	d.setMoments(all)
	d.chances = sync.OnceValue(func() *chances {
		return chancesOf(all, parts(all, max(1, points/len(all)), uint64(steps)/uint64(len(all))))
	})
	return d, nil
}

// scenarios lists every combination of the shared risks that has a chance.
func (c *checker) scenarios(risks []decimal.Decimal, groups func(happens []bool) ([]Group, error)) ([]scenario, error) {
	if len(risks) > maxRisks {
		return nil, &Error{Risk: maxRisks + 1, Err: &LimitError{Given: int64(len(risks)), Most: maxRisks}}
	}
	chances, happens, shared := make([]uint64, len(risks)), make([]bool, len(risks)), map[string]*tails{}
	for i, r := range risks {
		var err error
		if chances[i], err = units(r, ""); err != nil {
			return nil, &Error{Risk: i + 1, Err: err}
		}
	}
	var list []scenario
	common := new(big.Int)
	for which := range 1 << len(risks) {
		s := scenario{weight: big.NewInt(1), room: roomFor(1 << len(risks))}
		for i, chance := range chances {
			if happens[i] = which>>i&1 == 1; !happens[i] {
				chance = one - chance
			}
			s.weight.Mul(s.weight, new(big.Int).SetUint64(chance))
		}
		if s.weight.Sign() == 0 {
			continue
		}
		given, err := groups(happens)
		if err == nil {
			err = c.fill(&s, given, shared)
		}
		if err != nil {
			return nil, err
		}
		common.GCD(nil, nil, common, s.weight)
		list = append(list, s)
	}
	for _, s := range list {
		s.weight.Div(s.weight, common)
	}
	return list, nil
}

func (c *checker) fill(s *scenario, groups []Group, shared map[string]*tails) error {
	if len(groups) == 0 {
		return &LimitError{Given: 0, Most: maxPieces}
	}
	c.pieces, c.total = 0, 0
	for i := range groups {
		at := Error{Group: i + 1}
		k, err := c.group(&groups[i], at)
		if err != nil {
			return err
		}
		if at.Err = s.add(&k, groups[i].Alike, shared); at.Err != nil {
			return &at
		}
	}
	s.sort()
	return nil
}

func (s *scenario) add(k *kind, alike bool, shared map[string]*tails) error {
	k.independent(alike)
	if k.findTurns(); len(k.turns) == 0 {
		s.base += k.keep * k.extra(0)
		k.kept, k.keep = nil, 0
		k.merge()
	}
	k.reduce()
	s.base += k.rebase() * k.count
	low, high := int64(0), k.span()
	if len(k.turns) > 0 {
		each := int64(bits.Len64(k.den - 1))
		if most := min(mostBits, s.room) / each; k.count > most {
			return &LimitError{Kept: true, Given: k.count, Most: most}
		}
		s.room -= k.count * each
		k.tails = sharedBy(k, shared)
		k.mean, k.variance = k.dependentMoments()
		low, high = k.extremes()
	}
	if s.low, s.high = s.low+low, s.high+high; len(k.sold) > 1 {
		s.kinds = append(s.kinds, k)
	}
	return nil
}

// sort puts the kinds in order, the narrow ones first since that is less work, and those that are
// equal together.
func (s *scenario) sort() {
	slices.SortFunc(s.kinds, (*kind).compare)
	unit := big.NewInt(one)
	square, kinds := new(big.Int).Mul(unit, unit), s.kinds[:0]
	for _, k := range s.kinds {
		if n := len(kinds); n > 0 && len(k.turns) == 0 && kinds[n-1].compare(k) == 0 {
			kinds[n-1].count += k.count
			continue
		}
		kinds = append(kinds, k)
	}
	for _, k := range kinds {
		if len(k.turns) == 0 {
			k.mean, k.variance = k.moments(unit, square)
		}
	}
	s.kinds = kinds
}

// moments gives the mean of a scenario in minor units and its variance in minor units squared.
func (s *scenario) moments() (mean, variance ratio) {
	mean, variance = wholeRatio(0), wholeRatio(0)
	for _, k := range s.kinds {
		mean, variance = mean.plus(k.mean), variance.plus(k.variance)
	}
	return mean.plus(wholeRatio(s.base)), variance
}

// size is what all kinds of a scenario come to.
type size struct {
	lattice int64  // the greatest step that all amounts over the base are multiples of
	span    int64  // how far the greatest sum may be from the base
	pieces  uint64 // how many there are
	bits    uint64 // that hold any chance
}

func (s *scenario) size() size {
	var all size
	var step uint64
	for _, k := range s.kinds {
		all.span, all.pieces, all.bits = all.span+k.span(), all.pieces+uint64(k.count), all.bits+k.bits()
		for _, list := range [][]int64{k.sold, k.kept} {
			for _, a := range list {
				step = gcd(step, uint64(a))
			}
		}
	}
	all.lattice = max(1, int64(step))
	return all
}

// parts works out every scenario, all without rounding or none.
func parts(all []scenario, points int, steps uint64) []part {
	plans, exact := make([]plan, len(all)), true
	for i := range all {
		plans[i] = all[i].exactPlan(uint64(points))
		exact = exact && plans[i].fits && plans[i].steps <= steps/exactShare
	}
	list, a := make([]part, len(all)), &adder{}
	for i := range all {
		if exact {
			list[i] = all[i].exact(plans[i])
		} else {
			list[i] = all[i].coarse(a, points, steps)
		}
	}
	return list
}

// coarse works out a scenario on the finest grid that keeps to the limits, in the buffers of an
// adder.
func (s *scenario) coarse(a *adder, points int, steps uint64) part {
	s.simplify(steps)
	loads := s.loads()
	for step := s.gridStep(loads, points, steps); ; step *= 2 {
		if p, ok := s.fixed(a, step, points, loads); ok {
			return p
		}
	}
}
