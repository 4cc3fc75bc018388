package doubles

import (
	"lotcost/landed"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
)

// Kept is what the kept pieces cost once the others are sold at their expected
// values.
type Kept struct {
	Items  []KeptPieces // in file order
	Sold   money.Amount // what was sold so far has brought
	NotYet money.Amount // what the pieces that are not sold yet bring at their values; those that would bring nothing are not sold
	Net    money.Amount // what was paid for the haul less Sold and NotYet; may be below zero
}

// KeptPieces is the kept pieces of an item.
type KeptPieces struct {
	Item
	Count    int64           // how many are kept
	Own, Net money.Amount    // of all
	Each     []landed.Pieces // Net, divided equally
}

// keep shares the haul, less what the sales bring, over the kept pieces by
// their own cost, or by their number where that is nothing.
func (w *worker) keep() error {
	var sums tally.Tally
	k := &w.Kept
	k.NotYet = money.New(0, w.home)
	for i := range w.Offers {
		o := &w.Offers[i]
		if o.net.Sign() <= 0 {
			continue
		}
		k.NotYet = sums.Add(k.NotYet, sums.Times(o.net, o.Count))
	}
	if k.Net = sums.Sub(w.Statement.Total, sums.Add(k.Sold, k.NotYet)); sums.Err != nil || len(k.Items) == 0 {
		return sums.Err
	}
	return k.share()
}

func (k *Kept) share() error {
	own, counts, shares := make([]int64, len(k.Items)), make([]int64, len(k.Items)), make([]int64, len(k.Items))
	var sum int64
	fair := true
	for i := range k.Items {
		own[i], counts[i] = k.Items[i].Own.Minor(), k.Items[i].Count
		sum += own[i]
		fair = fair && own[i] >= 0
	}
	if !fair || sum == 0 {
		own = counts
	}
	if err := money.Apportion(shares, k.Net.Minor(), own); err != nil {
		return err
	}
	for i := range k.Items {
		item := &k.Items[i]
		item.Net = money.New(shares[i], k.Net.Currency())
		item.Each = sales.Divide(item.Net, landed.Pieces{Count: item.Count})
	}
	return nil
}
