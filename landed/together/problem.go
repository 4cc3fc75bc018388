package together

import (
	"context"
	"math/bits"
)

// Set is a set of lots: bit i stands for lot i.
type Set uint64

// MaxLots is the most lots of one problem.
const MaxLots = 64

// MaxCost is the most that one parcel may cost, in minor units.
const MaxCost int64 = 1 << 50

// never is the cost of a parcel that no service carries. 64 of them still fit an int64, and one is more
// than 64 parcels of MaxCost: a plan that costs never or more carries not all of its lots.
const never int64 = 1 << 57

// SetOf returns the set of the given lots, each from 0 to 63.
func SetOf(lots ...int) Set {
	var s Set
	for _, lot := range lots {
		s |= 1 << lot
	}
	return s
}

// Has reports whether the lot is in the set.
func (s Set) Has(lot int) bool { return s>>lot&1 == 1 }

// Len returns the number of lots in the set.
func (s Set) Len() int { return bits.OnesCount64(uint64(s)) }

// Lots returns the lots of the set in ascending order.
func (s Set) Lots() []int {
	lots := make([]int, 0, s.Len())
	for ; s != 0; s &= s - 1 {
		lots = append(lots, bits.TrailingZeros64(uint64(s)))
	}
	return lots
}

// Problem asks which lots go in which parcel by which service at the least total cost. The cost of a plan is
// the sum of its parcels' costs, in minor units of one currency.
type Problem struct {
	// Lots is their number, from 1 to [MaxLots].
	Lots int
	// Services is their number, 1 or more.
	Services int
	// Cost returns what it costs to send exactly these lots in one parcel by that service, from 0 to MaxCost;
	// false when the service refuses the parcel. It is called at most once for a set and a service. It
	// need not grow with the set.
	Cost func(lots Set, service int) (minor int64, ok bool)
	// RefusalsGrow says that a service which refuses a set refuses every larger set that contains it.
	RefusalsGrow bool

	// The rest may be left out. It saves calls of Cost and makes the bound of a large problem.

	// Floor returns a cheap lower bound of the cost of the set by the cheapest service. Above MaxCost: no
	// service carries it.
	Floor func(lots Set) int64
	// Weight is the weight of each lot in any unit, their sum below 2^62.
	Weight []int64
	// Carriage returns a lower bound of what any parcel of at least that total weight costs by the cheapest
	// service, never falling with weight; false when no service carries the weight, or any greater one. It
	// needs Weight.
	Carriage func(weight int64) (minor int64, ok bool)
	// Each is what each lot costs at least in whatever parcel, beyond Carriage: a parcel of S costs at least
	// Carriage(weight of S) plus the sum of Each over S.
	Each []int64
	// Kind names alike lots by the same number: swapping two of them changes no cost.
	Kind []int

	// Together lists groups of lots that must be in one parcel, Apart pairs that must not.
	Together [][]int
	Apart    [][2]int
}

// Options limit the search.
type Options struct {
	// Work is how many steps may be spent, one step being a call of Cost or a thousand sets looked at without
	// one; 0 means 20 million. All lots apart and all in one parcel are looked at in any case.
	Work int
	// Progress is called now and then with the sets of lots settled so far, how many there are, both rough,
	// and the cost of the best plan so far, -1 while there is none.
	Progress func(done, total int, best int64)
	// ExactUpTo is the number of unlike lots up to which the answer is proven, at most 24; 0 means 20. More
	// lots are proven too when alike ones leave no more sets to tell apart than so many unlike ones do.
	ExactUpTo int
}

// Parcel is one parcel of a solution.
type Parcel struct {
	Lots    Set
	Service int   // the cheapest; the lower number where two cost the same
	Cost    int64 // minor units
}

// Solution is a plan and what is known about it. No plan costs less than Bound; when Exact, Cost is Bound.
type Solution struct {
	Parcels     []Parcel // in the order of their lowest lots
	Cost, Bound int64    // minor units
	Exact       bool
	Evaluated   int // how many calls of Cost were made
}

// Solve returns the plan of least cost, or a good one with its bound where that would take too long. The same
// problem and options give the same solution. An exact solution's cost does not depend on the order of the
// lots or services.
//
// When the context is done, Solve returns the best plan so far, Exact false, and no error; only when there is
// no plan yet does it return the context's error.
//
// It returns a [*ProblemError] when the problem makes no sense or Cost leaves its range, a [*FloorError] when
// a stated floor is above a cost, and a [*NoPlanError] when there is, or as far as was looked, no plan.
func (p *Problem) Solve(ctx context.Context, o Options) (Solution, error) {
	s, err := newSolver(ctx, p, o)
	if err != nil {
		return Solution{}, err
	}
	if err := s.uncarried(); err != nil {
		return Solution{}, err
	}
	s.startPlans()
	s.boundAll()
	if s.proven || s.err != nil {
		return s.solution()
	}
	if space := newSpace(s.all, s, s.exactUpTo); space != nil {
		s.solveExact(space)
	} else {
		s.solveLarge()
	}
	return s.solution()
}

// solution turns the best plan into parcels of lots.
func (s *solver) solution() (Solution, error) {
	if s.err != nil {
		return Solution{}, s.err
	}
	if s.best.cost >= never {
		return Solution{}, s.noPlan()
	}
	out := Solution{Cost: s.best.cost, Bound: min(s.bound, s.best.cost), Evaluated: s.evaluated}
	out.Exact = s.proven || out.Bound == out.Cost
	if out.Exact {
		out.Bound = out.Cost
	}
	for _, g := range s.best.parcels {
		quote := s.quote(g)
		out.Parcels = append(out.Parcels, Parcel{Lots: s.lots(g), Service: quote.service, Cost: quote.cost})
	}
	sortParcels(out.Parcels)
	return out, s.err
}

// noPlan says why there is no plan.
func (s *solver) noPlan() error {
	if !s.proven && s.ctx.Err() != nil {
		return s.ctx.Err()
	}
	var left Set
	for b, lots := range s.blocks {
		if s.cost(1<<b) >= never {
			left |= lots
		}
	}
	return &NoPlanError{Lots: left.Lots(), Proven: s.proven}
}
