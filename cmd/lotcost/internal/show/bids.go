package show

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
	"lotcost/landed/odds"
	"lotcost/landed/selling"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// Bid is the highest bid, or the judgement of one: the answer first, then why,
// the bids around it, what the pieces may bring and what would change it. A page has each bid of a
// ladder of points besides; and e is how the evening may go where others are likely to bid. Both
// may be nil.
func Bid(a *bid.Answer, moves []bid.Move, points []bid.Point, e *bid.Evening) Result {
	if e != nil && (e.Plan == nil || e.Lots[0].Limit.Currency() == 0) {
		e = nil // which says nothing
	}
	r := Result{
		Sheet: func() *sheet.Sheet { return bidSheet(a, moves, points, e) },
		Table: func() *sheet.Table { return ladderTable(a) },
		JSON:  func() any { return bidJSON(a, moves, e) },
		Of:    a.Statement, Before: a.Before,
	}
	if len(points) > 0 {
		r.Tool = func() sheet.Tool { return saleOf(a, points) }
	}
	return r
}

// judged is the bid that is explained.
func judged(a *bid.Answer) *bid.Point {
	return sheet.Either(a.Asked != nil, a.Asked, &a.Best)
}

func bidSheet(a *bid.Answer, moves []bid.Move, points []bid.Point, e *bid.Evening) *sheet.Sheet {
	doc := sheet.New(sheet.Heading(bidAnswer(a)), sheet.Text(bidWhy(a)))
	if e != nil && e.Lots[0].Limit == a.Best.Bid { // else other goals than an evening's hold it down
		doc.Add(winText(&e.Lots[0]))
	}
	doc.Add(rangeNotes(a)...)
	doc.Add(bidCharts(a), bidCosts(a))
	if a.Plan != nil {
		doc.Add(parcelTable(a.Statement.Home, "How all of it then travels", []*together.Way{&a.Plan.Best}))
	}
	doc.AddIf(len(a.Limits) > 1, limitTable(a)).Add(ladderChart(a, points)...).Add(ladderTable(a))
	doc.Add(notes(sheet.Remark, sheet.Each(a.Cliffs, cliffText)...)...)
	doc.AddIf(!isSure(a), sheet.PageOnly(func() []sheet.Block { return []sheet.Block{mayChart(a)} }), chart(a))
	doc.AddIf(a.Spread, remark("a range of values counts as five values, evenly spread and equally likely"))
	if off, chance := a.Proceeds.ErrorBounds(); off.Sign() > 0 {
		doc.Add(remark(fmt.Sprintf("sums are exact to %s; chances are proven to within %s", off, tiny(chance))))
	}
	if a.Stopped {
		doc.Add(caution(stoppedText(a)))
	} else if slices.ContainsFunc(moves, moved) {
		doc.Add(moveTable(a, moves))
	} else {
		doc.Add(sheet.Text("With values, chances, freight or rate 10% higher or lower there would still be no bid."))
	}
	return doc.Add(notes(sheet.Remark, planNotes(a)...)...).Add(bidStory(a)).Add(notes(sheet.Caution, bidCautions(a)...)...)
}

// stoppedText says what a search that was ended has not looked at.
func stoppedText(a *bid.Answer) string {
	if a.Last.Currency() == 0 {
		return "the search was stopped: what would change the bid was not looked at"
	}
	return fmt.Sprintf("the search was stopped: bids below %s were not looked at, nor what would change it", a.Last)
}

// planNotes says what is taken not to be there, and what a plan leaves open.
func planNotes(a *bid.Answer) (texts []string) {
	if len(a.Away) > 0 {
		texts = append(texts, "still open, and counted as not there: "+firstOf(a.Away))
	}
	texts = append(texts, refusedFrom(a)...)
	if a.Plan != nil {
		texts = append(texts, asideTexts(a.Plan, "services take")...)
	}
	return texts
}

// inAll says what a bid costs, or what it adds to what is bought.
func inAll(a *bid.Answer, p *bid.Point) string {
	return sheet.Either(len(a.Beside) == 0, "total cost "+p.Cost.String(), "it adds "+p.Cost.String()+" to the total cost")
}

// bidAnswer is the answer in one line. Of a lot that is bought it looks back.
func bidAnswer(a *bid.Answer) string {
	answer := highestBid(a)
	if a.Bought.Currency() == 0 {
		return answer
	}
	return fmt.Sprintf("%s is bought already, for %s. If it were still open: %s", a.Lot, a.Bought, strings.ToLower(answer[:1])+answer[1:])
}

