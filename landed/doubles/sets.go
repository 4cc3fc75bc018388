package doubles

import (
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Set is all the pieces of an offer sold in one order and one postage, against
// singly at the expected value. Amounts are in the currency of the venue.
type Set struct {
	Offer      int   // index into Offers
	Pieces     int64 // in the set
	Price      money.Amount
	Comparison resale.Comparison // A is the set at Price, which is what the pieces should bring singly; B is singly
	AsGood     Price             // at which the set leaves as much as its pieces do singly
	Err        error             // why the set cannot be sold, such as a [*resale.WeightError]; AsGood has none then
}

// sets compares selling the pieces of each offer together and singly.
func (w *worker) sets() error {
	for i := range w.Offers {
		o := &w.Offers[i]
		if o.Count < 2 || w.Quote(o).Expected == nil {
			continue
		}
		s := Set{Offer: i, Pieces: o.Count}
		if err := w.set(o, &s); err != nil {
			return err
		}
		w.Sets = append(w.Sets, s)
	}
	return nil
}

func (w *worker) set(o *Offer, s *Set) error {
	q := w.Quote(o)
	together, err := w.haul.Sale(o.item, q.Sale.Venue, o.Count)
	if err != nil {
		return err
	}
	all := q.Sale
	all.Pieces, all.Weight, all.Cost = together.Pieces, together.Weight, money.New(0, q.Cost.Currency())
	var singly []resale.Priced
	for _, g := range o.Each {
		one := q.Sale
		if one.Cost, err = w.cost(o.carried(g.Each), q.Cost.Currency()); err != nil {
			return err
		}
		cost, err := one.Cost.Times(g.Count)
		if err == nil {
			all.Cost, err = all.Cost.Add(cost)
		}
		if err != nil {
			return err
		}
		singly = append(singly, resale.Priced{Sale: &one, Price: q.Expected.Price, Times: g.Count})
	}
	if s.Price, err = q.Expected.Price.Times(o.Count); err != nil {
		return err
	}
	if all.VAT.Bought, err = all.VAT.Bought.Times(o.Count); err != nil {
		return err
	}
	if s.Comparison, s.Err = resale.Compare([]resale.Priced{{Sale: &all, Price: s.Price}}, singly); s.Err != nil {
		return nil
	}
	s.AsGood.Answer, s.AsGood.Err = resale.AsGoodAs(&all, singly)
	return nil
}
