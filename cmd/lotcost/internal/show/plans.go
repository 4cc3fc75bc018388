package show

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// Plans is the ways to send a haul: the answer first, then the three beside
// each other, the parcels of the best, and what decides.
func Plans(r *together.Report, at []bid.Won) Result {
	return Result{
		Sheet: func() *sheet.Sheet { return planSheet(r).Add(atLimits(at)...) },
		Table: func() *sheet.Table {
			return parcelTable(r.Best.Statement.Home, "", []*together.Way{&r.Apart, &r.One, &r.Best})
		},
		JSON: func() any { return plansJSON(r, at) },
		Of:   r.Best.Statement,
	}
}

func planSheet(r *together.Report) *sheet.Sheet {
	if r.Best.Parcels == nil {
		return sheet.New(sheet.Heading(planAnswer(r))).Add(notes(sheet.Remark, asideTexts(r, "")...)...)
	}
	doc := sheet.New(sheet.Heading(planAnswer(r)), planCharts(r), wayTable(r), parcelTable(r.Best.Statement.Home, "The parcels of the best way", []*together.Way{&r.Best}))
	doc.Add(notes(sheet.Remark, sheet.Each(r.Facts, factText)...)...)
	for _, w := range []*together.Way{&r.Apart, &r.One} {
		if w.Why != nil {
			doc.Add(remark(wayName(w.Name) + " not possible: " + whyText(w.Why)))
		}
	}
	for s := range sheet.All(r.Apart.Parcels) {
		doc.AddIf(len(s.Parcel.Lots) > 1, remark("apart: "+named(s.Parcel.Lots)+" stay in one box, since they must be together"))
	}
	for _, why := range r.Out {
		doc.Add(remark("not used: " + why))
	}
	doc.Add(notes(sheet.Remark, asideTexts(r, "plan takes")...)...)
	return doc.Add(planStories(r)).Add(notes(sheet.Caution, planCautions(r)...)...)
}

// Given is what boxes that somebody filled by hand cost, beside the best way of a report.
func Given(r *together.Report, w *together.Way) *sheet.Sheet {
	if w.Statement == nil {
		return sheet.New(sheet.Heading("These boxes are not possible: " + whyText(w.Why)))
	}
	more := less(w.Total, r.Best.Total)
	beside := fmt.Sprintf("%s more than the best way", more)
	switch {
	case more.Sign() == 0:
		beside = "as little as the best way"
	case more.Sign() < 0:
		beside = fmt.Sprintf("%s less than the best way found so far", negative(more))
	}
	doc := sheet.New(sheet.Heading(fmt.Sprintf("These boxes: total cost %s, %s", w.Total, beside)), parcelTable(r.Best.Statement.Home, "These boxes", []*together.Way{w}))
	return doc.Add(boxesChart(w)...)
}

// planAnswer is the best way in one line.
func planAnswer(r *together.Report) string {
	b := &r.Best
	lots := int(sumEach(b.Parcels, func(s *together.Sent) int64 { return int64(len(s.Parcel.Lots)) }))
	in, all := "In", "All"
	if lots < len(b.Statement.Lots) { // others stay as they came
		in, all = "The rest in", "The rest"
	}
	how := fmt.Sprintf("%s %d parcels", in, len(b.Parcels))
	switch len(b.Parcels) {
	case 0:
		how = "All has come, and nothing is left to be sent"
	case 1:
		how = all + " in one box by " + b.Parcels[0].Quote.Service.Name
	case len(r.Apart.Parcels):
		how = all + " apart" + sheet.Either(lots > len(b.Parcels), ", but for what must be together", "")
	}
	answer := fmt.Sprintf("%s: total cost %s%s", how, b.Total, then(" ", withoutOpen(b.Statement))) + sheet.Either(b.Saving.Sign() != 0, fmt.Sprintf(", %s less than all apart", b.Saving), "")
	answer += sheet.Either(r.One.Statement != nil && len(b.Parcels) > 1, fmt.Sprintf(", %s less than in one box", less(r.One.Total, b.Total)), "")
	return answer
}

