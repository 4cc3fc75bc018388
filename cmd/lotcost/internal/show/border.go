package show

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
)

// Duty is the assessment of a haul at the border: the sum first, then how each
// threshold was met, then every step, and what may be paid back of goods that are
// sent back; nil where none are.
func Duty(h *landed.Haul, st *landed.Statement, back []customs.Refund) Result {
	a := st.Border
	return Result{
		Sheet: func() *sheet.Sheet { return dutySheet(h, st, back) },
		Table: func() *sheet.Table { return stepTable(a) },
		JSON:  func() any { return dutyJSON(st, back) },
	}
}

func dutySheet(h *landed.Haul, st *landed.Statement, back []customs.Refund) *sheet.Sheet {
	a, r := st.Border, st.Border.Rules
	doc := (&sheet.Sheet{}).With(sheet.Heading(dutyAnswer(a)), sheet.Text(rulesLine(r)+" "+doubts(a))).With(besides(a)...).With(dutyTable(a))
	for _, rate := range st.BorderRates() {
		doc.Add(sheet.Note{Kind: sheet.Remark, Text: "value: price and premium at " + rate.String() + ", without the card's spread"})
	}
	for i := range a.Parcels {
		for _, relief := range joinedReliefs(a.Parcels[i].Relief) {
			doc.Add(sheet.Note{Kind: sheet.Remark, Text: reliefText(a.Parcels[i].ID, relief)})
		}
	}
	steps := stepTable(a)
	notes := footnotes(steps, "source")
	doc.Add(steps)
	doc.Add(notes...)
	if len(st.Bills()) > 0 {
		doc.Add(billTable(st), sheet.Note{Kind: sheet.Hint, Text: billsHint})
	}
	return doc.With(sentBack(back)...).With(cautions(a)...)
}

// sentBack tells what may be paid back of goods that are sent back.
func sentBack(back []customs.Refund) []sheet.Block {
	if back == nil {
		return nil
	}
	if len(back) == 0 {
		return []sheet.Block{sheet.Note{Kind: sheet.Remark, Text: "sent back: the rules here know of nothing that is paid back; ask customs before you send it, and the seller for the price"}}
	}
	t := &sheet.Table{Title: "Paid back when it is sent back, if customs agrees", Columns: []sheet.Column{
		{Head: "item", Key: "item"}, {Head: "pieces", Key: "pieces", Align: sheet.Right}, {Head: "what", Key: "what"}, {Head: "amount", Key: "amount", Align: sheet.Right},
		{Head: "claim by", Key: "until"}, {Head: "rule", Key: "rule", Wrap: true, Min: 24}, {Head: "source", Key: "source"}, {Head: "read at source", Key: "confidence", Optional: 1}}}
	for _, b := range back {
		t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: []sheet.Cell{{Text: b.Line}, {Text: fmt.Sprint(b.Pieces)}, {Text: b.What}, {Text: b.Amount.Number()},
			{Text: day(b.Until)}, {Text: b.Text}, {Text: b.Source}, {Text: b.Confidence.String()}}})
	}
	sources := footnotes(t, "source")
	return append([]sheet.Block{t}, append(sources, sheet.Note{Kind: sheet.Remark, Text: "what the post or the courier asked for clearing it is not paid back by customs; the days count from that of the haul"})...)
}

// dutyAnswer is what the border adds in all.
func dutyAnswer(a *customs.Assessment) string {
	s := borderSums(a)
	return fmt.Sprintf("The border adds %s: duty %s, tax %s, fees %s", s.all, s.duty.Number(), s.tax.Number(), s.fees.Number())
}

