package show

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/bid"
	"lotcost/landed/money"
)

// Evening is what to bid for several lots that close one after the other: the table of
// them first, then what is to be expected.
func Evening(title string, e *bid.Evening) Result {
	return Result{
		Sheet: func() *sheet.Sheet { return eveningSheet(e) },
		Table: func() *sheet.Table { return eveningTable(e) },
		JSON:  func() any { return eveningJSON(title, e) },
		Of:    e.Won.Statement, Before: e.Before, At: fmt.Sprintf(", with %s won at the limit", named(e.Won.Lots)),
	}
}

// WithEvening adds to the bid for the one open lot how likely it is won, where the file says what
// others may pay for it.
func (r Result) WithEvening(a *bid.Answer, moves []bid.Move, e *bid.Evening) Result {
	if e.Plan == nil || e.Lots[0].Limit.Currency() == 0 {
		return r
	}
	sheetOf := r.Sheet
	r.Sheet = func() *sheet.Sheet {
		doc := sheetOf()
		l := &e.Lots[0]
		if l.Limit != a.Best.Bid { // other goals than an evening's hold it down
			return doc
		}
		text := fmt.Sprintf("Chance to win it up to %s: %s", l.Limit, percent(l.Won))
		if l.Price != nil {
			text += fmt.Sprintf(", then at %s on average", homeSum(l.Price, l.Bids))
		}
		doc.Blocks = slices.Insert(doc.Blocks, 2, sheet.Block(sheet.Text(text+".")))
		return doc
	}
	r.JSON = func() any {
		out, evening := bidJSON(a, moves), eveningJSON("", e)
		out.Evening, out.Lots = evening.Evening, evening.Lots
		return out
	}
	return r
}

func eveningSheet(e *bid.Evening) *sheet.Sheet {
	doc := (&sheet.Sheet{}).With(sheet.Heading(eveningAnswer(e)), sheet.Text(eveningWhy(e)), eveningTable(e))
	if e.Plan != nil && len(e.Plan.Moves) > 0 {
		doc.Add(eveningMoves(e))
	}
	for i := range e.Lots {
		if l := &e.Lots[i]; l.Why != nil {
			doc.Add(sheet.Note{Kind: sheet.Remark, Text: fmt.Sprintf("no service takes %s: %s", l.ID, whyText(l.Why))})
		}
	}
	if e.Plan != nil && e.Plan.Most != nil {
		doc.Add(sheet.Note{Kind: sheet.Caution, Text: fmt.Sprintf("there are so many ways for the evening to go that some which cost nearly the same are taken together, at the highest of their costs: the plan is worth %s at least, and no plan more than %s, unless some cost falls as a bid rises",
			homeSum(e.Plan.Value, e.Home), homeSum(e.Plan.Most, e.Home))})
	}
	if e.Plan != nil {
		doc.Add(sheet.Note{Kind: sheet.Remark, Text: "the limit now is for when all lots before it are lost; once one is won or lost, ask again with --won or --lost, or write it in the file"},
			sheet.Note{Kind: sheet.Caution, Text: "what the others pay is taken as it is said under likely, whatever you bid and win: who answers your bids is not foreseen"})
	}
	return doc
}

// eveningAnswer is the answer in one line.
func eveningAnswer(e *bid.Evening) string {
	first := &e.Lots[0]
	switch {
	case e.Plan == nil:
		return fmt.Sprintf("%s open: the highest bid for each by itself", plural(int64(len(e.Lots)), "lot"))
	case first.Limit.Currency() == 0 && e.Plan.Nothing.Cmp(big.NewRat(1, 1)) == 0:
		return fmt.Sprintf("No bid pays for any of %s", plural(int64(len(e.Lots)), "open lot"))
	case first.Limit.Currency() == 0:
		return fmt.Sprintf("No bid for %s, which closes first: the money does more for those after it", first.ID)
	}
	return fmt.Sprintf("Bid up to %s for %s, which closes first", first.Limit, first.ID)
}

// eveningWhy is what comes of it, in words.
func eveningWhy(e *bid.Evening) string {
	p := e.Plan
	if p == nil {
		why := "What some of them may go for is not said (likely: 4000..9000 JPY at the lot), so there is no plan for them together."
		if e.TooMany {
			why = "There are too many ways for the evening to go to plan it: write fewer likely prices, such as a list of five for each lot, or put off the lots that close last."
		}
		return why
	}
	home := func(r *big.Rat) money.Amount { return homeSum(r, e.Home) }
	cost, proceeds, more := home(p.Cost), home(p.Proceeds), "more"
	if p.Most != nil {
		more = "much more"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Expected of the evening: net proceeds%s of %s for %s more spent, %s.", soldAt(e.Venue), proceeds, cost, profitText(home(new(big.Rat).Sub(p.Proceeds, p.Cost))))
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
	for i := range p.Goals {
		g := &p.Goals[i]
		met := "is met"
		switch {
		case !g.Known:
			met = "may be met: that is not known"
		case !g.Met:
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
		{Head: "likely", Key: "likely", Align: sheet.Right, Optional: 4},
		{Key: "currency", Machine: true},
		{Head: "limit\nnow", Key: "limit", Align: sheet.Right},
		{Head: "if the others\nare lost", Key: "alone", Align: sheet.Right, Optional: 1},
		{Head: "if they\nare won", Key: "beside_all", Align: sheet.Right, Optional: 1},
		{Head: "chance\nto win", Key: "chance_won", Align: sheet.Right},
		{Head: "then paid\non average", Key: "expected_price", Align: sheet.Right, Optional: 3},
	}}
	for i := range e.Lots {
		l := &e.Lots[i]
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
		row := []sheet.Cell{closesCell(l.Closes), {Text: l.ID}, {}, {Text: l.Bids.Code()}, limit, cell(l.Alone, true), cell(l.BesideAll, l.Together), {}, {}}
		if l.Likely {
			row[2] = sheet.Cell{Text: l.Least.Number() + " to " + l.Most.Number()}
			if l.Least == l.Most {
				row[2].Text = l.Least.Number()
			}
		}
		if l.Won != nil {
			row[7] = sheet.Cell{Text: percent(l.Won), Data: l.Won.FloatString(6)}
		}
		if l.Price != nil {
			row[8] = cell(homeSum(l.Price, l.Bids), true)
		}
		t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: row})
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
	t := &sheet.Table{Title: "What would change the limit for " + e.Lots[0].ID, Columns: []sheet.Column{{Head: "if this were"}, {Head: "10% less", Align: sheet.Right}, {Head: "10% more", Align: sheet.Right}}}
	for _, m := range e.Plan.Moves {
		t.Rows = append(t.Rows, sheet.Row{Kind: sheet.Body, Cells: []sheet.Cell{{Text: factorText(m.Factor, e.Lots[0].Bids)}, {Text: shiftText(m.Less)}, {Text: shiftText(m.More)}}})
	}
	return t
}

