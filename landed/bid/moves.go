package bid

import (
	"errors"
	"slices"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
)

// What the highest bid depends on.
const (
	factorValues  = "values"  // what pieces sell for or are worth
	factorChances = "chances" // of the best outcome of each item; the others bear the difference in proportion
	factorFreight = "freight" // charges of that kind, of parcels, and what services ask for carriage
	factorRate    = "rate"    // of the currency of the bids; more makes it dearer
)

// Move is how the highest bid moves with a factor.
type Move struct {
	Factor     string       // "values", "chances" (of the best outcome of each item), "freight" or "rate" (of the currency of the bids)
	Less, More money.Amount // the highest bid with 10 % less of it, and 10 % more; no currency where none qualifies
}

// Moves says what would change the highest bid: each factor less and more by a
// tenth, the others as they are. A factor that plays no part is left out:
// freight where there is none, a rate where bids are in home, chances where all
// is certain. Where the lots travel by a plan they do so as at the highest bid, and
// without the lot as they do now. With a great many pieces the chance of a loss is
// taken as that of sums on a coarser grid, which may move a bid by a step; chances
// are left out where the changed ones are too fine to be counted. It returns
// [ErrStopped] where the search is ended before.
func (b *Bidder) Moves() ([]Move, error) {
	base, err := b.highest(0)
	if err == nil {
		b, err = b.travelling(max(base, 0))
	}
	if err != nil {
		return nil, err
	}
	return movesOf(b.haul, []string{b.lot}, b.pricer.cur, func(f string, times decimal.Decimal) (money.Amount, error) { return b.shift(f, times, base) })
}

// movesOf lists the moves of the factors that play, by the highest bid with one of them changed.
func movesOf(d deal, lots []string, bids money.Currency, shifted func(factor string, times decimal.Decimal) (money.Amount, error)) ([]Move, error) {
	var moves []Move
	for _, f := range []string{factorValues, factorChances, factorFreight, factorRate} {
		if !d.plays(f, lots, bids) {
			continue
		}
		m, err := Move{Factor: f}, error(nil)
		if m.Less, err = shifted(f, decimal.New(9, -1)); err == nil {
			m.More, err = shifted(f, decimal.New(11, -1))
		}
		if _, ok := errors.AsType[*odds.LimitError](err); ok {
			continue // finer chances make larger numbers
		}
		if err != nil {
			return nil, err
		}
		moves = append(moves, m)
	}
	return moves, nil
}

// travelling is the bidder of the haul as it travels at a bid.
func (b *Bidder) travelling(place int) (*Bidder, error) {
	if !planned(b.haul.Sending) {
		return b, nil
	}
	bid, _ := b.grid.at(place)
	q, err := b.pricer.quote(bid)
	if err == nil {
		err = q.refused
	}
	if err != nil {
		return nil, err
	}
	other := *b
	other.haul.Haul, other.haul.Sending = together.SentAs(b.haul.Haul, q.parcels), nil
	if b.before != nil {
		before := *b.before
		if before.Sending = nil; b.pricer.before.plan != nil {
			before.Haul = together.SentAs(before.Haul, b.pricer.before.plan.Best.Parcels)
		}
		other.before = &before
	}
	return &other, other.reprice()
}

// reprice makes the costs of a changed haul, and the limits that follow.
func (b *Bidder) reprice() error {
	var err error
	if b.pricer, err = newPricer(b.haul, b.before, b.lot, b.pricer.cur); err == nil {
		b.bound(true)
	}
	return err
}

// plays reports whether a factor is anywhere in a haul, for lots that are bid for in a currency.
func (d deal) plays(f string, lots []string, bids money.Currency) bool {
	switch f {
	case factorChances:
		for lot, it := range d.Items() {
			if len(it.Chances) > 1 && slices.Contains(lots, lot.ID) {
				return true
			}
		}
		return false
	case factorFreight:
		return !planned(d.Sending) && (slices.ContainsFunc(d.Charges, func(c landed.Charge) bool { return c.Kind == landed.Freight }) ||
			slices.ContainsFunc(d.Parcels, func(p landed.Parcel) bool { return p.Freight.Sign() != 0 || p.Settled.Freight.Sign() != 0 }))
	case factorRate:
		return bids != d.Home
	}
	return true
}

// shift finds the highest bid with one factor changed; base is the place of
// the one as things are, or -1.
func (b *Bidder) shift(f string, times decimal.Decimal, base int) (money.Amount, error) {
	other, err := b.with(f, times)
	if err != nil {
		return money.Amount{}, err
	}
	at, err := other.highest(max(base, 0))
	if err != nil || at < 0 {
		return money.Amount{}, err
	}
	return other.bid(at), nil
}

// with is the bidder of a haul in which one factor is changed. Values and
// chances leave the costs as they are, so that those are shared.
func (b *Bidder) with(f string, times decimal.Decimal) (*Bidder, error) {
	change := func(h *landed.Haul) error { return scaled(h, f, b.pricer.cur, times) }
	other := *b
	hauls := []**landed.Haul{&other.haul.Haul}
	if b.before != nil {
		before := *b.before
		other.before, hauls = &before, append(hauls, &before.Haul)
	}
	for _, h := range hauls {
		changed := **h
		if err := change(&changed); err != nil {
			return nil, err
		}
		*h = &changed
	}
	if f == factorFreight || f == factorRate {
		if err := other.reprice(); err != nil || f == factorFreight || b.sameProceeds() {
			return &other, err
		}
	}
	return &other, other.again()
}

