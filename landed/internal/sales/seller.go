package sales

import (
	"errors"
	"fmt"
	"math"

	"lotcost/landed"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/tally"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Seller knows what comes of selling the pieces of a haul. It is not safe for
// concurrent use.
type Seller struct {
	haul  *landed.Haul
	plan  *selling.Plan
	rates *exchange.Converter
}

// New makes a seller. The plan may be nil, where nothing is said of selling.
func New(h *landed.Haul, p *selling.Plan) *Seller {
	if p == nil {
		p = &selling.Plan{}
	}
	return &Seller{h, p, h.Exchange()}
}

// Sale makes the sale of some pieces of an item in one order at a venue, as the
// plan has it, but for its cost and its target: with all amounts in the venue's
// currency, converted as values. The errors are those of
// [exchange.Converter.Value], and that what sending costs is not said.
func (s *Seller) Sale(item *landed.Item, v *resale.Venue, pieces int64) (*resale.Sale, error) {
	p := s.plan
	sale := &resale.Sale{Venue: v, Pieces: pieces, Weight: weightOf(item.Weight, pieces), Terms: p.Terms}
	if what := Unsent(p, v); what != "" {
		return nil, errors.New(what + ": say it, or that nothing is sent from there")
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

// Unsent says, of a venue that takes postage from buyers, or packs, while nothing is said of what
// sending costs, that this is so; of others nothing.
func Unsent(p *selling.Plan, v *resale.Venue) string {
	what, d := "", asTyped(p, v)
	switch {
	case v.Sending != resale.SendingUnsaid || d.Postage.Fixed.Currency() != 0 || len(d.Postage.Steps) > 0:
		return ""
	case d.Charged.Sign() > 0:
		what = fmt.Sprintf("buyers pay %s for postage", d.Charged)
	case d.Packing.Sign() > 0:
		what = fmt.Sprintf("packing costs %s", d.Packing)
	default:
		return ""
	}
	if v.Name != "" {
		what = fmt.Sprintf("venue %q: %s", v.Name, what)
	}
	return what + ", but it is not said what sending costs"
}

// asTyped is what it takes to get an order at a venue to its buyer, in the currencies of the plan
// and the venue.
func asTyped(p *selling.Plan, v *resale.Venue) resale.Dispatch {
	return (&resale.Sale{Venue: v, Dispatch: p.Dispatch}).AsSent()
}

// CheckWeight returns a fault of the figure "weight" where the postage of a sale
// goes by weight and the item has none.
func CheckWeight(item *landed.Item, s *resale.Sale) error {
	if !item.Weighed && len(s.AsSent().Postage.Steps) > 0 {
		return &source.Fault{What: fmt.Sprintf("item %s has no weight, but postage at %s goes by weight", item.ID, s.Venue.Name),
			Remedy: "write what one piece weighs", Figure: "weight"}
	}
	return nil
}
