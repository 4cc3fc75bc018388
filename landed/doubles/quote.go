package doubles

import (
	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// Price is a price that was looked for, or why there is none.
type Price struct {
	resale.Answer
	Err error // as package resale has it, or a [*NoWeightError]; nil when there is a price
}

// Quote is what the dearest piece of an offer must bring at a venue, in the
// venue's currency.
type Quote struct {
	Venue     string
	Cost      money.Amount    // that the piece carries
	Sale      resale.Sale     // of the piece; its target is that of the reckoning
	BreakEven Price           // at which nothing is lost
	Ask       Price           // at which the target is met, with the ending asked for
	Expected  *resale.Outcome // of a sale at the expected value, for parts at the price that brings it; nil where that is not known or cannot be
	PerHour   money.Amount    // what is left of Expected for an hour of work; no currency where none is known

	aims bool // the target is more than to lose nothing
}

// quote asks every venue.
func (w *worker) quote(o *Offer) error {
	o.Quotes = make([]Quote, len(w.Venues))
	for i := range w.Venues {
		if err := w.quoteAt(o, &o.Quotes[i], &w.Venues[i]); err != nil {
			return err
		}
	}
	if e := w.Quote(o).Expected; e != nil {
		var err error
		o.Net, err = w.to(w.Home, e.Net, money.HalfAway)
		return err
	}
	return nil
}

func (w *worker) quoteAt(o *Offer, q *Quote, v *resale.Venue) error {
	sale, err := w.sale(o, v)
	if err != nil {
		return err
	}
	q.Venue, q.Sale, q.aims = v.Name, *sale, !w.Target.IsZero()
	if q.Sale.Cost, err = w.cost(v.Currency, o.Dearest()); err != nil {
		return err
	}
	q.Cost = q.Sale.Cost
	if w.unweighed(o, sale) {
		none := &NoWeightError{o.ID, v.Name}
		q.BreakEven.Err, q.Ask.Err = none, none
		return nil
	}
	even := q.Sale
	even.Target = resale.BreakEven()
	q.BreakEven.Answer, q.BreakEven.Err = resale.Price(&even)
	if q.Ask = q.BreakEven; q.aims || w.Ending != resale.AnyEnding {
		q.Ask.Answer, q.Ask.Err = resale.PriceEnding(&q.Sale, w.Ending)
	}
	return w.expect(o, q, v.Currency)
}

// expect works out a sale at the expected value.
func (w *worker) expect(o *Offer, q *Quote, c money.Currency) error {
	if o.Value.Currency() == 0 {
		return nil
	}
	value, err := w.to(c, o.Value, money.HalfAway)
	if err != nil {
		return err
	}
	if o.State == landed.ForParts {
		net := q.Sale
		net.Cost, net.Target = value, resale.BreakEven()
		brings, err := resale.Price(&net)
		if err != nil {
			return nil // no price brings as much
		}
		value = brings.Price
	}
	outcome, err := q.Sale.At(value)
	if err != nil {
		return nil // what is wrong with the sale stands in BreakEven
	}
	q.Expected = &outcome
	if hours := o.item.Hours; o.State == landed.Sound && hours.Sign() > 0 {
		all := outcome.Left.Decimal().Mul(decimal.NewFromInt(o.pieces))
		q.PerHour, err = money.Round(all, hours, c)
	}
	return err
}

// unweighed reports whether the postage of a sale cannot be known.
func (w *worker) unweighed(o *Offer, s *resale.Sale) bool {
	steps := s.Postage.Steps
	if len(steps) == 0 && s.Postage.Fixed == (money.Amount{}) {
		steps = s.Venue.Postage.Steps
	}
	return len(steps) > 0 && !o.item.Weighed
}

// sale is the sale of one piece of an offer, but for its cost, with all amounts
// in the currency of the venue.
func (w *worker) sale(o *Offer, v *resale.Venue) (*resale.Sale, error) {
	selling := w.haul.Selling
	s := &resale.Sale{Venue: v, Pieces: 1, Weight: o.item.Weight, Promoted: selling.Promoted, Listings: selling.Listings, VAT: selling.VAT}
	var goal money.Amount
	for _, a := range []struct {
		to   *money.Amount
		from money.Amount
	}{{&s.Charged, selling.Charged}, {&s.Packing, selling.Packing}, {&goal, w.Target.Amount}, {&s.VAT.Bought, o.bought}} {
		var err error
		if *a.to, err = w.to(v.Currency, a.from, money.HalfAway); err != nil {
			return nil, err
		}
	}
	s.Target = target(w.Target, goal)
	var err error
	s.Postage, err = w.postage(selling.Postage, v.Currency)
	return s, err
}

func target(t landed.Target, amount money.Amount) resale.Target {
	switch {
	case t.Amount.Currency() != 0:
		return resale.AtLeast(amount)
	case !t.Margin.IsZero():
		return resale.MarginOnPrice(t.Margin)
	case !t.Markup.IsZero():
		return resale.MarkupOnCost(t.Markup)
	}
	return resale.BreakEven()
}

// postage brings the seller's own postage to the currency of a venue.
func (w *worker) postage(p resale.Postage, c money.Currency) (resale.Postage, error) {
	var out resale.Postage
	var err error
	if p.Fixed != (money.Amount{}) {
		if out.Fixed, err = w.to(c, p.Fixed, money.HalfAway); err != nil {
			return out, err
		}
	}
	for _, step := range p.Steps {
		cost, err := w.to(c, step.Cost, money.HalfAway)
		if err != nil {
			return out, err
		}
		out.Steps = append(out.Steps, resale.PostageStep{UpTo: step.UpTo, Cost: cost})
	}
	return out, nil
}
