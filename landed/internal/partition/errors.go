package partition

import (
	"fmt"
	"strconv"
	"strings"
)

// problemError reports a [Problem], or a cost it gave, that makes no sense.
type problemError struct{ text string }

// Error names the field, or the part, with its value, and what would put it right. Elements and
// modes count from 0.
func (e *problemError) Error() string { return e.text }

// NoPlanError reports that the elements cannot all be sent.
type NoPlanError struct {
	Elements []int // those that no mode takes alone, or the two that must travel both together and apart
	Conflict bool  // the constraints contradict each other
	proven   bool  // every plan was ruled out
}

// Proven reports whether every plan was ruled out.
func (e *NoPlanError) Proven() bool { return e.proven }

// Error names the elements and what would let them be sent.
func (e *NoPlanError) Error() string {
	switch elements := listed(e.Elements); {
	case e.Conflict:
		return fmt.Sprintf("%s must travel together and must not: drop one of the two constraints", elements)
	case e.proven:
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
