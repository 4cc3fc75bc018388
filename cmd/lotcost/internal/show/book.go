package show

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/money"
)

// Book is the overview of many hauls: what there is, what each year earned, by
// seller and by venue, what is double, and how good the guesses were.
func Book(r *book.Result) Result {
	return resultOf(r, overviewSheet, yearTable, overviewJSON)
}

func overviewSheet(r *book.Result) *sheet.Sheet {
	doc := bookSheet(r, BookAnswer(r))
	if r.Hauls == 0 {
		return doc
	}
	doc.Add(sheet.PageOnly(func() []sheet.Block {
		return append(append([]sheet.Block{bookGlance(r)}, periodsChart(r)...), saidChart(&r.Guesses)...)
	}))
	doc.Add(yearTable(r)).Add(yearText(r)...)
	addReturns(doc, r)
	doc.Add(sheet.Text(methodText(r)), accountTable(r))
	doc.AddIf(len(r.Venues) > 0, venueTable(r))
	for _, text := range []string{doublesText(r), guessText(&r.Guesses)} {
		doc.AddIf(text != "", sheet.Text(text))
	}
	return doc
}

// bookSheet begins with the answer, and tells what its costs do not hold.
func bookSheet(r *book.Result, answer string) *sheet.Sheet {
	return sheet.New(sheet.Heading(answer)).AddIf(r.OmitBorder > 0, caution(fmt.Sprintf("%s of %d came, or may have come, over a border that is not counted, since nothing is said of customs in them: lotcost check says what it may add", Plural(int64(r.OmitBorder), "haul"), r.Hauls)))
}

// BookAnswer is the book in one line.
func BookAnswer(r *book.Result) string {
	if r.Hauls == 0 {
		return "The book is empty"
	}
	return fmt.Sprintf("%s: %s, %s", Plural(int64(r.Hauls), "haul"), heldText(r), earnedText(r, r.Years, "nothing sold yet", " so far"))
}

func heldText(r *book.Result) string {
	return fmt.Sprintf("%s on hand that cost %s", Plural(onHand(r), "piece"), r.Total)
}

// earnedText is what years earned, or that nothing came of them.
func earnedText(r *book.Result, years []book.Period, nothing, so string) string {
	profit := sumEach(years, func(p *book.Period) int64 { return p.Profit().Minor() })
	if profit == 0 && !slices.ContainsFunc(years, func(p book.Period) bool { return p.Proceeds().Sign() != 0 }) {
		return nothing
	}
	return profitText(money.New(profit, r.Home)) + so
}

// yearsAnswer is what the last year earned, then all of them.
func yearsAnswer(r *book.Result) string {
	n := len(r.Years)
	if r.Hauls == 0 || n == 0 {
		return BookAnswer(r)
	}
	last, all := earnedText(r, r.Years[n-1:], "nothing sold", ""), earnedText(r, r.Years, "nothing sold", "")
	return periodName(&r.Years[n-1]) + ": " + last + sheet.Either(last != all, ", in all years "+all, "") + "; " + heldText(r)
}

// BookSums is what [BookAnswer] leaves out: what a year earned so far, where there are several, and
// how many doubles are to sell.
func BookSums(r *book.Result, on time.Time) string {
	var text []string
	for y := range sheet.All(r.Years) {
		if len(r.Years) > 1 && !on.Before(y.From) && on.Before(y.From.AddDate(1, 0, 0)) {
			text = append(text, fmt.Sprintf("%s: %s.", periodName(y), profitText(y.Profit())))
		}
	}
	if doubles := extra(r); doubles > 0 {
		text = append(text, Plural(doubles, "double")+" to sell.")
	}
	return strings.Join(text, " ")
}

// onHand counts what is in stock.
func onHand(r *book.Result) int64 {
	return sumEach(r.Stock, func(s *book.Stock) int64 { return s.Count })
}

// extra counts what there is more than is wanted.
func extra(r *book.Result) int64 {
	return sumEach(r.Doubles, func(d *book.Double) int64 { return d.Extra })
}

// sumEach adds up a number of each entry of a list.
func sumEach[T any](list []T, of func(*T) int64) int64 {
	n := int64(0)
	for entry := range sheet.All(list) {
		n += of(entry)
	}
	return n
}

