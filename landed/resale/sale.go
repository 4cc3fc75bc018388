package resale

import (
	"cmp"
	"fmt"
	"math/big"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Sale is one order at a venue: a piece, or a pair or set sent together. The zero Amount is zero
// wherever an amount is asked for.
type Sale struct {
	Venue    *Venue         // where it is sold
	Cost     money.Amount   // landed cost of everything in the order
	Pieces   int64          // in the order, at most a million; 0 is 1
	Dispatch                // unless the venue says otherwise
	Weight   measure.Weight // packed
	Terms
	Target Target // what it is to leave
	// Exact is the cost in major units before it was rounded up to a minor one, with what was lost of
	// the amount of the target where that was rounded too; nil where nothing was.
	Exact *big.Rat
}

// Terms are how a seller sells, wherever that is.
type Terms struct {
	Advertised bool  // whether fees for advertising are paid
	Offered    int64 // how often a piece is offered until it sells, at most 100; 0 is once
	VAT        VAT   // value added tax of the seller
}

// figures is a sale in whole numbers.
type figures struct {
	*fees
	cost    int64
	charged int64
	packing int64
	sending int64
	vat     vatFigures
	target  targetFigures
}

// figures reads a sale with what a desk knows already. What is wrong with it and its venue is
// reported joined.
func (d *Desk) figures(s *Sale) (figures, error) {
	d.tidy()
	c := checker{rates: d.rates}
	if s == nil || s.Venue == nil {
		c.wrong("", "venue", "", "names none", "say where it is to be sold")
		return figures{}, c.joined()
	}
	c.venue, c.currency = s.Venue.Name, s.Venue.Currency
	sent := s.AsSent()
	f := figures{
		cost:    c.signed("", "cost", s.Cost),
		charged: c.amount("charged", "postage paid by the buyer", sent.Charged),
		packing: c.amount("packing", "packing", sent.Packing),
		target:  c.target(s.Target),
	}
	if s.Pieces < 0 || s.Pieces > mostOrders {
		c.wrong("", "pieces", fmt.Sprint(s.Pieces), "is no number of pieces in an order", fmt.Sprintf("write one from 1 to %d, and several orders for more", mostOrders))
	}
	if s.Weight < 0 {
		c.wrong("", "weight", s.Weight.String(), "is negative", "write the weight of the packed order")
	}
	f.sending = c.postage(sent.Postage, s.Weight, max(s.Pieces, 1))
	if s.Exact != nil && (s.Target.Amount.Currency() != 0 || !s.Target.IsZero()) {
		f.target.exactly(s.Exact, f.cost, s.Venue.Currency.Digits())
	}
	f.vat = c.vat(s.VAT)
	of := feesOf{s.Venue, f.charged, s.Advertised, s.Offered}
	if f.fees = d.fees[of]; f.fees != nil {
		return f, c.joined()
	}
	f.fees = c.fees(of)
	err := c.joined()
	if err == nil {
		d.fees[of] = f.fees
	}
	return f, err
}

// AsSent says what the buyer pays for postage, and what packing and sending cost the seller: as the
// venue has it, or else the sale, and nothing where nothing is sent.
func (s *Sale) AsSent() Dispatch {
	if s == nil || s.Venue == nil || s.Venue.Sending == Fetched {
		return Dispatch{}
	}
	v := s.Venue
	d := Dispatch{cmp.Or(v.Charged, s.Charged), cmp.Or(v.Packing, s.Packing), v.Postage}
	if d.Postage.Fixed == (money.Amount{}) && len(d.Postage.Steps) == 0 {
		d.Postage = s.Postage
	}
	return d
}