func wayName(name string) string {
	return sheet.Either(name == "one", "one box", name)
}

// wayTable is the three ways beside each other.
func wayTable(r *together.Report) *sheet.Table {
	ways := []*together.Way{&r.Apart, &r.One, &r.Best}
	t := &sheet.Table{Topic: "together", Columns: []sheet.Column{{Head: r.Best.Statement.Home.Code()}}}
	for _, w := range ways {
		t.Columns = append(t.Columns, sheet.Column{Head: wayName(w.Name), Align: sheet.Right})
	}
	row := func(kind sheet.RowKind, what string, of func(*together.Way) string) {
		cells := []any{what}
		for _, w := range ways {
			if w.Statement != nil {
				cells = append(cells, of(w))
			} else {
				cells = append(cells, "–")
			}
		}
		t.AddRow(kind, cells...)
	}
	figure := func(what string, of func(*together.Way) money.Amount, always bool) {
		used := always
		for _, w := range ways {
			used = used || of(w).Sign() != 0
		}
		if used {
			row(sheet.Body, what, func(w *together.Way) string { return of(w).Number() })
		}
	}
	row(sheet.Body, "parcels", func(w *together.Way) string { return strconv.Itoa(len(w.Parcels)) })
	other := "prices and other charges" + sheet.Either(len(Stayed(&r.Best)) > 0, ", and what has come", "")
	figure(other, func(w *together.Way) money.Amount { return w.Other }, true)
	figure("freight", func(w *together.Way) money.Amount { return w.Freight }, true)
	figure("insurance", func(w *together.Way) money.Amount { return w.Insurance }, false)
	figure("fees", func(w *together.Way) money.Amount { return w.Fees }, false)
	figure("border", func(w *together.Way) money.Amount { return w.Border }, r.Best.Statement.Border != nil)
	row(sheet.Sum, "total cost"+then(" ", withoutOpen(r.Best.Statement)), func(w *together.Way) string { return w.Total.Number() })
	row(sheet.Sum, "saved against apart", func(w *together.Way) string { return number(w.Saving) })
	t.AddRow(sheet.Group, "What each lot then costs")
	for i, lot := range r.Best.Statement.Lots {
		name := lot.ID + sheet.Either(!lot.Bought(), ", its price open", "")
		row(sheet.Body, name, func(w *together.Way) string { return w.Statement.Lots[i].Cost.Number() })
	}
	if r.Best.Statement.Loss.Sign() != 0 {
		row(sheet.Body, "written off", func(w *together.Way) string { return w.Statement.Loss.Number() })
	}
	return t
}

// parcelTable is the parcels of some ways, one row each.
func parcelTable(home money.Currency, title string, ways []*together.Way) *sheet.Table {
	t := &sheet.Table{Title: title, Columns: []sheet.Column{
		{Key: "plan", Machine: true}, {Head: "parcel", Key: "parcel"}, {Head: "lots", Key: "lots", Wrap: true, Min: 12},
		{Head: "service", Key: "service", Wrap: true, Min: 10}, {Head: "weight", Key: "weight", Align: sheet.Decimal},
		{Head: "billed", Key: "billed", Align: sheet.Decimal, Optional: 1}, {Head: "set by", Key: "set_by", Optional: 4},
		{Head: "size", Key: "size", Optional: 3}, {Head: "days", Key: "days", Optional: 2},
		{Head: "freight", Key: "freight", Align: sheet.Right}, {Head: "insurance", Key: "insurance", Align: sheet.Right}, {Head: "fees", Key: "fees", Align: sheet.Right},
		{Key: "plan_total_" + strings.ToLower(home.Code()), Align: sheet.Right, Machine: true},
	}}
	for _, w := range ways {
		for s := range sheet.All(w.Parcels) {
			q, p := &s.Quote, &s.Parcel
			t.Add(w.Name, p.ID, strings.Join(p.Lots, ", "), q.Service.Name, weightCell(q.Weight), weightCell(q.Billed), q.SetBy, sizeText(q.Size), daysText(s),
				asked(p.Freight), asked(p.Insurance), asked(p.Fees), w.Total)
		}
	}
	return t.WithoutEmpty("size", "days", "insurance", "fees")
}