// methodText says by which method costs are reported.
func methodText(r *book.Result) string {
	if r.Average {
		return "Cost by moving average: the pieces of one model and state leave at the average of the moment."
	}
	return "Cost by specific identification: each piece leaves at its own, the cheaper pieces of an item first."
}

// yearText says when years begin that are not those of the calendar; nothing of others.
func yearText(r *book.Result) []sheet.Block {
	if len(r.Years) == 0 || isCalendar(r.Years[0].From) {
		return nil
	}
	return []sheet.Block{sheet.Text("A year begins on " + r.Years[0].From.Format("2 January") + ".")}
}

func doublesText(r *book.Result) string {
	n := extra(r)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("More than wanted: %s, of %s.", Plural(n, "piece"), named(sheet.Each(r.Doubles, func(d *book.Double) string { return d.Model })))
}

func guessText(g *book.Guesses) string {
	if g.Pieces == 0 {
		return ""
	}
	return fmt.Sprintf("Of %s said to be sound with a chance of %s on average, %d were (%s).", Plural(g.Pieces, "untested piece"), percent(g.Mean), g.Came, percent(ratio(g.Came, g.Pieces)))
}

// amounts makes right-aligned columns of amounts: heads and keys in turn.
func amounts(home money.Currency, names ...string) []sheet.Column {
	var columns []sheet.Column
	for _, name := range names {
		columns = append(columns, sheet.Column{Head: name, Key: strings.ReplaceAll(name, " ", "_"), Align: sheet.Right})
	}
	columns[0].Head += ", " + home.Code()
	return columns
}

func yearTable(r *book.Result) *sheet.Table { return periodTable(r.Home, r.Years) }

// periodTable is years or months with what came of them.
func periodTable(home money.Currency, periods []book.Period) *sheet.Table {
	first := sheet.Either(len(periods) > 0 && periods[0].Month != 0, sheet.Column{Head: "month", Key: "month"}, sheet.Column{Head: "year", Key: "year"})
	t := &sheet.Table{Topic: first.Key + "s", Columns: append([]sheet.Column{first}, amounts(home, "stock start", "bought", "cost of sold", "written off", "stock end", "proceeds", "fees", "postage", "profit")...)}
	t.Columns = append(t.Columns, sheet.Column{Head: "value added tax", Key: "value_added_tax", Align: sheet.Right, Machine: !taxed(periods)})
	if anyOf(periods, func(p *book.Period) money.Amount { return p.Refunded }) {
		t.Columns = append(t.Columns, sheet.Column{Key: "refunded", Align: sheet.Right, Machine: true})
	}
	for p := range sheet.All(periods) {
		cells := []any{periodCell(p), p.Start, p.Bought, p.Cost, p.WrittenOff, p.End, p.Proceeds(), p.Fees, p.Sending, p.Profit(), p.VAT, p.Refunded}
		t.Add(cells[:len(t.Columns)]...)
	}
	return t
}

// taxed reports whether value added tax was due in any of the periods.
func taxed(periods []book.Period) bool {
	return anyOf(periods, func(p *book.Period) money.Amount { return p.VAT })
}

// anyOf reports whether an amount of any entry of a list is not zero.
func anyOf[T any](list []T, of func(*T) money.Amount) bool {
	return slices.ContainsFunc(list, func(e T) bool { return of(&e).Sign() != 0 })
}

// addReturns tells what was refunded in which year, where anything was.
func addReturns(doc *sheet.Sheet, r *book.Result) {
	var years []string
	for p := range sheet.All(r.Years) {
		if p.Refunded.Sign() != 0 || p.PiecesReturned > 0 {
			years = append(years, fmt.Sprintf("%s in %s, with %s returned", p.Refunded, periodName(p), Plural(p.PiecesReturned, "piece")))
		}
	}
	doc.AddIf(len(years) > 0, sheet.Text("Refunds are taken off the proceeds: "+strings.Join(years, "; ")+". The cost of what came back is off the cost of sold: it is in stock again, or written off where the pieces are worth less."))
}

// periodCell is a year, in a workbook as a number, or a month.
func periodCell(p *book.Period) sheet.Cell {
	name := periodName(p)
	if p.Month == 0 && isCalendar(p.From) {
		return sheet.Cell{Text: name, Data: name, Format: "0"}
	}
	return sheet.Cell{Text: name}
}

