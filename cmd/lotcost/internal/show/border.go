package show

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
)

// Duty is the assessment of a haul at the border: the sum first, then how each
// threshold was met, then every step.
func Duty(h *landed.Haul, st *landed.Statement) Result {
	a := st.Border.Assessment
	return Result{
		Sheet: func() *Sheet { return dutySheet(h, st) },
		Table: func() *Table { return stepTable(a) },
		JSON:  func() any { return dutyJSON(st) },
	}
}

func dutySheet(h *landed.Haul, st *landed.Statement) *Sheet {
	a, r := st.Border.Assessment, st.Border.Rules
	sheet := (&Sheet{}).With(Heading(dutyAnswer(a)), Text(rulesLine(r))).With(besides(a)...).With(dutyTable(a))
	for _, rate := range st.Border.Rates {
		sheet.add(Note{Remark, "value: price and premium at " + rate.String() + ", without the card's spread"})
	}
	for i := range a.Parcels {
		for _, relief := range a.Parcels[i].Relief {
			sheet.add(Note{Remark, reliefText(&a.Parcels[i], relief)})
		}
	}
	steps := stepTable(a)
	notes := steps.footnotes("source")
	sheet.add(steps)
	sheet.add(notes...)
	if len(st.Bills) > 0 {
		sheet.add(Note{Hint, "the bills in the file (assessed) take the place of these figures where they have them"})
	}
	return sheet.With(cautions(a, r)...)
}

// dutyAnswer is what the border adds in all.
func dutyAnswer(a *customs.Assessment) string {
	s := borderSums(a)
	return fmt.Sprintf("The border adds %s: duty %s, tax %s, fees %s", s.all, s.duty.Number(), s.tax.Number(), s.fees.Number())
}

// borderCautions is what stands under every answer with the border in it: what
// is not in the figures, and what they would be if something not said holds.
func borderCautions(b *landed.BorderStatement) []Block {
	if b == nil {
		return nil
	}
	blocks := []Block{Note{Caution, "Duty, tax and border fees are estimates (lotcost duty shows how); the customs authority decides."}}
	return append(blocks, besides(b.Assessment)...)
}

// besides is what an assessment does not hold, and what else it may come to.
func besides(a *customs.Assessment) []Block {
	var blocks []Block
	if text := missing(a); text != "" {
		blocks = append(blocks, Note{Caution, text})
	}
	for _, o := range a.Others() {
		blocks = append(blocks, Note{Caution, otherText(a, o)})
	}
	return blocks
}

// missing names the charges that may be asked and are in none of the figures.
func missing(a *customs.Assessment) string {
	var names []string
	for _, m := range a.Missing {
		names = append(names, m.What)
	}
	if len(names) == 0 {
		return ""
	}
	return "Not counted, since the sum is not known: " + strings.Join(names, "; ") + "."
}

// otherText tells the border's sum if something holds that is not said.
func otherText(a *customs.Assessment, o customs.Other) string {
	if o.Err != nil {
		return fmt.Sprintf("If %s, the border cannot be reckoned: %s", o.If, o.Err)
	}
	was, now := borderSums(a), borderSums(o.Assessment)
	return fmt.Sprintf("If %s, the border adds %s instead of %s: duty %s, tax %s, fees %s.", o.If, now.all, was.all.Number(), now.duty.Number(), now.tax.Number(), now.fees.Number())
}

// sums are what the border adds, over all parcels.
type sums struct{ all, duty, tax, fees money.Amount }

func borderSums(a *customs.Assessment) sums {
	var duty, tax, fees int64
	for i := range a.Parcels {
		p := &a.Parcels[i]
		duty, tax, fees = duty+p.Duty.Minor(), tax+p.Tax.Minor(), fees+p.FeeSum.Minor()
	}
	in := func(minor int64) money.Amount { return money.New(minor, a.Currency) }
	return sums{in(duty + tax + fees), in(duty), in(tax), in(fees)}
}

func rulesLine(r *customs.Rules) string {
	until := "on"
	if !r.To.IsZero() {
		until = "to " + day(r.To)
	}
	memory := ""
	if r.Confidence != customs.Published {
		memory = "; some of their figures are from memory"
	}
	return fmt.Sprintf("Rules of entry, %s, from %s %s, checked %s%s.", r.Name, day(r.From), until, day(r.Checked), memory)
}

