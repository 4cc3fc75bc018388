package input

import (
	"strconv"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// around is what values stand in: a document, or a group of keys or a list in it.
type around struct {
	*scope
	outer  *around // in which this stands,
	place  place   // and where
	kind   string  // what it is, where it is called by a name and not by where it stands,
	name   string  // that the user gave it,
	quoted bool    // and which is put in quotes
}

// scope is what holds for all that stands in a document, or below one of its values.
type scope struct {
	*document // nil outside one
	report    *collect.Report
	marks     *Marks // nil is all as usual

	where func() (at source.Origin, field string) // outside a document; worked out only for a fault
}

// place is where a value stands in what it stands in.
type place struct {
	key   *string // under which it stands, or the list in which it does; nil where there is none
	entry int     // of that list, from 1; 0 where it stands in none
}

func (a *around) field() string {
	switch {
	case a == nil:
		return ""
	case a.quoted:
		return a.kind + " " + Quote(a.name)
	case a.kind != "":
		return a.kind + " " + a.name
	}
	return a.outer.fieldOf(a.place)
}

func (a *around) fieldOf(p place) string {
	field := a.field()
	switch {
	case p.key == nil || *p.key == "":
	case field == "":
		field = *p.key
	default:
		field += ": " + *p.key
	}
	if p.entry > 0 {
		field += " " + strconv.Itoa(p.entry)
	}
	return field
}

// noScope is that of values that were not given anywhere.
var noScope scope

// within makes it what stands in a value.
func (a *around) within(n Node) {
	if a.scope = &noScope; n.in != nil {
		a.scope = n.in.scope
	}
	a.outer, a.place = n.in, place{n.key, n.entry()}
	a.kind, a.name, a.quoted = "", "", false
}

// marked has values that stand there written with their figures so.
func (a *around) marked(marks *Marks) {
	with := *a.scope
	with.marks = marks
	a.scope = &with
}

// Column is where the cells of a table stand that are under one head.
type Column struct {
	around
	cell value // that was made last
}

// NewColumn makes one. Where the cell is that is read is asked only when there is a fault.
func NewColumn(report *collect.Report, marks *Marks, where func() (at source.Origin, field string)) *Column {
	return &Column{around: around{scope: &scope{report: report, marks: marks, where: where}}}
}

// Cell makes a value of a text that stands in the column, for as long as no other is made.
func (c *Column) Cell(text string) Node {
	c.cell.kind, c.cell.text = aText, text
	return Node{v: &c.cell, in: &c.around}
}

// Cell makes a value of a text that stands in no YAML document, such as one that was typed. Where
// it stands is asked only when there is a fault.
func Cell(text string, report *collect.Report, where func() (at source.Origin, field string)) Node {
	return NewColumn(report, nil, where).Cell(text)
}

// Missing makes a value that was not given where [Cell] would stand.
func Missing(report *collect.Report, where func() (at source.Origin, field string)) Node {
	return Node{in: &NewColumn(report, nil, where).around}
}
