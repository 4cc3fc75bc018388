package show

import (
	"math/big"

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

// object is an object of JSON. The names of its fields are promised to other programs; amounts are
// texts of the figure, with exactly the digits of their currency.
type object = sheet.Object

// bidJSON is a bid, and where others are likely to bid, how the evening may go; e is else nil. Bids
// are in the currency of the bids, all else in home; chances and returns are fractions.
func bidJSON(a *bid.Answer, moves []bid.Move, e *bid.Evening) object {
	binding, point := &a.Limits[a.Binding], func(p *bid.Point) object { return pointJSON(a, p) }
	return object{"title", a.Statement.Haul.Title, "lot", a.Lot, "beside?", a.Beside, "already_paid?", given(a.Before, func(st *landed.Statement) money.Amount { return st.Total }),
		"left_open?", a.Away, "bought?", asked(a.Bought),
		"home", a.Statement.Home, "bids", a.Bids, "venue?", a.Venue, "reached", len(a.Ranges) > 0, "best", point(&a.Best), "asked?", given(a.Asked, point),
		"proceeds", proceedsJSON(a.Proceeds),
		"limits", sheet.Each(a.Limits, func(l *bid.Limit) object {
			return object{"goal", l.Goal, "want?", l.Want, "may_cost", l.Most, "binds?", l == binding}
		}),
		"stopped?", a.Stopped, "lowest_looked_at?", a.Last,
		"ranges", sheet.Each(a.Ranges, func(r *[2]money.Amount) object { return object{"from", r[0], "to", r[1]} }),
		"cliffs", sheet.Each(a.Cliffs, func(c *bid.Cliff) object {
			return object{"below", c.Below.Bid, "at", c.At.Bid, "cost_below", c.Below.Cost, "cost_at", c.At.Cost, "turns", c.At.Turns}
		}),
		"ladder", sheet.Each(a.Ladder, point),
		"costs", sheet.Each(live.Kinds(a.Statement, a.Before), func(k *landed.Kind) object { return object{"kind", *k, "home", a.Added(*k)} }),
		"chart", sheet.Each(a.Proceeds.Histogram(chartBins), func(b *odds.Bin) object {
			return object{"from", b.From, "to", b.To, "chance", fraction(b.Chance.Rat())}
		}),
		"moves", sheet.Each(moves, moveJSON), "parcels?", boxesJSON(a.Plan), "left_aside?", given(a.Plan, asideJSON), "refused_from?", given(a.Refused, bidOf), "without_value?", a.NoValue,
		"money_back?", given(a.Back, backJSON), "evening?", given(e, eveningSums), "lots?", given(e, eveningLots), "border?", besideJSON(a.Statement)}
}

// given is something of what a pointer leads to; nothing where it leads nowhere.
func given[T, U any](p *T, something func(*T) U) (none U) {
	if p == nil {
		return none
	}
	return something(p)
}

func bidOf(p *bid.Point) money.Amount { return p.Bid }

// backJSON is how many pieces must work for the money back, whatever becomes of the rest.
func backJSON(m *bid.MoneyBack) object {
	good := sheet.Each(m.Good, func(g *bid.Good) object { return object{"id", g.Item, "pieces", g.Pieces, "of", g.Of} })
	return object{"enough", m.Enough, "good", good, "chance", fraction(m.Chance)}
}

// fraction prints a fraction with six decimals; nil of none.
func fraction(r *big.Rat) any { return decimals(r, 6) }

// decimals prints a number to so many of them, half away from zero; nil of none.
func decimals(r *big.Rat, digits int) any {
	return given(r, func(r *big.Rat) any { return r.FloatString(digits) })
}

// sentBy are the parcels of the best way of a plan, if there is one.
func sentBy(plan *together.Report) []together.Sent {
	return given(plan, func(r *together.Report) []together.Sent { return r.Best.Parcels })
}

func boxesJSON(plan *together.Report) []object {
	return sheet.Each(sentBy(plan), func(s *together.Sent) object { return object{"lots", s.Parcel.Lots, "service", s.Quote.Service.Name} })
}

func moveJSON(m *bid.Move) object {
	return object{"factor", m.Factor, "bid_at_10_percent_less?", m.Less, "bid_at_10_percent_more?", m.More}
}

func proceedsJSON(d *odds.Distribution) object {
	off, chance := d.ErrorBounds()
	chanceOff := ""
	if chance.Sign() > 0 {
		chanceOff = upTo(chance)
	}
	return object{"mean", d.Mean(), "deviation", d.StdDev(), "least", d.Quantile(decimal.Zero), "most", d.Quantile(decimal.NewFromInt(1)), "median", d.Quantile(half),
		"exact", off.Sign() == 0, "off_by_at_most", off, "chances_off_by_at_most?", chanceOff}
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

func pointJSON(a *bid.Answer, p *bid.Point) object {
	_, back := returnOf(a, p)
	_, loss := lossOf(a, p)
	worst, _ := a.Worst(p.Cost, worstPart) // none where it cannot be told
	return object{"bid", p.Bid, "cost", p.Cost, "profit", p.Profit, "return?", back, "chance_of_loss", loss, "meets", p.Missing.Sign() == 0, "missing", p.Missing, "worst_5_percent", worst}
}

// factJSON is a forecast beside the fact.
func factJSON(f *bid.Fact) any {
	items := sheet.Each(f.Items, func(it *bid.FactItem) object {
		outcomes := []object{}
		for i := range it.Chances {
			outcomes = append(outcomes, object{"what", it.Chances[i].What, "pieces", it.Pieces[i].FloatString(2)})
		}
		return object{"id", it.ID, "lot", it.Lot, "count", it.Count, "expected_pieces", outcomes, "found?", foundText(it), "sold", selling.Count(it.Sold), "expected", it.Expected,
			"net_of_sales", it.Net, "kept", it.Kept, "repair", it.Repaired, "not_sold_yet", it.NotSold, "brought", it.Brought}
	})
	return object{"title", f.Statement.Haul.Title, "home", f.Statement.Home, "venue?", f.Venue, "cost", f.Statement.Total, "expected", f.Expected, "brought", f.Brought, "not_sold_yet", notSold(f),
		"chance_of_less", fraction(f.Less.Rat()), "quantile", fraction(f.AtMost.Rat()), "unsold", f.Unsold, "items", items}
}

// number prints an amount; "" where there is none.
func number(a money.Amount) string { return sheet.AsText(a) }

// less is by how much an amount is above another.
func less(a, b money.Amount) money.Amount { return money.New(a.Minor()-b.Minor(), a.Currency()) }

// negative is an amount with the other sign.
func negative(a money.Amount) money.Amount { return money.New(-a.Minor(), a.Currency()) }
