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
	// Won is what those lots were won for, in the order in which they close; the zero Amount of one
	// that was lost.
	Won      []money.Amount
	*Evening // of those to come; nil where such a win would break the budget or cannot be
}

// Courses are the ways in which the first lots of an evening may go, and what to bid then: the
// shorter ones first, and so many at most, without the moves of their plans. Lots are won at each
// quarter of what is likely, so that one of them is what was paid or little more; where that makes
// too many ways, at the middle and the most, or at the middle alone. There are fewer once the
// options stop the search. The errors are those of [Tonight].
func Courses(h *landed.Haul, p Plans, o Options, e *Evening, most int) ([]Course, error) {
	type stage struct {
		Course
		haul  *landed.Haul
		plans Plans
	}
	stages := []stage{{Course{nil, e}, h, p}}
	prices := pricesFor(len(e.Lots), most)
	for at := 0; at < len(stages); at++ {
		s := stages[at]
		if s.Evening == nil || len(s.Lots) < 2 {
			continue
		}
		for _, won := range append([]money.Amount{{}}, prices(&s.Lots[0])...) {
			if len(stages) == most {
				break
			}
			next := stage{Course: Course{Won: append(slices.Clone(s.Won), won)}, haul: decided(s.haul, s.Lots[0].ID, won)}
			next.plans = s.plans.For(next.haul)
			var faults source.Faults
			evening, err := tonight(next.haul, next.plans, o, false)
			switch {
			case err == nil:
				next.Evening = evening
			case errors.Is(err, ErrStopped):
				most = len(stages)
				continue
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

// pricesFor tells at which prices a lot is taken to be won, rising, so that there are at most so
// many ways for some lots.
func pricesFor(lots, most int) func(*LotTonight) []money.Amount {
	fits := func(prices int) bool {
		ways, all := 1, 0
		for range lots {
			if all += ways; all > most {
				return false
			}
			ways *= prices + 1
		}
		return true
	}
	switch {
	case fits(4):
		return func(l *LotTonight) []money.Amount { return slices.Compact(slices.Clone(l.quarters[:])) }
	case fits(2):
		return func(l *LotTonight) []money.Amount { return slices.Compact([]money.Amount{l.Middle, l.Most}) }
	}
	return func(l *LotTonight) []money.Amount { return []money.Amount{l.Middle} }
}

// decided is the haul once a lot is lost, or won for an amount.
func decided(h *landed.Haul, lot string, won money.Amount) *landed.Haul {
	if won.Currency() != 0 {
		return bought(h, []string{lot}, []money.Amount{won})
	}
	return h.Only(func(o *landed.Lot) bool { return o.ID != lot })
}
