package live

import (
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
)

// orderHead is the head of the column with the number of each row, by which it is seen that rows
// were added, taken out or sorted, and by which they can be sorted back.
const orderHead = "row"

// numbered adds that column.
func (g grid) numbered() {
	column := len(g.Columns)
	g.Columns = append(g.Columns, sheet.Column{Head: orderHead, Align: sheet.Right, Unprinted: true})
	for n := range g.Rows {
		cells := g.Rows[n].Cells
		g.Rows[n].Cells = append(append(cells, make([]sheet.Cell, column-len(cells))...), fixed(strconv.Itoa(row(n)), count))
	}
}

// order is the place of that column; -1 is none.
func (g grid) order() int { return g.columnOf(orderHead) }

// columnOf finds a column by its head.
func (g grid) columnOf(head string) int {
	return slices.IndexFunc(g.Columns, func(c sheet.Column) bool { return c.Head == head })
}

// whole is all rows of a column.
func (g grid) whole(column int) string { return g.column(column, 2, len(g.Rows)+1) }

// ofOthers are the cells of other sheets that a formula names, and oneCell is a cell of those.
var (
	ofOthers = sheet.Pattern(`![A-Z]+[0-9]+(:[A-Z]+[0-9]+)?`)
	oneCell  = sheet.Pattern(`([A-Z]+)([0-9]+)`)
)

// stays makes a formula name the same cells of other sheets wherever its row is sorted to.
func stays(formula string) string {
	return ofOthers().ReplaceAllStringFunc(formula, func(name string) string { return oneCell().ReplaceAllString(name, "$$$1$$$2") })
}

// sorts makes all rows of a sheet hold when they are sorted.
func (g grid) sorts() {
	for _, r := range g.Rows {
		for n := range r.Cells {
			r.Cells[n].Formula = stays(r.Cells[n].Formula)
		}
	}
}

// counted is a label below a column that says whether the figures above come to what they should.
func (g grid) counted(sum, want string) sheet.Cell {
	cell := g.live("IF(ABS("+sum+"-("+want+`))<0.0001,"sum","sum: not what was paid, see the first sheet")`, "", "")
	cell.Text = "sum"
	return cell
}

// moved warns of rows that no longer stand where formulas look for them, and of what is missing in
// them.
func (l *lead) moved() []warning {
	var list []warning
	for _, name := range [...]string{"paid", "sharing", "border", "found", "fees", "search"} {
		g := l.tables[name]
		if g.Table == nil || len(g.Rows) == 0 {
			continue
		}
		span := g.whole(g.order())
		moved := "SUMPRODUCT(--(" + span + "<>ROW(" + span + ")))"
		switch name {
		case "paid": // or written below its sum
			moved += "+(COUNT(" + g.rest(paidHome) + ")>" + strconv.Itoa(g.numbers(paidHome)) + ")"
		case "sharing": // or sorted without the numbers
			pieces := l.tables["pieces"]
			moved += "+COUNTIF(" + pieces.whole(pieceOrder) + `,"moved")`
		}
		list = append(list, warning{"IFERROR(" + moved + ",1)>0", rowsMoved + name + undoIt})
	}
	if sharing := l.tables["sharing"]; sharing.Table != nil && len(sharing.Rows) > 1 {
		list = append(list, warning{sharing.wanting(), noPiece})
	}
	return list
}

// rest is a column from its first figure down to where no table ends.
func (g grid) rest(column int) string { return g.column(column, 2, len(g.Rows)+1000) }

// numbers is how many numbers stand in a column.
func (g grid) numbers(column int) int {
	n := 0
	for _, r := range g.Rows {
		if r.Cell(column).Format != "" && (r.Cell(column).Data != "" || r.Cell(column).Formula != "") {
			n++
		}
	}
	return n
}

// wanting is true where a count, a weight or a value of the sheet sharing is not one that a lot
// file may have.
func (g grid) wanting() string {
	var parts []string
	for _, of := range [...]struct {
		column int
		needs  string
	}{{itemCount, "count"}, {itemWeight, "g as shared by"}, {itemValue, "value as shared by"}} {
		span := g.column(of.column, 2, len(g.Rows))
		parts = append(parts, "COUNTIF("+span+`,"<0")`)
		if all := g.numbers(of.column); g.columnOf(of.needs) >= 0 {
			if of.column == itemCount {
				all-- // the sum
			}
			parts = append(parts, "ABS(COUNT("+span+")-"+strconv.Itoa(all)+")")
		}
	}
	return "IFERROR(" + strings.Join(parts, "+") + ",1)>0"
}
