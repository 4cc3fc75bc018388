package show

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/customs"
)

func rulesLine(r *customs.Rules) string {
	until := sheet.Either(!r.To.IsZero(), "to "+day(r.To), "on")
	return fmt.Sprintf("Rules of entry, %s, from %s %s, checked %s.", r.Name, day(r.From), until, day(r.Checked))
}

// Territories is the list of the rules that are known.
func Territories(entries []*customs.Rules) Result {
	table := func() *sheet.Table {
		t := &sheet.Table{Topic: "rules", Columns: []sheet.Column{
			{Head: "territory", Key: "territory"}, {Head: "name", Key: "name", Wrap: true}, {Head: "currency", Key: "currency", Optional: 3},
			{Head: "rules from", Key: "from"}, {Head: "to", Key: "to", Optional: 2}, {Head: "checked", Key: "checked"}, {Head: "read at source", Key: "confidence"},
			{Head: "about", Key: "about", Wrap: true, Min: 16, Optional: 4}}}
		for _, e := range entries {
			t.Add(e.Territory, e.Name, e.Currency, e.From, e.To, e.Checked, sheet.Cell{Text: graded(e), Data: leastKnown(e).String()}, e.About)
		}
		return t
	}
	return resultIn(table, func() *sheet.Sheet {
		return sheet.New(table(), remark("read at source: how many of its figures were read in the authority's own text; the others were reported elsewhere or not checked. lotcost rules CA shows each figure."))
	})
}

// graded counts the figures of an entry that were read in the authority's own
// text.
func graded(r *customs.Rules) string {
	published, all := 0, 0
	for _, s := range r.Figures() {
		switch s.Confidence {
		case customs.Published:
			published++
		case customs.Custom:
			continue
		}
		all++
	}
	return fmt.Sprintf("%d of %d published", published, all)
}

// leastKnown is the least certain that any figure of an entry is, customs of ours aside.
func leastKnown(r *customs.Rules) customs.Confidence {
	least := customs.Published
	for _, f := range r.Figures() {
		least = min(least, f.Confidence)
	}
	return least
}

// customsOfOurs lists what is no fact about the territory but how we work.
func customsOfOurs(r *customs.Rules) []sheet.Block {
	var list []string
	for _, s := range r.Figures() {
		if s.Confidence == customs.Custom {
			list = append(list, s.What+": "+s.Text)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return []sheet.Block{remark("Assumed here, since the rules do not say: " + strings.Join(list, "; ") + ".")}
}

// ruleNotes are how we work, and what is to be said of the rules.
func ruleNotes(r *customs.Rules, notes []customs.Note) []sheet.Block {
	blocks := customsOfOurs(r)
	for _, n := range notes {
		blocks = append(blocks, sheet.Either(n.Caution, caution(n.Text), remark(n.Text)))
	}
	return blocks
}

// resultIn is a result that is all in one table; JSON has its rows by key.
func resultIn(table func() *sheet.Table, doc func() *sheet.Sheet) Result {
	return Result{Sheet: doc, Table: table, JSON: func() any { return object{"rows", tableRows(table())} }}
}

func tableRows(t *sheet.Table) []map[string]string {
	rows := []map[string]string{}
	for _, r := range t.Rows {
		if r.Kind != sheet.Body {
			continue
		}
		row := map[string]string{}
		for i, c := range t.Columns {
			row[c.Key] = sheet.Visible(cmp.Or(r.Cell(i).Data, r.Cell(i).Text))
		}
		rows = append(rows, row)
	}
	return rows
}

// Rules is one entry of a rule set in words.
func Rules(r *customs.Rules) Result {
	table := func() *sheet.Table {
		t := &sheet.Table{Topic: "rules", Columns: []sheet.Column{
			{Head: "about", Key: "about"}, {Head: "what", Key: "what", Wrap: true, Min: 16}, {Head: "figure", Key: "figure", Wrap: true, Min: 16},
			{Head: "source", Key: "source"}, {Head: "read at source", Key: "confidence"}, {Head: "page of", Key: "dated", Optional: 1}}}
		for _, s := range r.Figures() {
			if s.Confidence != customs.Custom {
				t.Add(s.Topic, s.What, s.Text, s.Source, s.Confidence, s.Dated)
			}
		}
		return t
	}
	return resultIn(table, func() *sheet.Sheet {
		words := table()
		unchecked := sayChecked(words)
		sources := footnotes(words, "source")
		doc := sheet.New(sheet.Heading(r.Name+", from "+day(r.From)), sheet.Text(rulesLine(r)), sheet.Text("What is new in them: "+r.About+". Published: "+r.Published+". Duty rates: "+r.Tariff+"."), sheet.Text(unchecked), words)
		return doc.Add(sources...).Add(ruleNotes(r, r.Notes)...)
	})
}

// sayChecked puts in the place of how far each figure is known whether it was checked
// at its source, and returns how many were not.
func sayChecked(t *sheet.Table) string {
	said := map[string]string{customs.Published.String(): "yes", customs.Reported.String(): "no, reported", customs.Memory.String(): "no, not checked at source"}
	column := slices.IndexFunc(t.Columns, func(c sheet.Column) bool { return c.Key == "confidence" })
	t.Columns[column].Head = "checked at source"
	not := 0
	for i := range t.Rows {
		cell := &t.Rows[i].Cells[column]
		if cell.Text = cmp.Or(said[cell.Text], cell.Text); strings.HasPrefix(cell.Text, "no") {
			not++
		}
	}
	if not == 0 {
		return "All of these figures were checked at their source."
	}
	return fmt.Sprintf("Not checked at source: %d of %d figures.", not, len(t.Rows))
}

// Differences is what differs between two entries of a rule set.
func Differences(a, b *customs.Rules) Result {
	diff := customs.Differences(a, b)
	table := func() *sheet.Table {
		t := &sheet.Table{Topic: "rules", Columns: []sheet.Column{
			{Head: "about", Key: "about"}, {Head: "what", Key: "what", Wrap: true, Min: 16}, {Head: "from " + day(a.From), Key: "before", Wrap: true, Min: 14},
			{Head: "from " + day(b.From), Key: "after", Wrap: true, Min: 14}, {Head: "source", Key: "source"}}}
		for _, d := range diff {
			t.Add(d[1].Topic, d[1].What, orDash(d[0].Text), orDash(d[1].Text), d[1].Source)
		}
		return t
	}
	head := fmt.Sprintf("%s: what differs from %s to %s", a.Name, day(a.From), day(b.From))
	return resultIn(table, func() *sheet.Sheet {
		if len(diff) == 0 {
			return sheet.New(sheet.Text("Nothing differs: " + strings.TrimSuffix(rulesLine(a), ".") + "."))
		}
		changes := table()
		sources := footnotes(changes, "source")
		return sheet.New(sheet.Heading(head), changes).Add(sources...)
	})
}

func orDash(s string) string { return cmp.Or(s, "–") }
