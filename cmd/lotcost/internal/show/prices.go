package show

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
)

// Price is what the pieces to be sold must bring, for every format; it says which lots it leaves
// out, since they are still open.
func Price(r *doubles.Result, open ...string) Result {
	return Result{
		Sheet: func() *sheet.Sheet { return priceSheet(r, open) },
		Table: func() *sheet.Table { return priceRecords(r) },
		JSON:  func() any { return pricesJSON(r, open) },
		Live:  func() []*sheet.Table { return live.Prices(r) },
		Of:    r.Statement,
	}
}

// priceSheet is what the pieces to be sold must bring, what the kept ones then
// cost, and what else there is to say of selling.
func priceSheet(r *doubles.Result, open []string) *sheet.Sheet {
	doc := sheet.New(sheet.Heading(priceAnswer(r)))
	doc.AddIf(len(open) > 0, caution(fmt.Sprintf("Without %[1]s, still open: all that is paid beside the prices is taken to be for what is bought already; the split shares it over %[1]s too.", named(open))))
	doc.AddIf(r.Statement.Haul.Title != "", sheet.Text(r.Statement.Haul.Title)).Add(priceCharts(r))
	if len(r.Offers) > 0 {
		doc.Add(priceTable(r), sheet.Text(carried(r)))
	}
	best := atBest(r)
	doc.AddIf(len(best) > 0, caution("what was found is not written yet, so each piece is taken to come out at its best (lotcost bid counts the chances): "+firstOf(best)))
	for o := range sheet.All(r.Offers) {
		for _, text := range gapTexts(r.Quote(o), false) {
			doc.Add(caution(fmt.Sprintf("%s at %s: %s", OfferName(o), at(r), text)))
		}
	}
	doc.AddIf(r.Tax.Sign() != 0, caution(fmt.Sprintf("the costs hold %s import tax; if you recover it, less need be asked", r.Tax)))
	if len(r.Sold) > 0 {
		lost := sumEach(r.Sold, func(s *doubles.Sold) int64 {
			return sumEach(s.Returned, func(b *selling.Returned) int64 { return b.WrittenOff.Minor() })
		})
		doc.Add(soldTable(r)).AddIf(lost != 0, sheet.Text(fmt.Sprintf("Written off, of what came back for parts or dead: %s.", money.New(lost, r.Statement.Home))))
	}
	doc.AddIf(len(r.Payback.Steps) > 0 && r.Payback.Over.Sign() >= 0, sheet.Text(paybackOrder(r)))
	sets := setTable(r)
	doc.AddIf(len(r.Kept.Items) > 0, keptTable(r), sheet.Text(keptWords(r))).AddIf(len(sets.Rows) > 0, sets)
	return doc.Add(priceStories(r))
}

// mostHeadlined is how many items a headline names.
const mostHeadlined = 3

// priceAnswer is at what the first pieces break even, and when all is paid back.
func priceAnswer(r *doubles.Result) string {
	var texts []string
	for i := range r.Offers {
		if even := r.Quote(&r.Offers[i]).BreakEven; even.Err == nil && len(texts) < mostHeadlined {
			texts = append(texts, fmt.Sprintf("%s at %s", OfferName(&r.Offers[i]), even.Price.Said()))
		}
	}
	switch {
	case len(texts) > 0:
		return fmt.Sprintf("Break-even at %s in %s: %s; %s", at(r), r.Venues[r.At].Currency.Code(), headlined(texts, len(r.Offers)), payback(r))
	case len(r.Offers) > 0:
		return fmt.Sprintf("No piece breaks even at %s; %s", at(r), payback(r))
	case len(r.Sold) > 0 && len(r.Kept.Items) == 0:
		return "No further piece is to be sold; " + payback(r)
	case len(r.Sold) > 0:
		return "No further piece is to be sold"
	case len(r.Kept.Items) == 0:
		return fmt.Sprintf("No piece is to be sold or kept: the %s paid are lost", r.Statement.Loss)
	}
	return "No piece is to be sold"
}

