package taken

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/lotfile"
)

// over tells of what was typed over formulas, which no lot file has a place for. A formula whose
// result is another one by now is still one; where none is left, a program saved the workbook that
// keeps none, and no single cell was typed over.
func (t *taking) over() {
	var list []Left
	formulas := false
	for _, e := range t.was.made {
		faults := t.was.faults
		p := t.was.page(e.sheet)
		t.was.faults = faults // nothing is wanted of a sheet that was taken out
		if p == nil {
			continue
		}
		column, is := p.heads[e.head]
		for e.row = range rowsIn(e.held) {
			switch row := p.rows[e.row]; {
			case !is || column >= len(row) || row[column].Text == "":
			case row[column].Made:
				formulas = true
			default:
				list = t.typedOver(list, &e, cmp.Or(row[0].Text, row[min(1, len(row)-1)].Text), &row[column])
			}
		}
	}
	if !formulas && len(list) > 0 {
		list = []Left{{Of: "all formulas", Why: "the workbook was saved with figures in their place, so that none of these is looked at: type what is new on a coloured ground"}}
	}
	t.Left = append(t.Left, list...)
}

// rowsIn are the rows of runs, as "2-9 11-11"; workbooks of before have one by one "2 3".
func rowsIn(runs string) iter.Seq[int] {
	return func(yield func(int) bool) {
		for _, run := range strings.Fields(runs) {
			first, last, _ := strings.Cut(run, "-")
			n, _ := strconv.Atoi(first)
			for to, _ := strconv.Atoi(cmp.Or(last, first)); n <= to; n++ {
				if !yield(n) {
					return
				}
			}
		}
	}
}

// mostInstead is how many cells are named that may be changed in the place of a formula.
const mostInstead = 4

// typedOver adds a cell whose formula is gone, where it holds another figure, and names the nearest
// cells from which it was calculated, one of a column, of its own row where that has one.
func (t *taking) typedOver(list []Left, e *entry, name string, cell *lotfile.SheetCell) []Left {
	from, data := live.Sources(t.now.tables(), live.Place{Sheet: e.sheet, Row: e.row, Head: e.head})
	if number, err := numberIn(cell.Text); cell.Text == data || err == nil && same(number.String(), data) {
		return list
	}
	var heads, cells []string
	for _, own := range []bool{true, false} {
		for _, at := range from {
			in := t.places[at]
			if own != (at.Sheet == e.sheet && at.Row == e.row) || in == nil || t.now.inputs[in.key].Not != "" || slices.Contains(heads, at.Sheet+at.Head) {
				continue
			}
			if input, is := t.was.cell(in); is && len(cells) < mostInstead {
				heads, cells = append(heads, at.Sheet+at.Head), append(cells, cellName(at.Sheet, input.At)+" ("+at.Head+")")
			}
		}
	}
	instead := sheet.Either(cells != nil, "what it is calculated from, such as "+sheet.Listed(cells), "the lot file, from which it comes")
	return append(list, Left{Of: strings.TrimPrefix(name+": "+e.head, ": "), Cell: cellName(e.sheet, cell.At), Why: fmt.Sprintf("%s was typed over a formula: change %s", t.marked(cell.Text), instead)})
}
