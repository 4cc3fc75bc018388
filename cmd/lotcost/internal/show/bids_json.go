package show

import (
	"math/big"

	"lotcost/landed/bid"
	"lotcost/landed/money"
	"lotcost/landed/odds"
	"lotcost/landed/selling"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// bidOut is a bid in JSON. The names are promised to other programs.
type bidOut struct {
	Title    string     `json:"title"`
	Lot      string     `json:"lot"`
	Beside   []string   `json:"beside,omitempty"`
	Spent    string     `json:"already_paid,omitempty"`
	Away     []string   `json:"left_open,omitempty"`
	Bought   string     `json:"bought,omitempty"`
	Home     string     `json:"home"`
	Bids     string     `json:"bids"`
	Venue    string     `json:"venue,omitempty"`
	Reached  bool       `json:"reached"`
	Best     bidPoint   `json:"best"`
	Asked    *bidPoint  `json:"asked,omitempty"`
	Proceeds bidBrings  `json:"proceeds"`
	Limits   []bidLimit `json:"limits"`
	Stopped  bool       `json:"stopped,omitempty"`
	Last     string     `json:"lowest_looked_at,omitempty"`
	Ranges   []bidRange `json:"ranges"`
	Cliffs   []bidCliff `json:"cliffs"`
	Ladder   []bidPoint `json:"ladder"`
	Costs    []bidCost  `json:"costs"`
	Chart    []bidBin   `json:"chart"`
	Moves    []bidMove  `json:"moves"`
	Parcels  []bidBox   `json:"parcels,omitempty"`
	Aside    []string   `json:"left_aside,omitempty"`
	Refused  string     `json:"refused_from,omitempty"`
	Dry      []string   `json:"without_value,omitempty"`

	Back *bidBack `json:"money_back,omitempty"`

	// Of the last open lot of an evening, as for several.
	Evening *eveningSums `json:"evening,omitempty"`
	Lots    []eveningLot `json:"lots,omitempty"`

	Border *borderBeside `json:"border,omitempty"`
}

// bidBack is how many pieces must work for the money back, whatever becomes of the rest.
type bidBack struct {
	Enough bool      `json:"enough"`
	Good   []bidGood `json:"good"`
	Chance string    `json:"chance"`
}

type bidGood struct {
	Item   string `json:"id"`
	Pieces int64  `json:"pieces"`
	Of     int64  `json:"of"`
}

func backJSON(m *bid.MoneyBack) *bidBack {
	if m == nil {
		return nil
	}
	out := &bidBack{Enough: m.Enough, Good: []bidGood{}, Chance: m.Chance.FloatString(6)}
	for _, g := range m.Good {
		out.Good = append(out.Good, bidGood(g))
	}
	return out
}

type bidPoint struct {
	Bid     string `json:"bid"`
	Cost    string `json:"cost"`
	Profit  string `json:"profit"`
	Return  string `json:"return,omitempty"`
	Loss    string `json:"chance_of_loss"`
	Meets   bool   `json:"meets"`
	Missing string `json:"missing"`
	Worst   string `json:"worst_5_percent"`
}

type bidBrings struct {
	Mean      string `json:"mean"`
	Deviation string `json:"deviation"`
	Least     string `json:"least"`
	Most      string `json:"most"`
	Median    string `json:"median"`
	Exact     bool   `json:"exact"` // whether amounts are
	Off       string `json:"off_by_at_most"`
	ChanceOff string `json:"chances_off_by_at_most,omitempty"`
}

type bidBox struct {
	Lots    []string `json:"lots"`
	Service string   `json:"service"`
}

type bidLimit struct {
	Goal  string `json:"goal"`
	Want  string `json:"want,omitempty"`
	Most  string `json:"may_cost"`
	Binds bool   `json:"binds,omitempty"`
}

type bidRange struct {
	From string `json:"from"`
	To   string `json:"to"`
}

type bidCliff struct {
	Below     string   `json:"below"`
	At        string   `json:"at"`
	CostBelow string   `json:"cost_below"`
	CostAt    string   `json:"cost_at"`
	Turns     []string `json:"turns"`
}

type bidCost struct {
	Kind string `json:"kind"`
	Home string `json:"home"`
}

type bidBin struct {
	From   string `json:"from"`
	To     string `json:"to"`
	Chance string `json:"chance"`
}

type bidMove struct {
	Factor string `json:"factor"`
	Less   string `json:"bid_at_10_percent_less,omitempty"`
	More   string `json:"bid_at_10_percent_more,omitempty"`
}

// bidJSON is a bid for [WriteJSON]. Bids are in the currency of the bids, all
// else in home; chances and returns are fractions.
func bidJSON(a *bid.Answer, moves []bid.Move) bidOut {
	out := bidOut{Title: a.Statement.Haul.Title, Lot: a.Lot, Home: a.Statement.Home.Code(), Bids: a.Bids.Code(), Venue: a.Venue, Reached: len(a.Ranges) > 0, Away: a.Away,
		Best: jsonPoint(a, &a.Best), Ranges: []bidRange{}, Cliffs: []bidCliff{}, Moves: []bidMove{}, Dry: a.NoValue}
	if a.Bought.Currency() != 0 {
		out.Bought = a.Bought.String()
	}
	if a.Asked != nil {
		asked := jsonPoint(a, a.Asked)
		out.Asked = &asked
	}
	if out.Stopped = a.Stopped; a.Last.Currency() != 0 {
		out.Last = a.Last.Number()
	}
	if a.Before != nil {
		out.Beside, out.Spent = a.Beside, a.Before.Total.Number()
	}
	out.Proceeds = bringsJSON(a.Proceeds)
	for i, l := range a.Limits {
		out.Limits = append(out.Limits, bidLimit{l.Goal, l.Want, l.Most.Number(), i == a.Binding})
	}
	for _, r := range a.Ranges {
		out.Ranges = append(out.Ranges, bidRange{r[0].Number(), r[1].Number()})
	}
	for i := range a.Cliffs {
		c := &a.Cliffs[i]
		out.Cliffs = append(out.Cliffs, bidCliff{c.Below.Bid.Number(), c.At.Bid.Number(), c.Below.Cost.Number(), c.At.Cost.Number(), turnTexts(&c.At)})
	}
	for i := range a.Ladder {
		out.Ladder = append(out.Ladder, jsonPoint(a, &a.Ladder[i]))
	}
	for _, k := range usedKinds(a.Statement, a.Before) {
		out.Costs = append(out.Costs, bidCost{k.String(), a.Added(k).Number()})
	}
	if a.Plan != nil {
		out.Parcels = boxesOf(a.Plan)
		for _, x := range a.Plan.Aside {
			out.Aside = append(out.Aside, x.What)
		}
	}
	out.Border, out.Back = besideJSON(a.Statement.Border), backJSON(a.Back)
	if a.Refused != nil {
		out.Refused = a.Refused.Bid.Number()
	}
	for _, b := range a.Proceeds.Histogram(chartBins) {
		out.Chart = append(out.Chart, bidBin{b.From.Number(), b.To.Number(), b.Chance.Rat().FloatString(6)})
	}
	for _, m := range moves {
		out.Moves = append(out.Moves, moveJSON(m))
	}
	return out
}

// boxesOf are the parcels of the best way of a plan, if there is one.
func boxesOf(plan *together.Report) []bidBox {
	var boxes []bidBox
	if plan != nil {
		for i := range plan.Best.Parcels {
			p := &plan.Best.Parcels[i]
			boxes = append(boxes, bidBox{p.Parcel.Lots, p.Quote.Service.Name})
		}
	}
	return boxes
}

func moveJSON(m bid.Move) bidMove { return bidMove{m.Factor, number(m.Less), number(m.More)} }

func bringsJSON(d *odds.Distribution) bidBrings {
	off, chance := d.ErrorBounds()
	out := bidBrings{Mean: d.Mean().Number(), Deviation: d.StdDev().Number(), Least: d.Quantile(decimal.Zero).Number(), Most: d.Quantile(decimal.NewFromInt(1)).Number(),
		Median: d.Quantile(half).Number(), Exact: off.Sign() == 0, Off: off.Number()}
	if chance.Sign() > 0 {
		out.ChanceOff = upTo(chance)
	}
	return out
}

var half = decimal.New(5, -1)

// upTo prints a small fraction to 18 decimals, rounded up.
func upTo(r *big.Rat) string {
	const digits = 18
	unit := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(digits), nil))
	text := r.FloatString(digits)
	if n, ok := new(big.Rat).SetString(text); ok && n.Cmp(r) < 0 {
		text = n.Add(n, unit).FloatString(digits)
	}
	return text
}

