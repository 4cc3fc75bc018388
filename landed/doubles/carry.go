package doubles

import (
	"math/big"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// carry lets the offers carry all that was paid, but for what sales brought.
func (w *worker) carry() error {
	if len(w.Offers) == 0 {
		remedy := "let each piece carry its own cost"
		if len(w.Kept.Items) > 0 {
			remedy = "keep fewer, or " + remedy
		}
		return source.Faults{{What: "no piece is to be sold, so none can carry the haul", Remedy: remedy, Asked: "carry"}}
	}
	left, err := w.Statement.Total.Sub(w.Kept.Sold)
	if err != nil {
		return err
	}
	weights, err := w.expectations()
	if err != nil {
		return err
	}
	shares := make([]int64, len(w.Offers))
	if err := money.ApportionBig(shares, left.Minor(), weights); err != nil {
		return err
	}
	for i := range w.Offers {
		o := &w.Offers[i]
		o.Cost = money.New(shares[i], w.home)
		o.Each = sales.Divide(o.Cost, landed.Pieces{State: o.State, Count: o.Count})
	}
	return nil
}

// expectations is what the pieces of each offer should bring in home, unrounded
// and over a common denominator, or how many there are where none has a value.
// That only some have one is a fault: the others would carry nothing.
func (w *worker) expectations() ([]*big.Int, error) {
	report := &collect.Report{}
	values, any := make([]*big.Rat, len(w.Offers)), false
	for i := range w.Offers {
		o := &w.Offers[i]
		if values[i] = new(big.Rat); o.value.Currency() == 0 {
			report.Add(withoutValue(o, w.home))
			continue
		}
		v, err := w.rates.Exact(o.value, w.home)
		if err != nil {
			return nil, err
		}
		values[i].Mul(v, new(big.Rat).SetInt64(o.Count))
		any = any || v.Sign() > 0
	}
	if any && report.Len() > 0 {
		return nil, report.Err()
	}
	if !any {
		for i := range values {
			values[i].SetInt64(w.Offers[i].Count)
		}
	}
	weights, _ := exact.Whole(values)
	return weights, nil
}

// withoutValue tells that there is no saying what pieces are to carry.
func withoutValue(o *Offer, home money.Currency) *source.Fault {
	f := &source.Fault{At: o.item.At, Field: "item " + o.ID, What: "it has no value, so there is no saying how much of the haul it is to carry", Remedy: "write what one piece should sell for", Figure: "value " + home.Code()}
	if o.State == landed.ForParts {
		f.What = "what is for parts has no value, so there is no saying how much of the haul it is to carry"
		f.Remedy, f.Figure = "write what one such piece should sell for", "parts-value "+home.Code()
	}
	return f
}