// scaled changes one factor of a copy of a haul; bids are in a currency.
func scaled(h *landed.Haul, f string, bids money.Currency, times decimal.Decimal) error {
	switch f {
	case factorFreight:
		return scaleFreight(h, times)
	case factorRate:
		return scaleRate(h, bids, times)
	}
	return scaleOutcomes(h, f, times)
}

// quickly keeps each of many calculations short: beyond so many steps, amounts
// are moved to a coarser grid.
const quickly = 500_000

// again finds what a changed haul brings. A risk is judged by its likeliest
// value: where amounts are moved, what is proven would make every change look
// like a loss.
func (b *Bidder) again() error {
	b.proceeds = proceedsAt(b.alone(), b.proceeds.venue, b.goes)
	return b.forecast(quickly, false)
}

// sameProceeds reports whether nothing of what the lot brings is in the
// currency of the bids.
func (b *Bidder) sameProceeds() bool {
	is := func(amounts ...money.Amount) bool {
		return slices.ContainsFunc(amounts, func(a money.Amount) bool { return a.Currency() == b.pricer.cur })
	}
	if s := b.haul.Selling; s != nil {
		for _, step := range s.Postage.Steps {
			if is(step.Price) {
				return false
			}
		}
		if b.proceeds.venue.Currency == b.pricer.cur || is(s.Charged, s.Packing, s.Postage.Fixed) {
			return false
		}
	}
	return !slices.ContainsFunc(b.proceeds.haul.Lots[0].Items, func(it landed.Item) bool {
		return is(it.Value, it.Worth) || is(it.Further...) || slices.ContainsFunc(it.Chances, func(f landed.Outcome) bool { return is(f.Value, f.Repair) })
	})
}

// scale multiplies amounts, each rounded once, half away from zero.
func scale(times decimal.Decimal, amounts ...*money.Amount) error {
	var sums tally.Tally
	for _, a := range amounts {
		*a = sums.Of(part(*a, times))
	}
	return sums.Err
}

// scaleOutcomes changes values, or chances of the best outcomes, of a copy of the lots.
func scaleOutcomes(h *landed.Haul, f string, times decimal.Decimal) error {
	return changeItems(h, func(it *landed.Item) error {
		it.Chances = slices.Clone(it.Chances)
		if f == factorChances {
			return scaleChances(h, it, times)
		}
		it.Further = slices.Clone(it.Further)
		amounts := []*money.Amount{&it.Value, &it.Worth}
		for n := range it.Further {
			amounts = append(amounts, &it.Further[n])
		}
		for n := range it.Chances {
			amounts = append(amounts, &it.Chances[n].Value, &it.Chances[n].UpTo)
		}
		return scale(times, amounts...)
	})
}

// changeItems gives a copy of a haul items of its own, and changes each.
func changeItems(h *landed.Haul, change func(*landed.Item) error) error {
	h.Lots = slices.Clone(h.Lots)
	for l := range h.Lots {
		lot := &h.Lots[l]
		lot.Items = slices.Clone(lot.Items)
		for i := range lot.Items {
			if err := change(&lot.Items[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// scaleChances changes the chance of the best outcome of an item, to 100 % at
// most, and lets the others share the difference in proportion, in whole units
// of 10^-18 and by largest remainder.
func scaleChances(h *landed.Haul, it *landed.Item, times decimal.Decimal) error {
	best, err := h.Best(it.Chances)
	if err != nil {
		return err
	}
	weights, others := make([]int64, len(it.Chances)), int64(0)
	for i := range it.Chances {
		weights[i] = it.Chances[i].Chance.Shift(places).IntPart()
		others += weights[i]
	}
	if len(weights) == 0 || others == weights[best] {
		return nil // nothing to take from or give to
	}
	const whole = 1_000_000_000_000_000_000
	more := min(decimal.New(weights[best], 0).Mul(times).IntPart(), whole)
	weights[best] = 0
	shares := make([]int64, len(weights))
	if err := money.Apportion(shares, whole-more, weights); err != nil {
		return err
	}
	shares[best] = more
	for i, share := range shares {
		it.Chances[i].Chance = decimal.New(share, -places)
	}
	relearn(it)
	return nil
}

func scaleFreight(h *landed.Haul, times decimal.Decimal) error {
	h.Charges, h.Parcels = slices.Clone(h.Charges), slices.Clone(h.Parcels)
	var amounts []*money.Amount
	for i := range h.Charges {
		if c := &h.Charges[i]; c.Kind == landed.Freight {
			c.Percent = c.Percent.Mul(times)
			amounts = append(amounts, &c.Amount, &c.Settled)
		}
	}
	for i := range h.Parcels {
		amounts = append(amounts, &h.Parcels[i].Freight, &h.Parcels[i].Settled.Freight)
	}
	return scale(times, amounts...)
}

// scaleRate makes a currency dearer in home. What the bank took already stays
// as it is, and so do rates of customs' own.
func scaleRate(h *landed.Haul, cur money.Currency, times decimal.Decimal) error {
	rate, err := h.Exchange().Rate(cur, h.Home)
	if err != nil {
		return err
	}
	h.Market, err = h.Market.With(fx.Equation{LeftAmount: rate.Den, Left: rate.From, RightAmount: rate.Num.Mul(times), Right: rate.To})
	return err
}
