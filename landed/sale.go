package landed

import (
	"math"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Sale makes the sale of some pieces of an item in one order at a venue, as the
// haul's selling section has it, where there is one, but for its cost and its
// target: with all amounts in the venue's currency, converted as
// values. The errors are those of [exchange.Converter.Value], and an
// [*UnsentError].
func (h *Haul) Sale(item *Item, v *resale.Venue, pieces int64) (*resale.Sale, error) {
	selling := h.Selling
	if selling == nil {
		selling = &Selling{}
	}
	s := &resale.Sale{Venue: v, Pieces: pieces, Weight: weightOf(item.Weight, pieces), Promoted: selling.Promoted, Listings: selling.Listings, VAT: selling.VAT}
	if err := selling.CheckSending(v); err != nil {
		return nil, err
	}
	if v.Sending == resale.Fetched {
		return s, nil
	}
	rates := h.Exchange()
	bring := func(a money.Amount) (money.Amount, error) {
		if a.Currency() == 0 {
			return a, nil // nothing is said
		}
		return rates.Value(a, v.Currency)
	}
	for _, part := range []struct {
		to           *money.Amount
		own, general money.Amount
	}{{&s.Charged, v.Charged, selling.Charged}, {&s.Packing, v.Packing, selling.Packing}} {
		if part.own.Currency() != 0 {
			continue // the venue's wins
		}
		var err error
		if *part.to, err = bring(part.general); err != nil {
			return nil, err
		}
	}
	var err error
	own := selling.Postage
	if s.Postage.Fixed, err = bring(own.Fixed); err != nil {
		return nil, err
	}
	for _, step := range own.Steps {
		cost, err := bring(step.Cost)
		if err != nil {
			return nil, err
		}
		s.Postage.Steps = append(s.Postage.Steps, resale.PostageStep{UpTo: step.UpTo, Cost: cost})
	}
	return s, nil
}

// weightOf is what some pieces weigh, or the greatest weight there is.
func weightOf(one measure.Weight, n int64) measure.Weight {
	all, err := one.Mul(n)
	if err != nil {
		return math.MaxInt64
	}
	return all
}

// Unweighed reports whether the postage of a sale goes by weight and the item
// has none.
func Unweighed(item *Item, s *resale.Sale) bool { return s.ByWeight() && !item.Weighed }
