package show

import (
	"slices"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
)

// pricesJSON is a calculation. What is of a venue is in its currency, all else in home.
func pricesJSON(r *doubles.Result, open []string) any {
	carry, target := sheet.Either(r.CarryAll, "doubles", "own"), ""
	if !r.Target.IsZero() {
		target = r.Target.String()
	}
	var sets sheet.Entries
	if slices.ContainsFunc(r.Offers, func(o doubles.Offer) bool { return o.Set != nil }) {
		sets = func(j *sheet.JSON) {
			for o := range sheet.All(r.Offers) {
				if o.Set != nil {
					writeSet(j, o, o.Set)
				}
			}
		}
	}
	p, k := &r.Payback, &r.Kept
	sum := money.New(0, r.Statement.Home)
	if n := len(p.Steps); n > 0 {
		sum = p.Steps[n-1].Sum
	}
	order := sheet.Each(p.Steps, func(s *doubles.PaybackStep) object {
		o := &r.Offers[s.Offer]
		return object{"id", o.ID, "what?", made(o), "state", o.State, "pieces", s.Pieces, "sum", s.Sum}
	})
	return object{"title", r.Statement.Haul.Title, "home", r.Statement.Home, "total", r.Statement.Total, "lost", r.Statement.Loss, "carry", carry, "venue", at(r), "target?", target,
		"pieces", sheet.Entries(func(j *sheet.JSON) { sheet.Objects(j, r.Offers, writeOffer) }),
		"sold", sheet.Each(r.Sold, soldJSON), "payback", object{"paid", p.Over.Sign() >= 0, "pieces", paybackPieces(p), "sum", sum, "over", p.Over, "order", order},
		"kept", object{"own", keptOwn(k), "brought", keptBrought(k), "sold", k.Sold, "not_sold_yet", k.NotYet, "net", k.Net, "unpriced?", unpriced(r), "items", sheet.Each(k.Items, keptJSON)},
		"sets?", sets, "taken_at_best?", atBest(r), "without_open_lots?", open}
}

func keptJSON(k *doubles.KeptPieces) object {
	each := sheet.Each(k.Each, func(p *landed.Pieces) object { return object{"count", p.Count, "cost", p.Each} })
	return object{"id", k.ID, "lot", k.Lot.ID, "count", k.Count, "own", k.Own, "net", k.Net, "each", each, "worth?", asked(k.Worth)}
}

// made is what pieces that were made from dead ones are called, and "" of others: it tells those of
// one item apart.
func made(o *doubles.Offer) string {
	return sheet.Either(o.State == landed.Made, o.What, "")
}

// writeOffer writes the pieces of an offer, and what they must bring at each venue.
func writeOffer(j *sheet.JSON, o *doubles.Offer) {
	j.Field("id", o.ID)
	j.Field("lot", o.Lot.ID)
	j.Given("what", made(o))
	j.Field("state", o.State.String())
	j.Count("count", o.Count)
	j.Amount("cost", o.Cost)
	sheet.List(j, "each", o.Each, func(j *sheet.JSON, g *landed.Pieces) {
		j.Count("count", g.Count)
		j.Amount("cost", g.Each)
	})
	sheet.List(j, "venues", o.Quotes, writeQuote)
}

func writeQuote(j *sheet.JSON, q *doubles.Quote) {
	j.Field("venue", q.Sale().Venue.Name)
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
	gaps, more := gapsJSON(q)
	if len(gaps) > 0 {
		j.Key("gaps")
		j.Value(gaps)
	}
	if more { // than are listed
		j.Key("more_gaps")
		j.Value(true)
	}
}

// writePrice writes a price, or returns why there is none.
func writePrice(j *sheet.JSON, name string, p *doubles.LeastPrice) (why string) {
	if p.Err != nil {
		return resale.Reason(p.Err)
	}
	j.Amount(name, p.Price)
	return ""
}

func soldJSON(s *doubles.Sold) object {
	return object{"id", s.ID, "lot", s.Lot.ID, "made?", s.Sale.Made, "date?", day(s.Sale.Date), "venue?", s.Sale.Venue, "count", s.Sale.Count, "price", s.Price, "charged", s.Charged,
		"fees", s.Fees, "value_added_tax?", unlessNone(s.VAT), "postage", s.Sending, "brought", s.Net, "cost", s.Cost, "left", s.Left,
		"returned?", sheet.Each(s.Returned, returnJSON)}
}

// returnJSON is what came back of a sale: what is paid back and got back is above zero, and so is
// the cost of the pieces that are in stock again.
func returnJSON(b *selling.Returned) object {
	as := sheet.Either(b.Return.As != landed.Sound, b.Return.As.String(), "")
	return object{"date", day(b.Return.Date), "count", b.Return.Count, "refund", negative(b.Proceeds()), "fees_back", negative(b.Fees),
		"value_added_tax_back?", unlessNone(negative(b.VAT)), "postage", b.Sending, "brought", b.Sum(), "as?", as, "cost", negative(b.Cost), "written_off?", unlessNone(b.WrittenOff), "left", b.Profit()}
}

// gapsJSON are the ranges of prices that leave less, and whether there are more. Where no higher
// price will do there is no end, and the shortfall grows with the price.
func gapsJSON(q *doubles.Quote) (list []object, more bool) {
	gaps, more := q.Gaps()
	return sheet.Each(gaps, func(g *resale.Gap) object {
		of, to, shortfall := sheet.Either(g.OfTarget, "target", "break_even"), g.To, g.Shortfall
		if g.NoEnd {
			to, shortfall = money.Amount{}, money.Amount{}
		}
		return object{"of", of, "from", g.From, "to?", to, "shortfall?", shortfall, "fee?", g.Fee}
	}), more
}

func writeSet(j *sheet.JSON, o *doubles.Offer, s *doubles.Set) {
	j.Begin('{')
	j.Field("id", o.ID)
	j.Given("what", made(o))
	j.Field("state", o.State.String())
	j.Count("pieces", o.Count)
	j.Amount("price", s.Price)
	if s.Err != nil {
		j.Field("no_price", resale.Reason(s.Err))
	} else {
		j.Amount("left_together", s.Together)
		j.Amount("left_singly", s.Singly)
		j.Amount("gain", less(s.Together, s.Singly))
		j.Given("no_price", writePrice(j, "as_good_at", &s.AsGood))
	}
	j.End('}')
}

func priceWorkingJSON(o *doubles.Offer, q *doubles.Quote, out *resale.Result) any {
	steps := sheet.Each(out.Steps, func(l *resale.Step) object {
		return object{"what", l.What, "of?", l.Base, "rule?", l.Rule, "amount", l.Amount}
	})
	gaps, more := gapsJSON(q)
	return object{"id", o.ID, "state", o.State, "venue", q.Sale().Venue.Name, "currency", q.Cost.Currency(), "price", out.Price, "working", steps,
		"net", out.Net, "cost", q.Cost, "left", out.Left, "gaps?", gaps, "more_gaps?", more}
}