// isCalendar reports whether a year that begins on a day is one of the calendar.
func isCalendar(from time.Time) bool { return from.YearDay() == 1 }

// periodName is 2026, 2026/27 where years begin in the middle of it, or 2026-03.
func periodName(p *book.Period) string {
	switch year := p.From.Year(); {
	case p.Month != 0:
		return p.From.Format("2006-01")
	case isCalendar(p.From):
		return strconv.Itoa(year)
	default:
		return fmt.Sprintf("%d/%02d", year, (year+1)%100)
	}
}

// accountTable is what came of each seller.
func accountTable(r *book.Result) *sheet.Table {
	t := &sheet.Table{Title: "By seller", Columns: append([]sheet.Column{{Head: "seller", Wrap: true}, {Head: "pieces", Align: sheet.Right}, {Head: "sold", Align: sheet.Right}},
		amounts(r.Home, "bought", "cost of sold", "written off", "in stock", "proceeds", "profit")...)}
	for a := range sheet.All(r.Sellers) {
		t.Add(cmp.Or(a.Name, "not named"), a.PiecesBought, a.PiecesSold, a.Bought, a.Cost, a.WrittenOff, a.Left(), a.Proceeds(), a.Profit())
	}
	return t
}

// venueTable is what came of each venue.
func venueTable(r *book.Result) *sheet.Table {
	t := &sheet.Table{Title: "By where it sold", Columns: append([]sheet.Column{{Head: "venue", Wrap: true}, {Head: "sales", Align: sheet.Right}, {Head: "pieces", Align: sheet.Right}},
		append(amounts(r.Home, "proceeds", "fees", "postage", "cost of sold", "profit"), sheet.Column{Head: "days held", Align: sheet.Right})...)}
	var more []func(*book.Account) any
	column := func(head string, optional int, there bool, of func(*book.Account) any) {
		if there {
			t.Columns = append(t.Columns, sheet.Column{Head: head, Align: sheet.Right, Optional: optional})
			more = append(more, of)
		}
	}
	column("returned", 1, sumEach(r.Venues, func(a *book.Account) int64 { return a.PiecesReturned }) != 0, func(a *book.Account) any { return a.PiecesReturned })
	column("written off", 2, anyOf(r.Venues, func(a *book.Account) money.Amount { return a.WrittenOff }), func(a *book.Account) any { return a.WrittenOff })
	column("value added tax", 2, anyOf(r.Venues, func(a *book.Account) money.Amount { return a.VAT }), func(a *book.Account) any { return a.VAT })
	for a := range sheet.All(r.Venues) {
		cells := []any{cmp.Or(a.Name, "not named"), a.Sales, a.PiecesSold, a.Proceeds(), a.Fees, a.Sending, a.Cost, a.Profit(), daysHeld(&a.Figures)}
		for _, of := range more {
			cells = append(cells, of(a))
		}
		t.Add(cells...)
	}
	return t
}

// daysHeld is how long pieces were held on average, in whole days.
func daysHeld(f *book.Figures) int64 {
	if f.PiecesSold == 0 {
		return 0
	}
	return (2*f.PieceDays + f.PiecesSold) / (2 * f.PiecesSold)
}

// Years is each year, or each month, of a book.
func Years(r *book.Result, months bool) Result {
	table := func() *sheet.Table { return periodTable(r.Home, sheet.Either(months, r.Months, r.Years)) }
	return Result{
		Sheet: func() *sheet.Sheet {
			doc := bookSheet(r, yearsAnswer(r))
			if r.Hauls == 0 {
				return doc
			}
			doc.Add(table(), sheet.PageOnly(func() []sheet.Block { return periodsChart(r) })).Add(yearText(r)...)
			addReturns(doc, r)
			tax := sheet.Either(taxed(r.Years), "value added tax, ", "")
			return doc.Add(sheet.Text("Stock at the end is stock at the start and what was bought, less the cost of what was sold and what was written off. Profit is proceeds less fees, postage, "+tax+"the cost of what was sold and what was written off. Stock is at cost, also of what would bring less; what was paid for no haul, as for a room, a journey or a month at a venue, is not in the profit."), sheet.Text(methodText(r)))
		},
		Table: table,
		JSON:  func() any { return yearsJSON(r, months) },
	}
}

