package sales

import (
	"lotcost/landed"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
)

// LotWorth sums what the pieces of a lot count as when right, in home without the
// spread, each value rounded once, half away from zero. It has no currency where
// that is not known of all of them.
func LotWorth(h *landed.Haul, lot *landed.Lot) money.Amount {
	var sums tally.Tally
	sum, rates := money.New(0, h.Home), h.Exchange()
	for i := range lot.Items {
		item := &lot.Items[i]
		for _, run := range h.Values(item, item.Count) {
			if run.Each.Currency() == 0 {
				return money.Amount{}
			}
			sum = sums.Add(sum, sums.Times(sums.Of(rates.Value(run.Each, h.Home)), run.Count))
		}
	}
	if sums.Err != nil {
		return money.Amount{}
	}
	return sum
}
