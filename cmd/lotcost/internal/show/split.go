package show

import (
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/lotfile"
)

// Split is what each item and piece cost.
func Split(st *landed.Statement) Result {
	return Result{
		Sheet: func() *sheet.Sheet { return Costs(st) },
		Table: func() *sheet.Table { return PiecesTable(st) },
		JSON:  func() any { return CostsJSON(st, false) },
		Of:    st,

		Topics: func() []*sheet.Table { return CostTopics(st) },
	}
}

// SplitWorking is Split with how each amount was found and shared, and which figure is from the
// defaults.
func SplitWorking(st *landed.Statement, d *lotfile.Defaults) Result {
	r := Split(st)
	r.Sheet = func() *sheet.Sheet { return Costs(st).With(Working(st)) }
	r.JSON = func() any { return CostsJSON(st, true) }
	r.Topics = func() []*sheet.Table { return append(CostTopics(st), Working(st)) }
	r.Defaults = d
	return r
}
