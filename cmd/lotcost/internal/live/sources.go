package live

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
)

// Place is where a cell stands in a workbook as it was written.
type Place struct {
	Sheet string
	Row   int // the number of its row
	Head  string
}

// made are, of each column, the rows in which a formula stands that is not to be typed over, as
// "2-9 11-11": a cell holds at most 32767 signs.
func (g grid) made() []string {
	list, first := make([]string, len(g.Columns)), make([]int, len(g.Columns))
	take := func(n int, r sheet.Row) {
		for column := range list {
			switch is := r.Cell(column).Formula != "" && !r.Cell(column).Input; {
			case is && first[column] == 0:
				first[column] = row(n)
			case !is && first[column] > 0:
				list[column] += fmt.Sprintf(" %d-%d", first[column], row(n-1))
				first[column] = 0
			}
		}
	}
	n := 0
	for r := range g.EachRow() {
		take(n, r)
		n++
	}
	take(n, sheet.Row{})
	return list
}

// named is a cell or a range in a formula: its sheet, and the columns and rows of its ends.
var named = sheet.Pattern(`"[^"]*"|(?:([a-z]+)!)?\$?\b([A-Z]{1,3})\$?([0-9]+)(?::\$?([A-Z]{1,3})\$?([0-9]+))?\b`)

// Sources follows formulas from a cell back to those that nothing is calculated for, the nearest
// first, and says what the cell itself holds; "" where it is not among the sheets.
func Sources(tables []*sheet.Table, from Place) (list []Place, data string) {
	for _, t := range tables {
		if t.Made == nil {
			continue
		}
		var rows []sheet.Row
		for r := range t.EachRow() {
			rows = append(rows, sheet.Row{Kind: r.Kind, Cells: slices.Clone(r.Cells)})
		}
		t.Rows, t.Made = rows, nil
	}
	todo, seen := []Place{from}, map[Place]bool{from: true}
	for ; len(todo) > 0; todo = todo[1:] {
		at := todo[0]
		i := slices.IndexFunc(tables, func(t *sheet.Table) bool { return t.Topic == at.Sheet })
		if i < 0 {
			continue
		}
		g := grid{tables[i]}
		column := g.columnOf(at.Head)
		if n := at.Row - row(0); column < 0 || n < 0 || n >= len(g.Rows) {
			continue
		}
		cell := g.Rows[at.Row-row(0)].Cell(column)
		if at == from {
			data = cmp.Or(cell.Data, cell.Text)
		}
		if cell.Input || cell.Formula == "" {
			list = append(list, at)
		}
		for _, next := range g.names(tables, cell.Formula) {
			if !seen[next] {
				seen[next] = true
				todo = append(todo, next)
			}
		}
	}
	return list, data
}

// names are the cells that a formula of a sheet names.
func (g grid) names(tables []*sheet.Table, formula string) (list []Place) {
	for _, m := range named().FindAllStringSubmatch(formula, -1) {
		of := g
		for _, t := range tables {
			if t.Topic == m[1] {
				of = grid{t}
			}
		}
		first, _ := strconv.Atoi(m[3])
		last, _ := strconv.Atoi(cmp.Or(m[5], m[3]))
		for column, c := range of.Columns {
			letters := strings.TrimSuffix(sheet.Ref(column, 1), "1")
			for n := first; within(m[2], letters, cmp.Or(m[4], m[2])) && n <= min(last, row(len(of.Rows))); n++ {
				list = append(list, Place{of.Topic, n, c.Head})
			}
		}
	}
	return list
}

// within reports whether a column is from one to another.
func within(from, column, to string) bool {
	return cmp.Or(len(from)-len(column), strings.Compare(from, column)) <= 0 && cmp.Or(len(column)-len(to), strings.Compare(column, to)) <= 0
}