// weightCell shows a weight to people as they say it, and to programs exactly.
func weightCell(w measure.Weight) sheet.Cell {
	return sheet.Cell{Text: shortWeight(w).String(), Data: w.String()}
}

// shortWeight is a weight to whole grams, from a kilogram on to 10 g; rounded up, as carriers do.
func shortWeight(w measure.Weight) measure.Weight {
	unit := measure.Gram
	if w >= measure.Kilogram {
		unit *= 10
	}
	if over := w % unit; over > 0 && w <= math.MaxInt64-unit {
		w += unit - over
	}
	return w
}

func sizeText(s measure.Size) string {
	if s == (measure.Size{}) {
		return ""
	}
	return s.String()
}

func daysText(s *together.Sent) string {
	by := s.Quote.Service
	switch {
	case by.MaxDays == 0:
		return ""
	case by.MinDays == by.MaxDays:
		return strconv.Itoa(by.MaxDays)
	}
	return fmt.Sprintf("%d to %d", by.MinDays, by.MaxDays)
}

// asked prints an amount with its currency, or nothing where there is none.
func asked(a money.Amount) string {
	if a.Currency() == 0 {
		return ""
	}
	return a.String()
}

// factText tells one fact that decides.
func factText(f *together.Fact) string {
	switch {
	case f.Refusal != nil:
		return "one box does not go by " + whyText(f.Refusal)
	case f.Relief != nil:
		return reliefText(f.Parcel, *f.Relief)
	}
	c := f.Cheaper
	c.Actual, c.Volumetric = shortWeight(c.Actual), shortWeight(c.Volumetric)
	return fmt.Sprintf("%s: %s of freight by %s", cmp.Or(f.Parcel, "in one box"), c, f.Service)
}

// whyText tells why a way cannot be. Where all lots of a parcel are refused
// together they are not listed. That there is no plan is said by what each service says.
func whyText(err error) string {
	var joined interface{ Unwrap() []error }
	var refused interface {
		error
		Broken() (service string, limits []string)
	}
	var texts []string
	switch {
	case errors.As(err, &joined):
		for _, one := range joined.Unwrap() {
			if _, none := one.(*together.NoPlanError); !none {
				texts = append(texts, whyText(one))
			}
		}
	case errors.As(err, &refused):
		service, limits := refused.Broken()
		for _, limit := range limits {
			texts = append(texts, strings.TrimPrefix(limit, "the parcel: "))
		}
		return service + ": " + strings.Join(texts, ", ")
	default:
		return err.Error()
	}
	return strings.Join(texts, "; ")
}

func planCautions(r *together.Report) []string {
	texts := []string{}
	caution := func(text string) { texts = append(texts, text) }
	if r.Opened != nil {
		caution(openPlanText(r.Opened))
	}
	for sent := range sheet.All(r.Best.Parcels) {
		for _, text := range sent.Quote.Cautions {
			caution(sent.Parcel.ID + ": " + text)
		}
		if sellers := sellersOf(r.Best.Statement.Haul, sent.Parcel.Lots); len(sellers) > 1 && len(sent.Charges) == 0 {
			caution(fmt.Sprintf("%s holds lots of %s: that takes somebody who packs them together, as a forwarder does; where nobody does, list such lots under sending: apart", sent.Parcel.ID, sheet.Listed(sellers)))
		}
		if sent.Bare {
			caution(sent.Parcel.ID + ": not insured, since " + sent.Quote.Service.Name + " insures nothing")
		}
		if len(sent.Unsized) > 0 {
			caution(fmt.Sprintf("%s: no size is known of %s: the box is that of the other lots, and will be larger", sent.Parcel.ID, strings.Join(sent.Unsized, ", ")))
		}
	}
	if !r.Exact {
		gap := less(r.Best.Total, r.Bound)
		text := fmt.Sprintf("this is the best way found, not proven to be the best: no way costs less than %s, so it is at most %s too dear", r.Bound, gap)
		if r.Stopped {
			text = "the search was stopped: " + text
		}
		caution(text)
	}
	if len(r.Divided) > 0 {
		stay := sheet.Either(len(r.Divided) > 1, "stay", "stays")
		caution(fmt.Sprintf("%s %s under a threshold of customs only because the lots are divided; to divide one purchase so may be treated as one purchase: ask before you rely on it", strings.Join(r.Divided, ", "), stay))
	}
	return texts
}

