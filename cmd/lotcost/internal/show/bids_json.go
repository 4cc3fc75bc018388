package show

import (
	"lotcost/landed/bid"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// bidOut is a bid in JSON. The names are promised to other programs.
type bidOut struct {
	Title    string     `json:"title"`
	Lot      string     `json:"lot"`
	Home     string     `json:"home"`
	Bids     string     `json:"bids"`
	Venue    string     `json:"venue,omitempty"`
	Reached  bool       `json:"reached"`
	Best     bidPoint   `json:"best"`
	Asked    *bidPoint  `json:"asked,omitempty"`
	Proceeds bidBrings  `json:"proceeds"`
	Limits   []bidLimit `json:"limits"`
	Ranges   []bidRange `json:"ranges"`
	Cliffs   []bidCliff `json:"cliffs"`
	Ladder   []bidPoint `json:"ladder"`
	Costs    []bidCost  `json:"costs"`
	Chart    []bidBin   `json:"chart"`
	Moves    []bidMove  `json:"moves"`
	Dry      []string   `json:"without_value,omitempty"`
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
	Exact     bool   `json:"exact"`
	Off       string `json:"off_by_at_most"`
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
func bidJSON(a *bid.Answer, moves []bid.Move) any {
	out := bidOut{Title: a.Title, Lot: a.Lot, Home: a.Home.Code(), Bids: a.Bids.Code(), Venue: a.Venue, Reached: a.Reached,
		Best: jsonPoint(a, &a.Best), Ranges: []bidRange{}, Cliffs: []bidCliff{}, Moves: []bidMove{}, Dry: a.Dry}
	if a.Asked != nil {
		asked := jsonPoint(a, a.Asked)
		out.Asked = &asked
	}
	d := a.Proceeds
	out.Proceeds = bidBrings{d.Mean().Number(), d.StdDev().Number(), d.Least().Number(), d.Most().Number(), d.Quantile(half).Number(), d.Exact(), d.ErrorBound().Number()}
	for i, l := range a.Limits {
		out.Limits = append(out.Limits, bidLimit{l.Goal.String(), l.Want, l.Most.Number(), i == a.Binding})
	}
	for _, r := range a.Ranges {
		out.Ranges = append(out.Ranges, bidRange{r.From.Number(), r.To.Number()})
	}
	for i := range a.Cliffs {
		c := &a.Cliffs[i]
		turns := turnTexts(c)
		if turns == nil {
			turns = []string{}
		}
		out.Cliffs = append(out.Cliffs, bidCliff{c.Below.Number(), c.At.Number(), c.CostBelow.Number(), c.CostAt.Number(), turns})
	}
	for i := range a.Ladder {
		out.Ladder = append(out.Ladder, jsonPoint(a, &a.Ladder[i]))
	}
	for _, k := range usedKinds(a.Statement) {
		out.Costs = append(out.Costs, bidCost{k.String(), a.Statement.Sum(k).Number()})
	}
	for _, b := range chartOf(d) {
		out.Chart = append(out.Chart, bidBin{b.From.Number(), b.To.Number(), b.Chance.Rat().FloatString(6)})
	}
	for _, m := range moves {
		out.Moves = append(out.Moves, bidMove{m.Factor.String(), number(m.Less.Bid), number(m.More.Bid)})
	}
	return out
}

var half = decimal.New(5, -1)

// number prints an amount that may be none.
func number(a money.Amount) string {
	if a.Currency() == 0 {
		return ""
	}
	return a.Number()
}

func jsonPoint(a *bid.Answer, p *bid.Point) bidPoint {
	out := bidPoint{Bid: p.Bid.Number(), Cost: p.Cost.Number(), Profit: p.Profit.Number(), Loss: p.Loss.Rat().FloatString(6), Meets: p.Meets, Missing: p.Missing.Number()}
	if p.Return != nil {
		out.Return = p.Return.FloatString(6)
	}
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
	Less     string    `json:"chance_of_less"`
	AtMost   string    `json:"quantile"`
	Unsold   int64     `json:"unsold"`
	Items    []factOne `json:"items"`
}

type factOne struct {
	ID       string     `json:"id"`
	Lot      string     `json:"lot"`
	Count    int64      `json:"count"`
	Fates    []factFate `json:"expected_pieces"`
	Found    string     `json:"found,omitempty"`
	Sold     int64      `json:"sold"`
	Expected string     `json:"expected"`
	Net      string     `json:"net_of_sales"`
	Kept     string     `json:"kept"`
	Repair   string     `json:"repair"`
	Brought  string     `json:"brought"`
}

type factFate struct {
	What   string `json:"what"`
	Pieces string `json:"pieces"`
}

func factJSON(f *bid.Fact) any {
	out := factOut{Title: f.Title, Home: f.Home.Code(), Venue: f.Venue, Cost: f.Cost.Number(), Expected: f.Expected.Number(), Brought: f.Brought.Number(),
		Less: f.Less.Rat().FloatString(6), AtMost: f.AtMost.Rat().FloatString(6), Unsold: f.Unsold, Items: []factOne{}}
	for i := range f.Items {
		it := &f.Items[i]
		one := factOne{ID: it.ID, Lot: it.Lot, Count: it.Count, Fates: []factFate{}, Sold: it.Sold, Expected: it.Expected.Number(),
			Net: it.Net.Number(), Kept: it.Kept.Number(), Repair: it.Repair.Number(), Brought: it.Brought.Number()}
		for _, fate := range it.Fates {
			one.Fates = append(one.Fates, factFate{fate.What, fate.Pieces.FloatString(2)})
		}
		if it.Found != nil {
			one.Found = foundWords(it.Found, it.Count)
		}
		out.Items = append(out.Items, one)
	}
	return out
}
