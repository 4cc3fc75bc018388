package show

import (
	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/lotfile"
)

// Split is what each item and piece cost.
func Split(st *landed.Statement) Result {
	r := resultOf(st, costSheet, piecesTable, func(st *landed.Statement) any { return costs{st, false} }).about(st)
	r.Live = func() []*sheet.Table { return live.Costs(st) }
	return r
}

// SplitWorking is Split with how each amount was found and shared, and which figure is from the
// defaults.
func SplitWorking(st *landed.Statement, d *lotfile.Defaults) Result {
	r := Split(st)
	r.Sheet = func() *sheet.Sheet { return costSheet(st).Add(working(st)) }
	r.JSON = func() any { return costs{st, true} }
	r.Defaults = d
	return r
}

// Paid is what was paid alone.
func Paid(st *landed.Statement) Result {
	return resultOf(st, func(st *landed.Statement) *sheet.Sheet { return sheet.New(paidTable(st)) }, paidTable, func(st *landed.Statement) any { return costs{st, false} }).about(st)
}

// ItemWorking is how one item's cost came about; item is an index into Items.
func ItemWorking(st *landed.Statement, item int) Result {
	table := func() *sheet.Table { return itemWorking(st, item) }
	return Result{Sheet: func() *sheet.Sheet { return sheet.New(table()) }, Table: table, JSON: func() any { return stepsJSON(st.ItemWorking(item)) }, Of: st}
}