// Stock is the pieces on hand, with their age on a day.
func Stock(r *book.Result, on time.Time) Result {
	return Result{
		Sheet: func() *sheet.Sheet { return stockSheet(r, on) },
		Table: func() *sheet.Table { return stockTable(r, on) },
		JSON:  func() any { return stockJSON(r, on) },
	}
}

func stockSheet(r *book.Result, on time.Time) *sheet.Sheet {
	if len(r.Stock) == 0 {
		return sheet.New(sheet.Heading("Nothing is on hand"))
	}
	text := heldText(r)
	sum, pieces, blank, err := r.Expected()
	switch {
	case err != nil || pieces == 0 && blank == 0:
	case pieces+blank == onHand(r) && pieces > 0:
		text += fmt.Sprintf(" and should sell for %s", sum)
	case pieces > 0:
		text += fmt.Sprintf("; the %d for sale should sell for %s", pieces+blank, sum)
	}
	text += sheet.Either(blank > 0, fmt.Sprintf(", %d of them without a value", blank), "")
	doc := bookSheet(r, text).Add(sheet.PageOnly(func() []sheet.Block { return periodsChart(r) }), stockTable(r, on))
	doc.AddIf(!r.Average, sheet.Text("Break-even: the lowest price at the usual venue without a loss on the dearest of the pieces; kept pieces have none."))
	return doc.Add(sheet.Text(methodText(r)))
}

func stockTable(r *book.Result, on time.Time) *sheet.Table {
	t := &sheet.Table{Topic: "stock", Folds: true, Columns: append([]sheet.Column{
		{Head: "haul", Key: "haul", Wrap: true, Min: 14}, {Head: "lot", Key: "lot", Machine: true}, {Head: "item", Key: "id", Wrap: true, Min: 10}, {Head: "model", Key: "model", Wrap: true, Optional: 2}, {Head: "what", Key: "what", Wrap: true, Min: 12, Optional: 3},
		{Head: "state", Key: "state"}, {Head: "pieces", Key: "count", Align: sheet.Right}},
		append(amounts(r.Home, "cost", "each", "value"), sheet.Column{Head: "break-even", Key: "even_at", Align: sheet.Right}, sheet.Column{Head: "bought", Key: "bought", Optional: 1}, sheet.Column{Head: "days", Key: "days", Align: sheet.Right})...)}
	for s := range sheet.All(r.Stock) {
		t.Add(s.Haul, s.Lot, s.ID, s.Model, s.What, s.State, s.Count, s.Cost, s.Each[0].Each, s.Value, evenText(r, s), s.Bought, s.Age(on))
	}
	t.AddSum("sum", nil, nil, nil, nil, nil, onHand(r), r.Total)
	return t
}

// evenText is what a piece must bring, with its currency where that is not home.
func evenText(r *book.Result, s *book.Stock) string {
	if s.Even.Currency() != r.Home && s.Even.Currency() != 0 {
		return s.Even.String()
	}
	return number(s.Even)
}

// Doubles is the models of which there is more than is wanted.
func Doubles(r *book.Result) Result {
	return resultOf(r, doublesSheet, doublesTable, func(r *book.Result) object { return object{"doubles", doublesJSON(r)} })
}

func doublesSheet(r *book.Result) *sheet.Sheet {
	text, order := doublesText(r), "the cheapest"
	if text == "" {
		return sheet.New(sheet.Heading("Nothing is double")).AddIf(len(r.Unmodelled) > 0, unmodelledText(r))
	}
	if r.Dearest {
		order = "the dearest"
	}
	return sheet.New(sheet.Heading(strings.TrimSuffix(text, ".")), sheet.PageOnly(func() []sheet.Block { return doublesChart(r) }), doublesTable(r),
		sheet.Text("To sell: "+order+" of each model; --sell says otherwise.")).AddIf(len(r.Unmodelled) > 0, unmodelledText(r))
}

// unmodelledText names what was not looked at since no model was written.
func unmodelledText(r *book.Result) sheet.Block {
	names := sheet.Each(r.Unmodelled, func(u *book.Unmodelled) string { return fmt.Sprintf("%s (%d)", u.What, u.OnHand) })
	return sheet.Text("Doubles are found by their model. These are called the same and have none: " + named(names) + ". Write one at each in its haul, as in model: jack-5.")
}

