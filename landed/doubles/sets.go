package doubles

import (
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Set is all the pieces of an offer sold in one order and one postage, against
// singly at the expected value. Amounts are in the currency of the venue.
type Set struct {
	Price    money.Amount // for all of them, in the venue's currency
	Together money.Amount // what the set leaves at Price, which is what the pieces should bring singly
	Singly   money.Amount // what the pieces leave
	AsGood   LeastPrice   // at which the set leaves as much as its pieces do singly
	Err      error        // why the set cannot be sold, such as that the order is too heavy; AsGood has none then
}

// set compares selling the pieces of an offer together and singly.
func (w *worker) set(o *Offer) error {
	if o.Count < 2 || w.Quote(o).Expected == nil {
		return nil
	}
	s := &Set{}
	o.Set = s
	q := w.Quote(o)
	one := q.Sale()
	together, err := w.seller.Sale(o.item, one.Venue, o.Count)
	if err != nil {
		return err
	}
	var sums tally.Tally
	one.Exact = nil // what comes of a price is asked, and no target
	all := one
	all.Pieces, all.Weight, all.Cost = together.Pieces, together.Weight, money.New(0, one.Cost.Currency())
	singly := make([]resale.Sale, len(o.Each))
	for i, g := range o.Each {
		one.Cost = sums.Of(w.cost(o.carried(g.Each, all.Cost.Currency()), all.Cost.Currency()))
		all.Cost = sums.Add(all.Cost, sums.Times(one.Cost, g.Count))
		singly[i] = one
	}
	s.Price = sums.Times(q.Expected.Price, o.Count)
	all.VAT.Bought = sums.Times(all.VAT.Bought, o.Count)
	if sums.Err != nil {
		return sums.Err
	}
	if s.Err = s.compare(&w.desk, &all, o, singly, q.Expected.Price); s.Err != nil {
		return nil
	}
	all.Target = resale.Target{Amount: s.Singly}
	s.AsGood.Least, s.AsGood.Err = w.desk.Price(&all, resale.AnyEnding)
	return nil
}

// compare works out what the set leaves at its price, and its pieces at theirs.
func (s *Set) compare(desk *resale.Desk, all *resale.Sale, o *Offer, singly []resale.Sale, price money.Amount) error {
	out, err := desk.At(all, s.Price)
	if err != nil {
		return err
	}
	var sums tally.Tally
	s.Together, s.Singly = out.Left, money.New(0, price.Currency())
	for i, g := range o.Each {
		if out, err = desk.At(&singly[i], price); err != nil {
			return err
		}
		s.Singly = sums.Add(s.Singly, sums.Times(out.Left, g.Count))
	}
	return sums.Err
}
