// Package sheet holds a result as headings, texts, notes and tables, and writes it: as text for a
// terminal, as Markdown, CSV or JSON, as a workbook or as a page.
//
// A view describes what it has to say once, as a [Sheet]; then [Sheet.WriteText] or
// [Sheet.WriteMarkdown] writes it, [Page.WriteHTML] with its charts; [WriteCSV] takes one [Table],
// [WriteWorkbook] several, [WriteJSON] any value. [Sheet.WithCommas] and [Sheet.Choose] return
// another sheet to be written.
//
// # Widths
//
// Text is measured in terminal cells: a Japanese character takes two, a combining mark none.
// Characters of ambiguous width take one, whatever the locale, so that the same input gives the
// same bytes everywhere.
//
// # Text from outside
//
// Names and notes come from files that others may have written. Control and direction-changing
// characters in them are shown, never obeyed: an escape character comes out as ␛.
package sheet

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"

	"lotcost/landed/money"
)

// A Sheet is what a command wants said: blocks, in order.
type Sheet struct {
	Blocks []Block
}

// A Block is a [Heading], a [Text], a [Note] or a [*Table]; or what a page alone has: a [*Chart], a
// [Glance], a [*Folded], or [PageOnly] in place of any of them.
type Block interface{ html(*htmlWriter) }

// onPaper is a block of which text and Markdown have something too.
type onPaper interface {
	text(*page)
	markdown(*strings.Builder)
}

// blocksOf are the blocks of a sheet that are of a kind.
func blocksOf[T any](s *Sheet) (list []T) {
	for _, b := range s.Blocks {
		if of, is := b.(T); is {
			list = append(list, of)
		}
	}
	return list
}

// Tables are those of a sheet.
func (s *Sheet) Tables() []*Table { return blocksOf[*Table](s) }

// Heading is a line above the blocks that follow.
type Heading string

// Text is a paragraph; a newline in it begins a new line.
type Text string

// Note is a short text that stands out from the paragraphs. Notes that follow each other are not
// parted by an empty line.
type Note struct {
	Kind NoteKind
	Text string
}

// NoteKind says how a [Note] is introduced.
type NoteKind int

const (
	Remark  NoteKind = iota // faint, without an introduction
	Hint                    // what the reader may do next
	Caution                 // what the reader must not overlook
)

func (k NoteKind) lead() string {
	return [...]string{Remark: "", Hint: "hint: ", Caution: "caution: "}[k]
}

// Align says where a cell's text stands in its column.
type Align int

const (
	Left    Align = iota // text
	Right                // figures that all have the same number of decimals
	Decimal              // figures whose decimals differ: the points stand under each other
)

// Column describes one column of a [Table].
type Column struct {
	Head string // for people
	Key  string // for programs, in snake_case; a column without one stays out of the CSV

	Align Align

	// Machine columns are for programs only: they stand in the CSV and nowhere else.
	Machine bool
	// Wrap lets a Left column continue on further lines when the terminal is narrow. Figures are
	// never broken.
	Wrap bool
	// Min is the number of cells below which a Wrap column is not narrowed; 0 means 8.
	Min int
	// Optional columns are left out, with a line that says so, when the terminal is too narrow
	// even after wrapping: the highest number first, 0 never. Those that decide nothing, and take
	// much room, go first.
	Optional int
	// Unprinted are the last columns of a workbook's sheet that are left out on paper.
	Unprinted bool
	// Bar columns hold bars of whole and half blocks, which are drawn shorter, all in proportion,
	// where there is no room for them.
	Bar bool
}

// Cell is one entry of a table.
type Cell struct {
	Text string // for people
	Data string // for programs (CSV), where it differs from Text: no thousands marks, no unit
	Link string // the address inside a page of what tells more, or, from a ? on, beside it; "" for nothing
	Tone Tone

	// Of a workbook alone. A cell with a Format is a number, its Data, which a program shows so, and
	// what Formula says once it calculates. Input marks what the reader may change in a Guarded table.
	// FromZero is one below which there is nothing.
	Formula, Format string
	Input, FromZero bool
}

// RowKind says what part a [Row] plays in its table.
type RowKind int

const (
	Body  RowKind = iota // a record
	Group                // a heading across the table, in the one cell it has
	Sum                  // a total, under a rule; totals are not records and stay out of the CSV
)

// Row is one row of a [Table]. Cells missing at its end are empty.
type Row struct {
	Kind  RowKind
	Cells []Cell
}

func (r Row) Cell(column int) Cell {
	if column < len(r.Cells) {
		return r.Cells[column]
	}
	return Cell{}
}