// mostSold is how many of the copies to sell are named: the stock has all of a model.
const mostSold = 4

func doublesTable(r *book.Result) *sheet.Table {
	t := &sheet.Table{Topic: "doubles", Columns: []sheet.Column{{Head: "model", Key: "model", Wrap: true}, {Head: "on hand", Key: "on_hand", Align: sheet.Right}, {Head: "wanted", Key: "wanted", Align: sheet.Right}, {Head: "extra", Key: "extra", Align: sheet.Right}, {Head: "to sell", Key: "sell", Wrap: true, Min: 20}}}
	for d := range sheet.All(r.Doubles) {
		var sell []string
		for _, c := range d.Sell {
			kept := sheet.Either(c.Kept, ", kept there", "")
			sell = append(sell, fmt.Sprintf("%d x %s of %s at %s%s", c.Count, c.ID, c.Haul, c.Each.Said(), kept))
		}
		all := strings.Join(sell, "; ")
		shown := sheet.Cell{Text: all, Data: all}
		if len(sell) > mostSold {
			left := sumEach(d.Sell[mostSold:], func(c *book.Copy) int64 { return c.Count })
			shown.Text = fmt.Sprintf("%s; and %d more", strings.Join(sell[:mostSold], "; "), left)
		}
		t.Add(d.Model, d.OnHand, d.Wanted, d.Extra, shown)
	}
	return t
}

// Sales is every sale of a book.
func Sales(r *book.Result) Result {
	return resultOf(r, salesSheet, salesTable, salesJSON)
}

func salesSheet(r *book.Result) *sheet.Sheet {
	if len(r.Sales) == 0 {
		return sheet.New(sheet.Heading("Nothing was sold"))
	}
	sold, pieces, back := int64(0), int64(0), int64(0)
	for s := range sheet.All(r.Sales) {
		if s.ReturnOf.IsZero() {
			sold, pieces = sold+1, pieces+s.Count
		} else {
			back -= s.Count
		}
	}
	left := sumEach(r.Sales, func(s *book.Sale) int64 { return s.Profit().Minor() })
	answer := fmt.Sprintf("%s of %s", Plural(sold, "sale"), Plural(pieces, "piece")) + sheet.Either(back > 0, fmt.Sprintf(", of which %d came back", back), "")
	answer += ": " + profitText(money.New(left, r.Home))
	return bookSheet(r, answer).Add(sheet.PageOnly(func() []sheet.Block { return periodsChart(r) }), salesTable(r), sheet.Text(methodText(r)))
}

func salesTable(r *book.Result) *sheet.Table {
	taxed := anyOf(r.Sales, func(s *book.Sale) money.Amount { return s.VAT })
	t := &sheet.Table{Topic: "sales", Folds: true, Columns: append([]sheet.Column{{Head: "day", Key: "date"}, {Head: "haul", Key: "haul", Wrap: true, Min: 14, Optional: 2}, {Head: "lot", Key: "lot", Machine: true}, {Head: "item", Key: "id", Wrap: true, Min: 10}, {Head: "model", Key: "model", Wrap: true, Optional: 3}, {Head: "venue", Key: "venue", Wrap: true, Optional: 1}, {Head: "pieces", Key: "count", Align: sheet.Right}},
		append(amounts(r.Home, "price", "charged", "fees", "postage", "cost", "profit"), sheet.Column{Head: "days", Key: "days_held", Align: sheet.Right}, sheet.Column{Head: "value added tax", Key: "value_added_tax", Align: sheet.Right, Machine: !taxed})...)}
	if slices.ContainsFunc(r.Sales, func(s book.Sale) bool { return !s.ReturnOf.IsZero() }) {
		lost := anyOf(r.Sales, func(s *book.Sale) money.Amount { return s.WrittenOff })
		t.Columns = append(t.Columns, sheet.Column{Key: "return_of", Machine: true}, sheet.Column{Head: "written off", Key: "written_off", Machine: !lost, Align: sheet.Right})
	}
	for s := range sheet.All(r.Sales) {
		item := sheet.Cell{Text: s.ID}
		switch {
		case s.ReturnOf.IsZero():
		case s.Count == 0:
			item = sheet.Cell{Text: s.ID + ", refunded", Data: s.ID}
		default:
			item = sheet.Cell{Text: s.ID + ", returned", Data: s.ID}
		}
		cells := []any{s.Day, s.Haul, s.Lot, item, s.Model, s.Venue, s.Count, s.Price, s.Charged, s.Fees, s.Sending, s.Cost, s.Profit(), s.Days(), s.VAT, s.ReturnOf, s.WrittenOff}
		t.Add(cells[:len(t.Columns)]...)
	}
	return t
}

