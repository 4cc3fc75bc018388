package doubles

import (
	"cmp"
	"slices"

	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
)

// Payback says how much of what is not sold yet must be sold, at its values, before the haul has
// paid for itself. Amounts are in home.
type Payback struct {
	Steps  []PaybackStep // the offers sold, best first
	Pieces int64
	Sum    money.Amount // what the pieces bring
	Over   money.Amount // Sum less what is to be brought; negative if all pieces together do not pay
}

// PaybackStep is how many pieces of one offer are sold.
type PaybackStep struct {
	Offer  int // index into Offers
	Pieces int64
	Sum    money.Amount // brought by all steps up to this one
}

// payBack sells the offers piece by piece, those that bring most first and the earlier first where
// they bring alike, until they have brought what sales so far have not: that is the smallest number
// of pieces that can do it. Offers that bring nothing are never sold, and nothing is where no cost
// is left.
func (w *worker) payBack() error {
	open, err := w.Statement.Total.Sub(w.Kept.Sold)
	if err != nil {
		return err
	}
	order := make([]int, len(w.Offers))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(w.Offers[b].net.Minor(), w.Offers[a].net.Minor())
	})
	p := &w.Payback
	p.Sum = money.New(0, w.home)
	for _, i := range order {
		if p.Sum.Cmp(open) >= 0 || w.Offers[i].net.Sign() <= 0 {
			break
		}
		if err := p.sell(i, &w.Offers[i], open); err != nil {
			return err
		}
	}
	p.Over, err = p.Sum.Sub(open)
	return err
}

// sell adds as many pieces of an offer as are needed and there.
func (p *Payback) sell(at int, o *Offer, cost money.Amount) error {
	var sums tally.Tally
	open := sums.Sub(cost, p.Sum)
	n := min((open.Minor()-1)/o.net.Minor()+1, o.Count) // both above zero: rounds up
	p.Sum = sums.Add(p.Sum, sums.Times(o.net, n))
	p.Pieces += n
	p.Steps = append(p.Steps, PaybackStep{at, n, p.Sum})
	return sums.Err
}
