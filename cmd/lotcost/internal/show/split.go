package show

import (
	"lotcost/cmd/lotcost/internal/live"
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

		Topics: func() []*sheet.Table { return costTopics(st) },
	}
}

// SplitWorking is Split with how each amount was found and shared, and which figure is from the
// defaults.
func SplitWorking(st *landed.Statement, d *lotfile.Defaults) Result {
	r := Split(st)
	r.Sheet = func() *sheet.Sheet { return Costs(st).With(Working(st)) }
	r.JSON = func() any { return CostsJSON(st, true) }
	r.Topics = func() []*sheet.Table { return append(costTopics(st), Working(st)) }
	r.Defaults = d
	return r
}

// costTopics are the sheets of a workbook of costs, which calculate, and what stands beside them.
func costTopics(st *landed.Statement) []*sheet.Table {
	topics := live.Costs(st)
	for _, t := range Costs(st).Tables() {
		if t.Title != "" && t.Title != "What was paid" {
			topics = append(topics, t)
		}
	}
	return topics
}
