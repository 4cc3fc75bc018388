package show

import (
	"fmt"
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
	doc := &sheet.Sheet{}
	for i, a := range lots {
		last := &a.Ladder[len(a.Ladder)-1]
		doc.Add(sheet.Heading(rungsAnswer(a)))
		if i == 0 {
			doc.Add(sheet.Text(rulesLine(a.Statement.Border.Rules)))
		}
		doc.Add(rungTable(lots[i:i+1], (len(a.Ladder)+mostRows-1)/mostRows))
		if len(a.Beside) > 0 {
			doc.Add(sheet.Note{Kind: sheet.Remark, Text: fmt.Sprintf("of it for what is bought, without %s: %s", a.Lot, a.Before.Estimate())})
		}
		if len(a.Away) > 0 {
			doc.Add(sheet.Note{Kind: sheet.Remark, Text: "still open, and counted as not there: " + named(a.Away)})
		}
		if a.Refused != nil {
			doc.Add(sheet.Note{Kind: sheet.Remark, Text: fmt.Sprintf("at %s no service takes the lots any more: %s", a.Refused.Bid, whyText(a.Refused.Why))})
		}
		doc.Add(sheet.Note{Kind: sheet.Remark, Text: fmt.Sprintf("what follows is of the last of them, %s", last.Bid)})
		doc.Add(besides(a.Statement.Border)...)
	}
	return doc.With(atLimits(at)...).With(cautions(lots[len(lots)-1].Statement.Border)...)
}

// rungsAnswer is what the border adds from the first bid to the last.
func rungsAnswer(a *bid.Answer) string {
	first, last, beside := &a.Ladder[0], &a.Ladder[len(a.Ladder)-1], ""
	if len(a.Beside) > 0 {
		beside = " beside " + named(a.Beside) + ", already bought"
	}
	return fmt.Sprintf("The price of %s is open%s: the border adds %s at %s, %s at %s", a.Lot, beside, first.Border.Sum(), first.Bid, last.Border.Sum(), last.Bid)
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
			near := i == len(a.Ladder)-1 || len(a.Ladder[i].Turns) > 0 || i+1 < len(a.Ladder) && len(a.Ladder[i+1].Turns) > 0
			if i%every == 0 || near {
				t.Rows = append(t.Rows, rungRow(a, &a.Ladder[i]))
			}
		}
	}
	return t
}

func rungRow(a *bid.Answer, r *bid.Point) sheet.Row {
	return sheet.Row{Kind: sheet.Body, Cells: []sheet.Cell{{Text: a.Lot}, {Text: r.Bid.Number(), Tone: sheet.Strong}, {Text: a.Bids.Code()}, {Text: r.Value.Number()}, {Text: r.Border.Duty.Number()}, {Text: r.Border.Tax.Number()},
		{Text: r.Border.Fee.Number()}, {Text: r.Border.Sum().Number(), Tone: sheet.Strong}, {Text: strings.Join(turnTexts(r), "; ")}}}
}

type dutyBid struct {
	Bid   string   `json:"bid"`
	Value string   `json:"customs_value"`
	Duty  string   `json:"duty"`
	Tax   string   `json:"tax"`
	Fees  string   `json:"fees"`
	All   string   `json:"border"`
	Turns []string `json:"turns,omitempty"`
}

type dutyLot struct {
	Lot     string    `json:"lot"`
	Beside  []string  `json:"beside,omitempty"`
	Away    []string  `json:"left_open,omitempty"`
	Bids    string    `json:"bids"`
	Without string    `json:"border_without"`
	Refused string    `json:"refused_from,omitempty"`
	Border  []dutyBid `json:"at"`
	// Last is what stands beside the figures of the last bid.
	Last *borderBeside `json:"beside_last,omitempty"`
}

func dutyBidsJSON(lots []*bid.Answer, at []bid.Won) any {
	r := lots[0].Statement.Border.Rules
	out := struct {
		Territory string    `json:"territory"`
		Currency  string    `json:"currency"`
		Home      string    `json:"home"`
		RulesFrom string    `json:"rules_from"`
		Checked   string    `json:"checked"`
		Open      []string  `json:"without_open_price"`
		Lots      []dutyLot `json:"lots"`
		AtLimits  []atLimit `json:"at_limits,omitempty"`
		Cautions  []string  `json:"cautions"`
	}{r.Territory, r.Currency.Code(), lots[0].Statement.Home.Code(), day(r.From), day(r.Checked), nil, nil, atLimitsJSON(at), noteTexts(lots[len(lots)-1].Statement.Border, true)}
	for _, a := range lots {
		without := money.New(0, a.Statement.Home)
		if a.Before != nil {
			without = a.Before.Estimate()
		}
		lot := dutyLot{Lot: a.Lot, Beside: a.Beside, Away: a.Away, Bids: a.Bids.Code(), Without: without.Number(), Last: besideJSON(a.Statement.Border)}
		if a.Refused != nil {
			lot.Refused = a.Refused.Bid.Number()
		}
		for i := range a.Ladder {
			x := &a.Ladder[i]
			lot.Border = append(lot.Border, dutyBid{x.Bid.Number(), x.Value.Number(), x.Border.Duty.Number(), x.Border.Tax.Number(), x.Border.Fee.Number(), x.Border.Sum().Number(), turnTexts(x)})
		}
		out.Open, out.Lots = append(out.Open, a.Lot), append(out.Lots, lot)
	}
	return out
}
