package together

import (
	"context"
	"slices"

	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
)

// Opened is what depends on prices that are still open. The ways of a report count
// them as nothing, also where the border and insurance look at them.
type Opened struct {
	Lots []string // ids
	Bear bool     // whether a price bears on how the lots travel: by a border, insurance or a limit on value

	// The best way where each of them costs what its pieces are worth when right.
	// Worth is empty where that is not known, or no price bears on it.
	Worth []money.Amount // in home, by Lots
	Best  Way            // without a statement where it cannot be
	Same  bool           // it is the best way of the report
}

// opened looks at what depends on open prices; nil where none is open.
func (p *planner) opened(ctx context.Context, best *Way) *Opened {
	open := &Opened{Lots: p.haul.Open()}
	if len(open.Lots) == 0 {
		return nil
	}
	open.Bear = p.haul.Border != nil || slices.ContainsFunc(p.goods, func(g goods) bool { return g.currency != 0 })
	if !open.Bear || ctx.Err() != nil {
		return open
	}
	h := *p.haul
	h.Lots = slices.Clone(h.Lots)
	for i := range h.Lots {
		lot := &h.Lots[i]
		if lot.Bought() {
			continue
		}
		worth := sales.LotWorth(&h, lot)
		if worth.Sign() <= 0 {
			open.Worth = nil
			return open
		}
		open.Worth = append(open.Worth, worth)
		lot.Open, lot.Price = false, worth
	}
	_, r, err := least(ctx, &h, p.sending, Options{})
	if open.Best.Why = err; err != nil {
		return open
	}
	open.Best = r.Best
	open.Same = slices.EqualFunc(best.Parcels, r.Best.Parcels, func(a, b Sent) bool {
		return slices.Equal(a.Parcel.Lots, b.Parcel.Lots) && a.Quote.Service.Name == b.Quote.Service.Name
	})
	return open
}
