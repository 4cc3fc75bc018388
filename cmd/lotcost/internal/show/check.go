package show

import (
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// Check tells that a haul is valid, and what it lacks for later steps; st is nil where every lot is
// lost.
func Check(path string, st *landed.Statement, gaps []lotfile.Gap, d *lotfile.Defaults) Result {
	r := resultOf(gaps, func([]lotfile.Gap) *sheet.Sheet { return checkSheet(path, st, gaps) }, gapTable, lackingJSON).about(st)
	r.Defaults = d
	return r
}

func checkSheet(path string, st *landed.Statement, gaps []lotfile.Gap) *sheet.Sheet {
	if st == nil {
		return sheet.New(sheet.Heading(path + " is valid: every lot is lost, so that nothing was bought."))
	}
	paid, items := "paid", sumEach(st.Haul.Lots, func(l *landed.Lot) int64 { return int64(len(l.Items)) })
	if estimate := st.Estimate(); estimate.Sign() != 0 {
		paid = fmt.Sprintf("in all, of it %s estimated at the border", estimate)
	}
	doc := sheet.New(sheet.Heading(fmt.Sprintf("%s is valid: %s, %s, %s, %s %s%s.", path,
		Plural(int64(len(st.Haul.Lots)), "lot"), Plural(items, "item"), pieceWords(st), st.Total, paid, then(", ", withoutOpen(st)))))
	if len(gaps) == 0 {
		return doc.Add(sheet.Text("Nothing is missing for the later steps."))
	}
	return doc.Add(gapTable(gaps))
}

// mostNamed is how many ids are named before the rest are counted.
const mostNamed = 6

// gapTable is what is missing, and for what.
func gapTable(gaps []lotfile.Gap) *sheet.Table {
	t := &sheet.Table{Title: "Still missing, and needed later", Columns: []sheet.Column{
		{Head: "for", Key: "for", Wrap: true, Min: 12},
		{Head: "missing", Key: "missing", Wrap: true, Min: 10},
		{Head: "of", Key: "of", Wrap: true, Min: 12},
		{Head: "write", Key: "write", Wrap: true, Min: 16},
	}}
	for _, g := range gaps {
		t.Add(g.For, g.Missing, sheet.Cell{Text: firstOf(g.Of), Data: strings.Join(g.Of, " ")}, g.Remedy)
	}
	return t
}

// named lists some ids in a sentence, and counts the rest.
func named(ids []string) string {
	if len(ids) <= mostNamed {
		return sheet.Listed(ids)
	}
	return firstOf(ids)
}

// firstOf names some ids, and counts the rest.
func firstOf(ids []string) string {
	text := strings.Join(ids[:min(len(ids), mostNamed)], ", ")
	if more := len(ids) - mostNamed; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

func lackingJSON(gaps []lotfile.Gap) any {
	return object{"valid", true, "missing", sheet.Each(gaps, func(g *lotfile.Gap) object {
		return object{"for", g.For, "missing", g.Missing, "of?", g.Of, "write", g.Remedy}
	})}
}

// Faults is what is wrong with a file, in the order of the text.
func Faults(faults source.Faults) Result {
	return resultOf(faults, func(f source.Faults) *sheet.Sheet { return sheet.New(faultTable(f)) }, faultTable, faultsJSON)
}

func faultTable(faults source.Faults) *sheet.Table {
	t := &sheet.Table{Topic: "faults", Columns: []sheet.Column{{Head: "file", Key: "file"}, {Head: "line", Key: "line", Align: sheet.Right}, {Head: "column", Key: "column", Align: sheet.Right},
		{Head: "field", Key: "field"}, {Head: "what", Key: "what"}, {Head: "remedy", Key: "remedy"}}}
	for _, f := range faults {
		t.Add(f.At.File, f.At.Line, f.At.Column, f.Field, f.What, f.Remedy)
	}
	return t
}

func faultList(faults source.Faults) []object {
	return sheet.Each(faults, func(f **source.Fault) object {
		at := (*f).At
		return object{"file", at.File, "line", at.Line, "column", at.Column, "field", (*f).Field, "what", (*f).What, "remedy", (*f).Remedy}
	})
}

func faultsJSON(faults source.Faults) object {
	return object{"valid", false, "faults", faultList(faults)}
}

// AppendWrong appends what is wrong with a line of a file, on one line of JSON.
func AppendWrong(b []byte, line int, faults source.Faults) ([]byte, error) {
	return sheet.AppendJSON(b, object{"line", line}, faultsJSON(faults))
}