// headlined lists what a headline names of so many.
func headlined(texts []string, of int) string {
	if len(texts) < of {
		return fmt.Sprintf("%s and %d more below", strings.Join(texts, ", "), of-len(texts))
	}
	return named(texts)
}

// at names the venue that prices and verdicts refer to.
func at(r *doubles.Result) string { return r.Venues[r.At].Name }

// priceTable is the pieces to be sold, one row for each item and state.
func priceTable(r *doubles.Result) *sheet.Table {
	t := priceRecords(r)
	t.Rows, t.Made = slices.Collect(t.Made), nil
	return t
}

// priceRecords is [priceTable] with rows that are made as they are written.
func priceRecords(r *doubles.Result) *sheet.Table {
	t := priceColumns(r)
	t.Made = func(yield func(sheet.Row) bool) {
		for i := range r.Offers {
			if !yield(priceRow(r, &r.Offers[i])) {
				return
			}
		}
	}
	return t
}

func priceColumns(r *doubles.Result) *sheet.Table {
	cur := r.Venues[r.At].Currency.Code()
	t := &sheet.Table{Topic: "prices", Live: true, Continued: true, Folds: true, Columns: []sheet.Column{
		{Key: "lot", Machine: true},
		{Head: "item", Key: "id"},
		{Head: "what", Key: "what", Wrap: true, Min: 14, Optional: 6},
		{Head: "state", Key: "state", Machine: allSound(r)},
		{Head: "pieces", Key: "count", Align: sheet.Right, Optional: 3},
		{Head: "cost, " + r.Statement.Home.Code(), Key: "cost", Align: sheet.Right},
	}}
	for i := range r.Venues {
		v := &r.Venues[i]
		even := sheet.Column{Head: "break-even at\n" + v.Name + ", " + v.Currency.Code(), Key: "break_even_" + snake(v.Name), Align: sheet.Right}
		if i != r.At {
			even.Optional = 1
		}
		t.Columns = append(t.Columns, even)
	}
	t.Columns = append(t.Columns,
		sheet.Column{Head: "asking price\nat " + at(r), Key: "ask", Align: sheet.Right, Optional: 2, Machine: !asks(r)},
		sheet.Column{Head: "value, " + cur, Key: "value", Align: sheet.Right},
		sheet.Column{Head: "profit, " + cur, Key: "left", Align: sheet.Right},
		sheet.Column{Head: "profit\nan hour", Key: "per_hour", Align: sheet.Right, Optional: 4},
		sheet.Column{Head: "verdict", Key: "verdict", Wrap: true, Min: 18, Optional: 5})
	if !slices.ContainsFunc(r.Offers, func(o doubles.Offer) bool { return r.Quote(&o).PerHour.Currency() != 0 }) {
		t.Columns[len(t.Columns)-2].Machine = true
	}
	return t
}

// allSound reports whether no piece for parts is to be sold.
func allSound(r *doubles.Result) bool {
	return !slices.ContainsFunc(r.Offers, func(o doubles.Offer) bool { return o.State != landed.Sound })
}

// snake makes a name fit for a column's key.
func snake(name string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) || unicode.IsDigit(c) {
			return unicode.ToLower(c)
		}
		return '_'
	}, name)
}

func priceRow(r *doubles.Result, o *doubles.Offer) sheet.Row {
	q := r.Quote(o)
	cells := append(make([]sheet.Cell, 0, 11+len(o.Quotes)), sheet.Cell{Text: o.Lot.ID}, sheet.Cell{Text: o.ID}, sheet.Cell{Text: o.What}, sheet.Cell{Text: o.State.String()},
		sheet.Cell{Text: strconv.FormatInt(o.Count, 10)}, sheet.Cell{Text: o.Dearest().Number()})
	for i := range o.Quotes {
		cells = append(cells, sheet.Cell{Text: priceText(o.Quotes[i].BreakEven)})
	}
	var value, left, hour sheet.Cell
	if e := q.Expected; e != nil {
		value.Text, left.Text = e.Price.Number(), e.Left.Number()
		if left.Tone = sheet.Good; e.Left.Sign() < 0 {
			left.Tone = sheet.Bad
		}
	}
	if q.PerHour.Currency() != 0 {
		hour.Text = q.PerHour.Number()
	}
	return sheet.Row{Kind: sheet.Body, Cells: append(cells, sheet.Cell{Text: priceText(q.Ask), Tone: sheet.Strong}, value, left, hour, sheet.Cell{Text: q.Verdict()})}
}