// sellersOf names the sellers of some lots of a haul, each once.
func sellersOf(h *landed.Haul, lots []string) (sellers []string) {
	for l := range sheet.All(h.Lots) {
		if l.Seller != "" && slices.Contains(lots, l.ID) && !slices.Contains(sellers, l.Seller) {
			sellers = append(sellers, l.Seller)
		}
	}
	return sellers
}

func plansJSON(r *together.Report, at []bid.Won) any {
	return object{"title", r.Best.Statement.Haul.Title, "home", r.Best.Statement.Home, "leaves", r.Leaves, "exact", r.Exact, "bound", r.Bound, "stopped?", r.Stopped,
		"plans", []object{wayJSON(&r.Apart), wayJSON(&r.One), wayJSON(&r.Best)}, "facts", sheet.Each(r.Facts, factText), "services_left_out?", r.Out, "left_aside?", asideJSON(r), "stays?", sheet.Each(Stayed(&r.Best), func(p *landed.Parcel) object { return object{"id", p.ID, "lots", p.Lots} }), "relieved_by_division?", r.Divided,
		"cautions", append(planCautions(r), borderCautions(r.Best.Statement)...), "at_worth?", given(r.Opened, atWorthJSON), "at_limits?", atLimitsJSON(at)}
}

// asideJSON is what in the file the plan takes the place of.
func asideJSON(r *together.Report) (texts []string) {
	for _, a := range r.Aside {
		if a.Figure == "" {
			texts = append(texts, a.What)
		}
	}
	return texts
}

// asideTexts tells which parcels stay as they came, and of what in the file services take, or the
// plan takes, the place.
func asideTexts(r *together.Report, taker string) (texts []string) {
	for p := range sheet.All(Stayed(&r.Best)) {
		texts = append(texts, "stays as it came, since "+cameBy(p)+": "+p.ID+" ("+named(p.Lots)+")")
	}
	for _, a := range r.Aside {
		text := "not counted, since the " + taker + " its place: " + a.What
		switch {
		case a.Figure != "":
			text = "counted for what has come alone: " + a.What
		case a.Remedy != "":
			text += "; " + a.Remedy
		}
		texts = append(texts, text)
	}
	return texts
}

// cameBy is how it is known that a parcel has come.
func cameBy(p *landed.Parcel) string {
	switch {
	case p.Bill != (landed.Bill{}):
		return "the border has billed it"
	case p.Settled.Freight.Currency() != 0:
		return "its freight is paid"
	}
	return "it was opened"
}

// Stayed are the parcels that have come, and are none of a plan.
func Stayed(w *together.Way) []landed.Parcel {
	return slices.DeleteFunc(slices.Clone(w.Statement.Haul.Parcels), func(p landed.Parcel) bool {
		return slices.ContainsFunc(w.Parcels, func(s together.Sent) bool { return s.Parcel.ID == p.ID })
	})
}

