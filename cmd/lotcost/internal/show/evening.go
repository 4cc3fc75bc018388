package show

import (
	"fmt"
	"math/big"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
	"lotcost/landed/odds"
)

// Evening is what to bid for several lots that close one after the other: the table of
// them first, then what is to be expected; and for a page what to bid once the first lots are won
// or lost, as each is marked: nil where that is not worked out.
func Evening(title string, e *bid.Evening, courses []bid.Course) Result {
	r := Result{
		Sheet: func() *sheet.Sheet { return eveningSheet(e, courses) },
		Table: func() *sheet.Table { return eveningTable(e) },
		JSON:  func() any { return eveningJSON(title, e) },
		Of:    e.Won.Statement, Before: e.Before, At: fmt.Sprintf(", with %s won at the limit", named(e.Won.Lots)),
	}
	if courses != nil {
		r.Tool = func() sheet.Tool { return nightOf(e, courses) }
	}
	return r
}

// winText is how likely a lot is won up to its limit.
func winText(l *bid.LotTonight) sheet.Text {
	text := fmt.Sprintf("Chance to win it up to %s: %s", l.Limit, percent(l.Won))
	if l.Price != nil {
		text += fmt.Sprintf(", then at %s on average", homeSum(l.Price, l.Bids))
	}
	return sheet.Text(text + ".")
}

func eveningSheet(e *bid.Evening, courses []bid.Course) *sheet.Sheet {
	left := Left(e.Before, e.Goal.Budget)
	doc := sheet.New(sheet.Heading(eveningAnswer(e))).AddIf(left != "", left).Add(sheet.Text(eveningWhy(e)))
	if courses != nil {
		doc.Add(eveningChart(e, courses)...)
	}
	doc.Add(eveningTable(e))
	if e.Plan != nil && len(e.Plan.Moves) > 0 {
		doc.Add(eveningMoves(e))
	}
	for l := range sheet.All(e.Lots) {
		if l.Why != nil {
			doc.Add(remark(fmt.Sprintf("no service takes %s: %s", l.ID, whyText(l.Why))))
		}
	}
	if e.Plan != nil && e.Plan.Most != nil {
		doc.Add(caution(fmt.Sprintf("there are so many ways for the evening to go that some which cost nearly the same are taken together, at the highest of their costs: the plan is worth %s at least, and no plan more than %s, unless some cost falls as a bid rises",
			homeSum(e.Plan.Value, e.Home), homeSum(e.Plan.Most, e.Home))))
	}
	if e.Plan != nil {
		doc.Add(remark("the limit now is for when all lots before it are lost; once one is won or lost, ask again with --won or --lost, or write it in the file"),
			caution("what each may go for is taken as it is said, whatever you bid and win: who answers your bids is not foreseen"))
	}
	return doc
}

// Left says what is left of a budget beside what is bought; "" where there is none, or nothing is
// bought.
func Left(bought *landed.Statement, budget money.Amount) sheet.Text {
	if bought == nil || budget.Currency() != bought.Home {
		return ""
	}
	left, how := budget.Minor()-bought.Total.Minor(), "is left of the budget of "
	if left < 0 {
		left, how = -left, "more is paid already than the budget of "
	}
	return sheet.Text(fmt.Sprintf("%s %s%s.", money.New(left, bought.Home), how, budget))
}

// eveningAnswer is the answer in one line.
func eveningAnswer(e *bid.Evening) string {
	first := &e.Lots[0]
	switch {
	case e.Plan == nil:
		return fmt.Sprintf("%s open: the highest bid for each by itself", Plural(int64(len(e.Lots)), "lot"))
	case first.Limit.Currency() == 0 && e.Plan.Nothing.Cmp(big.NewRat(1, 1)) == 0:
		return fmt.Sprintf("No bid pays for any of %s", Plural(int64(len(e.Lots)), "open lot"))
	case first.Limit.Currency() == 0:
		return fmt.Sprintf("No bid for %s, which closes first: the money does more for those after it", first.ID)
	}
	return fmt.Sprintf("Bid up to %s for %s, which closes first", first.Limit, first.ID)
}

