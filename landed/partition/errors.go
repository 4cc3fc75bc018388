package partition

import (
	"fmt"
	"strconv"
	"strings"
)

// ProblemError reports a [Problem], or the cost it gave, that makes no sense. Elements and modes count from 0.
type ProblemError struct {
	Field  string // such as "Weight"
	Got    string
	Remedy string // what would put it right
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *ProblemError) Error() string {
	return fmt.Sprintf("%s %q: %s", e.Field, e.Got, e.Remedy)
}

// FloorError reports a set of elements that costs less than the floor stated for it by Floor, or by Carriage and
// Each together, so that no bound drawn from them would hold.
type FloorError struct {
	Elements    Set
	Mode        int
	Cost, Floor int64 // minor units
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *FloorError) Error() string {
	return fmt.Sprintf("part of %s by mode %d: cost %d is below the stated floor of %d: lower the floor",
		listed(e.Elements.Elements()), e.Mode, e.Cost, e.Floor)
}

// NoPlanError reports that the elements cannot all be sent.
type NoPlanError struct {
	// Elements are those that no mode takes alone, or the two that must travel both together and apart.
	Elements []int
	// Conflict is true when the constraints contradict each other.
	Conflict bool
	// Proven is false when the search ended before every plan was ruled out.
	Proven bool
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *NoPlanError) Error() string {
	switch elements := listed(e.Elements); {
	case e.Conflict:
		return fmt.Sprintf("%s must travel together and must not: drop one of the two constraints", elements)
	case e.Proven:
		return fmt.Sprintf("no plan carries %s, which no mode takes alone: add a mode or leave them out", elements)
	default:
		return fmt.Sprintf("no plan found that carries %s, which no mode takes alone: allow more work or add a mode", elements)
	}
}

// listed writes "element 2", or "elements 0, 3 and 5".
func listed(elements []int) string {
	words := make([]string, len(elements))
	for i, element := range elements {
		words[i] = strconv.Itoa(element)
	}
	if len(words) < 2 {
		return "element " + strings.Join(words, "")
	}
	last := len(words) - 1
	return "elements " + strings.Join(words[:last], ", ") + " and " + words[last]
}
