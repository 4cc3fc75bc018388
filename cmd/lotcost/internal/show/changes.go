package show

import (
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/taken"
)

// Taken says what became of the changes of a workbook.
type Taken struct {
	*taken.Result
	File    string   // the lot file
	Written bool     // they were
	Kept    []string // where the former files are
}

// Changes is what was typed into a workbook, and what of it a lot file takes.
func Changes(t *Taken) Result {
	return resultOf(t, changesSheet, changesTable, changesJSON)
}

func changesSheet(t *Taken) *sheet.Sheet {
	n := Plural(int64(len(t.Changes)), "change")
	answer := n + " taken into " + t.File
	switch {
	case len(t.Changes) == 0:
		answer = "Nothing was changed on a coloured ground of the workbook that " + t.File + " does not say already"
	case !t.Written:
		answer = n + " for " + t.File + ", and nothing is written yet"
	}
	doc := sheet.New(sheet.Heading(answer))
	left := &sheet.Table{Title: "Not taken", Columns: []sheet.Column{{Head: "cell"}, {Head: "what"}, {Head: "why", Wrap: true, Min: 30}}}
	for _, l := range t.Left {
		left.Add(l.Cell, l.Of, l.Why)
	}
	doc.AddIf(len(t.Changes) > 0, changesTable(t)).AddIf(len(t.Left) > 0, left)
	doc.AddIf(len(t.Kept) > 0, hint("what was there before is kept as "+strings.Join(t.Kept, " and ")))
	return doc
}

func changesTable(t *Taken) *sheet.Table {
	table := &sheet.Table{Topic: "changes", Columns: []sheet.Column{{Head: "what", Key: "what"}, {Head: "was", Key: "was"}, {Head: "is", Key: "is"}, {Head: "cell", Key: "cell"}, {Head: "in", Key: "file", Optional: 1}}}
	for _, c := range t.Changes {
		table.Add(c.Of, c.Old, c.New, c.Cell, c.In)
	}
	return table
}

func changesJSON(t *Taken) any {
	return object{"file", t.File, "written", t.Written,
		"changes", sheet.Each(t.Changes, func(c *taken.Change) object {
			return object{"what", c.Of, "was", c.Old, "is", c.New, "cell", c.Cell, "file", c.In}
		}),
		"left", sheet.Each(t.Left, func(l *taken.Left) object { return object{"what", l.Of, "cell", l.Cell, "why", l.Why} }),
		"kept?", t.Kept}
}
