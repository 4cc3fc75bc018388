package partition

import (
	"cmp"
	"context"
	"math/bits"
	"slices"
)

// Set is a set of elements: bit i stands for element i.
type Set uint64

// MaxElements is the most elements of one problem.
const MaxElements = 64

// MaxCost is the most that one part may cost, in minor units.
const MaxCost int64 = 1 << 50

// never is the cost of a part that no mode carries. 64 of them still fit an int64, and one is more
// than 64 parts of MaxCost: a plan that costs never or more carries not all of its elements.
const never int64 = 1 << 57

// SetOf returns the set of the given elements, each from 0 to 63.
func SetOf(elements ...int) Set {
	var s Set
	for _, element := range elements {
		s |= 1 << element
	}
	return s
}

// Has reports whether the element is in the set.
func (s Set) Has(element int) bool { return s>>element&1 == 1 }

// Len returns the number of elements in the set.
func (s Set) Len() int { return bits.OnesCount64(uint64(s)) }

// Elements returns the elements of the set in ascending order.
func (s Set) Elements() []int {
	elements := make([]int, 0, s.Len())
	for ; s != 0; s &= s - 1 {
		elements = append(elements, bits.TrailingZeros64(uint64(s)))
	}
	return elements
}

// sum adds up what the elements of the set have; nothing where nothing is said.
func (s Set) sum(of []int64) (sum int64) {
	if of == nil {
		return 0
	}
	for _, element := range s.Elements() {
		sum += of[element]
	}
	return sum
}

// Problem asks which elements go in which part by which mode at the least total cost. The cost of a
// plan is the sum of its parts' costs, in minor units of one currency.
type Problem struct {
	// Elements is their number, from 1 to [MaxElements].
	Elements int
	// Modes is their number, 1 or more.
	Modes int
	// Cost returns what it costs to send exactly these elements in one part by that mode, from 0 to
	// MaxCost; false when the mode refuses the part. It is called at most once for a set and a
	// mode. It need not grow with the set.
	Cost func(elements Set, mode int) (minor int64, ok bool)
	// RefusalsGrow says that a mode which refuses a set refuses every larger set that contains it.
	RefusalsGrow bool

	// The rest may be left out. It saves calls of Cost and makes the bound of a large problem.

	// Weight is the weight of each element in any unit, their sum below 2^62.
	Weight []int64
	// Carriage returns a lower bound of what any part of at least that total weight costs by the
	// cheapest mode, never falling with weight; false when no mode carries the weight, or any
	// greater one. It needs Weight.
	Carriage func(weight int64) (minor int64, ok bool)
	// Each is what each element costs at least in whatever part, beyond Carriage, and Alone what each
	// part does besides, Joined where it is of several elements: from 0, Joined no less than Alone,
	// all in parts of 2^-[FineBits] of a minor unit. A part of S costs at least Carriage(weight of S)
	// plus the rest of these, rounded up.
	Each          []int64
	Alone, Joined int64
	// Brackets are what parts cost at least besides, by the sum of Measure over their
	// elements: from 0, and below 2^62 for all. They hold for the carriage that is ModeFloor, too.
	Brackets []Bracket
	Measure  []int64
	// Bearing is what each element weighs where Carriage is shared over a part: from 0, their sum
	// below 2^62.
	Bearing []int64
	// Figures are what elements have beside weight that modes look at: lists of one for each element,
	// from 0, their sum below 2^62. ModeFloor is Carriage by one mode for a part with such sums of
	// them; it never falls with one of them, nor takes more of one than it refuses. It is asked only
	// where there are figures.
	Figures   [][]int64
	ModeFloor func(mode int, weight int64, figures []int64) (minor int64, ok bool)
	// Kind names alike elements by the same number: swapping two of them changes no cost.
	Kind []int

	// Together lists groups of elements that must be in one part, Apart pairs that must not. Out are
	// those that are in none.
	Together [][]int
	Apart    [][2]int
	Out      Set
}

// Options limit the search.
type Options struct {
	// Work is how many steps may be spent, one step being a call of Cost or a thousand sets looked
	// at without one; 0 means 20 million. All elements apart and all in one part are looked at in
	// any case.
	Work int
	// Progress is called now and then with the sets of elements decided so far, how many there are,
	// both rough, and the cost of the best plan so far, -1 while there is none.
	Progress func(done, total int, best int64)
	// exactUpTo is the number of unlike elements up to which the answer is proven; 0 means 20.
	exactUpTo int
}

// Part is one part of a solution.
type Part struct {
	Elements Set
	Mode     int   // the cheapest; the lower number where two cost the same
	Cost     int64 // minor units
}

// Solution is a plan and what is known about it. No plan costs less than Bound; when Exact, Cost is
// Bound.
type Solution struct {
	Parts       []Part // in the order of their lowest elements
	Cost, Bound int64  // minor units
	Exact       bool
	Evaluated   int // how many calls of Cost were made
}

// Solve returns the plan of least cost, or a good one with its bound where that would take too
// long. The same problem and options give the same solution. An exact solution's cost does not
// depend on the order of the elements or modes.
//
// When the context is done, Solve returns the best plan so far, Exact false, and no error; only
// when there is no plan yet does it return the context's error.
//
// It returns an error when the problem makes no sense, when Cost leaves its range or is below what
// Carriage and Each state, and a [*NoPlanError] when there is, or as far as was looked, no plan.
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

// solution turns the best plan into parts of elements.
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
	for _, g := range s.best.parts {
		quote := s.quote(g)
		out.Parts = append(out.Parts, Part{Elements: s.elements(g), Mode: quote.mode, Cost: quote.cost})
	}
	slices.SortFunc(out.Parts, func(a, b Part) int { return cmp.Compare(lowest(a.Elements), lowest(b.Elements)) })
	return out, s.err
}

// noPlan says why there is no plan.
func (s *solver) noPlan() error {
	if !s.proven && s.ctx.Err() != nil {
		return s.ctx.Err()
	}
	return &NoPlanError{Elements: s.elementsOf(func(b int) bool { return s.cost(1<<b) >= never }), proven: s.proven}
}
