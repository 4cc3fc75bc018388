package fx

import (
	"fmt"
	"slices"
	"time"
)

// Market answers for every rate of one day: what the user stated first, then a published table. It
// is fixed once made, and safe for use from several goroutines. The zero value knows only that a
// currency is worth itself.
type Market struct {
	stated []Equation // one of each pair
	table  *Table
}

// of finds the equation that states a pair of currencies, in whichever order; nil where none does.
func (m *Market) of(a, b Code) *Equation {
	for i := range m.stated {
		if e := &m.stated[i]; e.Left == a && e.Right == b || e.Left == b && e.Right == a {
			return e
		}
	}
	return nil
}

// NewMarket joins equations and a table, which may be nil, for the day on; its clock time is
// ignored.
//
// It is an error if an equation is malformed, or states the pair of currencies of an earlier one,
// in whichever order and even if they agree ([*EquationError]), or if the table was read for
// another day (the error says so).
func NewMarket(eqs []Equation, table *Table, on time.Time) (*Market, error) {
	m := &Market{stated: make([]Equation, 0, len(eqs)), table: table}
	for i, e := range eqs {
		err := e.check()
		if first := m.of(e.Left, e.Right); first != nil && err == nil {
			err = e.conflict(*first)
		}
		if err != nil {
			err.At = i
			return nil, err
		}
		m.stated = append(m.stated, e)
	}
	if on = midnight(on); table != nil && !on.Equal(table.on) {
		return nil, fmt.Errorf("%s was read for %s, not for %s: read it for that day", table.name(), show(table.on), show(on))
	}
	return m, nil
}

// With gives a market in which an equation takes the place of whatever this one says of its pair of
// currencies. The error is an *EquationError.
func (m *Market) With(e Equation) (*Market, error) {
	if err := e.check(); err != nil {
		return nil, err
	}
	other := &Market{stated: slices.Clone(m.stated), table: m.table}
	if stated := other.of(e.Left, e.Right); stated != nil {
		*stated = e
	} else {
		other.stated = append(other.stated, e)
	}
	return other, nil
}

// Rate gives the exact rate between two currencies, unrounded and without spread: 1 if they are the
// same; else the equation that states the pair, in either direction; else the table. Equations are
// not chained. The error is a *NoRateError if neither holds the pair, or says why the table does
// not serve the day.
func (m *Market) Rate(from, to Code) (Rate, error) {
	if from == to {
		return identity(from), nil
	}
	if e := m.of(from, to); e != nil {
		return e.towards(to), nil
	}
	return m.table.rate(from, to)
}

// conflict is the error of an equation for a pair of currencies that an earlier one states.
func (e Equation) conflict(first Equation) *EquationError {
	verb := "contradicts"
	if first.same(e) {
		verb = "repeats"
	}
	return &EquationError{said: fmt.Sprintf("equation %q %s %q: keep one of them", e, verb, first)}
}

// NoRateError says that nothing given holds a rate between two currencies.
type NoRateError struct {
	From, To Code
}

// Error says what to state or give.
func (e *NoRateError) Error() string {
	return fmt.Sprintf("no rate from %s to %s: state one (\"100 %s = … %s\") or give a table that holds it", e.From, e.To, e.From, e.To)
}
