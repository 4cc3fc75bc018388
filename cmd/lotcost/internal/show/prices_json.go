package show

import (
	"slices"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// prices is a calculation in JSON. The names are promised to other programs.
type prices struct {
	Title   string        `json:"title"`
	Home    string        `json:"home"`
	Total   string        `json:"total"`
	Lost    string        `json:"lost"`
	Carry   string        `json:"carry"`
	Venue   string        `json:"venue"`
	Target  string        `json:"target,omitempty"`
	Pieces  sheet.Entries `json:"pieces"`
	Sold    []priceSold   `json:"sold"`
	Payback pricePayback  `json:"payback"`
	Kept    priceKept     `json:"kept"`
	Sets    sheet.Entries `json:"sets,omitempty"`
	AtBest  []string      `json:"taken_at_best,omitempty"`
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

// PricesJSON is a calculation for [WriteJSON]. Amounts are decimal strings with
// exactly the digits of home, or of the venue's currency in what is of a venue.
func PricesJSON(r *doubles.Result) any {
	out := prices{Title: r.Statement.Haul.Title, Home: r.Statement.Home.Code(), Total: r.Statement.Total.Number(), Lost: r.Statement.Loss.Number(), Carry: "own", Venue: at(r), Sold: []priceSold{}, AtBest: r.AtBest}
	if r.CarryAll {
		out.Carry = "doubles"
	}
	if !r.Target.IsZero() {
		out.Target = r.Target.String()
	}
	out.Pieces = func(j *sheet.JSON) {
		for i := range r.Offers {
			writeOffer(j, &r.Offers[i])
		}
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
	if slices.ContainsFunc(r.Offers, func(o doubles.Offer) bool { return o.Set != nil }) {
		out.Sets = func(j *sheet.JSON) {
			for i := range r.Offers {
				if o := &r.Offers[i]; o.Set != nil {
					writeSet(j, o, o.Set)
				}
			}
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

// writeOffer writes the pieces of an offer, and what they must bring at each venue.
func writeOffer(j *sheet.JSON, o *doubles.Offer) {
	j.Begin('{')
	j.Field("id", o.ID)
	j.Field("lot", o.Lot)
	if o.State == landed.Made { // from dead ones
		j.Given("what", o.What)
	}
	j.Field("state", o.State.String())
	j.Count("count", o.Count)
	j.Amount("cost", o.Cost)
	j.Key("each")
	j.Begin('[')
	for _, g := range o.Each {
		j.Begin('{')
		j.Count("count", g.Count)
		j.Amount("cost", g.Each)
		j.End('}')
	}
	j.End(']')
	j.Key("venues")
	j.Begin('[')
	for i := range o.Quotes {
		writeQuote(j, &o.Quotes[i])
	}
	j.End(']')
	j.End('}')
}

func writeQuote(j *sheet.JSON, q *doubles.Quote) {
	j.Begin('{')
	j.Field("venue", q.Venue().Name)
	j.Field("currency", q.Cost.Currency().Code())
	j.Amount("cost", q.Cost)
	why := writePrice(j, "break_even", &q.BreakEven)
	if why == "" {
		why = writePrice(j, "ask", &q.Ask)
	}
	j.Given("no_price", why)
	if e := q.Expected; e != nil {
		j.Amount("value", e.Price)
		j.Amount("net", e.Net)
		j.Amount("left", e.Left)
	}
	if q.PerHour.Currency() != 0 {
		j.Amount("per_hour", q.PerHour)
	}
	j.Field("verdict", q.Verdict())
	if gaps := jsonGaps(q); gaps != nil {
		j.Key("gaps")
		j.Value(gaps)
	}
	if q.MoreGaps() { // than are listed
		j.Key("more_gaps")
		j.Value(true)
	}
	j.End('}')
}

// writePrice writes a price, or returns why there is none.
func writePrice(j *sheet.JSON, name string, p *doubles.LeastPrice) (why string) {
	if p.Err != nil {
		return resale.Reason(p.Err)
	}
	j.Amount(name, p.Price)
	return ""
}

// known prints an amount, or nothing where there is none.
func known(a money.Amount) string {
	if a.Currency() == 0 {
		return ""
	}
	return a.Number()
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

func writeSet(j *sheet.JSON, o *doubles.Offer, s *doubles.Set) {
	j.Begin('{')
	j.Field("id", o.ID)
	j.Field("state", o.State.String())
	j.Count("pieces", o.Count)
	j.Amount("price", s.Price)
	if s.Err != nil {
		j.Field("no_price", resale.Reason(s.Err))
	} else {
		j.Amount("left_together", s.Together)
		j.Amount("left_singly", s.Singly)
		j.Amount("gain", s.Gain)
		j.Given("no_price", writePrice(j, "as_good_at", &s.AsGood))
	}
	j.End('}')
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
	}{ID: o.ID, State: o.State.String(), Venue: q.Venue().Name, Currency: q.Cost.Currency().Code(), Price: out.Price.Number(),
		Net: out.Net.Number(), Cost: q.Cost.Number(), Left: out.Left.Number(), Gaps: jsonGaps(q), MoreGaps: q.MoreGaps()}
	for _, l := range out.Steps {
		working.Steps = append(working.Steps, step{l.What, known(l.Base), l.Rule, l.Amount.Number()})
	}
	return working
}
