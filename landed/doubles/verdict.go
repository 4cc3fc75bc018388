package doubles

import (
	"fmt"

	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Verdict says in plain words whether to sell at the expected value, and what price to ask
// where that makes a loss or misses the target: "sell at 38.00", "a loss: ask 41.99",
// "2.50 short of the target: ask 27.78". Amounts are in the currency of the venue.
func (q *Quote) Verdict() string {
	if q.BreakEven.Err != nil && q.Expected == nil {
		return resale.Reason(q.BreakEven.Err)
	}
	if q.Expected == nil {
		return q.unvalued()
	}
	switch o := q.Expected; {
	case o.Left.Cmp(o.Target) >= 0:
		return "sell at " + o.Price.Number()
	case o.Left.Sign() >= 0:
		return short(o) + " short of the target: " + ask(q.Ask, o.Price)
	case q.aims && q.BreakEven.Err == nil:
		return "a loss: " + ask(q.BreakEven, o.Price) + ", " + q.forTarget()
	default:
		return "a loss: " + ask(q.Ask, o.Price)
	}
}

func (q *Quote) forTarget() string {
	if q.Ask.Err != nil {
		return resale.Reason(q.Ask.Err)
	}
	return q.Ask.Price.Number() + " for the target"
}

func (q *Quote) unvalued() string {
	if q.Ask.Err != nil {
		return resale.Reason(q.Ask.Err)
	}
	return "no expected value; ask " + q.Ask.Price.Number() + " or more"
}

func short(o *resale.Result) string {
	return money.New(o.Target.Minor()-o.Left.Minor(), o.Left.Currency()).Number()
}

// ask says which price would do in place of one that does not. Where a lower
// one does, that one lies in a gap.
func ask(p LeastPrice, price money.Amount) string {
	if p.Err != nil {
		return resale.Reason(p.Err)
	}
	text := "ask " + p.Price.Number()
	if p.Price.Cmp(price) > 0 {
		return text
	}
	for _, g := range p.Gaps {
		if g.From.Cmp(price) <= 0 && price.Cmp(g.To) <= 0 && !g.NoEnd {
			return fmt.Sprintf("%s, or %s: prices between make less", text, money.New(g.To.Minor()+1, g.To.Currency()).Number())
		}
	}
	return text + ": a higher price makes less"
}
