package live

import (
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/money"
)

// grid is a sheet in the making. Its first row of figures is row 2.
type grid struct{ *sheet.Table }

func newGrid(topic string, columns ...sheet.Column) grid {
	return grid{&sheet.Table{Topic: topic, Columns: columns, Guarded: true}}
}

// figures are columns of numbers.
func figures(heads ...string) []sheet.Column {
	list := make([]sheet.Column, len(heads))
	for i, head := range heads {
		list[i] = sheet.Column{Head: head, Align: sheet.Right, Min: 9}
	}
	return list
}

// at is a cell as other sheets name it.
func (g grid) at(column, row int) string { return g.Topic + "!" + sheet.Ref(column, row) }

// of is a cell that holds a value.
func (g grid) of(column, row int, value float64) figure { return figure{g.at(column, row), value} }

// column is a range of a column.
func (g grid) column(column, first, last int) string {
	return g.at(column, first) + ":" + sheet.Ref(column, last)
}

func (g grid) add(kind sheet.RowKind, cells ...sheet.Cell) {
	g.Rows = append(g.Rows, sheet.Row{Kind: kind, Cells: cells})
}

// live is a cell that calculates and holds data.
func (g grid) live(formula, format, data string) sheet.Cell {
	return sheet.Cell{Formula: strings.ReplaceAll(formula, g.Topic+"!", ""), Format: format, Data: data}
}

// figured is a cell that calculates.
func (g grid) figured(f figure, format string) sheet.Cell {
	return g.live(f.text, format, strconv.FormatFloat(f.value, 'f', -1, 64))
}

// input is a number that may be changed, or room for one.
func input(data, format string) sheet.Cell {
	return sheet.Cell{Data: data, Format: format, Input: true}
}

// amount is an input that is never below 0.
func amount(data, format string) sheet.Cell {
	cell := input(data, format)
	cell.FromZero = true
	return cell
}

func fixed(data, format string) sheet.Cell { return sheet.Cell{Data: data, Format: format} }

func text(s string) sheet.Cell { return sheet.Cell{Text: s} }

const (
	count   = "#,##0"
	percent = "0.0##%"
)

// plain is how amounts of a currency are shown, without its code.
func plain(c money.Currency) string { return sheet.Decimals(c.Digits()) }

// coded is that with the code, and with more decimals where there are some.
func coded(c money.Currency, more int) string {
	return sheet.Decimals(max(c.Digits(), more)) + ` "` + c.Code() + `"`
}