func priceText(p doubles.LeastPrice) string {
	if p.Err != nil {
		return "none"
	}
	return p.Price.Number()
}

// carried says what the prices are to bring in.
func carried(r *doubles.Result) string {
	n, cost := offered(r)
	carries := fmt.Sprintf("To sell: %s that cost %s.", Plural(n, "piece"), cost)
	if r.CarryAll {
		all := sheet.Either(len(r.Sold) > 0, "what past sales have not paid back yet", "the total cost")
		carries = fmt.Sprintf("To sell: %s that pay for everything, %s, %s: at these prices the kept ones are free.", Plural(n, "piece"), all, cost)
	}
	if !asks(r) {
		return carries + "\nBreak-even: the lowest price without a loss."
	}
	ending := [...]string{resale.Whole00: " whole one", resale.NinetyFive: " ending in .95", resale.NinetyNine: " ending in .99"}[r.Ending]
	return carries + fmt.Sprintf("\nBreak-even: the lowest price without a loss. Asking price: the lowest%s that makes %s.", ending, r.Quote(&r.Offers[0]).Sale().Target.Words())
}

// offered is how many pieces are to be sold, and what they cost.
func offered(r *doubles.Result) (int64, money.Amount) {
	cost := sumEach(r.Offers, func(o *doubles.Offer) int64 { return o.Cost.Minor() })
	return sumEach(r.Offers, func(o *doubles.Offer) int64 { return o.Count }), money.New(cost, r.Statement.Home)
}

// asks reports whether more is asked for than that nothing be lost.
func asks(r *doubles.Result) bool { return !r.Target.IsZero() || r.Ending != resale.AnyEnding }

// gapTexts tell where a higher price leaves less, also by the odd cents of rounding or not.
func gapTexts(q *doubles.Quote, odd bool) (texts []string) {
	gaps, more := q.Gaps()
	for _, g := range gaps {
		if odd || g.Why != "" {
			texts = append(texts, gapText(g))
		}
	}
	if more {
		texts = append(texts, "there are more ranges of prices with too little profit than are listed here: --item with --at judges one price")
	}
	return texts
}

func gapText(g resale.Gap) string {
	why := cmp.Or(g.Why, "amounts round up together")
	what := sheet.Either(g.OfTarget, "%s of the target is missing", "%s is lost")
	if g.NoEnd {
		return fmt.Sprintf("from %s on %s, and the more "+strings.TrimPrefix(what, "%s ")+", the higher the price", g.From.Said(), why)
	}
	return fmt.Sprintf("from %s to %s %s: up to "+what, g.From.Said(), g.To.Said(), why, g.Shortfall.Said())
}

// payback says how many pieces pay the haul back.
func payback(r *doubles.Result) string {
	p := &r.Payback
	more := sheet.Either(len(r.Sold) > 0, " more", "")
	missing, paid, pieces := negative(p.Over), p.Over.Sign() >= 0, paybackPieces(p)
	switch {
	case paid && pieces == 0 && len(r.Sold) > 0:
		return fmt.Sprintf("all is paid back by what was sold, with %s to spare", p.Over)
	case paid && pieces == 0:
		return "there is no cost to pay back"
	case paid:
		return fmt.Sprintf("all is paid back after %s%s at their values, with %s to spare", Plural(pieces, "piece"), more, p.Over)
	case len(r.Offers) == 0:
		return fmt.Sprintf("%s of the total cost is lost", missing)
	case pieces == 0:
		return fmt.Sprintf("no%s piece has any net proceeds at its value", more)
	}
	return fmt.Sprintf("all of them at their values are %s short of the total cost", missing)
}

