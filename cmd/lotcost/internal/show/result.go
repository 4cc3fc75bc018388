package show

import "lotcost/landed"

// Result is what a command found, made ready for each format when that format
// is asked for. Table is what the CSV holds.
type Result struct {
	Sheet func() *Sheet
	Table func() *Table
	JSON  func() any

	// Of is the statement whose cost is told, and Before the one that is taken
	// off it; nil when there is none.
	Of, Before *landed.Statement
}

// With returns the sheet with more blocks at its end.
func (s *Sheet) With(blocks ...Block) *Sheet {
	s.add(blocks...)
	return s
}

// Visible makes hidden characters of a text from outside visible.
func Visible(s string) string { return visible(s) }

// StepsJSON is a working for [WriteJSON].
func StepsJSON(steps []landed.Step) any {
	out := make([]costStep, len(steps))
	for i, s := range steps {
		out[i] = costStep(s)
	}
	return out
}
