package show

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/bid"
	"lotcost/landed/money"
)

// DutyBids is what the border adds at each bid for lots whose price is open.
func DutyBids(lots []*bid.Answer, at []bid.Won) Result {
	return Result{
		Sheet: func() *sheet.Sheet { return dutyBidsSheet(lots, at) },
		Table: func() *sheet.Table { return rungTable(lots, 1) },
		JSON:  func() any { return dutyBidsJSON(lots, at) },
	}
}

func dutyBidsSheet(lots []*bid.Answer, at []bid.Won) *sheet.Sheet {
	last := lots[len(lots)-1].Statement.Border
	view := sheet.Either(len(lots) == 1, rungsSheet, openLots)
	return view(lots).Add(atLimits(at)...).Add(ruleNotes(last.Rules, last.Notes())...)
}

// rungsSheet is what the border adds at the bids for one lot.
func rungsSheet(lots []*bid.Answer) *sheet.Sheet {
	a := lots[0]
	first, last := &a.Ladder[0], &a.Ladder[len(a.Ladder)-1]
	answer := fmt.Sprintf("The price of %s is open%s: the border adds %s at %s, %s at %s", a.Lot, besideBought(a), first.Border.Sum(), first.Bid, last.Border.Sum(), last.Bid)
	doc := sheet.New(sheet.Heading(answer), sheet.Text(rulesLine(a.Statement.Border.Rules)), rungTable(lots, (len(a.Ladder)+mostRows-1)/mostRows))
	if len(a.Beside) > 0 {
		doc.Add(remark(fmt.Sprintf("of it for what is bought, without %s: %s", a.Lot, a.Before.Estimate())))
		doc.Add(apartFromBills(a)...)
	}
	doc.AddIf(len(a.Away) > 0, remark("still open, and counted as not there: "+named(a.Away)))
	doc.Add(notes(sheet.Remark, refusedFrom(a)...)...)
	doc.Add(remark(fmt.Sprintf("what follows is of the last of them, %s", last.Bid)))
	return doc.Add(notes(sheet.Caution, besides(a.Statement)...)...)
}

// apartFromBills says what the border takes already, which no bid changes; nothing where no bill
// has come.
func apartFromBills(a *bid.Answer) []sheet.Block {
	if len(a.Before.Bills()) == 0 {
		return nil
	}
	return []sheet.Block{remark("apart from the bills that have come: " + billed(a.Before).String())}
}

// refusedFrom says from which bid on no service takes the lots, if there is one.
func refusedFrom(a *bid.Answer) []string {
	return given(a.Refused, func(p *bid.Point) []string {
		return []string{fmt.Sprintf("at %s no service takes the lots any more: %s", p.Bid, whyText(p.Why))}
	})
}

// openLots is what the border adds for each of several lots, at the bids where it changes course,
// in one table; what is alike for all is said once.
func openLots(lots []*bid.Answer) *sheet.Sheet {
	dearest, names := lots[0], make([]string, len(lots))
	last := func(a *bid.Answer) *bid.Point { return &a.Ladder[len(a.Ladder)-1] }
	for i, a := range lots {
		if names[i] = a.Lot; last(a).Border.Sum().Minor() > last(dearest).Border.Sum().Minor() {
			dearest = a
		}
	}
	beside := besideBought(dearest)
	t := rungTable(lots, math.MaxInt)
	t.Columns[0] = sheet.Column{Head: "lot", Key: "lot"}
	if slices.ContainsFunc(lots, func(a *bid.Answer) bool { return a.Bids != lots[0].Bids }) {
		t.Columns[1].Head, t.Columns[2] = "bid", sheet.Column{Head: "in", Key: "bid_currency"}
	}
	answer := fmt.Sprintf("The prices of %s are open%s: for each by itself the border adds up to %s, for %s at %s", named(names), beside, last(dearest).Border.Sum(), dearest.Lot, last(dearest).Bid)
	doc := sheet.New(sheet.Heading(answer), sheet.Text(rulesLine(dearest.Statement.Border.Rules)), t).Add(footnotes(t, "turns")...)
	if beside != "" {
		doc.Add(remark("of it for what is bought alone: " + dearest.Before.Estimate().String()))
		doc.Add(apartFromBills(dearest)...)
	}
	for _, a := range lots {
		doc.Add(notes(sheet.Remark, refusedFrom(a)...)...)
	}
	doc.Add(remark("each lot as if the others were not there; --lot ID goes through all bids for one"))
	more := besides(dearest.Statement)
	doc.AddIf(len(more) > 0, remark(fmt.Sprintf("what follows is of %s at %s", dearest.Lot, last(dearest).Bid)))
	return doc.Add(notes(sheet.Caution, more...)...)
}