func paybackPieces(p *doubles.Payback) int64 {
	return sumEach(p.Steps, func(s *doubles.PaybackStep) int64 { return s.Pieces })
}

// paybackOrder names the pieces that pay the haul back.
func paybackOrder(r *doubles.Result) string {
	steps := sheet.Each(r.Payback.Steps, func(s *doubles.PaybackStep) string {
		return fmt.Sprintf("%d x %s", s.Pieces, OfferName(&r.Offers[s.Offer]))
	})
	return fmt.Sprintf("Paid back at %s, the best first, by %s.", at(r), strings.Join(steps, ", "))
}

// SoldTitle is the title of the table of what was sold.
const SoldTitle = "What was sold"

// soldTable is what was sold so far, and what it left.
func soldTable(r *doubles.Result) *sheet.Table {
	cur := ", " + r.Statement.Home.Code()
	t := &sheet.Table{Title: SoldTitle, Columns: []sheet.Column{
		{Head: "item"}, {Head: "what", Wrap: true, Min: 14, Optional: 1}, {Head: "day", Optional: 2}, {Head: "pieces", Align: sheet.Right},
		{Head: "price" + cur, Align: sheet.Right}, {Head: "net proceeds" + cur, Align: sheet.Right}, {Head: "cost", Align: sheet.Right}, {Head: "profit", Align: sheet.Right},
	}}
	for s := range sheet.All(r.Sold) {
		t.Add(s.ID, s.What, s.Sale.Date, s.Sale.Count, s.Price, sheet.Bold(s.Net), s.Cost, s.Left)
		for b := range sheet.All(s.Returned) {
			t.Add(s.ID+", "+returnWords(b), s.What, b.Return.Date, -b.Return.Count, b.Price, sheet.Bold(b.Sum()), b.Cost, b.Profit())
		}
	}
	n, cost, left := soldInAll(r)
	t.AddSum("sum", nil, nil, n, nil, sheet.Bold(r.Kept.Sold), cost, left)
	return t
}

// soldInAll is how many pieces were sold and did not come back, what they cost, and the profit.
func soldInAll(r *doubles.Result) (pieces int64, cost, profit money.Amount) {
	var costs, left int64
	for s := range sheet.All(r.Sold) {
		pieces, costs, left = pieces+s.Sale.Count, costs+s.Cost.Minor(), left+s.Left.Minor()
		for b := range sheet.All(s.Returned) {
			pieces, costs, left = pieces-b.Return.Count, costs+b.Cost.Minor(), left+b.Profit().Minor()
		}
	}
	return pieces, money.New(costs, r.Statement.Home), money.New(left, r.Statement.Home)
}

// SoldInAll is the sum of what was sold so far, in words.
func SoldInAll(r *doubles.Result) string {
	pieces, cost, profit := soldInAll(r)
	return fmt.Sprintf("In all %s sold: net proceeds %s, cost %s, profit %s.", Plural(pieces, "piece"), r.Kept.Sold.Said(), cost.Said(), profit)
}

// returnWords says what came back of a sale.
func returnWords(b *selling.Returned) string {
	switch {
	case b.Return.Count == 0:
		return "refunded"
	case b.Return.As == landed.ForParts:
		return "returned, for parts"
	case b.Return.As == landed.Dead:
		return "returned, dead"
	}
	return "returned"
}

// QuoteRow is what the dearest piece of an offer must sell for at a venue, in its currency; Ask is
// "" where nothing is to be left.
type QuoteRow struct{ Venue, BreakEven, Ask, Currency string }

