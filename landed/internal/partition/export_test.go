package partition

import "context"

// UpTo are options by which so many unlike elements are settled.
func UpTo(elements int) Options { return Options{exactUpTo: elements} }

// ProblemError reports a problem that makes no sense.
type ProblemError = problemError

// Listed is how many sets the exact search keeps.
func Listed(p *Problem) (int, error) {
	s, err := newSolver(context.Background(), p, Options{})
	if err != nil {
		return 0, err
	}
	s.startPlans()
	e := newSpace(s.all, s, s.exactUpTo)
	e.upper = s.best.cost
	e.fill()
	return len(e.number) - 1, s.err
}

// RowOf is the row of a measure.
var RowOf = rowOf

// Bounds are those of all plans, and what telling them apart raises it to, while none that is near
// the best is known: it costs three times as much as the one to start from.
func Bounds(p *Problem) (all, apart int64, err error) {
	s, err := newSolver(context.Background(), p, Options{})
	if err != nil {
		return 0, 0, err
	}
	if s.startPlans(); s.p.Carriage == nil || s.best.cost >= never {
		return 0, 0, s.err
	}
	s.best.cost *= 3
	l := s.newLarge()
	root := l.relax(s.all, 1000, nil, l.pool)
	s.bound = root.bound
	l.branch(root)
	return root.bound, s.bound, s.err
}

// Measured tells of which brackets parts are looked for by their measure, beside their weight.
func Measured(p *Problem) (list []bool, err error) {
	s, err := newSolver(context.Background(), p, Options{})
	if err != nil {
		return nil, err
	}
	s.startPlans()
	for _, k := range s.newLarge().sacks {
		list = append(list, k.rows > 1)
	}
	return list, s.err
}
