package doubles

import (
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/sales"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// LeastPrice is a price that was looked for, or why there is none.
type LeastPrice struct {
	resale.Least
	Err error // as package resale has it, or [sales.CheckWeight]; nil when there is a price
}

// Quote is what the dearest piece of an offer must bring at a venue, in the
// venue's currency.
type Quote struct {
	Cost      money.Amount   // that the piece carries
	BreakEven LeastPrice     // at which nothing is lost
	Ask       LeastPrice     // at which the target is met, with the ending asked for
	Expected  *resale.Result // of a sale at the expected value, for parts at the price that brings it; nil where that is not known or cannot be
	Due       money.Amount   // what a piece for parts, or one made of dead ones, is to bring, for which Expected asks; no currency where that is not known, or it is sound
	PerHour   money.Amount   // what is left of Expected for an hour of work; no currency where none is known

	aims   bool         // the target is more than to lose nothing
	order  *resale.Sale // as all at the venue, but for what differs by piece: the cost and what follows
	weight measure.Weight
	bought money.Amount
	exact  *big.Rat // as the sale has it
}

// Sale is that of the piece at the venue of the quote, with the cost that it carries; its target is
// that of the result.
func (q *Quote) Sale() resale.Sale {
	s := *q.order
	s.Cost, s.Exact, s.Weight, s.VAT.Bought = q.Cost, q.exact, q.weight, q.bought
	return s
}

// Gaps lists those above break-even, and those of a target above the price to
// ask; more reports whether there are more than are listed.
func (q *Quote) Gaps() (gaps []resale.Gap, more bool) {
	if !q.aims {
		return q.BreakEven.Gaps, q.BreakEven.More
	}
	return slices.Concat(q.BreakEven.Gaps, q.Ask.Gaps), q.BreakEven.More || q.Ask.More
}

// quote asks every venue.
func (w *worker) quote(o *Offer) error {
	o.Quotes = make([]Quote, len(w.Venues))
	for i := range w.Venues {
		if err := w.quoteAt(o, &o.Quotes[i], i); err != nil {
			return err
		}
	}
	q := w.Quote(o)
	if q.Expected == nil {
		return nil
	}
	order, price := q.Sale(), q.Expected.Price
	if o.State == landed.Sound {
		price = o.value // as it was typed
	}
	left, err := w.seller.Brought(q.Expected, &order, &landed.Sale{Price: price})
	o.net = left.Net
	return err
}

func (w *worker) quoteAt(o *Offer, q *Quote, at int) error {
	v, err := &w.Venues[at], w.sale(o, q, at)
	if err != nil {
		return err
	}
	q.aims = !w.Target.IsZero()
	share := o.carried(o.Dearest(), v.Currency)
	if q.Cost, err = w.cost(share, v.Currency); err == nil && q.aims {
		err = w.exact(q, share, v.Currency)
	}
	if err != nil {
		return err
	}
	sale := q.Sale()
	if none := sales.CheckWeight(o.item, &sale); none != nil {
		q.BreakEven.Err, q.Ask.Err = none, none
		return nil
	}
	even := sale
	even.Target = resale.Target{}
	q.BreakEven.Least, q.BreakEven.Err = w.desk.Price(&even, resale.AnyEnding)
	if q.Ask = q.BreakEven; q.aims || w.Ending != resale.AnyEnding {
		q.Ask.Least, q.Ask.Err = w.desk.Price(&sale, w.Ending)
	}
	return w.expect(o, q, &sale)
}

// expect works out a sale at the expected value.
func (w *worker) expect(o *Offer, q *Quote, sale *resale.Sale) error {
	if o.value.Currency() == 0 {
		return nil
	}
	worth, should, c := w.rates.Value, o.value, sale.Venue.Currency
	if o.State != landed.Sound {
		worth = w.cost // which it is what they carry of
	}
	if o.carries.Currency() != 0 {
		should = o.carried(o.Dearest(), c)
	}
	value, err := worth(should, c)
	if err != nil {
		return err
	}
	if o.State != landed.Sound {
		q.Due = value
		net := *sale
		net.Cost, net.Target = value, resale.Target{}
		brings, err := w.desk.Price(&net, resale.AnyEnding)
		if err != nil {
			return nil // no price brings as much
		}
		value = brings.Price
	}
	outcome, err := w.desk.At(sale, value)
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

// cost converts a cost to the currency of a venue, up to the next minor unit, so
// that nothing is lost.
func (w *worker) cost(a money.Amount, to money.Currency) (money.Amount, error) {
	if a.Currency() == to {
		return a, nil
	}
	exact, err := w.rates.Exact(a, to)
	if err != nil {
		return money.Amount{}, err
	}
	mode := money.Up
	if a.Sign() < 0 {
		mode = money.Down
	}
	return exchange.Round(exact, mode, to)
}

// exact keeps what a cost and a target were before they were brought to another currency.
func (w *worker) exact(q *Quote, cost money.Amount, to money.Currency) error {
	target := w.Target.Amount
	if cost.Currency() == to && (target.Currency() == 0 || target.Currency() == to) {
		return nil
	}
	all, err := w.rates.Exact(cost, to)
	if err != nil || target.Currency() == 0 {
		q.exact = all
		return err
	}
	more, err := w.rates.Exact(target, to)
	if err != nil {
		return err
	}
	q.exact = all.Add(all, more.Sub(more, q.order.Target.Amount.Decimal().Rat()))
	return nil
}

// sale is the sale of one piece of an offer, but for its cost, with all amounts
// in the currency of the venue.
func (w *worker) sale(o *Offer, q *Quote, at int) (err error) {
	v, first := &w.Venues[at], w.orders[at] == nil
	if first {
		if w.orders[at], err = w.seller.Sale(o.item, v, 1); err != nil {
			return err
		}
	}
	q.order, q.weight = w.orders[at], o.item.Weight
	if q.bought, err = w.rates.Value(o.bought, v.Currency); err != nil || !first {
		return err
	}
	if q.order.Target = *w.Target; w.Target.Amount.Currency() != 0 {
		q.order.Target.Amount, err = w.rates.Value(w.Target.Amount, v.Currency)
	}
	return err
}