// QuoteRows are the quotes of an offer, one for each venue.
func QuoteRows(o *doubles.Offer) []QuoteRow {
	var rows []QuoteRow
	for q := range sheet.All(o.Quotes) {
		row := QuoteRow{Venue: q.Sale().Venue.Name, BreakEven: priceText(q.BreakEven), Currency: q.Cost.Currency().Code()}
		if !q.Sale().Target.IsZero() {
			row.Ask = priceText(q.Ask)
		}
		rows = append(rows, row)
	}
	return rows
}

// AtPrice is what comes of one price of a quote, in one line.
func AtPrice(q *doubles.Quote, out *resale.Result) string {
	text := fmt.Sprintf("net proceeds %s, profit %s", out.Net.Said(), out.Left.Said())
	if out.Target.Sign() != 0 && out.Left.Cmp(out.Target) < 0 {
		short := less(out.Target, out.Left)
		text += fmt.Sprintf(", %s short of the target", short.Said())
	}
	return text + " at " + q.Sale().Venue.Name
}

// OfferName is what an offer is called in a list.
func OfferName(o *doubles.Offer) string { return inState(o.ID, o.State, o.What) }

// inState is what the pieces of an item in a state are called.
func inState(id string, state landed.State, what string) string {
	switch state {
	case landed.ForParts:
		return id + " for parts"
	case landed.Made:
		return what + " of " + id
	}
	return id
}

func keptTable(r *doubles.Result) *sheet.Table {
	t := &sheet.Table{Title: "What the kept pieces cost", Columns: []sheet.Column{
		{Head: "item"}, {Head: "what", Wrap: true, Min: 14, Optional: 1}, {Head: "pieces", Align: sheet.Right},
		{Head: "cost, " + r.Statement.Home.Code(), Align: sheet.Right}, {Head: "cost after\nsales", Align: sheet.Right}, {Head: "each, after\nsales", Align: sheet.Right}, {Head: "worth\nto you", Align: sheet.Right},
	}}
	n := int64(0)
	for _, k := range r.Kept.Items {
		n += k.Count
		t.Add(k.ID, k.What, k.Count, k.Own, sheet.Bold(k.Net), eachText(k.Each), asked(k.Worth))
	}
	t.AddSum("sum", nil, n, keptOwn(&r.Kept), sheet.Bold(r.Kept.Net))
	return t.WithoutEmpty("worth_to_you")
}

// unpriced counts the pieces to be sold without an expected value or a price.
func unpriced(r *doubles.Result) int64 {
	return sumEach(r.Offers, func(o *doubles.Offer) int64 {
		if r.Quote(o).Expected != nil {
			return 0
		}
		return o.Count
	})
}

// atBest lists the items that may come out in several ways: where nothing is said of what was
// found, all pieces are taken to come out best.
func atBest(r *doubles.Result) []string {
	return itemsThat(r.Statement, func(it *landed.ItemCost) bool { return it.Item.Found == nil && len(it.Chances) > 1 })
}

// keptOwn is what the kept pieces cost by themselves.
func keptOwn(k *doubles.Kept) money.Amount {
	return money.New(sumEach(k.Items, func(p *doubles.KeptPieces) int64 { return p.Own.Minor() }), k.Net.Currency())
}

// keptBrought is what the others bring, sold or not yet.
func keptBrought(k *doubles.Kept) money.Amount {
	return money.New(k.Sold.Minor()+k.NotYet.Minor(), k.Net.Currency())
}

func keptWords(r *doubles.Result) string {
	k := &r.Kept
	subject := fmt.Sprintf("net proceeds of the others, %s at their values at %s", keptBrought(k), at(r))
	switch {
	case len(r.Sold) > 0 && len(r.Offers) > 0:
		subject = fmt.Sprintf("net proceeds of the others, %s with %s for what is not sold yet at its value at %s", keptBrought(k), k.NotYet, at(r))
	case len(r.Sold) > 0:
		subject = "net proceeds of what was sold"
	}
	text := fmt.Sprintf("Cost after sales: total cost %s less %s.", r.Statement.Total, subject) + sheet.Either(k.Net.Sign() < 0, " The kept ones cost less than nothing.", "")
	if len(r.Offers)+len(r.Sold) == 0 {
		text = "Nothing is to be sold: the kept ones cost all that was paid."
	}
	if n := unpriced(r); n > 0 {
		text += fmt.Sprintf(" Without a value or a price, and counted as worth nothing: %s.", Plural(n, "piece"))
	}
	return text
}