func highestBid(a *bid.Answer) string {
	lot, more := a.Lot+besideBought(a), ""
	if len(a.Beside) > 0 {
		lot, more = lot+",", " more"
	}
	switch p := a.Asked; {
	case p != nil && p.Missing.Sign() == 0:
		return fmt.Sprintf("%s for %s meets the goal: %s", p.Bid, lot, inAll(a, p))
	case p != nil:
		return fmt.Sprintf("%s for %s does not meet the goal: %s, %s too much", p.Bid, lot, inAll(a, p), p.Missing)
	case len(a.Ranges) == 0 && a.Last.Currency() != 0:
		return fmt.Sprintf("No bid for %s from %s on meets the goal, and lower ones were not looked at; that one costs %s%s, %s too much", lot, a.Last, a.Best.Cost, more, a.Best.Missing)
	case len(a.Ranges) == 0:
		return fmt.Sprintf("No bid for %s meets the goal; the least bad, %s, costs %s%s, %s too much", lot, a.Best.Bid, a.Best.Cost, more, a.Best.Missing)
	}
	return fmt.Sprintf("Bid up to %s for %s, in steps of %s: %s", a.Best.Bid, a.Lot+besideBought(a), a.Step, inAll(a, &a.Best))
}

// isSure reports whether the pieces may bring one sum alone.
func isSure(a *bid.Answer) bool {
	all := a.Proceeds.Histogram(1)[0]
	return all.From == all.To
}

// bidWhy is what comes of the bid, in words.
func bidWhy(a *bid.Answer) string {
	p, limit := judged(a), &a.Limits[a.Binding]
	var b strings.Builder
	if a.Back != nil {
		b.WriteString(backText(a.Back) + "\n")
	}
	expected := money.New(p.Profit.Minor()+p.Cost.Minor(), a.Statement.Home) // so that it and the profit agree, however that is rounded
	what := sheet.Either(isSure(a), "Net proceeds", "Expected net proceeds")
	fmt.Fprintf(&b, "%s%s: %s, %s", what, then(", sold at ", a.Venue), expected, profitText(p.Profit))
	if back, _ := returnOf(a, p); back != "" {
		fmt.Fprintf(&b, ", a return of %s", back)
	}
	b.WriteByte('.')
	if !isSure(a) {
		loss, _ := lossOf(a, p)
		fmt.Fprintf(&b, " Chance of a loss: %s.", loss)
		if worst, err := a.Worst(p.Cost, worstPart); err == nil {
			fmt.Fprintf(&b, " In the worst 5%% it is %s on average.", profitText(worst))
		}
	}
	may := sheet.Either(len(a.Beside) > 0, "it may add", "a total cost of")
	fmt.Fprintf(&b, "\nThe limit that decides: %s", limit.String())
	if len(a.Limits) == 1 { // else the table has it
		fmt.Fprintf(&b, ", so %s %s at most", may, limit.Most)
	}
	b.WriteByte('.')
	if a.Asked != nil && len(a.Ranges) > 0 {
		fmt.Fprintf(&b, " In steps of %s, the highest bid that meets it is %s.", a.Step, a.Best.Bid)
	} else if a.Asked != nil {
		fmt.Fprintf(&b, " No bid meets it.")
	}
	if len(a.Beside) > 0 {
		fmt.Fprintf(&b, "\nAll this is what %s adds to what is bought.", a.Lot)
	}
	return b.String()
}

// backText says how many pieces must work for the money back.
func backText(m *bid.MoneyBack) string {
	names := sheet.Each(m.Good, func(g *bid.Good) string {
		switch {
		case g.Pieces < g.Of:
			return fmt.Sprintf("%d of the %d %s", g.Pieces, g.Of, g.Item)
		case g.Of > 1:
			return fmt.Sprintf("all %d %s", g.Of, g.Item)
		}
		return g.Item
	})
	work := sheet.Either(len(m.Good) == 1 && m.Good[0].Pieces == 1, "works", "work")
	switch {
	case !m.Enough:
		return "No money back even if everything works."
	case len(m.Good) == 0:
		return "Money back even if nothing works."
	}
	return fmt.Sprintf("Money back once %s %s, whatever becomes of the rest: chance %s.", named(names), work, percent(m.Chance))
}

// worstPart is the part of all that can happen that is called the worst.
var worstPart = decimal.New(5, -2)

func profitText(profit money.Amount) string {
	return sheet.Either(profit.Sign() < 0, "a loss of "+negative(profit).String(), "a profit of "+profit.String())
}

// percent prints a fraction as a percentage with one decimal.
func percent(r *big.Rat) string {
	return new(big.Rat).Mul(r, big.NewRat(100, 1)).FloatString(1) + "%"
}

