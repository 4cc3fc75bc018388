package selling

import (
	"math"

	"lotcost/landed"
	"lotcost/landed/exchange"
	"lotcost/landed/internal/tally"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
)

// Seller knows what comes of selling the pieces of a haul. It is not safe for
// concurrent use.
type Seller struct {
	haul  *landed.Haul
	plan  *Plan
	rates *exchange.Converter
}

// New makes a seller. The plan may be nil, where nothing is said of selling.
func New(h *landed.Haul, p *Plan) *Seller {
	if p == nil {
		p = &Plan{}
	}
	return &Seller{h, p, h.Exchange()}
}

// Sale makes the sale of some pieces of an item in one order at a venue, as the
// plan has it, but for its cost and its target: with all amounts in the venue's
// currency, converted as values. The errors are those of
// [exchange.Converter.Value], and an [*UnsentError].
func (s *Seller) Sale(item *landed.Item, v *resale.Venue, pieces int64) (*resale.Sale, error) {
	p := s.plan
	sale := &resale.Sale{Venue: v, Pieces: pieces, Weight: weightOf(item.Weight, pieces), Advertised: p.Advertised, Offered: p.Offered, VAT: p.VAT}
	if err := p.CheckSending(v); err != nil {
		return nil, err
	}
	if v.Sending == resale.Fetched {
		return sale, nil
	}
	var sums tally.Tally
	bring := func(a money.Amount) money.Amount {
		if a.Currency() == 0 {
			return a // nothing is said
		}
		return sums.Of(s.rates.Value(a, v.Currency))
	}
	if v.Charged.Currency() == 0 { // else the venue's wins
		sale.Charged = bring(p.Charged)
	}
	if v.Packing.Currency() == 0 {
		sale.Packing = bring(p.Packing)
	}
	sale.Postage.Fixed = bring(p.Postage.Fixed)
	for _, step := range p.Postage.Steps {
		sale.Postage.Steps = append(sale.Postage.Steps, money.Step[measure.Weight]{UpTo: step.UpTo, Price: bring(step.Price)})
	}
	if sums.Err != nil {
		return nil, sums.Err
	}
	return sale, nil
}

// weightOf is what some pieces weigh, or the greatest weight there is.
func weightOf(one measure.Weight, n int64) measure.Weight {
	all, err := one.Mul(n)
	if err != nil {
		return math.MaxInt64
	}
	return all
}
