package bid

import (
	"errors"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Course is how an evening goes on once the first lots are decided.
type Course struct {
	Won      []bool // of those lots, in the order in which they close; each was won at the middle of what is likely
	*Evening        // of those still to come; nil where such a win would break the budget or cannot be
}

// Courses are the ways in which the first lots of an evening may go, and what to bid then: the
// shorter ones first, and so many at most, without the moves of their plans. The errors are those
// of [Tonight].
func Courses(h *landed.Haul, p Plans, o Options, e *Evening, most int) ([]Course, error) {
	type stage struct {
		Course
		haul  *landed.Haul
		plans Plans
	}
	stages := []stage{{Course{nil, e}, h, p}}
	for at := 0; at < len(stages) && len(stages) < most; at++ {
		s := stages[at]
		if s.Evening == nil || len(s.Lots) < 2 {
			continue
		}
		for _, won := range []bool{false, true} {
			next := stage{Course: Course{Won: append(slices.Clone(s.Won), won)}}
			next.haul = decided(s.haul, &s.Lots[0], won)
			next.plans = s.plans.For(next.haul)
			var faults source.Faults
			evening, err := tonight(next.haul, next.plans, o, false)
			switch {
			case err == nil:
				next.Evening = evening
			case !errors.As(err, &faults):
				return nil, err
			}
			stages = append(stages, next)
		}
	}
	courses := make([]Course, len(stages))
	for i := range stages {
		courses[i] = stages[i].Course
	}
	return courses, nil
}

// decided is the haul once a lot is lost, or won at the middle of what is likely.
func decided(h *landed.Haul, l *LotTonight, won bool) *landed.Haul {
	if won {
		return bought(h, []string{l.ID}, []money.Amount{l.Middle})
	}
	return h.Only(func(o *landed.Lot) bool { return o.ID != l.ID })
}