func tiny(r *big.Rat) string {
	if r.Cmp(big.NewRat(1, 1_000_000)) < 0 {
		return "a millionth"
	}
	return percent(r)
}

// rangeNotes warns where bids below the highest fail.
func rangeNotes(a *bid.Answer) []sheet.Block {
	first := sheet.Either(a.Last.Currency() != 0, a.Last, a.First) // of all that were looked at
	if len(a.Ranges) == 0 || len(a.Ranges) == 1 && first.Cmp(a.Ranges[0][0]) >= 0 {
		return nil
	}
	texts := sheet.Each(a.Ranges, func(r *[2]money.Amount) string {
		return sheet.Either(r[0] == r[1], r[0].String(), fmt.Sprintf("%s to %s", r[0], r[1]))
	})
	return []sheet.Block{caution("lower bids do not all meet the goal; those that do: " + strings.Join(texts, "; "))}
}

// bidCosts is what all costs at the bid, by kind; beside what is bought, what is
// paid without it and with it, and what it adds.
func bidCosts(a *bid.Answer) *sheet.Table {
	p := judged(a)
	last := sheet.Column{Head: a.Statement.Home.Code(), Align: sheet.Right}
	t := &sheet.Table{Drawn: a.Before == nil, Title: "What it costs at " + p.Bid.String(), Columns: []sheet.Column{{}, last}}
	if a.Before != nil {
		t.Title = "What it adds at " + p.Bid.String()
		t.Columns = []sheet.Column{{Head: a.Statement.Home.Code()}, {Head: "without", Align: sheet.Right}, {Head: "with", Align: sheet.Right}, {Head: "added", Align: sheet.Right}}
	}
	for _, k := range live.Kinds(a.Statement, a.Before) {
		name := k.String()
		if estimated := func(l landed.Line) bool { return l.Kind == k && l.Estimated }; k != landed.Fee && slices.ContainsFunc(a.Statement.Lines, estimated) {
			name += ", estimated"
		}
		if a.Before != nil {
			t.Add(name, a.Before.Sum(k), a.Statement.Sum(k), a.Added(k))
		} else {
			t.Add(name, a.Added(k))
		}
	}
	if a.Before != nil {
		t.AddSum("total cost", a.Before.Total, a.Statement.Total, sheet.Bold(p.Cost))
	} else {
		t.AddSum("total cost", sheet.Bold(p.Cost))
	}
	return t
}

func limitTable(a *bid.Answer) *sheet.Table {
	title := sheet.Either(len(a.Beside) > 0, "The most it may add for each goal", "The highest total cost that meets each goal")
	t := &sheet.Table{Topic: "goals", Title: title, Columns: []sheet.Column{{Head: "goal", Wrap: true, Min: 14}, {Head: a.Statement.Home.Code(), Align: sheet.Right}, {}}}
	for i := range a.Limits {
		l, mark := &a.Limits[i], sheet.Either(i == a.Binding, "the limit that decides", "")
		t.Add(l.String(), l.Most, sheet.Bold(mark))
	}
	return t
}

// ladderTable is the bids around the answer.
func ladderTable(a *bid.Answer) *sheet.Table {
	cost := sheet.Either(len(a.Beside) > 0, "it adds, "+a.Statement.Home.Code(), "total cost, "+a.Statement.Home.Code())
	t := &sheet.Table{Topic: "bids", Title: "The bids around it", Columns: []sheet.Column{
		{Head: "bid, " + a.Bids.Code(), Key: "bid", Align: sheet.Right},
		{Head: cost, Key: "cost", Align: sheet.Right},
		{Head: "expected profit", Key: "profit", Align: sheet.Right},
		{Head: "return", Key: "return", Align: sheet.Right, Optional: 1},
		{Head: "chance of a loss", Key: "loss", Align: sheet.Right},
		{Head: "goal", Key: "meets"},
		{Head: "", Key: "turns", Wrap: true, Min: 16},
	}}
	points := slices.Clone(a.Ladder)
	if a.Asked != nil && !slices.ContainsFunc(points, func(p bid.Point) bool { return p.Bid == a.Asked.Bid }) {
		points = append(points, *a.Asked)
		slices.SortStableFunc(points, func(p, q bid.Point) int { return p.Bid.Cmp(q.Bid) })
	}
	for i := range points {
		addPoint(t, a, &points[i])
	}
	return t
}

