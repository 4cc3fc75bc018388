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
