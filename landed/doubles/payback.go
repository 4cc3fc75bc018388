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
	Steps []PaybackStep // the offers sold, best first
	Over  money.Amount  // what they bring less what is to be brought; negative if all pieces together do not pay
}

// PaybackStep is how many pieces of one offer are sold.
type PaybackStep struct {
	Offer  int          // index into Offers
	Pieces int64        // of the offer, that are sold
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
	var sums tally.Tally
	sum := money.New(0, w.home)
	for _, i := range order {
		o := &w.Offers[i]
		if sum.Cmp(open) >= 0 || o.net.Sign() <= 0 || sums.Err != nil {
			break
		}
		n := min((sums.Sub(open, sum).Minor()-1)/o.net.Minor()+1, o.Count) // both above zero: rounds up
		sum = sums.Add(sum, sums.Times(o.net, n))
		w.Payback.Steps = append(w.Payback.Steps, PaybackStep{i, n, sum})
	}
	w.Payback.Over = sums.Sub(sum, open)
	return sums.Err
}