func addPoint(t *sheet.Table, a *bid.Answer, p *bid.Point) {
	var back, loss sheet.Cell
	back.Text, back.Data = returnOf(a, p)
	loss.Text, loss.Data = lossOf(a, p)
	meets := sheet.Either(p.Missing.Sign() != 0, sheet.Cell{Text: "too dear by " + p.Missing.Said(), Data: "no", Tone: sheet.Bad}, sheet.Cell{Text: "met", Data: "yes", Tone: sheet.Good})
	var marks []string
	if a.Asked != nil && p.Bid == a.Asked.Bid {
		marks = append(marks, "asked about")
	}
	if len(a.Ranges) > 0 && p.Bid == a.Best.Bid {
		marks = append(marks, "the highest")
	}
	for i := range a.Cliffs {
		if at := &a.Cliffs[i].At; at.Bid == p.Bid {
			marks = append(marks, at.Turns...)
		}
	}
	t.Add(sheet.Bold(p.Bid), p.Cost, p.Profit, back, loss, meets, strings.Join(marks, "; "))
}

// cliffText tells what turns between two bids, and what that does to the cost.
func cliffText(c *bid.Cliff) string {
	below, at := &c.Below, &c.At
	by := less(at.Cost, below.Cost)
	rise := sheet.Either(by.Sign() < 0, "costs "+negative(by).String()+" less", "costs "+by.String()+" more")
	what := cmp.Or(strings.Join(at.Turns, "; "), "extra cents of rounding")
	return fmt.Sprintf("from %s to %s: %s; the step %s, %s instead of %s", below.Bid, at.Bid, what, rise, at.Cost.Said(), below.Cost)
}

const (
	chartBins  = 12
	chartWidth = 30 // cells
)

// chart is what the pieces may bring, a bar for each range of amounts.
func chart(a *bid.Answer) *sheet.Table {
	t := &sheet.Table{Title: "What the net proceeds may be", Drawn: true, Columns: []sheet.Column{{Head: a.Statement.Home.Code(), Align: sheet.Right}, {Head: "chance", Align: sheet.Right}, {Head: "", Bar: true}, {Head: "", Wrap: true}}}
	bins := a.Proceeds.Histogram(chartBins)
	longest := slices.MaxFunc(bins, func(a, b odds.Bin) int { return a.Chance.Rat().Cmp(b.Chance.Rat()) }).Chance.Rat()
	cost := judged(a).Cost
	for _, b := range bins {
		mark := ""
		if b.From.Cmp(cost) <= 0 && cost.Cmp(b.To) <= 0 {
			mark = "the total cost is here"
		} else if b.From == b.To && b.To.Cmp(cost) < 0 {
			mark = "a loss"
		}
		t.Add(binText(b), sheet.Cell{Text: b.Chance.String(), Data: b.Chance.Rat().FloatString(6)}, bar(b.Chance, longest), mark)
	}
	return t
}

func binText(b odds.Bin) string {
	return sheet.Either(b.From == b.To, b.From.Number(), b.From.Number()+" to "+b.To.Number())
}

// bar draws a chance, half a cell being the least that is drawn of any.
func bar(c odds.Chance, longest *big.Rat) string {
	if longest.Sign() == 0 || c.Rat().Sign() == 0 {
		return ""
	}
	part := new(big.Rat).Quo(c.Rat(), longest)
	halves := new(big.Rat).Mul(part, big.NewRat(2*chartWidth, 1))
	n := new(big.Int).Div(halves.Num(), halves.Denom()).Int64()
	return sheet.Bar(int(max(n, 1)))
}

func moveTable(a *bid.Answer, moves []bid.Move) *sheet.Table {
	t := &sheet.Table{Title: "What would change it", Columns: []sheet.Column{{Head: "if this were"}, {Head: "10% less", Align: sheet.Right}, {}, {Head: "10% more", Align: sheet.Right}, {}}}
	for _, m := range moves {
		t.Add(factorText(m.Factor, a.Bids), limitText(m.Less), byCell(a, m.Less), limitText(m.More), byCell(a, m.More))
	}
	return t
}

// moved reports whether there is a bid on either side.
func moved(m bid.Move) bool { return m.Less.Currency() != 0 || m.More.Currency() != 0 }

// factorText is what a [bid.Move] changes.
func factorText(factor string, bids money.Currency) string {
	words := map[string]string{"values": "the values", "chances": "the chance that it works", "freight": "the freight", "rate": "the rate of " + bids.Code()}
	return cmp.Or(words[factor], factor)
}

// byCell is by how much a bid differs from the highest as things are.
func byCell(a *bid.Answer, other money.Amount) sheet.Cell {
	if other.Currency() == 0 || len(a.Ranges) == 0 {
		return sheet.Cell{}
	}
	by := less(other, a.Best.Bid)
	if by.Sign() == 0 {
		return sheet.Cell{Text: "as it is"}
	}
	text := by.Number()
	if by.Sign() > 0 {
		text = "+" + text
	}
	figure := sheet.Decimals(a.Bids.Digits())
	return sheet.Cell{Text: text, Data: text, Format: "+" + figure + ";-" + figure}
}