// number prints an amount that may be none.
func number(a money.Amount) string {
	if a.Currency() == 0 {
		return ""
	}
	return a.Number()
}

func jsonPoint(a *bid.Answer, p *bid.Point) bidPoint {
	out := bidPoint{Bid: p.Bid.Number(), Cost: p.Cost.Number(), Profit: p.Profit.Number(), Meets: p.Missing.Sign() == 0, Missing: p.Missing.Number()}
	_, out.Return = returnOf(a, p)
	_, out.Loss = lossOf(a, p)
	if worst, err := a.Worst(p.Cost, worstPart); err == nil {
		out.Worst = worst.Number()
	}
	return out
}

// factOut is a forecast beside the fact in JSON.
type factOut struct {
	Title    string    `json:"title"`
	Home     string    `json:"home"`
	Venue    string    `json:"venue,omitempty"`
	Cost     string    `json:"cost"`
	Expected string    `json:"expected"`
	Brought  string    `json:"brought"`
	NotSold  string    `json:"not_sold_yet"`
	Less     string    `json:"chance_of_less"`
	AtMost   string    `json:"quantile"`
	Unsold   int64     `json:"unsold"`
	Items    []factOne `json:"items"`
}

type factOne struct {
	ID       string        `json:"id"`
	Lot      string        `json:"lot"`
	Count    int64         `json:"count"`
	Outcomes []factOutcome `json:"expected_pieces"`
	Found    string        `json:"found,omitempty"`
	Sold     int64         `json:"sold"`
	Expected string        `json:"expected"`
	Net      string        `json:"net_of_sales"`
	Kept     string        `json:"kept"`
	Repair   string        `json:"repair"`
	NotSold  string        `json:"not_sold_yet"`
	Brought  string        `json:"brought"`
}

