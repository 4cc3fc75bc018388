package lotfile

import (
	"fmt"
	"strings"

	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/input"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// SheetCell is a cell of a sheet of a workbook.
type SheetCell struct {
	At    source.Origin // as in costs.xlsx#paid:C7
	Text  string        // as it would be typed: 1.9, 2026-10-03, 12.5%, 38 EUR
	Exact bool          // it is a number, or a day, and no text
	Made  bool          // by a formula
	Fault *source.Fault // what is wrong with the cell; nil where nothing is
}

// ReadSheet reads the cells of a sheet of a workbook, as .xlsx. The error is [source.Faults] that
// call the file by its name; one that has no such sheet has Asked "sheet".
func ReadSheet(file, sheet string, data []byte) ([][]SheetCell, error) {
	table, f := cells.Read(file, sheet, data)
	if f != nil {
		return nil, source.Faults{f}
	}
	if table.Separator != 0 {
		return nil, source.Faults{{At: source.Origin{File: file}, What: "this is no workbook", Remedy: "name a .xlsx file that lotcost wrote"}}
	}
	var list [][]SheetCell
	for rows := table.Rows(); ; {
		record, err := rows.Next()
		if err != nil { // the end: the rows of a workbook have no faults
			return list, nil
		}
		row := make([]SheetCell, len(record))
		for i, c := range record {
			row[i] = SheetCell{At: rows.At(i), Text: c.Text, Exact: c.Exact, Made: c.Made}
			if c.Wrong != "" {
				row[i].Fault = &source.Fault{At: rows.At(i), What: c.Wrong, Remedy: c.Write}
			}
		}
		list = append(list, row)
	}
}

// ListChange is a figure for a value of a file, or for a column of an item in a list.
type ListChange struct {
	At     source.Origin   // of the item in the list
	Column string          // the name of the column, as the list's head may have it
	Number decimal.Decimal // the new figure, in Unit
	Unit   string          // g, a currency, or none for a count
	Empty  bool            // the cell is to be empty
}

// WithListChanges is the text of an item list with other figures, written as its own are: with its
// separators, its decimal mark and its encoding, and without a unit where the list gives that or
// has none in the cell. Nothing else in it is changed. The error is a [source.Faults].
func WithListChanges(file string, data []byte, commas bool, list []ListChange) ([]byte, error) {
	table, f := cells.Read(file, "", data)
	if f != nil {
		return nil, source.Faults{f}
	}
	r := newReader("", Options{})
	r.marks = input.Marks{Comma: commas, Said: commas}
	l := newItemList(r, file, table)
	if table.Separator == 0 || !l.header() {
		return nil, source.Faults{{At: source.Origin{File: file}, What: "only a list in text can be changed here", Remedy: "change it in its own program"}}
	}
	l.guess()
	comma := l.marks.Comma || table.Separator == ';' && !point().Match(data)
	var changes []cells.Change
	var faults source.Faults
	for i := range list {
		c := &list[i]
		column := l.columnOf(c.Column)
		if column == nil {
			faults = append(faults, &source.Fault{At: c.At.In(nil), What: "the list has no column " + c.Column, Remedy: fmt.Sprintf("add it in a spreadsheet, with %s in this row", c.Text("", ""))})
			continue
		}
		old := ""
		if record, _ := table.Row(c.At); column.place < len(record) {
			old = record[column.place].Text
		}
		text := c.Text(old, column.unit)
		if comma {
			text = input.OtherMarks(text)
		}
		changes = append(changes, cells.Change{At: c.At, Cell: column.place, Text: text})
	}
	if faults != nil {
		return nil, faults
	}
	out, err := table.With(data, changes)
	if err != nil {
		return nil, source.Faults{{At: source.Origin{File: file}, What: err.Error(), Remedy: "change the list in its own program", Err: err}}
	}
	return out, nil
}

// Text is the figure as it stands in the place of an older text, below a head that may give a unit:
// in the unit of that, an amount in whole minor units where it has decimals, and without a currency
// where the older one had none.
func (c *ListChange) Text(old, unit string) string {
	text, of := c.Number.String(), c.Unit
	old = strings.ToLower(old)
	switch cur, err := money.ParseCurrency(of); {
	case c.Empty:
		return ""
	case of == "g" && (unit == "kg" || strings.HasSuffix(old, "kg")):
		text, of = c.Number.Shift(-3).String(), "kg"
	case of == "g" && unit == "" && !strings.HasSuffix(old, "g"):
		if w, err := measure.ParseWeight(text + " g"); err == nil {
			return w.String()
		}
	case err == nil && -c.Number.Exponent() > 0 && int(-c.Number.Exponent()) < cur.Digits():
		text = c.Number.StringFixed(int32(cur.Digits()))
	}
	if strings.EqualFold(unit, of) || unit == "" && of != "g" && of != "kg" && isBare(old) {
		return text
	}
	return text + " " + of
}
