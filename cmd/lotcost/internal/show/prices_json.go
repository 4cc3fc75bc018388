package show

import (
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// prices is a calculation in JSON. The names are promised to other programs.
type prices struct {
	Title   string       `json:"title"`
	Home    string       `json:"home"`
	Total   string       `json:"total"`
	Lost    string       `json:"lost"`
	Carry   string       `json:"carry"`
	Venue   string       `json:"venue"`
	Target  string       `json:"target,omitempty"`
	Pieces  []priceOffer `json:"pieces"`
	Sold    []priceSold  `json:"sold"`
	Payback pricePayback `json:"payback"`
	Kept    priceKept    `json:"kept"`
	Sets    []priceSet   `json:"sets,omitempty"`
	AtBest  []string     `json:"taken_at_best,omitempty"`
}

type priceOffer struct {
	ID     string       `json:"id"`
	Lot    string       `json:"lot"`
	What   string       `json:"what,omitempty"` // of pieces made from dead ones
	State  string       `json:"state"`
	Count  int64        `json:"count"`
	Cost   string       `json:"cost"`
	Each   []costPieces `json:"each"`
	Venues []priceQuote `json:"venues"`
}

type priceSold struct {
	ID      string `json:"id"`
	Lot     string `json:"lot"`
	Made    string `json:"made,omitempty"` // from dead pieces: what was sold
	Date    string `json:"date,omitempty"`
	Venue   string `json:"venue,omitempty"`
	Count   int64  `json:"count"`
	Price   string `json:"price"`
	Charged string `json:"charged"`
	Fees    string `json:"fees"`
	Tax     string `json:"value_added_tax,omitempty"`
	Postage string `json:"postage"`
	Brought string `json:"brought"`
	Cost    string `json:"cost"`
	Left    string `json:"left"`
}

type priceQuote struct {
	Venue     string     `json:"venue"`
	Currency  string     `json:"currency"`
	Cost      string     `json:"cost"`
	BreakEven string     `json:"break_even,omitempty"`
	Ask       string     `json:"ask,omitempty"`
	Why       string     `json:"no_price,omitempty"`
	Value     string     `json:"value,omitempty"`
	Net       string     `json:"net,omitempty"`
	Left      string     `json:"left,omitempty"`
	PerHour   string     `json:"per_hour,omitempty"`
	Verdict   string     `json:"verdict"`
	Gaps      []priceGap `json:"gaps,omitempty"`
	MoreGaps  bool       `json:"more_gaps,omitempty"` // than are listed
}

type priceGap struct {
	Of        string `json:"of"` // break_even or target
	From      string `json:"from"`
	To        string `json:"to,omitempty"`        // left out where no higher price will do,
	Shortfall string `json:"shortfall,omitempty"` // and then it grows with the price
	Fee       string `json:"fee,omitempty"`
}

type pricePayback struct {
	Paid   bool        `json:"paid"`
	Pieces int64       `json:"pieces"`
	Sum    string      `json:"sum"`
	Over   string      `json:"over"`
	Order  []priceStep `json:"order"`
}

type priceStep struct {
	ID     string `json:"id"`
	State  string `json:"state"`
	Pieces int64  `json:"pieces"`
	Sum    string `json:"sum"`
}

type priceKept struct {
	Own      string          `json:"own"`
	Brought  string          `json:"brought"`
	Sold     string          `json:"sold"`
	NotYet   string          `json:"not_sold_yet"`
	Net      string          `json:"net"`
	Unpriced int64           `json:"unpriced,omitempty"`
	Items    []priceKeptItem `json:"items"`
}

type priceKeptItem struct {
	ID    string       `json:"id"`
	Lot   string       `json:"lot"`
	Count int64        `json:"count"`
	Own   string       `json:"own"`
	Net   string       `json:"net"`
	Each  []costPieces `json:"each"`
	Worth string       `json:"worth,omitempty"`
}

type priceSet struct {
	ID       string `json:"id"`
	State    string `json:"state"`
	Pieces   int64  `json:"pieces"`
	Price    string `json:"price"`
	Together string `json:"left_together,omitempty"`
	Singly   string `json:"left_singly,omitempty"`
	Gain     string `json:"gain,omitempty"`
	AsGood   string `json:"as_good_at,omitempty"`
	Why      string `json:"no_price,omitempty"`
}

// PricesJSON is a calculation for [WriteJSON]. Amounts are decimal strings with
// exactly the digits of home, or of the venue's currency in what is of a venue.
func PricesJSON(r *doubles.Result) any {
	out := prices{Title: r.Statement.Haul.Title, Home: r.Statement.Home.Code(), Total: r.Statement.Total.Number(), Lost: r.Statement.Loss.Number(), Carry: "own", Venue: at(r), Pieces: []priceOffer{}, Sold: []priceSold{}, AtBest: r.AtBest}
	if r.CarryAll {
		out.Carry = "doubles"
	}
	if !r.Target.IsZero() {
		out.Target = r.Target.String()
	}
	for i := range r.Offers {
		out.Pieces = append(out.Pieces, jsonOffer(&r.Offers[i]))
	}
	for i := range r.Sold {
		out.Sold = append(out.Sold, jsonSold(&r.Sold[i]))
	}
	p := &r.Payback
	out.Payback = pricePayback{Paid: p.Over.Sign() >= 0, Pieces: p.Pieces, Sum: p.Sum.Number(), Over: p.Over.Number(), Order: []priceStep{}}
	for _, s := range p.Steps {
		o := &r.Offers[s.Offer]
		out.Payback.Order = append(out.Payback.Order, priceStep{o.ID, o.State.String(), s.Pieces, s.Sum.Number()})
	}
	k := &r.Kept
	out.Kept = priceKept{Own: k.Own.Number(), Brought: k.Brought.Number(), Sold: k.Sold.Number(), NotYet: k.NotYet.Number(), Net: k.Net.Number(), Unpriced: k.Unpriced, Items: []priceKeptItem{}}
	for _, item := range k.Items {
		j := priceKeptItem{ID: item.ID, Lot: item.Lot, Count: item.Count, Own: item.Own.Number(), Net: item.Net.Number(), Each: jsonEach(item.Each)}
		if item.Worth.Currency() != 0 {
			j.Worth = item.Worth.String()
		}
		out.Kept.Items = append(out.Kept.Items, j)
	}
	for i := range r.Offers {
		if o := &r.Offers[i]; o.Set != nil {
			out.Sets = append(out.Sets, jsonSet(o, o.Set))
		}
	}
	return out
}

func jsonEach(groups []landed.Pieces) []costPieces {
	var each []costPieces
	for _, g := range groups {
		each = append(each, costPieces{Count: g.Count, Cost: g.Each.Number()})
	}
	return each
}

func jsonOffer(o *doubles.Offer) priceOffer {
	out := priceOffer{ID: o.ID, Lot: o.Lot, State: o.State.String(), Count: o.Count, Cost: o.Cost.Number(), Each: jsonEach(o.Each)}
	if o.State == landed.Made {
		out.What = o.What
	}
	for i := range o.Quotes {
		q := &o.Quotes[i]
		j := priceQuote{Venue: q.Sale.Venue.Name, Currency: q.Sale.Cost.Currency().Code(), Cost: q.Sale.Cost.Number(), Verdict: q.Verdict()}
		j.BreakEven, j.Why = jsonPrice(q.BreakEven)
		if q.BreakEven.Err == nil {
			j.Ask, j.Why = jsonPrice(q.Ask)
		}
		if e := q.Expected; e != nil {
			j.Value, j.Net, j.Left = e.Price.Number(), e.Net.Number(), e.Left.Number()
		}
		j.PerHour = known(q.PerHour)
		j.Gaps, j.MoreGaps = jsonGaps(q), q.MoreGaps()
		out.Venues = append(out.Venues, j)
	}
	return out
}

// known prints an amount, or nothing where there is none.
func known(a money.Amount) string {
	if a.Currency() == 0 {
		return ""
	}
	return a.Number()
}

func jsonPrice(p doubles.LeastPrice) (price, why string) {
	if p.Err != nil {
		return "", resale.Reason(p.Err)
	}
	return p.Price.Number(), ""
}

func jsonSold(s *doubles.Sold) priceSold {
	out := priceSold{ID: s.ID, Lot: s.Lot, Made: s.Sale.Made, Date: dayText(s.Sale.Date), Venue: s.Sale.Venue, Count: s.Sale.Count, Price: s.Price.Number(), Charged: s.Charged.Number(),
		Fees: s.Fees.Number(), Postage: s.Sending.Number(), Brought: s.Net.Number(), Cost: s.Cost.Number(), Left: s.Left.Number()}
	if s.VAT.Sign() != 0 {
		out.Tax = s.VAT.Number()
	}
	return out
}

func jsonGaps(q *doubles.Quote) []priceGap {
	var out []priceGap
	for _, g := range q.Gaps() {
		j := priceGap{Of: "break_even", From: g.From.Number(), To: g.To.Number(), Shortfall: g.Shortfall.Number(), Fee: g.Fee}
		if g.OfTarget {
			j.Of = "target"
		}
		if g.NoEnd {
			j.To, j.Shortfall = "", ""
		}
		out = append(out, j)
	}
	return out
}

func jsonSet(o *doubles.Offer, s *doubles.Set) priceSet {
	out := priceSet{ID: o.ID, State: o.State.String(), Pieces: o.Count, Price: s.Price.Number()}
	if s.Err != nil {
		out.Why = resale.Reason(s.Err)
		return out
	}
	out.Together, out.Singly, out.Gain = s.Together.Number(), s.Singly.Number(), s.Gain.Number()
	out.AsGood, out.Why = jsonPrice(s.AsGood)
	return out
}

// PriceWorkingJSON is a working for [WriteJSON].
func PriceWorkingJSON(o *doubles.Offer, q *doubles.Quote, out *resale.Result) any {
	type step struct {
		What   string `json:"what"`
		Of     string `json:"of,omitempty"`
		Rule   string `json:"rule,omitempty"`
		Amount string `json:"amount"`
	}
	working := struct {
		ID       string     `json:"id"`
		State    string     `json:"state"`
		Venue    string     `json:"venue"`
		Currency string     `json:"currency"`
		Price    string     `json:"price"`
		Steps    []step     `json:"working"`
		Net      string     `json:"net"`
		Cost     string     `json:"cost"`
		Left     string     `json:"left"`
		Gaps     []priceGap `json:"gaps,omitempty"`
		MoreGaps bool       `json:"more_gaps,omitempty"`
	}{ID: o.ID, State: o.State.String(), Venue: q.Sale.Venue.Name, Currency: q.Sale.Cost.Currency().Code(), Price: out.Price.Number(),
		Net: out.Net.Number(), Cost: q.Sale.Cost.Number(), Left: out.Left.Number(), Gaps: jsonGaps(q), MoreGaps: q.MoreGaps()}
	for _, l := range out.Steps {
		working.Steps = append(working.Steps, step{l.What, known(l.Base), l.Rule, l.Amount.Number()})
	}
	return working
}