func wayJSON(w *together.Way) object {
	if w.Statement == nil {
		return object{"plan", w.Name, "not_possible?", whyText(w.Why)}
	}
	lots := sheet.Each(w.Statement.Lots, func(l *landed.LotCost) object {
		return object{"id", l.ID, "title?", l.Title, "seller?", l.Seller, "cost", l.Cost}
	})
	return object{"plan", w.Name, "total", w.Total, "freight", w.Freight, "insurance", w.Insurance, "fees", w.Fees, "border", w.Border, "loss?", unlessNone(w.Statement.Loss), "saving?", w.Saving,
		"parcels?", sheet.Each(w.Parcels, sentJSON), "lots?", lots}
}

func sentJSON(s *together.Sent) object {
	q := &s.Quote
	lines := []object{}
	for _, l := range slices.Concat(q.Lines, s.Charges) {
		lines = append(lines, object{"what", l.What, "lot?", l.Lot, "figure?", l.Figure, "amount", l.Amount.String()})
	}
	return object{"id", s.Parcel.ID, "lots", s.Parcel.Lots, "service", q.Service.Name, "weight", q.Weight, "billed", q.Billed, "set_by", q.SetBy, "step", q.Step, "size?", sizeText(q.Size),
		"days_min?", q.Service.MinDays, "days_max?", q.Service.MaxDays, "freight", asked(s.Parcel.Freight), "insurance?", asked(s.Parcel.Insurance), "fees?", asked(s.Parcel.Fees), "lines", lines}
}

// Next is what one more lot adds.
func Next(a *together.Addition) Result {
	return resultOf(a, nextSheet, nextTable, nextJSON).about(a.With.Best.Statement)
}

func nextSheet(a *together.Addition) *sheet.Sheet {
	answer := fmt.Sprintf("One more lot adds %s, not counting its price", a.Total)
	if a.Total.Sign() < 0 {
		answer = fmt.Sprintf("One more lot takes %s off, not counting its price", negative(a.Total))
	}
	doc := sheet.New(sheet.Heading(answer), nextTable(a),
		parcelTable(a.Price.Currency(), "The parcels with it", []*together.Way{&a.With.Best}))
	doc.AddIf(a.Price.Sign() == 0 && a.With.Best.Statement.Border != nil, hint("the border was calculated as if it cost nothing; give --next-price to count what it may go for"))
	return doc.Add(notes(sheet.Caution, planCautions(a.With)...)...)
}

// nextTable sets the best way without the lot beside that with it.
func nextTable(a *together.Addition) *sheet.Table {
	t := &sheet.Table{Topic: "together", Columns: []sheet.Column{{Head: a.Price.Currency().Code(), Key: "what"}, {Head: "without", Key: "without", Align: sheet.Right},
		{Head: "with", Key: "with", Align: sheet.Right}, {Head: "added", Key: "added", Align: sheet.Right}}}
	without, with := &a.Without.Best, &a.With.Best
	add := func(kind sheet.RowKind, what string, x, y money.Amount) {
		t.AddRow(kind, what, x, y, less(y, x))
	}
	for _, cost := range []struct {
		what          string
		without, with money.Amount
	}{{"freight", without.Freight, with.Freight}, {"insurance", without.Insurance, with.Insurance},
		{"fees", without.Fees, with.Fees}, {"border", without.Border, with.Border}} {
		if cost.without.Sign() != 0 || cost.with.Sign() != 0 {
			add(sheet.Body, cost.what, cost.without, cost.with)
		}
	}
	add(sheet.Body, "prices of the others, and other charges", without.Other, less(with.Other, a.Price))
	add(sheet.Sum, "total, not counting its price", without.Total, less(with.Total, a.Price))
	return t
}

func nextJSON(a *together.Addition) any {
	return object{"home", a.Price.Currency(), "adds", a.Total, "freight", a.Freight, "insurance", a.Insurance, "fees", a.Fees, "border", a.Border, "price", a.Price,
		"exact", a.With.Exact && a.Without.Exact, "without", wayJSON(&a.Without.Best), "with", wayJSON(&a.With.Best)}
}