func setTable(r *doubles.Result) *sheet.Table {
	cur := r.Venues[r.At].Currency.Code()
	t := &sheet.Table{Topic: "orders", Folds: true, Title: "All in one order at " + at(r) + ", or singly?", Columns: []sheet.Column{
		{Head: "item"}, {Head: "pieces", Align: sheet.Right}, {Head: "price, " + cur, Align: sheet.Right},
		{Head: "profit\ntogether", Align: sheet.Right}, {Head: "profit\nsingly", Align: sheet.Right}, {Head: "gain", Align: sheet.Right},
		{Head: "as good as singly", Wrap: true, Min: 12, Align: sheet.Left},
	}}
	for o := range sheet.All(r.Offers) {
		s := o.Set
		if s == nil {
			continue
		}
		if s.Err != nil {
			t.Add(OfferName(o), o.Count, s.Price, nil, nil, nil, resale.Reason(s.Err))
		} else {
			t.Add(OfferName(o), o.Count, s.Price, s.Together, s.Singly, sheet.Bold(less(s.Together, s.Singly)), asGood(s))
		}
	}
	return t
}

func asGood(s *doubles.Set) string {
	if s.AsGood.Err != nil {
		return resale.Reason(s.AsGood.Err)
	}
	return "together at " + s.AsGood.Price.Said()
}

// PriceWorking is what becomes of one price of an offer, line by line.
func PriceWorking(r *doubles.Result, o *doubles.Offer, out *resale.Result) Result {
	q := r.Quote(o)
	return Result{
		Sheet: func() *sheet.Sheet { return priceWorkingSheet(o, q, out) },
		Table: func() *sheet.Table { return priceWorkingTable(o, q, out) },
		JSON:  func() any { return priceWorkingJSON(o, q, out) },
		Of:    r.Statement,
	}
}

func priceWorkingSheet(o *doubles.Offer, q *doubles.Quote, out *resale.Result) *sheet.Sheet {
	doc := sheet.New(priceWorkingTable(o, q, out))
	if out.SalesTax.Sign() != 0 {
		pays := money.New(out.Price.Minor()+out.Charged.Minor()+out.SalesTax.Minor(), out.Price.Currency())
		doc.Add(remark(fmt.Sprintf("the buyer pays %s, of it %s tax that the venue passes on", pays, out.SalesTax)))
	}
	doc.AddIf(out.Unsold.Sign() > 0, remark(fmt.Sprintf("if nobody buys it, listing it costs %s", out.Unsold)))
	doc.AddIf(len(q.Sale().Venue.Fees) > 1, remark("each fee is rounded by itself"))
	return doc.Add(notes(sheet.Caution, gapTexts(q, true)...)...)
}

func priceWorkingTable(o *doubles.Offer, q *doubles.Quote, out *resale.Result) *sheet.Table {
	t := &sheet.Table{Title: fmt.Sprintf("%s at %s, sold at %s", OfferName(o), q.Sale().Venue.Name, out.Price), Columns: []sheet.Column{
		{Head: "what", Key: "what", Wrap: true, Min: 14},
		{Head: "rule", Key: "rule", Wrap: true, Min: 14},
		{Head: q.Cost.Currency().Code(), Key: "amount", Align: sheet.Right},
	}}
	for _, l := range out.Steps {
		t.Add(l.What, l.Rule, l.Amount)
	}
	t.AddSum("net proceeds", nil, out.Net)
	t.AddSum("cost of the piece", nil, negative(q.Cost))
	missed := out.Left.Cmp(out.Target) < 0 && out.Target.Sign() != 0
	t.AddSum("profit", sheet.Either(missed, "the target is "+out.Target.Said(), ""), out.Left)
	return t
}