// besideBought names what is bought besides, within a sentence.
func besideBought(a *bid.Answer) string {
	if len(a.Beside) == 0 {
		return ""
	}
	return " beside " + named(a.Beside) + ", already bought"
}

// mostRows is about how many bids are shown to people, those at which something
// turns aside.
const mostRows = 16

// rungTable is the bids; to people every so many, and those around a turn.
func rungTable(lots []*bid.Answer, every int) *sheet.Table {
	first := lots[0]
	t := &sheet.Table{Topic: "border", Columns: []sheet.Column{
		{Key: "lot", Machine: true},
		{Head: "bid, " + first.Bids.Code(), Key: "bid", Align: sheet.Right}, {Key: "bid_currency", Machine: true},
		{Head: "value for\ncustoms, " + first.Ladder[0].Value.Currency().Code(), Key: "customs_value", Align: sheet.Right},
		{Head: "duty, " + first.Statement.Home.Code(), Key: "duty", Align: sheet.Right}, {Head: "tax", Key: "tax", Align: sheet.Right}, {Head: "fees", Key: "fees", Align: sheet.Right},
		{Head: "total", Key: "border", Align: sheet.Right}, {Key: "turns", Wrap: true, Min: 20},
	}}
	for _, a := range lots {
		for i := range a.Ladder {
			p := &a.Ladder[i]
			if near := i == len(a.Ladder)-1 || len(p.Turns) > 0 || len(a.Ladder[i+1].Turns) > 0; near || i%every == 0 {
				t.Add(a.Lot, sheet.Bold(p.Bid), a.Bids, p.Value, p.Border.Duty, p.Border.Tax, p.Border.Fee, sheet.Bold(p.Border.Sum()), strings.Join(p.Turns, "; "))
			}
		}
	}
	return t
}

func dutyBidsJSON(lots []*bid.Answer, at []bid.Won) any {
	r := lots[0].Statement.Border.Rules
	ids := sheet.Each(lots, func(a **bid.Answer) string { return (*a).Lot })
	return object{"territory", r.Territory, "currency", r.Currency, "home", lots[0].Statement.Home, "rules_from", r.From, "checked", r.Checked, "without_open_price", ids,
		"lots", sheet.Each(lots, func(a **bid.Answer) object { return rungsJSON(*a) }),
		"at_limits?", atLimitsJSON(at), "cautions", noteTexts(lots[len(lots)-1].Statement.Border.Notes(), true)}
}

// rungsJSON is what the border asks at each bid for a lot, and what stands beside the figures of
// the last one.
func rungsJSON(a *bid.Answer) object {
	without := money.New(0, a.Statement.Home)
	if a.Before != nil {
		without = a.Before.Estimate()
	}
	return object{"lot", a.Lot, "beside?", a.Beside, "left_open?", a.Away, "bids", a.Bids, "border_without", without, "refused_from?", given(a.Refused, bidOf),
		"at", sheet.Each(a.Ladder, func(p *bid.Point) object {
			return object{"bid", p.Bid, "customs_value", p.Value, "duty", p.Border.Duty, "tax", p.Border.Tax, "fees", p.Border.Fee, "border", p.Border.Sum(), "turns?", p.Turns}
		}),
		"beside_last?", besideJSON(a.Statement)}
}
