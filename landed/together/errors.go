package together

import (
	"fmt"
	"strconv"
	"strings"
)

// ProblemError reports a [Problem], or the cost it gave, that makes no sense. Lots and services count from 0.
type ProblemError struct {
	Field  string // such as "Weight"
	Got    string
	Remedy string // what would put it right
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *ProblemError) Error() string {
	return fmt.Sprintf("%s %q: %s", e.Field, e.Got, e.Remedy)
}

// FloorError reports a set of lots that costs less than the floor stated for it by Floor, or by Carriage and
// Each together, so that no bound drawn from them would hold.
type FloorError struct {
	Lots        Set
	Service     int
	Cost, Floor int64 // minor units
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *FloorError) Error() string {
	return fmt.Sprintf("parcel of %s by service %d: cost %d is below the stated floor of %d: lower the floor",
		listed(e.Lots.Lots()), e.Service, e.Cost, e.Floor)
}

// NoPlanError reports that the lots cannot all be sent.
type NoPlanError struct {
	// Lots are those that no service takes alone, or the two that must travel both together and apart.
	Lots []int
	// Conflict is true when the constraints contradict each other.
	Conflict bool
	// Proven is false when the search ended before every plan was ruled out.
	Proven bool
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoPlanError) Error() string {
	switch lots := listed(e.Lots); {
	case e.Conflict:
		return fmt.Sprintf("%s must travel together and must not: drop one of the two constraints", lots)
	case e.Proven:
		return fmt.Sprintf("no plan carries %s, which no service takes alone: add a service or leave them out", lots)
	default:
		return fmt.Sprintf("no plan found that carries %s, which no service takes alone: allow more work or add a service", lots)
	}
}

// listed writes "lot 2", or "lots 0, 3 and 5".
func listed(lots []int) string {
	words := make([]string, len(lots))
	for i, lot := range lots {
		words[i] = strconv.Itoa(lot)
	}
	if len(words) < 2 {
		return "lot " + strings.Join(words, "")
	}
	last := len(words) - 1
	return "lots " + strings.Join(words[:last], ", ") + " and " + words[last]
}
