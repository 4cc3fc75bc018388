package resale

import (
	"errors"
	"fmt"

	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// Sale is one order at a venue: a piece, or a pair or set sent together. The
// zero Amount is zero wherever an amount is asked for.
type Sale struct {
	Venue    *Venue
	Cost     money.Amount   // landed cost of everything in the order
	Pieces   int64          // in the order, at most a million; 0 is 1
	Charged  money.Amount   // postage that the buyer pays on top of the price, unless the venue says otherwise
	Packing  money.Amount   // what packing costs the seller, unless the venue says otherwise
	Weight   measure.Weight // packed
	Postage  Postage        // what sending costs the seller; the venue's where this is zero
	Promoted bool           // whether fees for promotion are paid
	Listings int64          // how often it is listed until it sells, at most 100; 0 is once
	VAT      VAT
	Target   Target
}

// Check reports everything that is wrong with a sale and its venue, joined:
// what [Venue.Check] does, and a [*WeightError] or [*NotEligibleError].
func (s *Sale) Check() error {
	_, err := s.figures()
	return err
}

// figures is a sale in whole numbers.
type figures struct {
	venue    *Venue
	cost     int64
	charged  int64
	packing  int64
	sending  int64
	salesTax base // with rate and taxable postage of the tax itself
	lines    []line
	vat      vatFigures
	target   targetFigures
}

func (s *Sale) figures() (*figures, error) {
	if s == nil || s.Venue == nil {
		return nil, &FieldError{Field: "venue", Problem: "names none", Remedy: "say where it is to be sold"}
	}
	c := checker{venue: s.Venue.Name, currency: s.Venue.Currency}
	charged, packing, postage := s.sending()
	f := &figures{
		venue:   s.Venue,
		cost:    c.signed("", "cost", s.Cost),
		charged: c.amount("charged", "postage paid by the buyer", charged),
		packing: c.amount("packing", "packing", packing),
		target:  c.target(s.Target),
	}
	if s.Pieces < 0 || s.Pieces > mostOrders {
		c.wrong("", "pieces", fmt.Sprint(s.Pieces), "is out of range", fmt.Sprintf("write a number from 1 to %d", mostOrders))
	}
	if s.Weight < 0 {
		c.wrong("", "weight", s.Weight.String(), "is negative", "write the weight of the packed order")
	}
	f.sending = c.postage(postage, s.Weight, max(s.Pieces, 1))
	f.vat = c.vat(s.VAT)
	f.lines = c.lines(s.Venue)
	f.salesTax.tax = c.part("", "sales tax", s.Venue.SalesTax.Rate, noTax)
	if s.Venue.SalesTax.OnPostage {
		f.salesTax.taxable = f.charged
	}
	f.take(s, c.listings(s.Listings))
	return f, errors.Join(c.errs...)
}

// sending says what the buyer pays for postage, and what packing and sending
// cost the seller.
func (s *Sale) sending() (charged, packing money.Amount, postage Postage) {
	v := s.Venue
	if v.Sending == Fetched {
		return
	}
	charged, packing, postage = s.Charged, s.Packing, s.Postage
	if v.Charged != (money.Amount{}) {
		charged = v.Charged
	}
	if v.Packing != (money.Amount{}) {
		packing = v.Packing
	}
	if postage.empty() {
		postage = v.Postage
	}
	return
}

// ByWeight reports whether the postage of the sale goes by weight.
func (s *Sale) ByWeight() bool {
	if s == nil || s.Venue == nil {
		return false
	}
	_, _, postage := s.sending()
	return len(postage.Steps) > 0
}

func (c *checker) listings(n int64) int64 {
	if n < 0 || n > mostListing {
		c.wrong("", "listings", fmt.Sprint(n), "is out of range", fmt.Sprintf("write a number from 1 to %d", mostListing))
	}
	return max(n, 1)
}

func (c *checker) vat(v VAT) (f vatFigures) {
	if v.Scheme == NotRegistered {
		return f
	}
	f.num = c.vatRate(v.Rate)
	f.den = f.num + million
	if v.Scheme == OrdinaryScheme {
		return f
	}
	if e := v.eligible(c.venue); e != nil {
		c.errs = append(c.errs, e)
	}
	if v.Bought == (money.Amount{}) {
		c.wrong("", "purchase price", "", "is missing", "the margin scheme needs what was paid for the goods")
	}
	f.bought = c.amount("", "purchase price", v.Bought)
	return f
}

// take fits the venue's fees to the sale: their base, how often they are
// charged, and whether at all.
func (f *figures) take(s *Sale, listings int64) {
	kept := f.lines[:0]
	for _, l := range f.lines {
		switch l.fee.Kind {
		case PromotionFee:
			if !s.Promoted {
				continue
			}
		case ListingFee:
			l.times = listings
		}
		l.base = f.base(l.fee)
		kept = append(kept, l)
	}
	f.lines = kept
}

func (f *figures) base(fee *Fee) base {
	var b base
	if fee.Of == OfPriceAndPostage {
		b.add = f.charged
	}
	if fee.WithTax {
		b.tax = f.salesTax.tax
		b.taxable = min(f.salesTax.taxable, b.add)
	}
	return b
}
