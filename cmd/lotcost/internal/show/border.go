package show

import (
	"cmp"
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
func Duty(st *landed.Statement, back []customs.Refund) Result {
	a := st.Border
	return Result{
		Sheet: func() *sheet.Sheet { return dutySheet(st, back) },
		Table: func() *sheet.Table { return stepTable(a.Steps()) },
		JSON:  func() any { return dutyJSON(st, back) },
	}
}

func dutySheet(st *landed.Statement, back []customs.Refund) *sheet.Sheet {
	a, s := st.Border, borderSums(st.Border, nil)
	adds := fmt.Sprintf("border adds %s: duty %s, tax %s, fees %s", s.Sum(), s.Duty.Said(), s.Tax.Said(), s.Fee.Said())
	doc := sheet.New(sheet.Heading("The " + adds))
	if bills := BillsSay(st); bills != "" {
		doc = sheet.New(sheet.Heading(bills), sheet.Text("By the rules alone the "+adds))
	}
	doc.Add(sheet.Text(rulesLine(a.Rules) + " " + doubts(a)))
	if !st.Haul.Billed() {
		doc.Add(notes(sheet.Caution, besides(st)...)...)
	}
	doc.Add(dutyTable(a))
	for _, rate := range st.BorderRates() {
		doc.Add(remark("value: price and premium at " + rate.String() + ", without the card's spread"))
	}
	doc.Add(feesInValue(st)...)
	for p := range sheet.All(a.Parcels) {
		for _, relief := range joinedReliefs(p.Relief) {
			doc.Add(remark(reliefText(p.ID, relief)))
		}
	}
	doc.Add(stepsToRead(a)...)
	doc.AddIf(len(st.Bills()) > 0, billTable(st), hint(billsHint))
	return doc.Add(sentBack(back)...).Add(ruleNotes(a.Rules, a.Notes())...)
}

// feesInValue names the fees that the border counts, since what a fee is for decides whether it is
// part of the value (common practice, no source).
func feesInValue(st *landed.Statement) []sheet.Block {
	var names []string
	for line := range sheet.All(st.Lines) {
		if t := st.Terms(line); line.Kind != landed.Fee || line.Home.Sign() <= 0 || t.AsGoods || t.NotDutiable {
			continue
		}
		if name := cmp.Or(line.What, "a fee without a name"); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) == 0 || !st.Border.CountsFees() {
		return nil
	}
	return []sheet.Block{remark("fees counted at the border: " + named(names) + ". It is taken that they are paid to bring the goods in; write dutiable: no for one that is not, such as a buying commission, and dutiable: yes for one that is part of the goods, such as packing.")}
}

// sentBack tells what may be paid back of goods that are sent back.
func sentBack(back []customs.Refund) []sheet.Block {
	if back == nil {
		return nil
	}
	if len(back) == 0 {
		return []sheet.Block{remark("sent back: the rules here know of nothing that is paid back; ask customs before you send it, and the seller for the price")}
	}
	t := &sheet.Table{Topic: "paid back", Title: "Paid back when it is sent back, if customs agrees", Columns: []sheet.Column{
		{Head: "item", Key: "item"}, {Head: "pieces", Key: "pieces", Align: sheet.Right}, {Head: "what", Key: "what"}, {Head: "amount", Key: "amount", Align: sheet.Right},
		{Head: "claim by", Key: "until"}, {Head: "rule", Key: "rule", Wrap: true, Min: 24}, {Head: "source", Key: "source"}, {Head: "read at source", Key: "confidence", Optional: 1}}}
	for _, b := range back {
		t.Add(b.Line, b.Pieces, b.What, b.Amount, b.Until, b.Text, b.Source, b.Confidence)
	}
	sources := footnotes(t, "source")
	return append([]sheet.Block{t}, append(sources, remark("what the post or the courier asked for clearing it is not paid back by customs; the days count from that of the haul"))...)
}

func dutyTable(a *customs.Assessment) *sheet.Table {
	t := &sheet.Table{Topic: "border", Folds: true, Columns: []sheet.Column{
		{Head: "parcel", Key: "parcel"}, {Head: "item", Key: "item"},
		{Head: "value, " + a.Rules.Currency.Code(), Key: "customs_value", Align: sheet.Right},
		{Head: "duty", Key: "duty", Align: sheet.Right}, {Head: "tax base", Key: "tax_base", Align: sheet.Right}, {Head: "tax", Key: "tax", Align: sheet.Right},
	}}
	for p := range sheet.All(a.Parcels) {
		for _, line := range p.Lines {
			t.Add(parcelName(p.ID), line.ID, line.CustomsValue, line.Duty, line.TaxBase, line.Tax)
		}
		t.AddSum(parcelName(p.ID), "sum", p.CustomsValue, p.Duty, nil, p.Tax)
	}
	return t
}

// parcelName names a parcel; the one box of a haul without parcels has no id.
func parcelName(id string) string { return cmp.Or(id, "all") }

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
	who := sheet.Either(parcel != "", "parcel "+parcel, "all in one parcel")
	alone := sheet.Either(r.OfGoods, " for the goods alone", "")
	text := fmt.Sprintf("%s, %s: %s%s, and the duty-free limit is %s", who, r.What, r.Measure, alone, r.Threshold)
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

func stepTable(steps []customs.Step) *sheet.Table {
	t := &sheet.Table{Title: "Step by step", Columns: []sheet.Column{
		{Head: "parcel", Key: "parcel"}, {Head: "step", Key: "step", Wrap: true, Min: 12}, {Head: "figure", Key: "figure", Wrap: true, Min: 14},
		{Head: "rule", Key: "rule", Wrap: true, Min: 16, Optional: 1}, {Head: "result", Key: "result", Align: sheet.Right},
		{Head: "source", Key: "source"}, {Head: "read at source", Key: "confidence", Optional: 2}, {Key: "dated", Machine: true},
	}}
	for _, s := range steps {
		t.Add(parcelName(s.Parcel), s.What, s.Text, s.Rule, s.Result, s.Source, sheet.Cell{Text: s.Confidence.String() + then(", ", s.Dated), Data: s.Confidence.String()}, s.Dated)
	}
	return t
}

// stepsToRead is the table of the steps, without fees that come to nothing, and its sources.
func stepsToRead(a *customs.Assessment) []sheet.Block {
	t := stepTable(slices.DeleteFunc(a.Steps(), func(s customs.Step) bool { return s.Topic == "fee" && s.Result.Sign() == 0 }))
	sources := footnotes(t, "source")
	return append([]sheet.Block{t}, sources...)
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
			notes = append(notes, remark(numbers[cell.Text]+" "+cell.Text))
		}
		cell.Data, cell.Text = cell.Text, numbers[cell.Text]
	}
	return notes
}

