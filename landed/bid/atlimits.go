package bid

import (
	"cmp"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// Won is a set of open lots that may be won, each at its limit, beside what is bought.
type Won struct {
	What      string            // of [AtLimits] "alone", "all", or "likeliest" by the plan of the evening
	Lots      []string          // ids, in the order in which they close
	Prices    []money.Amount    // of each the limit by the plan, or else that of the lot alone
	Statement *landed.Statement // of all that is then paid
	Plan      *together.Report  // how all travels; nil where the haul names no services
	why       error             // why no service takes them; else nil
	Above     money.Amount      // the budget, where all that is bought then costs more; else no currency
}

// AtLimits accounts for the sets of open lots that matter, with their limits as prices: each
// lot alone, all of them, and what is likeliest to be won. A lot without a limit is in none.
// The errors are those of [Tonight].
func AtLimits(h *landed.Haul, p Plans, o Options) ([]Won, error) {
	e, err := tonight(h, p, o, false)
	if err != nil {
		return nil, err
	}
	all, likeliest := Won{What: "all"}, Won{What: "likeliest"}
	var list []Won
	for i := range e.Lots {
		l := &e.Lots[i]
		if l.Alone.Currency() != 0 {
			list = append(list, Won{What: "alone", Lots: []string{l.ID}, Prices: []money.Amount{l.Alone}})
		}
		price := cmp.Or(l.Limit, l.Alone)
		if price.Currency() == 0 {
			continue
		}
		all.add(l.ID, price)
		if e.Plan != nil && slices.Contains(e.Plan.likeliest, l.ID) {
			likeliest.add(l.ID, price)
		}
	}
	if len(all.Lots) > 1 {
		list = append(list, all)
	}
	if len(likeliest.Lots) > 1 && len(likeliest.Lots) < len(all.Lots) {
		list = append(list, likeliest)
	}
	d, err := checked(h, p)
	for i := range list {
		if err == nil {
			err = list[i].account(d)
		}
	}
	return list, err
}

func (w *Won) add(id string, price money.Amount) {
	w.Lots, w.Prices = append(w.Lots, id), append(w.Prices, price)
}

func (w *Won) account(d deal) error {
	only := d.only(func(l *landed.Lot) bool { return l.Bought() || slices.Contains(w.Lots, l.ID) })
	h := ready(only.Haul)
	a, err := accountOf(bought(&h, w.Lots, w.Prices), only.Sending, together.Least)
	if refused(err) {
		w.why, err = err, nil
	} else if err == nil {
		w.Statement, w.Plan = a.Statement, a.plan
		if b := d.Bidding; b != nil && b.Goal.Budget.Currency() != 0 && a.Statement.Total.Minor() > b.Goal.Budget.Minor() {
			w.Above = b.Goal.Budget
		}
	}
	return err
}