func dutyTable(a *customs.Assessment) *Table {
	t := &Table{Columns: []Column{
		{Head: "parcel", Key: "parcel"}, {Head: "item", Key: "item"},
		{Head: "value, " + a.Currency.Code(), Key: "customs_value", Align: Right},
		{Head: "duty", Key: "duty", Align: Right}, {Head: "tax base", Key: "tax_base", Align: Right}, {Head: "tax", Key: "tax", Align: Right},
	}}
	for i := range a.Parcels {
		p := &a.Parcels[i]
		for _, line := range p.Lines {
			t.Rows = append(t.Rows, Row{Body, []Cell{{Text: parcelName(p.ID)}, {Text: line.ID}, {Text: line.CustomsValue.Number()},
				{Text: line.Duty.Number()}, {Text: line.TaxBase.Number()}, {Text: line.Tax.Number()}}})
		}
		t.Rows = append(t.Rows, Row{Sum, []Cell{{Text: parcelName(p.ID)}, {Text: "sum"}, {Text: p.CustomsValue.Number()}, {Text: p.Duty.Number()}, {}, {Text: p.Tax.Number()}}})
	}
	return t
}

// parcelName names a parcel; the one box of a haul without parcels has no id.
func parcelName(id string) string {
	if id == "" {
		return "all"
	}
	return id
}

// reliefText tells how a parcel stands to a threshold.
func reliefText(p *customs.ParcelAssessment, r customs.Relief) string {
	who := "all in one parcel"
	if p.ID != "" {
		who = "parcel " + p.ID
	}
	text := fmt.Sprintf("%s, %s: %s against a threshold of %s", who, r.What, r.Measure, r.Threshold)
	short := money.New(max(r.Margin.Minor(), -r.Margin.Minor()), r.Margin.Currency())
	switch {
	case r.BySeller:
		return text + ", charged by the seller at the sale"
	case r.Relieved:
		return text + ", relieved with " + short.String() + " to spare"
	}
	return text + ", over it by " + short.String()
}

func stepTable(a *customs.Assessment) *Table {
	t := &Table{Title: "Step by step", Columns: []Column{
		{Head: "parcel", Key: "parcel"}, {Head: "step", Key: "step", Wrap: true, Min: 12}, {Head: "figure", Key: "figure", Wrap: true, Min: 14},
		{Head: "rule", Key: "rule", Wrap: true, Min: 16}, {Head: "result", Key: "result", Align: Right},
		{Head: "source", Key: "source"}, {Head: "known from", Key: "confidence", Optional: 1},
	}}
	for _, s := range a.Steps {
		t.Rows = append(t.Rows, Row{Body, []Cell{{Text: parcelName(s.Parcel)}, {Text: s.What}, {Text: s.Figure}, {Text: s.Rule},
			{Text: s.Result.Number()}, {Text: s.Source}, {Text: s.Confidence.String()}}})
	}
	return t
}

// footnotes replaces the texts of a column by numbers and returns what the
// numbers stand for. Sources are long, and few.
func (t *Table) footnotes(key string) []Block {
	column := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Key == key })
	var notes []Block
	numbers := map[string]string{}
	for i := range t.Rows {
		cell := &t.Rows[i].Cells[column]
		if cell.Text == "" {
			continue
		}
		if numbers[cell.Text] == "" {
			numbers[cell.Text] = fmt.Sprintf("[%d]", len(numbers)+1)
			notes = append(notes, Note{Remark, numbers[cell.Text] + " " + cell.Text})
		}
		cell.Data, cell.Text = cell.Text, numbers[cell.Text]
	}
	return notes
}

func cautions(a *customs.Assessment, r *customs.Rules) []Block {
	var blocks []Block
	if slices.ContainsFunc(a.Steps, func(s customs.Step) bool { return s.Confidence == customs.Memory }) {
		blocks = append(blocks, Note{Caution, "Some figures of these rules are from memory; the column \"known from\" tells which. Look them up before you rely on them."})
	}
	for _, text := range r.Notes {
		blocks = append(blocks, Note{Remark, text})
	}
	for _, text := range a.Cautions {
		blocks = append(blocks, Note{Caution, text})
	}
	return blocks
}

type dutyStep struct {
	Parcel     string `json:"parcel,omitempty"`
	Step       string `json:"step"`
	Figure     string `json:"figure"`
	Rule       string `json:"rule"`
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
	Result     string `json:"result"`
}

type dutyRelief struct {
	Parcel    string `json:"parcel,omitempty"`
	What      string `json:"what"`
	Measure   string `json:"measure"`
	Threshold string `json:"threshold"`
	Margin    string `json:"margin"`
	Relieved  bool   `json:"relieved"`
	BySeller  bool   `json:"by_seller,omitempty"`
}

type dutyMissing struct {
	What    string   `json:"what"`
	Parcels []string `json:"parcels"`
}

// dutyOther is the border's sum if something holds that is not said; where that
// cannot be reckoned, the error and no sums.
type dutyOther struct {
	If    string `json:"if"`
	Total string `json:"total,omitempty"`
	Duty  string `json:"duty,omitempty"`
	Tax   string `json:"tax,omitempty"`
	Fees  string `json:"fees,omitempty"`
	Error string `json:"error,omitempty"`
}