// eveningWhy is what comes of it, in words.
func eveningWhy(e *bid.Evening) string {
	p := e.Plan
	if p == nil {
		why := "What some of them may go for is not said (key likely of the lot), so there is no plan for them together."
		if e.TooMany {
			why = "There are too many ways for the evening to go to plan it: say fewer prices that each may go for, such as a list of five, or put off the lots that close last."
		}
		return why
	}
	home := func(r *big.Rat) money.Amount { return homeSum(r, e.Home) }
	cost, proceeds, more := home(p.Cost), home(p.Proceeds), sheet.Either(p.Most != nil, "much more", "more")
	var b strings.Builder
	fmt.Fprintf(&b, "Expected of the evening%s: net proceeds of %s for %s more spent, %s.", then(", sold at ", e.Venue), proceeds, cost, profitText(home(new(big.Rat).Sub(p.Proceeds, p.Cost))))
	if e.Goal.Return != nil {
		fmt.Fprintf(&b, " Above a return of %s on the cost that is %s: no other limits make it %s.", money.FormatPercent(*e.Goal.Return), home(p.Value), more)
	}
	switch {
	case p.LossHigh == nil:
	case p.Most != nil:
		fmt.Fprintf(&b, " Chance of a loss: %s at most.", percent(p.LossHigh))
	default:
		fmt.Fprintf(&b, " Chance of a loss: %s.", percent(p.LossHigh))
	}
	fmt.Fprintf(&b, " Chance that nothing is won: %s.", percent(p.Nothing))
	if e.Goal.Budget.Currency() != 0 {
		fmt.Fprintf(&b, " The budget of %s holds whatever comes.", e.Goal.Budget)
	}
	for g := range sheet.All(p.Goals) {
		met := "is met"
		switch {
		case g.Met == nil:
			met = "may be met: that is not known"
		case !*g.Met:
			met = "is not met"
		}
		fmt.Fprintf(&b, "\nOver the evening the goal of %s %s.", g.String(), met)
	}
	if len(e.Beside) > 0 {
		fmt.Fprintf(&b, "\nAll this is beside %s, already bought.", named(e.Beside))
	}
	return b.String()
}

// homeSum is minor units as an amount, rounded half away from zero.
func homeSum(r *big.Rat, in money.Currency) money.Amount {
	n, ok := new(big.Int).SetString(r.FloatString(0), 10)
	if !ok || !n.IsInt64() {
		return money.Amount{}
	}
	return money.New(n.Int64(), in)
}

func eveningTable(e *bid.Evening) *sheet.Table {
	t := &sheet.Table{Topic: "evening", Columns: []sheet.Column{
		{Head: "closes", Key: "closes", Optional: 2},
		{Head: "lot", Key: "id"},
		{Head: "may go for", Key: "likely", Align: sheet.Right, Optional: 4},
		{Key: "currency", Machine: true},
		{Head: "limit\nnow", Key: "limit", Align: sheet.Right},
		{Head: "if the others\nare lost", Key: "alone", Align: sheet.Right, Optional: 1},
		{Head: "if they\nare won", Key: "beside_all", Align: sheet.Right, Optional: 1},
		{Head: "chance\nto win", Key: "chance_won", Align: sheet.Right},
		{Head: "then paid\non average", Key: "expected_price", Align: sheet.Right, Optional: 3},
	}}
	for l := range sheet.All(e.Lots) {
		cell := func(a money.Amount, known bool) sheet.Cell {
			switch {
			case !known:
				return sheet.Cell{}
			case a.Currency() == 0:
				return sheet.Cell{Text: limitText(a)}
			}
			return sheet.Cell{Text: a.String(), Data: a.Number()}
		}
		limit := cell(l.Limit, e.Plan != nil)
		limit.Tone = sheet.Strong
		likely := ""
		if l.Likely != nil {
			likely = binText(odds.Bin{From: l.Least, To: l.Most})
		}
		won := given(l.Won, func(r *big.Rat) sheet.Cell { return sheet.Cell{Text: percent(r), Data: r.FloatString(6)} })
		price := given(l.Price, func(r *big.Rat) sheet.Cell { return cell(homeSum(r, l.Bids), true) })
		t.Add(closesCell(l.Closes), l.ID, likely, l.Bids, limit, cell(l.Alone, true), cell(l.BesideAll, l.Together), won, price)
	}
	return t
}