func dutyTable(a *customs.Assessment) *sheet.Table {
	t := &sheet.Table{Topic: "border", Columns: []sheet.Column{
		{Head: "parcel", Key: "parcel"}, {Head: "item", Key: "item"},
		{Head: "value, " + a.Rules.Currency.Code(), Key: "customs_value", Align: sheet.Right},
		{Head: "duty", Key: "duty", Align: sheet.Right}, {Head: "tax base", Key: "tax_base", Align: sheet.Right}, {Head: "tax", Key: "tax", Align: sheet.Right},
	}}
	for i := range a.Parcels {
		p := &a.Parcels[i]
		for _, line := range p.Lines {
			t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: []sheet.Cell{{Text: parcelName(p.ID)}, {Text: line.ID}, {Text: line.CustomsValue.Number()},
				{Text: line.Duty.Number()}, {Text: line.TaxBase.Number()}, {Text: line.Tax.Number()}}})
		}
		t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Sum, Cells: []sheet.Cell{{Text: parcelName(p.ID)}, {Text: "sum"}, {Text: p.CustomsValue.Number()}, {Text: p.Duty.Number()}, {}, {Text: p.Tax.Number()}}})
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

// joinedReliefs makes one of a limit that is the same for duty and for tax.
func joinedReliefs(list []customs.Relief) []customs.Relief {
	list = slices.Clone(list)
	for i := 0; i+1 < len(list); i++ {
		same := list[i]
		if same.What = list[i+1].What; reflect.DeepEqual(same, list[i+1]) {
			list[i].What += " and " + same.What
			list = slices.Delete(list, i+1, i+2)
		}
	}
	return list
}

// reliefText tells how a parcel stands to a threshold.
func reliefText(parcel string, r customs.Relief) string {
	who := "all in one parcel"
	if parcel != "" {
		who = "parcel " + parcel
	}
	text := fmt.Sprintf("%s, %s: %s, and the duty-free limit is %s", who, r.What, r.Measure, r.Threshold)
	margin := r.Threshold.Minor() - r.Measure.Minor()
	short := money.New(max(margin, -margin), r.Threshold.Currency())
	switch {
	case r.BySeller:
		return text + ": charged by the seller at the sale"
	case len(r.Except) > 0:
		return text + ": nothing due but on " + strings.Join(r.Except, ", ") + " for the country of making"
	case r.Relieved:
		return text + ": within it, " + short.String() + " to spare"
	}
	return text + ": above it by " + short.String()
}

func stepTable(a *customs.Assessment) *sheet.Table {
	t := &sheet.Table{Title: "Step by step", Columns: []sheet.Column{
		{Head: "parcel", Key: "parcel"}, {Head: "step", Key: "step", Wrap: true, Min: 12}, {Head: "figure", Key: "figure", Wrap: true, Min: 14},
		{Head: "rule", Key: "rule", Wrap: true, Min: 16, Optional: 1}, {Head: "result", Key: "result", Align: sheet.Right},
		{Head: "source", Key: "source"}, {Head: "read at source", Key: "confidence", Optional: 2}, {Key: "dated", Machine: true},
	}}
	for _, s := range a.Steps() {
		t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: []sheet.Cell{{Text: parcelName(s.Parcel)}, {Text: s.What}, {Text: s.Text}, {Text: s.Rule},
			{Text: s.Result.Number()}, {Text: s.Source}, {Text: knownFrom(s), Data: s.Confidence.String()}, {Text: s.Dated}}})
	}
	return t
}

// knownFrom is how a figure is known, with the day of the page.
func knownFrom(s customs.Step) string {
	if s.Dated == "" {
		return s.Confidence.String()
	}
	return s.Confidence.String() + ", " + s.Dated
}

// footnotes replaces the texts of a column by numbers and returns what the
// numbers stand for. Sources are long, and few.
func footnotes(t *sheet.Table, key string) []sheet.Block {
	column := slices.IndexFunc(t.Columns, func(c sheet.Column) bool { return c.Key == key })
	var notes []sheet.Block
	numbers := map[string]string{}
	for i := range t.Rows {
		cell := &t.Rows[i].Cells[column]
		if cell.Text == "" {
			continue
		}
		if numbers[cell.Text] == "" {
			numbers[cell.Text] = fmt.Sprintf("[%d]", len(numbers)+1)
			notes = append(notes, sheet.Note{Kind: sheet.Remark, Text: numbers[cell.Text] + " " + cell.Text})
		}
		cell.Data, cell.Text = cell.Text, numbers[cell.Text]
	}
	return notes
}

