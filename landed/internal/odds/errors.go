package odds

import (
	"errors"
	"fmt"
	"strings"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Error says where the input cannot be used: each number is a place, counted from 1, in the list it
// was given in, and 0 where it does not apply.
type Error struct {
	Risk    int // the shared risk
	Group   int
	Outcome int   // of the group
	Err     error // what is wrong there
}

// Error begins with the place, as in "group 2, outcome 3: ".
func (e *Error) Error() string {
	var at []string
	for _, part := range []struct {
		name string
		n    int
	}{{"risk", e.Risk}, {"group", e.Group}, {"outcome", e.Outcome}} {
		if part.n != 0 {
			at = append(at, fmt.Sprintf("%s %d", part.name, part.n))
		}
	}
	return strings.Join(at, ", ") + ": " + e.Err.Error()
}

// Unwrap returns the error without its place.
func (e *Error) Unwrap() error { return e.Err }

// errUnsettled tells of an outcome that does not say what a piece brings.
var errUnsettled = errors.New("a piece brings a range, or is repaired: give its net proceeds")

// LimitError tells that there are none of the pieces, or more of them or of the shared risks than
// can be counted.
type LimitError struct {
	Kept        bool // there could be more pieces if none or all of them were kept
	Given, Most int64
}

// Error names the limit.
func (e *LimitError) Error() string {
	kept := ""
	if e.Kept {
		kept = " where some are kept"
	}
	return fmt.Sprintf("there can be 1 to %d%s, not %d", e.Most, kept, e.Given)
}

// sumError tells that the chances of a group come to another sum than 1.
func sumError(g *Group) error {
	var sum decimal.Decimal
	for i := range g.Outcomes {
		sum = sum.Add(g.Outcomes[i].Chance)
	}
	missing := decimal.New(1, 0).Sub(sum)
	remedy := "name what happens in the other " + money.FormatPercent(missing)
	if missing.Sign() < 0 {
		remedy = "take away " + money.FormatPercent(missing.Neg())
	}
	return fmt.Errorf("chances come to %s, not 100%%: %s", money.FormatPercent(sum), remedy)
}