type factOutcome struct {
	What   string `json:"what"`
	Pieces string `json:"pieces"`
}

func factJSON(f *bid.Fact) any {
	out := factOut{Title: f.Statement.Haul.Title, Home: f.Statement.Home.Code(), Venue: f.Venue, Cost: f.Statement.Total.Number(), Expected: f.Expected.Number(), Brought: f.Brought.Number(), NotSold: f.NotSold.Number(),
		Less: f.Less.Rat().FloatString(6), AtMost: f.AtMost.Rat().FloatString(6), Unsold: f.Unsold, Items: []factOne{}}
	for i := range f.Items {
		it := &f.Items[i]
		one := factOne{ID: it.ID, Lot: it.Lot, Count: it.Count, Outcomes: []factOutcome{}, Sold: selling.Count(it.Sold), Expected: it.Expected.Number(),
			Net: it.Net.Number(), Kept: it.Kept.Number(), Repair: it.Repaired.Number(), NotSold: it.NotSold.Number(), Brought: it.Brought.Number()}
		for i := range it.Chances {
			one.Outcomes = append(one.Outcomes, factOutcome{it.Chances[i].What, it.Pieces[i].FloatString(2)})
		}
		if it.Found != nil {
			one.Found = foundWords(it.Found, it.Count)
		}
		out.Items = append(out.Items, one)
	}
	return out
}