func cautions(a *customs.Assessment) []sheet.Block {
	blocks := customsOfOurs(a.Rules)
	for _, note := range a.Notes() {
		blocks = append(blocks, ruleNote(note))
	}
	return blocks
}

// noteTexts are the cautions of an assessment, or its other notes.
func noteTexts(a *customs.Assessment, cautions bool) []string {
	texts := []string{}
	for _, note := range a.Notes() {
		if note.Caution == cautions {
			texts = append(texts, note.Text)
		}
	}
	return texts
}

type dutyStep struct {
	Parcel     string `json:"parcel,omitempty"`
	Step       string `json:"step"`
	Figure     string `json:"figure"`
	Rule       string `json:"rule"`
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
	Dated      string `json:"dated,omitempty"`
	Result     string `json:"result"`
	Hangs      string `json:"hangs"`
}

type dutyRelief struct {
	Parcel    string   `json:"parcel,omitempty"`
	What      string   `json:"what"`
	Measure   string   `json:"measure"`
	Threshold string   `json:"threshold"`
	Margin    string   `json:"margin"`
	Relieved  bool     `json:"relieved"`
	BySeller  bool     `json:"by_seller,omitempty"`
	Except    []string `json:"except,omitempty"`
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

type dutyBack struct {
	Parcel     string `json:"parcel,omitempty"`
	ID         string `json:"id"`
	Pieces     int64  `json:"pieces"`
	What       string `json:"what"`
	Amount     string `json:"amount"`
	Until      string `json:"until"`
	Rule       string `json:"rule"`
	Source     string `json:"source"`
	Confidence string `json:"confidence"`
}

func dutyJSON(st *landed.Statement, back []customs.Refund) any {
	a, r := st.Border, st.Border.Rules
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
		Doubts     []dutyDoubt   `json:"doubts"`
		Notes      []string      `json:"notes"`
		Bills      []costBill    `json:"bills,omitempty"` // which take the place of these figures
		Back       []dutyBack    `json:"back,omitempty"`  // of goods that are sent back
	}{Territory: r.Territory, Currency: a.Rules.Currency.Code(), RulesFrom: day(r.From), Checked: day(r.Checked), Confidence: leastKnown(r).String(),
		Items: []dutyItem{}, Fees: []dutyFee{}, Relief: []dutyRelief{}, Steps: []dutyStep{}, Missing: missingJSON(a), Otherwise: othersJSON(a), Doubts: doubtsJSON(a), Cautions: noteTexts(a, true), Notes: noteTexts(a, false), Bills: billsJSON(st)}
	for i := range a.Parcels {
		p := &a.Parcels[i]
		for _, l := range p.Lines {
			out.Items = append(out.Items, dutyItem{p.ID, l.ID, l.CustomsValue.Number(), l.Duty.Number(), l.TaxBase.Number(), l.Tax.Number()})
		}
		for _, f := range p.Fees {
			out.Fees = append(out.Fees, dutyFee{p.ID, f.What, f.Amount.Number()})
		}
		for _, r := range p.Relief {
			out.Relief = append(out.Relief, dutyRelief{p.ID, r.What, r.Measure.Number(), r.Threshold.Number(), money.New(r.Threshold.Minor()-r.Measure.Minor(), r.Threshold.Currency()).Number(), r.Relieved, r.BySeller, r.Except})
		}
	}
	for _, b := range back {
		out.Back = append(out.Back, dutyBack{b.Parcel, b.Line, b.Pieces, b.What, b.Amount.Number(), day(b.Until), b.Text, b.Source, b.Confidence.String()})
	}
	for _, s := range a.Steps() {
		out.Steps = append(out.Steps, dutyStep{s.Parcel, s.What, s.Text, s.Rule, s.Source, s.Confidence.String(), s.Dated, s.Result.Number(), s.AtStake.Number()})
	}
	return out
}