// Table is a block of rows and columns. When no column has a head, none is drawn.
type Table struct {
	Title   string
	Topic   string // the name of its sheet in a workbook; where there is none, the title is
	Drawn   bool   // the figures of a chart, under which alone a page has it
	Columns []Column
	Rows    []Row
	// Made are further rows, behind Rows, of a table that is too long to be held at once. Only CSV,
	// workbooks and pages have them. The cells of a row may be those of the one before.
	Made iter.Seq[Row]

	Guarded bool // in a workbook, no cell may be changed but those that are Input
	Hidden  bool // in a workbook, it is for programs and not shown
	Live    bool // a workbook that calculates has its figures in sheets of their own
	// Continued tables have figures that a terminal has no room for below, behind the first column.
	Continued bool
	// Folds tables have their records in folds on a page, where they are many.
	Folds   bool
	stacked string // the class that stacks it, where that is one of a greater table
}

// Add adds a record. A cell is a [Cell] or what it shows: a text, a count, the figure of an amount,
// a day, what has words; nil is empty.
func (t *Table) Add(cells ...any) { t.AddRow(Body, cells...) }

// AddSum adds a total in the same way.
func (t *Table) AddSum(cells ...any) { t.AddRow(Sum, cells...) }

// AddRow adds a row of any kind in the same way. To have more cells than there is room for is a
// mistake of the program.
func (t *Table) AddRow(kind RowKind, cells ...any) {
	if room := Either(kind == Group, 1, len(t.Columns)); len(cells) > room {
		panic(fmt.Sprintf("table %q: a row has %d cells, want at most %d", t.Title, len(cells), room))
	}
	t.Rows = append(t.Rows, Row{kind, make([]Cell, len(cells))})
	for i, of := range cells {
		c, ok := of.(Cell)
		if !ok {
			c.Text = AsText(of)
		}
		t.Rows[len(t.Rows)-1].Cells[i] = c
	}
}

// AsText is a value as it stands in a cell or in JSON; what is not given is "".
func AsText(of any) string {
	switch v := of.(type) {
	case string:
		return v
	case money.Amount:
		if v.Currency() != 0 {
			return v.Number()
		}
		return ""
	case time.Time:
		if !v.IsZero() {
			return v.Format(time.DateOnly)
		}
		return ""
	case nil:
		return ""
	}
	return fmt.Sprint(of)
}

// WithoutEmpty makes columns, by their keys or heads, that have nothing in any record ones for
// programs alone.
func (t *Table) WithoutEmpty(keys ...string) *Table {
	for i := range t.Columns {
		c := &t.Columns[i]
		if slices.Contains(keys, c.address()) && !slices.ContainsFunc(t.Rows, func(r Row) bool { return r.Kind == Body && r.Cell(i).Text != "" }) {
			c.Machine = true
		}
	}
	return t
}

// Listed are names in a sentence: a, b and c.
func Listed(names []string) string {
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// Bold is a cell that holds what a table is about.
func Bold(of any) Cell { return Cell{Text: AsText(of), Tone: Strong} }

// EachRow are the rows of a table, those of Made, which share their cells, behind the others.
func (t *Table) EachRow() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		for _, r := range t.Rows {
			if !yield(r) {
				return
			}
		}
		if t.Made != nil {
			t.Made(yield)
		}
	}
}

// made is Made with each row changed; nil where there is none.
func (t *Table) made(change func(Row) Row) iter.Seq[Row] {
	if t.Made == nil {
		return nil
	}
	return func(yield func(Row) bool) {
		t.Made(func(r Row) bool { return yield(change(r)) })
	}
}

func (t *Table) hasHead() bool {
	return slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Head != "" })
}

func (c Column) name() string { return strings.ReplaceAll(cmp.Or(c.Head, c.Key), "\n", " ") }

// New returns a sheet of some blocks.
func New(blocks ...Block) *Sheet { return &Sheet{Blocks: blocks} }

// Add puts more blocks at the end, and returns the sheet.
func (s *Sheet) Add(blocks ...Block) *Sheet {
	s.Blocks = append(s.Blocks, blocks...)
	return s
}

// AddIf is [Sheet.Add] where something holds.
func (s *Sheet) AddIf(holds bool, blocks ...Block) *Sheet {
	if holds {
		s.Add(blocks...)
	}
	return s
}

// columnsThat are the places of the columns of which something holds.
func (t *Table) columnsThat(holds func(Column) bool) (places []int) {
	for i, c := range t.Columns {
		if holds(c) {
			places = append(places, i)
		}
	}
	return places
}