// Record is the pieces of a haul for the tax office.
type Record struct {
	Haul string
	home money.Currency
	rows [][]sheet.Cell
}

// RecordOf is what each piece of an entry cost and of what that is made.
func RecordOf(e *book.Entry) Record {
	st := e.Statement
	r := Record{Haul: strings.Clone(e.Name), home: st.Home}
	var rates, days []string
	for _, rate := range st.Rates() {
		of := rate.Day
		if of.IsZero() {
			of = st.Haul.Date
		}
		rates, days = append(rates, rate.String()), append(days, day(of))
	}
	for c := range sheet.All(st.Items) {
		for _, g := range c.AppendGroups(nil) {
			var made []string
			kinds := make([]sheet.Cell, landed.Kinds)
			for k := range landed.Kind(landed.Kinds) {
				share := g.Share(k)
				if kinds[k].Text = share.Number(); share.Sign() != 0 {
					made = append(made, k.String()+" "+share.Number())
				}
			}
			row := []sheet.Cell{{Text: day(st.Haul.Date)}, {Text: r.Haul}, {Text: strings.Clone(c.Lot.ID)}, {Text: strings.Clone(c.ID)}, {Text: strings.Clone(cmp.Or(g.What, c.What))}, {Text: strings.Clone(c.Model)}, {Text: g.State.String()},
				{Text: strconv.FormatInt(g.Count, 10)}, {Text: g.Each.Number()}, {Text: g.Cost.Number()}, {Text: strings.Join(made, ", ")}}
			row = append(append(row, kinds...), sheet.Cell{Text: strings.Join(rates, "; ")}, sheet.Cell{Text: strings.Join(days, "; ")})
			r.rows = append(r.rows, row)
		}
	}
	return r
}

// PieceRecord is a record of every piece that was bought, haul by haul.
func PieceRecord(r *book.Result, records []Record) Result {
	slices.SortFunc(records, func(a, b Record) int { return strings.Compare(a.Haul, b.Haul) })
	table := func() *sheet.Table {
		cost := ", " + r.Home.Code()
		t := &sheet.Table{Topic: "record", Columns: []sheet.Column{{Head: "day", Key: "date"}, {Head: "haul", Key: "haul", Wrap: true, Min: 12}, {Head: "lot", Key: "lot", Machine: true}, {Head: "item", Key: "id", Wrap: true}, {Head: "what", Key: "what", Wrap: true, Min: 12},
			{Head: "model", Key: "model", Machine: true}, {Head: "state", Key: "state"}, {Head: "pieces", Key: "count", Align: sheet.Right}, {Head: "each" + cost, Key: "each", Align: sheet.Right}, {Head: "cost", Key: "cost", Align: sheet.Right}, {Head: "made of", Wrap: true, Min: 16}}}
		for k := range landed.Kind(landed.Kinds) {
			t.Columns = append(t.Columns, sheet.Column{Head: k.String(), Key: k.String(), Align: sheet.Right, Machine: true})
		}
		t.Columns = append(t.Columns, sheet.Column{Head: "rate, with the card's spread", Key: "rate", Wrap: true, Min: 14}, sheet.Column{Head: "rate of", Key: "rate_day", Wrap: true})
		for _, record := range records {
			if record.home != r.Home {
				continue
			}
			for _, row := range record.rows {
				t.Rows = append(t.Rows, sheet.Row{Cells: row})
			}
		}
		return t
	}
	return Result{
		Sheet: func() *sheet.Sheet {
			return bookSheet(r, "What each piece cost, and of what that is made").Add(table(), sheet.Text("A piece that is dead or missing has the cost that was written off for it. Where the bank took an amount of its own, that stands in place of a conversion."))
		},
		Table: table,
		JSON:  func() any { return recordJSON(table()) },
	}
}
