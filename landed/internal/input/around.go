package input

import (
	"strconv"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// around is what values stand in: a document, or a group of keys or a list in it.
type around struct {
	*document // nil outside one
	report    *collect.Report
	marks     *Marks  // nil is all as usual
	outer     *around // in which this stands,
	key       string  // under a key,
	entry     int     // or in a list
	kind      string  // what it is, where it is called by a name and not by where it stands,
	name      string  // that the user gave it,
	quoted    bool    // and which is put in quotes

	where func() (at source.Origin, field string) // outside a document; worked out only for a fault
}

// field is what stands there in words.
func (a *around) field() string {
	switch {
	case a == nil:
		return ""
	case a.quoted:
		return a.kind + " " + Quote(a.name)
	case a.kind != "":
		return a.kind + " " + a.name
	}
	return a.outer.fieldOf(a.key, a.entry)
}

// fieldOf is the field of a value there.
func (a *around) fieldOf(key string, entry int) string {
	field := a.field()
	switch {
	case key == "":
	case field == "":
		field = key
	default:
		field += ": " + key
	}
	if entry > 0 {
		field += " " + strconv.Itoa(entry)
	}
	return field
}

// within makes it what stands in a value.
func (a *around) within(n Node) {
	if *a = (around{outer: n.in, key: n.key, entry: n.entry}); n.in != nil {
		a.document, a.report, a.marks, a.where = n.in.document, n.in.report, n.in.marks, n.in.where
	}
}

// marked is what values stand in whose figures are written so.
func (a around) marked(marks *Marks) *around {
	a.marks = marks
	return &a
}

// Column is where the cells of a table stand that are under one head.
type Column struct{ around }

// NewColumn makes one. Where the cell is that is read is asked only when there is a fault.
func NewColumn(report *collect.Report, marks *Marks, where func() (at source.Origin, field string)) *Column {
	return &Column{around{report: report, marks: marks, where: where}}
}

// Cell makes a value of a text that stands in the column.
func (c *Column) Cell(text string) Node { return Node{in: &c.around, key: text, cell: true} }

// Cell makes a value of a text that stands in no YAML document, such as one that was typed. Where
// it stands is asked only when there is a fault.
func Cell(text string, report *collect.Report, where func() (at source.Origin, field string)) Node {
	return NewColumn(report, nil, where).Cell(text)
}

// Missing makes a value that was not given where [Cell] would stand.
func Missing(report *collect.Report, where func() (at source.Origin, field string)) Node {
	return Node{in: &NewColumn(report, nil, where).around}
}
