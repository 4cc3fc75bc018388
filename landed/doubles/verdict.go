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
	switch o := q.Expected; {
	case o == nil && q.BreakEven.Err != nil:
		return resale.Reason(q.BreakEven.Err)
	case o == nil:
		return priced(q.Ask, "no expected value; ask ", " or more")
	case o.Left.Cmp(o.Target) >= 0:
		return "sell at " + o.Price.Said()
	case o.Left.Sign() >= 0:
		return money.New(o.Target.Minor()-o.Left.Minor(), o.Left.Currency()).Said() + " short of the target: " + ask(q.Ask, o.Price)
	case q.aims && q.BreakEven.Err == nil:
		return "a loss: " + ask(q.BreakEven, o.Price) + ", " + priced(q.Ask, "", " for the target")
	default:
		return "a loss: " + ask(q.Ask, o.Price)
	}
}

// priced is a price within a sentence, or why there is none.
func priced(p LeastPrice, before, after string) string {
	if p.Err != nil {
		return resale.Reason(p.Err)
	}
	return before + p.Price.Said() + after
}

// ask says which price would do in place of one that does not. Where a lower
// one does, that one lies in a gap.
func ask(p LeastPrice, price money.Amount) string {
	text := priced(p, "ask ", "")
	if p.Err != nil || p.Price.Cmp(price) > 0 {
		return text
	}
	for _, g := range p.Gaps {
		if g.From.Cmp(price) <= 0 && price.Cmp(g.To) <= 0 && !g.NoEnd {
			return fmt.Sprintf("%s, or %s: prices between make less", text, money.New(g.To.Minor()+1, g.To.Currency()).Said())
		}
	}
	return text + ": a higher price makes less"
}
