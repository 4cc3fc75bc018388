package odds

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Place says which part of the input is meant. Each number counts from 1 in the
// list it was given in; 0 means that it does not apply.
type Place struct {
	Risk    int // the shared risk
	Group   int // the group
	Outcome int // the outcome in the group
}

// String prints the place as "risk 1, group 2, outcome 3", leaving out what
// does not apply.
func (p Place) String() string {
	var s []string
	for _, part := range []struct {
		name string
		n    int
	}{{"risk", p.Risk}, {"group", p.Group}, {"outcome", p.Outcome}} {
		if part.n != 0 {
			s = append(s, fmt.Sprintf("%s %d", part.name, part.n))
		}
	}
	return strings.Join(s, ", ")
}

// SumError tells that the chances of a group do not come to 100 %.
type SumError struct {
	Sum     decimal.Decimal // of the chances, 1 being 100 %
	Missing decimal.Decimal // what there is too little; negative: too much
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *SumError) Error() string {
	if e.Missing.Sign() < 0 {
		return fmt.Sprintf("chances come to %s, not 100%%: take away %s", percent(e.Sum), percent(e.Missing.Neg()))
	}
	return fmt.Sprintf("chances come to %s, not 100%%: name what happens in the other %s", percent(e.Sum), percent(e.Missing))
}

// ChanceError tells that a chance is not one that can be reckoned with.
type ChanceError struct {
	What   string          // the outcome's or the risk's name, as given
	Given  decimal.Decimal // 1 being 100 %
	Remedy string          // what would put it right
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *ChanceError) Error() string {
	what := ""
	if e.What != "" {
		what = fmt.Sprintf("%q: ", e.What)
	}
	return fmt.Sprintf("%sa chance of %s: %s", what, percent(e.Given), e.Remedy)
}

// LimitError tells that something is outside of what this package works with.
type LimitError struct {
	What  Limited // what there is too much or too little of
	Given int64
	Least int64
	Most  int64
}

// Limited is something that has a limit, in words.
type Limited string

// What an input may have too much of.
const (
	Pieces     Limited = "pieces" // of a group
	AllPieces  Limited = "pieces in all"
	KeptPieces Limited = "pieces of which some are kept" // of a group
	Risks      Limited = "shared risks"
)

// Error says what is wrong and, where it can be said, what would put it right.
func (e *LimitError) Error() string {
	return fmt.Sprintf("%s: %d given: it must be %d to %d", e.What, e.Given, e.Least, e.Most)
}

// PlaceError says where the error that it wraps was found.
type PlaceError struct {
	Place Place
	Err   error
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *PlaceError) Error() string { return fmt.Sprintf("%s: %v", e.Place, e.Err) }

// Unwrap returns the error without its place.
func (e *PlaceError) Unwrap() error { return e.Err }

// percent prints a fraction as a percentage, exactly. An exponent far out of
// reason is printed as such: written out it could fill the memory.
func percent(d decimal.Decimal) string {
	if e := d.Exponent(); e > 40 || e < -400 {
		return fmt.Sprintf("%se%d%%", d.Coefficient(), int64(e)+2)
	}
	return d.Shift(2).String() + "%"
}
