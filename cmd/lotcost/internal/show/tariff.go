package show

import (
	"fmt"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/customs/tariff"
)

// tariffCaution is said wherever a line of a tariff is shown.
var tariffCaution = caution("Which line goods belong to is yours to declare, and the customs authority decides: ask it for a binding ruling where you are not sure. Further duties may hold that the file does not name.")

// TariffLine is a line of a published tariff with the rows that it stands under. What is refused
// tells why no rate is taken from it, nil that one is.
func TariffLine(file string, l *tariff.Line, d *tariff.Duty, refused error) Result {
	also := l.Named(tariff.Goods{})
	table := func() *sheet.Table { return tariffTable(l) }
	answer := l.Code + " has no rate that can be taken: "
	if refused == nil {
		answer = "Duty on " + l.Code + ": " + d.Text + sheet.Either(d.Code != l.Code, ", at "+d.Code, "")
	} else {
		answer += refused.Error()
	}
	return Result{Sheet: func() *sheet.Sheet {
		doc := sheet.New(sheet.Heading(answer), table())
		for _, text := range also {
			doc.Add(remark("also named there, and not counted: " + text))
		}
		return doc.Add(remark("from: "+file), tariffCaution)
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
			if first {
				t.Add(r.Code, r.Text, d.Text, d.For())
			} else {
				t.Add(sheet.Cell{Data: r.Code}, sheet.Cell{Data: r.Text}, d.Text, d.For())
			}
			first = false
		}
		if first {
			t.Add(r.Code, r.Text)
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
			rate := ""
			if d, refused := l.Duty(tariff.Goods{}); refused == nil {
				rate = d.Text
			}
			t.Add(l.Code, l.Path(), rate)
		}
		return t
	}
	return resultIn(table, func() *sheet.Sheet {
		if len(lines) == 0 {
			return sheet.New(sheet.Text("No line holds " + words + "."))
		}
		doc := sheet.New(table())
		doc.AddIf(more > 0, remark(fmt.Sprintf("%d more lines hold %s: add a word", more, words)))
		return doc.Add(tariffCaution)
	})
}

// TariffSummary tells of a tariff that was fetched.
func TariffSummary(path, fetched string, lines int) Result {
	table := func() *sheet.Table {
		t := &sheet.Table{Columns: []sheet.Column{{Head: "file", Key: "file"}, {Head: "fetched on", Key: "fetched"}, {Head: "lines", Key: "lines", Align: sheet.Right}}}
		t.Add(path, fetched, lines)
		return t
	}
	return resultIn(table, func() *sheet.Sheet {
		return sheet.New(table(), remark("copy it beside a lot file to name it there as tariff:"))
	})
}
