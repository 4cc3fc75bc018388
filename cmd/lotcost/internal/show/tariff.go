package show

import (
	"fmt"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/customs/tariff"
)

// tariffCaution is said wherever a line of a tariff is shown.
var tariffCaution = sheet.Note{Kind: sheet.Caution, Text: "Which line goods belong to is yours to declare, and the customs authority decides: ask it for a binding ruling where you are not sure. Further duties may hold that the file does not name."}

// TariffLine is a line of a published tariff with the rows that it stands under. What is refused
// tells why no rate is taken from it, nil that one is.
func TariffLine(file string, l *tariff.Line, d *tariff.Duty, refused error) Result {
	also := l.Named(tariff.Goods{})
	table := func() *sheet.Table { return tariffTable(l) }
	answer := l.Code + " has no rate that can be taken: "
	if refused == nil {
		answer = "Duty on " + l.Code + ": " + d.Text
		if d.Code != l.Code {
			answer += ", at " + d.Code
		}
	} else {
		answer += refused.Error()
	}
	return Result{
		Sheet: func() *sheet.Sheet {
			doc := (&sheet.Sheet{}).With(sheet.Heading(answer), table())
			for _, text := range also {
				doc.Add(sheet.Note{Kind: sheet.Remark, Text: "also named there, and not counted: " + text})
			}
			return doc.With(sheet.Note{Kind: sheet.Remark, Text: "from: " + file}, tariffCaution)
		},
		Table: table,
		JSON: func() any {
			rows := tableRows(table())
			var rate any
			at, why := "", ""
			if refused != nil {
				why = refused.Error()
			} else {
				rate, at = d.Text, d.Code
			}
			return object{"code", l.Code, "text", l.Text, "rate", rate, "at", at, "refused", why, "also", append([]string{}, also...), "file", file, "lines", &rows} // on one line
		},
	}
}

// tariffTable lists the rows from the heading down to the line, the rates where they stand, and the
// rows below that have some of their own.
func tariffTable(l *tariff.Line) *sheet.Table {
	t := tariffColumns()
	add := func(r tariff.Row, duties []tariff.Duty) {
		first := true
		for _, d := range duties {
			if d.Code != r.Code || r.Code == "" {
				continue
			}
			row := []sheet.Cell{{Text: r.Code}, {Text: r.Text}, {Text: d.Text}, {Text: d.For()}}
			if !first {
				row[0], row[1] = sheet.Cell{Data: r.Code}, sheet.Cell{Data: r.Text}
			}
			first = false
			t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: row})
		}
		if first {
			t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: []sheet.Cell{{Text: r.Code}, {Text: r.Text}}})
		}
	}
	for _, p := range l.Parents {
		add(p, l.Duties)
	}
	add(l.Row, l.Duties)
	for _, b := range l.Below {
		add(b.Row, b.Duties)
	}
	return t
}

func tariffColumns() *sheet.Table {
	return &sheet.Table{Columns: []sheet.Column{
		{Head: "code", Key: "code"}, {Head: "goods", Key: "text", Wrap: true, Min: 24},
		{Head: "duty", Key: "duty", Wrap: true, Min: 8}, {Head: "for", Key: "for", Wrap: true, Min: 8, Optional: 1}}}
}

// TariffFound lists the lines of a tariff in which words stand; more were left out.
func TariffFound(words string, lines []tariff.Line, more int) Result {
	table := func() *sheet.Table {
		t := tariffColumns()
		t.Columns = t.Columns[:3]
		for _, l := range lines {
			row := []sheet.Cell{{Text: l.Code}, {Text: l.Path()}, {}}
			if d, refused := l.Duty(tariff.Goods{}); refused == nil {
				row[2].Text = d.Text
			}
			t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: row})
		}
		return t
	}
	return Result{
		Sheet: func() *sheet.Sheet {
			if len(lines) == 0 {
				return (&sheet.Sheet{}).With(sheet.Text("No line holds " + words + "."))
			}
			doc := (&sheet.Sheet{}).With(table())
			if more > 0 {
				doc.Add(sheet.Note{Kind: sheet.Remark, Text: fmt.Sprintf("%d more lines hold %s: add a word", more, words)})
			}
			return doc.With(tariffCaution)
		},
		Table: table,
		JSON:  func() any { return tableJSON(table()) },
	}
}

// TariffSummary tells of a tariff that was fetched.
func TariffSummary(path, fetched string, lines int) Result {
	table := func() *sheet.Table {
		return &sheet.Table{Columns: []sheet.Column{{Head: "file", Key: "file"}, {Head: "fetched on", Key: "fetched"}, {Head: "lines", Key: "lines", Align: sheet.Right}},
			Rows: []sheet.Row{{Kind: sheet.Body, Cells: []sheet.Cell{{Text: path}, {Text: fetched}, {Text: fmt.Sprint(lines)}}}}}
	}
	return Result{
		Sheet: func() *sheet.Sheet {
			return (&sheet.Sheet{}).With(table(), sheet.Note{Kind: sheet.Remark, Text: "copy it beside a lot file to name it there as tariff:"})
		},
		Table: table,
		JSON:  func() any { return tableJSON(table()) },
	}
}
