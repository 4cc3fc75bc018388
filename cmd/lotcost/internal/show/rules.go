package show

import (
	"fmt"
	"strings"

	"lotcost/landed/customs"
)

func rulesLine(r *customs.Rules) string {
	until := "on"
	if !r.To.IsZero() {
		until = "to " + day(r.To)
	}
	return fmt.Sprintf("Rules of entry, %s, from %s %s, checked %s.", r.Name, day(r.From), until, day(r.Checked))
}

// Territories is the list of the rule sets that are known.
func Territories(sets []*customs.RuleSet) Result {
	table := func() *Table {
		t := &Table{Columns: []Column{
			{Head: "territory", Key: "territory"}, {Head: "name", Key: "name", Wrap: true}, {Head: "currency", Key: "currency"},
			{Head: "rules from", Key: "from"}, {Head: "to", Key: "to"}, {Head: "checked", Key: "checked"}, {Head: "known from", Key: "confidence"},
			{Head: "about", Key: "about", Wrap: true, Min: 16, Optional: 1}}}
		for _, set := range sets {
			for i := range set.Entries {
				e := &set.Entries[i]
				t.Rows = append(t.Rows, Row{Body, []Cell{{Text: set.Territory}, {Text: set.Name}, {Text: set.Currency.Code()},
					{Text: day(e.From)}, {Text: day(e.To)}, {Text: day(e.Checked)}, {Text: graded(e), Data: e.Confidence.String()}, {Text: e.About}}})
			}
		}
		return t
	}
	return Result{
		Sheet: func() *Sheet {
			return (&Sheet{}).With(table(), Note{Remark, "known from: how many of its figures were read in the authority's own text; the others were reported elsewhere or not checked. lotcost rules CA tells each figure."})
		},
		Table: table,
		JSON:  func() any { return tableJSON(table()) },
	}
}

// graded counts the figures of an entry that were read in the authority's own
// text.
func graded(r *customs.Rules) string {
	published, all := 0, 0
	for _, s := range r.Words() {
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

// customsOfOurs lists what is no fact about the territory but how we work.
func customsOfOurs(r *customs.Rules) []Block {
	var list []string
	for _, s := range r.Words() {
		if s.Confidence == customs.Custom {
			list = append(list, s.What+": "+s.Figure)
		}
	}
	if len(list) == 0 {
		return nil
	}
	return []Block{Note{Remark, "Customs of ours, no rules of the territory: " + strings.Join(list, "; ") + "."}}
}

func ruleNote(n customs.Note) Note {
	if n.Caution {
		return Note{Caution, n.Text}
	}
	return Note{Remark, n.Text}
}

// tableJSON is a table for [WriteJSON]: its body rows by key.
func tableJSON(t *Table) any {
	rows := []map[string]string{}
	for _, r := range t.Rows {
		if r.Kind != Body {
			continue
		}
		row := map[string]string{}
		for i, c := range t.Columns {
			row[c.Key] = r.cell(i).data(Right)
		}
		rows = append(rows, row)
	}
	return struct {
		Rows []map[string]string `json:"rows"`
	}{rows}
}

// Rules is one entry of a rule set in words.
func Rules(r *customs.Rules) Result {
	table := func() *Table {
		t := &Table{Columns: []Column{
			{Head: "about", Key: "about"}, {Head: "what", Key: "what", Wrap: true, Min: 16}, {Head: "figure", Key: "figure", Wrap: true, Min: 16},
			{Head: "source", Key: "source"}, {Head: "known from", Key: "confidence"}, {Head: "page of", Key: "dated", Optional: 1}}}
		for _, s := range r.Words() {
			if s.Confidence != customs.Custom {
				t.Rows = append(t.Rows, Row{Body, []Cell{{Text: s.Topic}, {Text: s.What}, {Text: s.Figure}, {Text: s.Source}, {Text: s.Confidence.String()}, {Text: s.Dated}}})
			}
		}
		return t
	}
	return Result{
		Sheet: func() *Sheet {
			words := table()
			sources := words.footnotes("source")
			sheet := (&Sheet{}).With(Heading(r.Name+", from "+day(r.From)), Text(rulesLine(r)), Text("What is new in them: "+r.About+". Published: "+r.Published+". Duty rates: "+r.Tariff+"."), words)
			sheet.add(sources...)
			sheet.add(customsOfOurs(r)...)
			for _, note := range r.Notes {
				sheet.add(ruleNote(note))
			}
			return sheet
		},
		Table: table,
		JSON:  func() any { return tableJSON(table()) },
	}
}

// Differences is what differs between two entries of a rule set.
func Differences(a, b *customs.Rules) Result {
	diff := customs.Differences(a, b)
	table := func() *Table {
		t := &Table{Columns: []Column{
			{Head: "about", Key: "about"}, {Head: "what", Key: "what", Wrap: true, Min: 16}, {Head: "from " + day(a.From), Key: "before", Wrap: true, Min: 14},
			{Head: "from " + day(b.From), Key: "after", Wrap: true, Min: 14}, {Head: "source", Key: "source"}}}
		for _, d := range diff {
			t.Rows = append(t.Rows, Row{Body, []Cell{{Text: d.Topic}, {Text: d.What}, {Text: orDash(d.Before)}, {Text: orDash(d.After)}, {Text: d.Source}}})
		}
		return t
	}
	head := fmt.Sprintf("%s: what differs from %s to %s", a.Name, day(a.From), day(b.From))
	return Result{
		Sheet: func() *Sheet {
			if len(diff) == 0 {
				return (&Sheet{}).With(Text("Nothing differs: " + strings.TrimSuffix(rulesLine(a), ".") + "."))
			}
			changes := table()
			sources := changes.footnotes("source")
			return (&Sheet{}).With(Heading(head), changes).With(sources...)
		},
		Table: table,
		JSON:  func() any { return tableJSON(table()) },
	}
}

func orDash(s string) string {
	if s == "" {
		return "–"
	}
	return s
}
