// Package cells reads tables as spreadsheets save them: text with separators, in
// the encodings they use, and workbooks of the kind .xlsx (ECMA-376). It knows
// rows and cells and where they stand, and nothing of what they mean.
package cells

import (
	"bytes"

	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// MaxBytes is the size of the largest table that is read: a list of a million items has a quarter
// of it.
const MaxBytes = 256 << 20

// Cell is one cell of a table.
type Cell struct {
	Text string // as it would be typed: 1.9, 2026-10-03, 12.5%, 38 EUR

	// Exact is set for what a workbook stores as a number: Text has it with a
	// decimal point, whatever the country of the table.
	Exact bool
	Shown string // the same rounded to the decimals that are shown, where it has more
	Date  bool   // likewise, as a day
	Made  bool   // it holds something, by a formula
	Wrong string // what is wrong with the cell, and
	Write string // what would put it right
}

// Table is a table that was read.
type Table struct {
	Strange source.Faults // what is to be said of the table as a whole

	Other string // another sheet of the workbook, where none was named; "" where there is none

	// Separator parts the cells of text; it is 0 in a workbook.
	Separator rune

	file  string
	text  *text
	sheet *sheet
}

// Rows goes through the rows of a table.
type Rows interface {
	// Next returns the cells of the next row, up to the next call; io.EOF behind
	// the last one. After another error, a [source.Fault], it may be called again.
	Next() ([]Cell, error)
	// At returns where a cell of the row read last stands.
	At(cell int) source.Origin
}

// Read reads the table in the bytes of a file: text, or of a workbook the sheet
// of that name, the first one that is not hidden where the name is empty. What
// makes it no table is a fault; where it has no such sheet, one with Asked "sheet".
func Read(file, sheet string, data []byte) (*Table, *source.Fault) {
	fail := func(what, remedy string) (*Table, *source.Fault) {
		return nil, &source.Fault{At: source.Origin{File: file}, What: what, Remedy: remedy}
	}
	switch {
	case len(data) > MaxBytes: // the text check tells it
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return fail("this is an old workbook (.xls), or one with a password", "save it as .xlsx without a password, or as CSV")
	case bytes.HasPrefix(bytes.TrimLeft(data, "\xef\xbb\xbf \t\r\n"), []byte("<")):
		return fail("this is a web page or XML, and no list", "open it in a spreadsheet program and save it as .xlsx or CSV")
	case len(bytes.TrimSpace(data)) == 0:
		return fail("the list is empty", "write a head and one item a line below it, or check that it is the file you meant")
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readWorkbook(file, sheet, data, mostUnzipped)
	case sheet != "":
		return nil, &source.Fault{At: source.Origin{File: file}, What: "this is no workbook, and has no sheet " + input.Quote(sheet), Remedy: "leave out what stands behind the #, or name a .xlsx file", Asked: "sheet"}
	}
	return readText(file, data)
}

// Rows goes through the rows from the first one on.
func (t *Table) Rows() Rows {
	if t.sheet != nil {
		return t.sheet.rows()
	}
	return t.text.rows(1)
}

// Row returns the row that begins at a place, and where its cells stand.
func (t *Table) Row(at source.Origin) ([]Cell, Rows) {
	if t.sheet != nil {
		return t.sheet.row(at.Line)
	}
	rows := t.text.rows(at.Line)
	cells, err := rows.Next()
	if err != nil {
		return nil, rows
	}
	return cells, rows
}

// Lines returns how many lines of text, or rows of a sheet, there are at most.
func (t *Table) Lines() int {
	if t.sheet != nil {
		return len(t.sheet.numbers)
	}
	return bytes.Count(t.text.data, []byte("\n"))
}
