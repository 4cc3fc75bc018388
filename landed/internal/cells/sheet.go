package cells

import (
	"encoding/xml"
	"fmt"
	"io"
	"sort"
	"strconv"
	"strings"

	"lotcost/landed/source"
)

// sheet is a sheet of a workbook.
type sheet struct {
	file    string
	numbers []int    // of the rows that hold something, rising
	cells   [][]Cell // of those, from column A on
	hidden  []int    // numbers of hidden rows
	merged  []area
}

// area is a block of cells, ends included, counted from 1.
type area struct{ left, top, right, bottom int }

func (a area) String() string {
	return name(a.left, a.top) + ":" + name(a.right, a.bottom)
}

// name returns what a cell is called, as in B7.
func name(column, row int) string {
	return strings.TrimPrefix(source.Origin{File: "-", Line: row, Column: column}.InSheet().String(), "-:")
}

func place(s string) (column, row int, ok bool) {
	i := 0
	for ; i < len(s) && s[i] >= 'A' && s[i] <= 'Z' && column <= mostColumns; i++ {
		column = column*26 + int(s[i]-'A') + 1
	}
	row, err := strconv.Atoi(s[i:])
	return column, row, err == nil && column >= 1 && column <= mostColumns && row >= 1 && row <= mostRows
}

func (b *book) sheet(part string) (*sheet, error) {
	s := &sheet{}
	row := 0
	err := b.walk(part, func(d *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "row":
			row++
			if n, err := strconv.Atoi(attr(e, "r")); err == nil {
				row = n
			}
			if row < 1 || row > mostRows || len(s.numbers) > 0 && row <= s.numbers[len(s.numbers)-1] {
				return fmt.Errorf("its row %d is out of order", row)
			}
			cells, err := b.row(d)
			if err == nil && len(cells) > 0 {
				s.numbers, s.cells = append(s.numbers, row), append(s.cells, cells)
				if isOn(attr(e, "hidden")) {
					s.hidden = append(s.hidden, row)
				}
			}
			return err
		case "mergeCell":
			from, to, _ := strings.Cut(attr(e, "ref"), ":")
			left, top, ok := place(from)
			right, bottom, ok2 := place(to)
			if ok && ok2 {
				s.merged = append(s.merged, area{left, top, right, bottom})
			}
		}
		return nil
	})
	return s, err
}

// row reads the cells of a row that was begun, up to the last that holds something.
func (b *book) row(d *xml.Decoder) ([]Cell, error) {
	var cells []Cell
	column := 0
	err := children(d, func(e xml.StartElement) error {
		if e.Name.Local != "c" {
			return d.Skip()
		}
		column++
		if n, _, ok := place(attr(e, "r")); ok {
			column = n
		}
		cell, err := b.cell(d, e)
		if err != nil || cell == (Cell{}) {
			return err
		}
		last := min(column, widest) // what stands beyond is only known to be there
		if b.room -= max(last-len(cells), 0); b.room < 0 {
			return errTooMany
		}
		for len(cells) < last {
			cells = append(cells, Cell{})
		}
		cells[last-1] = cell
		return nil
	})
	return cells, err
}

// stored is what a workbook has of a cell.
type stored struct {
	kind, value string
	formula     bool
	style       style
}

func (b *book) cell(d *xml.Decoder, e xml.StartElement) (Cell, error) {
	in := stored{kind: attr(e, "t")}
	if n, err := strconv.Atoi(attr(e, "s")); err == nil && n >= 0 && n < len(b.styles) {
		in.style = b.styles[n]
	}
	err := children(d, func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "is":
			var s rich
			err = d.DecodeElement(&s, &e)
			in.value = s.text()
			return err
		case "v":
			return d.DecodeElement(&in.value, &e)
		}
		in.formula = in.formula || e.Name.Local == "f"
		return d.Skip()
	})
	c := b.shown(in)
	c.Made = in.formula && c != Cell{}
	return c, err
}

// shown is what a cell shows: formulas by their stored value.
func (b *book) shown(in stored) Cell {
	text := strings.TrimSpace(in.value)
	switch in.kind {
	case "s":
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 || n >= len(b.shared) {
			return Cell{Wrong: "the cell's text is lost", Write: "write it again"}
		}
		return Cell{Text: strings.TrimSpace(b.shared[n])}
	case "inlineStr":
		return Cell{Text: text}
	case "str":
		return Cell{Text: strings.TrimSpace(unescaped(text))}
	case "b":
		return Cell{Text: map[string]string{"0": "no", "1": "yes"}[text]}
	case "e":
		return Cell{Text: text, Wrong: "the cell holds the error " + text, Write: "put the formula right, or write what the cell should hold"}
	case "d":
		day, _, _ := strings.Cut(text, "T")
		return Cell{Text: day, Exact: true, Date: true}
	}
	switch {
	case text == "" && in.formula:
		return Cell{Wrong: "the formula has no stored result", Write: "open the list in a spreadsheet program and save it there, or write the result itself"}
	case text == "":
		return Cell{}
	}
	return in.style.number(text, b.from)
}

// strange tells what is not seen in the sheet, but read.
func (s *sheet) strange() source.Faults {
	if len(s.hidden) == 0 {
		return nil
	}
	first := s.hidden[0]
	what := fmt.Sprintf("row %d is hidden, and is read like the others", first)
	if n := len(s.hidden); n > 1 {
		what = fmt.Sprintf("%d rows are hidden, from row %d on, and are read like the others", n, first)
	}
	return source.Faults{{At: source.Origin{File: s.file}, Warning: true, What: what, Remedy: "take out what is not in the lot"}}
}

type sheetRows struct {
	*sheet
	next int
}

func (s *sheet) rows() Rows { return &sheetRows{sheet: s} }

func (s *sheet) row(number int) ([]Cell, Rows) {
	i := sort.SearchInts(s.numbers, number)
	r := &sheetRows{s, i}
	if i == len(s.numbers) || s.numbers[i] != number {
		return nil, r
	}
	cells, _ := r.Next()
	return cells, r
}

func (r *sheetRows) Next() ([]Cell, error) {
	if r.next == len(r.numbers) {
		return nil, io.EOF
	}
	r.next++
	return r.cells[r.next-1], nil
}

func (r *sheetRows) At(cell int) source.Origin {
	return source.Origin{File: r.file, Line: r.numbers[max(r.next-1, 0)], Column: cell + 1}.InSheet()
}

// Merged tells of blocks of merged cells that reach from a row on over several
// rows, or over several of the columns, counted from 0: all but the first cell of
// one are empty, whatever is shown.
func (t *Table) Merged(from int, columns []int) source.Faults {
	if t.sheet == nil {
		return nil
	}
	var faults source.Faults
	for _, a := range t.sheet.merged {
		over := 0
		for _, c := range columns {
			if c+1 >= a.left && c+1 <= a.right {
				over++
			}
		}
		if a.bottom >= from && (over > 1 || over == 1 && a.top != a.bottom) {
			faults = append(faults, &source.Fault{At: source.Origin{File: t.file, Line: a.top, Column: a.left}.InSheet(), What: "the cells " + a.String() + " are merged",
				Remedy: "part them, and write in each what belongs there"})
		}
	}
	return faults
}