// eveningOut is an evening in JSON. The names are promised to other programs.
type eveningOut struct {
	Title   string        `json:"title"`
	Home    string        `json:"home"`
	Beside  []string      `json:"beside,omitempty"`
	Venue   string        `json:"venue,omitempty"`
	Evening *eveningSums  `json:"evening,omitempty"`
	TooMany bool          `json:"too_many_ways,omitempty"`
	Lots    []eveningLot  `json:"lots"`
	Goals   []eveningGoal `json:"goals,omitempty"`
	Moves   []bidMove     `json:"moves,omitempty"`
	Border  *borderBeside `json:"border,omitempty"`
}

type eveningSums struct {
	Value    string  `json:"value"`
	Cost     string  `json:"expected_cost"`
	Proceeds string  `json:"expected_proceeds"`
	Profit   string  `json:"expected_profit"`
	Paid     string  `json:"expected_prices"`
	Nothing  string  `json:"chance_of_nothing"`
	Loss     *string `json:"chance_of_loss"`
	Most     string  `json:"value_at_most,omitempty"`
}

type eveningLot struct {
	ID       string  `json:"id"`
	Title    string  `json:"title,omitempty"`
	Closes   string  `json:"closes,omitempty"`
	Bids     string  `json:"bids"`
	Likely   *likely `json:"likely,omitempty"`
	Limit    *string `json:"limit"`
	Alone    *string `json:"alone"`
	Beside   *string `json:"beside_all"`
	Won      *string `json:"chance_won"`
	Price    *string `json:"expected_price"`
	Proceeds string  `json:"expected_proceeds"`
	Why      string  `json:"why,omitempty"`
}

type likely struct {
	Least  string `json:"least"`
	Middle string `json:"middle"`
	Most   string `json:"most"`
}

type eveningGoal struct {
	Goal string `json:"goal"`
	Want string `json:"want"`
	Met  *bool  `json:"met"`
}

func eveningJSON(title string, e *bid.Evening) eveningOut {
	out := eveningOut{Title: title, Home: e.Home.Code(), Beside: e.Beside, Venue: e.Venue, TooMany: e.TooMany}
	if e.Won.Statement != nil {
		out.Border = besideJSON(e.Won.Statement.Border)
	}
	home := func(r *big.Rat) string { return homeSum(r, e.Home).Number() }
	if p := e.Plan; p != nil {
		out.Evening = &eveningSums{Value: home(p.Value), Cost: home(p.Cost), Proceeds: home(p.Proceeds), Profit: home(new(big.Rat).Sub(p.Proceeds, p.Cost)),
			Paid: home(p.Paid), Nothing: p.Nothing.FloatString(6), Loss: fractionText(p.LossHigh)}
		if p.Most != nil {
			out.Evening.Most = home(p.Most)
		}
		for i := range p.Goals {
			g := &p.Goals[i]
			met := eveningGoal{Goal: g.Goal, Want: g.Want}
			if g.Known {
				met.Met = &g.Met
			}
			out.Goals = append(out.Goals, met)
		}
		for _, m := range p.Moves {
			out.Moves = append(out.Moves, moveJSON(m))
		}
	}
	for i := range e.Lots {
		l := &e.Lots[i]
		one := eveningLot{ID: l.ID, Title: l.Title, Bids: l.Bids.Code(), Limit: numberText(l.Limit), Alone: numberText(l.Alone), Beside: numberText(l.BesideAll),
			Won: fractionText(l.Won), Proceeds: home(l.Brings), Closes: closesCell(l.Closes).Text}
		if l.Likely {
			one.Likely = &likely{l.Least.Number(), l.Middle.Number(), l.Most.Number()}
		}
		if l.Price != nil {
			one.Price = numberText(homeSum(l.Price, l.Bids))
		}
		if l.Why != nil {
			one.Why = whyText(l.Why)
		}
		out.Lots = append(out.Lots, one)
	}
	return out
}

func fractionText(r *big.Rat) *string {
	if r == nil {
		return nil
	}
	text := r.FloatString(6)
	return &text
}

// numberText is an amount's number; nil for none.
func numberText(a money.Amount) *string {
	if a.Currency() == 0 {
		return nil
	}
	text := a.Number()
	return &text
}