func closesCell(at time.Time) sheet.Cell {
	if at.IsZero() {
		return sheet.Cell{}
	}
	return sheet.Cell{Text: at.Format("2006-01-02 15:04")}
}

// eveningMoves is what would change the first limit and the evening.
func eveningMoves(e *bid.Evening) *sheet.Table {
	t := &sheet.Table{Topic: "what would change it", Title: "What would change the limit for " + e.Lots[0].ID, Columns: []sheet.Column{{Head: "if this were"}, {Head: "10% less", Align: sheet.Right}, {Head: "10% more", Align: sheet.Right}}}
	for _, m := range e.Plan.Moves {
		t.Add(factorText(m.Factor, e.Lots[0].Bids), limitText(m.Less), limitText(m.More))
	}
	return t
}

func eveningJSON(title string, e *bid.Evening) any {
	var goals, moves []object
	if e.Plan != nil {
		goals = sheet.Each(e.Plan.Goals, func(g *bid.Limit) object {
			var met any
			if g.Met != nil {
				met = *g.Met
			}
			return object{"goal", g.Goal, "want", g.Want, "met", met}
		})
		moves = sheet.Each(e.Plan.Moves, moveJSON)
	}
	return object{"title", title, "home", e.Home, "beside?", e.Beside, "venue?", e.Venue, "evening?", eveningSums(e), "too_many_ways?", e.TooMany,
		"lots", eveningLots(e), "goals?", goals, "moves?", moves, "border?", given(e.Won.Statement, besideJSON)}
}

// eveningSums is what is to be expected of the evening; nil where there is no plan.
func eveningSums(e *bid.Evening) object {
	p := e.Plan
	if p == nil {
		return nil
	}
	home := func(r *big.Rat) money.Amount { return homeSum(r, e.Home) }
	return object{"value", home(p.Value), "expected_cost", home(p.Cost), "expected_proceeds", home(p.Proceeds), "expected_profit", home(new(big.Rat).Sub(p.Proceeds, p.Cost)),
		"expected_prices", home(p.Paid), "chance_of_nothing", fraction(p.Nothing), "chance_of_loss", fraction(p.LossHigh), "value_at_most?", given(p.Most, home)}
}

func eveningLots(e *bid.Evening) []object {
	return sheet.Each(e.Lots, func(l *bid.LotTonight) object {
		var likely object
		if l.Likely != nil {
			likely = object{"least", l.Least, "middle", l.Middle, "most", l.Most}
		}
		price := given(l.Price, func(r *big.Rat) money.Amount { return homeSum(r, l.Bids) })
		why := ""
		if l.Why != nil {
			why = whyText(l.Why)
		}
		return object{"id", l.ID, "title?", l.Title, "closes?", closesCell(l.Closes).Text, "bids", l.Bids, "likely?", likely, "limit", orNull(l.Limit), "alone", orNull(l.Alone),
			"beside_all", orNull(l.BesideAll), "chance_won", fraction(l.Won), "expected_price", orNull(price), "expected_proceeds", homeSum(l.Brings, e.Home), "why?", why}
	})
}

// orNull is an amount; nil for none.
func orNull(a money.Amount) any {
	if a.Currency() == 0 {
		return nil
	}
	return a
}
