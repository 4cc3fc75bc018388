package doubles

import (
	"fmt"
	"strings"

	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Verdict says in plain words what comes of a sale at the expected value, and
// what price would do: "sell at 38.00: profit 11.20", "38.00 does not cover it:
// 3.10 short; 41.99 would". Amounts are in the currency of the venue.
func (q *Quote) Verdict() string {
	if q.BreakEven.Err != nil && q.Expected == nil {
		return resale.Reason(q.BreakEven.Err)
	}
	if q.Expected == nil {
		return q.unvalued()
	}
	o := q.Expected
	at, missing := o.Price.Number(), short(o)
	switch {
	case o.Left.Cmp(o.Target) >= 0:
		return fmt.Sprintf("sell at %s: profit %s", at, o.Left.Number())
	case o.Left.Sign() >= 0:
		return fmt.Sprintf("%s makes %s, %s short of the target; %s", at, o.Left.Number(), missing, would(q.Ask, o.Price))
	case q.aims && q.BreakEven.Err == nil:
		return fmt.Sprintf("%s does not cover it: %s short; %s, %s", at, magnitude(o.Left), would(q.BreakEven, o.Price), q.forTarget())
	}
	return fmt.Sprintf("%s does not cover it: %s short; %s", at, magnitude(o.Left), would(q.Ask, o.Price))
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

// short is what is missing of the target.
func short(o *resale.Result) string {
	return money.New(o.Target.Minor()-o.Left.Minor(), o.Left.Currency()).Number()
}

func magnitude(a money.Amount) string {
	return strings.TrimPrefix(a.Number(), "-")
}

// would says which price would do in place of one that does not. Where a lower
// one does, that one lies in a gap.
func would(p LeastPrice, price money.Amount) string {
	if p.Err != nil {
		return resale.Reason(p.Err)
	}
	if p.Price.Cmp(price) > 0 {
		return p.Price.Number() + " would"
	}
	for _, g := range p.Gaps {
		if g.From.Cmp(price) <= 0 && price.Cmp(g.To) <= 0 && !g.NoEnd {
			return fmt.Sprintf("%s would, or %s: prices between make less", p.Price.Number(), money.New(g.To.Minor()+1, g.To.Currency()).Number())
		}
	}
	return p.Price.Number() + " would: a higher price makes less"
}