// noteTexts are the cautions among the notes of an assessment, or the others.
func noteTexts(notes []customs.Note, cautions bool) []string {
	texts := []string{}
	for _, note := range notes {
		if note.Caution == cautions {
			texts = append(texts, note.Text)
		}
	}
	return texts
}

func dutyJSON(st *landed.Statement, back []customs.Refund) any {
	a, r := st.Border, st.Border.Rules
	items, fees, reliefs := []object{}, []object{}, []object{}
	for p := range sheet.All(a.Parcels) {
		for _, l := range p.Lines {
			items = append(items, object{"parcel?", p.ID, "id", l.ID, "customs_value", l.CustomsValue, "duty", l.Duty, "tax_base", l.TaxBase, "tax", l.Tax})
		}
		for _, f := range p.Fees {
			fees = append(fees, object{"parcel?", p.ID, "what", f.What, "amount", f.Amount})
		}
		for _, r := range p.Relief {
			reliefs = append(reliefs, object{"parcel?", p.ID, "what", r.What, "measure", r.Measure, "threshold", r.Threshold, "margin", less(r.Threshold, r.Measure),
				"relieved", r.Relieved, "by_seller?", r.BySeller, "except?", r.Except})
		}
	}
	reported, notes := a.Steps(), a.Notes()
	var later []object
	if !st.Haul.Billed() {
		later = othersJSON(a.Later(), nil)
	}
	steps := sheet.Each(reported, func(s *customs.Step) object {
		return object{"parcel?", s.Parcel, "step", s.What, "figure", s.Text, "rule", s.Rule, "source", s.Source, "confidence", s.Confidence, "dated?", s.Dated, "result", s.Result, "hangs", s.AtStake}
	})
	refunds := sheet.Each(back, func(b *customs.Refund) object {
		return object{"parcel?", b.Parcel, "id", b.Line, "pieces", b.Pieces, "what", b.What, "amount", b.Amount, "until", b.Until, "rule", b.Text, "source", b.Source, "confidence", b.Confidence}
	})
	return object{"territory", r.Territory, "currency", r.Currency, "rules_from", r.From, "checked", r.Checked, "confidence", leastKnown(r),
		"items", items, "fees", fees, "relief", reliefs, "steps", steps, "cautions", noteTexts(notes, true), "missing", missingJSON(a), "otherwise", othersJSON(a.Others(), nil), "later?", later,
		"doubts", doubtsJSON(customs.Doubts(reported)), "notes", noteTexts(notes, false), "bills?", billsJSON(st.Bills()), "back?", refunds}
}
