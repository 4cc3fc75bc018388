package show

import (
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
)

// CostTopics are the sheets of a workbook of costs: the pieces, what was paid, and
// how that was shared.
func CostTopics(st *landed.Statement) []*sheet.Table {
	sharing := CostTable(st)
	sharing.Topic = "sharing"
	topics := []*sheet.Table{piecesTopic(st), paidTopic(st), sharing}
	for _, t := range Costs(st).Tables() {
		if t.Title != "" && t.Title != "What was paid" {
			topics = append(topics, t)
		}
	}
	return topics
}

// piecesTopic is a row for the pieces of an item in one state; the sum has no id,
// nor has what was written off.
func piecesTopic(st *landed.Statement) *sheet.Table {
	all := PiecesTable(st).Gathered()
	columns := []string{"id", "state", "count", "cost", "each", "what", "model", "lot"}
	for _, k := range usedKinds(st) {
		columns = append(columns, k.String())
	}
	t, err := all.Choose(columns)
	if err != nil {
		return all // no column is missing there
	}
	t.Topic = "pieces"
	add := func(what, count, cost string) {
		t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Sum, Cells: []sheet.Cell{{}, {}, {Text: count}, {Text: cost}, {}, {Text: what}}})
	}
	if st.Loss.Sign() != 0 {
		add("written off", "", st.Loss.Number())
	}
	pieces := int64(0)
	for i := range st.Items {
		for _, g := range st.Items[i].Groups() {
			pieces += g.Count
		}
	}
	add("sum", strconv.FormatInt(pieces, 10), st.Total.Number())
	return t
}

// paidTopic is a row for each amount that was paid; the sum has no kind.
func paidTopic(st *landed.Statement) *sheet.Table {
	t := &sheet.Table{Topic: "paid", Columns: []sheet.Column{{Key: "what"}, {Key: "kind"}, {Key: "asked", Align: sheet.Right}, {Key: "rate", Align: sheet.Right},
		{Key: "home", Align: sheet.Right}, {Key: "shared by"}, {Key: "lot"}, {Key: "item"}, {Key: "parcel"}, {Key: "estimated"}}}
	for i := range st.Lines {
		line := &st.Lines[i]
		asked, _ := strings.CutSuffix(line.Asked(), " of price")
		rate := sheet.Cell{}
		if r := line.Rate(); r.Sign() != 0 {
			rate = sheet.Cell{Text: r.Round(6).String(), Data: r.String()}
		}
		t.Rows = append(t.Rows, sheet.Row{Cells: []sheet.Cell{{Text: line.What}, {Text: line.Kind.String()}, {Text: asked}, rate, {Text: line.Home.Number()},
			{Text: sharedBy(line)}, {Text: line.Lot}, {Text: line.Item}, {Text: line.Parcel}, {Text: yesNo(line.Estimated)}}})
	}
	t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Sum, Cells: []sheet.Cell{{Text: "sum"}, {}, {}, {}, {Text: st.Total.Number()}}})
	return t
}