func bidCautions(a *bid.Answer) (texts []string) {
	if len(a.NoValue) > 0 {
		texts = append(texts, "without a value, and counted as worth nothing: "+firstOf(a.NoValue))
	}
	if a.MarginTax {
		texts = append(texts, "the margin depends on the bid, so tax was calculated on whole prices: the bid may be too low, never too high")
	}
	if a.Plan != nil {
		texts = append(texts, planCautions(a.Plan)...)
	}
	return texts
}

// BidFact is what was predicted beside what came.
func BidFact(f *bid.Fact) Result {
	return resultOf(f, factSheet, factTable, factJSON).about(f.Statement)
}

func factSheet(f *bid.Fact) *sheet.Sheet {
	return sheet.New(sheet.Heading(factAnswer(f)), sheet.Text(factWhy(f)), factTable(f)).
		AddIf(f.Unsold > 0, remark(fmt.Sprintf("not sold yet: %s, counted at its net proceeds if sold at its value, %s", Plural(f.Unsold, "piece"), notSold(f)))).
		AddIf(len(f.NoValue) > 0, caution("not sold yet and without a value, so counted as worth nothing: "+firstOf(f.NoValue)))
}

// notSold is what of the proceeds is not sold yet.
func notSold(f *bid.Fact) money.Amount {
	return money.New(sumEach(f.Items, func(it *bid.FactItem) int64 { return it.NotSold.Minor() }), f.Brought.Currency())
}

func factAnswer(f *bid.Fact) string {
	by := less(f.Brought, f.Expected)
	answer := fmt.Sprintf("Net proceeds %s, ", f.Brought)
	if notSold(f).Sign() > 0 {
		answer = fmt.Sprintf("Net proceeds %s, with %s for what is not sold yet: ", f.Brought, notSold(f))
	}
	switch {
	case by.Sign() > 0:
		return answer + fmt.Sprintf("%s more than was expected", by)
	case by.Sign() < 0:
		return answer + fmt.Sprintf("%s less than was expected", negative(by))
	}
	return answer + "as was expected"
}

func factWhy(f *bid.Fact) string {
	left := less(f.Brought, f.Statement.Total)
	return fmt.Sprintf("The forecast gave a chance of %s to less than this, and %s to this or less. The total cost was %s: profit %s, where %s was expected.",
		f.Less, f.AtMost, f.Statement.Total, left, less(f.Expected, f.Statement.Total))
}

func factTable(f *bid.Fact) *sheet.Table {
	home := f.Statement.Home.Code()
	t := &sheet.Table{Topic: "fact", Columns: []sheet.Column{
		{Key: "lot", Machine: true},
		{Head: "item", Key: "id"},
		{Head: "what", Key: "what", Wrap: true, Min: 14, Optional: 3},
		{Head: "pieces\npaid for", Key: "count", Align: sheet.Right},
		{Head: "expected", Key: "expected_pieces", Wrap: true, Min: 12, Optional: 2},
		{Head: "found", Key: "found", Wrap: true, Min: 10},
		{Head: "sold", Key: "sold", Align: sheet.Right},
		{Head: "expected,\n" + home, Key: "expected", Align: sheet.Right},
		{Head: "not sold\nyet", Key: "not_sold_yet", Align: sheet.Right},
		{Head: "net\nproceeds", Key: "brought", Align: sheet.Right},
	}}
	for it := range sheet.All(f.Items) {
		t.Add(it.Lot, it.ID, it.What, it.Count, outcomeText(it), foundText(it), selling.Count(it.Sold), it.Expected, it.NotSold, sheet.Bold(it.Brought))
	}
	t.AddSum(nil, "sum", nil, nil, nil, nil, nil, f.Expected, notSold(f), sheet.Bold(f.Brought))
	return t
}

// foundText is what was found of an item, where that is known.
func foundText(it *bid.FactItem) string {
	return given(it.Found, func(f *landed.Found) string { return foundWords(f, it.Count) })
}

// outcomeText lists how many pieces were expected to come out each way.
func outcomeText(it *bid.FactItem) string {
	texts := make([]string, len(it.Chances))
	for i := range it.Chances {
		texts[i] = strings.TrimSuffix(it.Pieces[i].FloatString(1), ".0") + " " + it.Chances[i].What
	}
	return strings.Join(texts, ", ")
}