// borderBeside is what stands beside the figures of the border, in the currency
// of the territory.
type borderBeside struct {
	Currency  string        `json:"currency"`
	Missing   []dutyMissing `json:"missing"`
	Otherwise []dutyOther   `json:"otherwise"`
}

func besideJSON(a *customs.Assessment) *borderBeside {
	return &borderBeside{a.Currency.Code(), missingJSON(a), othersJSON(a)}
}

func missingJSON(a *customs.Assessment) []dutyMissing {
	list := []dutyMissing{}
	for _, m := range a.Missing {
		list = append(list, dutyMissing(m))
	}
	return list
}

func othersJSON(a *customs.Assessment) []dutyOther {
	list := []dutyOther{}
	for _, o := range a.Others() {
		if o.Err != nil {
			list = append(list, dutyOther{If: o.If, Error: o.Err.Error()})
			continue
		}
		s := borderSums(o.Assessment)
		list = append(list, dutyOther{o.If, s.all.Number(), s.duty.Number(), s.tax.Number(), s.fees.Number(), ""})
	}
	return list
}

type dutyItem struct {
	Parcel string `json:"parcel,omitempty"`
	ID     string `json:"id"`
	Value  string `json:"customs_value"`
	Duty   string `json:"duty"`
	Base   string `json:"tax_base"`
	Tax    string `json:"tax"`
}

type dutyFee struct {
	Parcel string `json:"parcel,omitempty"`
	What   string `json:"what"`
	Amount string `json:"amount"`
}

func dutyJSON(st *landed.Statement) any {
	a, r := st.Border.Assessment, st.Border.Rules
	out := struct {
		Territory  string        `json:"territory"`
		Currency   string        `json:"currency"`
		RulesFrom  string        `json:"rules_from"`
		Checked    string        `json:"checked"`
		Confidence string        `json:"confidence"`
		Items      []dutyItem    `json:"items"`
		Fees       []dutyFee     `json:"fees"`
		Relief     []dutyRelief  `json:"relief"`
		Steps      []dutyStep    `json:"steps"`
		Cautions   []string      `json:"cautions"`
		Missing    []dutyMissing `json:"missing"`
		Otherwise  []dutyOther   `json:"otherwise"`
	}{Territory: r.Territory, Currency: a.Currency.Code(), RulesFrom: day(r.From), Checked: day(r.Checked), Confidence: r.Confidence.String(),
		Items: []dutyItem{}, Fees: []dutyFee{}, Relief: []dutyRelief{}, Steps: []dutyStep{}, Cautions: a.Cautions, Missing: missingJSON(a), Otherwise: othersJSON(a)}
	for i := range a.Parcels {
		p := &a.Parcels[i]
		for _, l := range p.Lines {
			out.Items = append(out.Items, dutyItem{p.ID, l.ID, l.CustomsValue.Number(), l.Duty.Number(), l.TaxBase.Number(), l.Tax.Number()})
		}
		for _, f := range p.Fees {
			out.Fees = append(out.Fees, dutyFee{p.ID, f.What, f.Amount.Number()})
		}
		for _, r := range p.Relief {
			out.Relief = append(out.Relief, dutyRelief{p.ID, r.What, r.Measure.Number(), r.Threshold.Number(), r.Margin.Number(), r.Relieved, r.BySeller})
		}
	}
	for _, s := range a.Steps {
		out.Steps = append(out.Steps, dutyStep{s.Parcel, s.What, s.Figure, s.Rule, s.Source, s.Confidence.String(), s.Result.Number()})
	}
	return out
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
					{Text: day(e.From)}, {Text: day(e.To)}, {Text: day(e.Checked)}, {Text: e.Confidence.String()}, {Text: e.About}}})
			}
		}
		return t
	}
	return Result{
		Sheet: func() *Sheet {
			return (&Sheet{}).With(table(), Note{Remark, "known from memory: at least one figure was not seen at its source. lotcost rules CA tells each figure."})
		},
		Table: table,
		JSON:  func() any { return tableJSON(table()) },
	}
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
			{Head: "source", Key: "source"}, {Head: "known from", Key: "confidence"}}}
		for _, s := range r.Words() {
			t.Rows = append(t.Rows, Row{Body, []Cell{{Text: s.Topic}, {Text: s.What}, {Text: s.Figure}, {Text: s.Source}, {Text: s.Confidence.String()}}})
		}
		return t
	}
	return Result{
		Sheet: func() *Sheet {
			words := table()
			sources := words.footnotes("source")
			sheet := (&Sheet{}).With(Heading(r.Name+", from "+day(r.From)), Text(rulesLine(r)), Text("What is new in them: "+r.About+". Published: "+r.Published+". Duty rates: "+r.Tariff+"."), words)
			sheet.add(sources...)
			for _, note := range r.Notes {
				sheet.add(Note{Remark, note})
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
