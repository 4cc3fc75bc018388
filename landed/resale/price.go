package resale

import (
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Answer is the smallest price that meets the target of a sale.
type Answer struct {
	Price   money.Amount
	Outcome Outcome
	Gaps    []Gap // prices above Price that miss the target, by rising price; nothing below Price meets it
	More    bool  // there are more than 100 gaps, or they could not all be told apart
}

// Gap is a range of prices, both ends included, at every one of which the
// target is missed.
type Gap struct {
	From, To  money.Amount
	Shortfall money.Amount // the most that is missing in it
	Cause     Cause
	Fee       string // for TierEdge, the fee's name
	NoEnd     bool   // no higher price meets the target: To is Max
}

// Cause says why a higher price leaves less.
type Cause uint8

// The causes of gaps.
const (
	TierEdge Cause = iota // a fee on the whole steps up to a higher rate
	TooSteep              // fees, tax and target take more than each further unit of price
	Rounding              // several amounts round up together: a few units at most
)

const mostGaps = 100

// Price finds exactly the smallest price in minor units at which the target of
// a sale is met, and the gaps above it. Besides the errors of [Sale.Check] it
// returns a [*NoPriceError].
func Price(s *Sale) (Answer, error) {
	c, err := Compile(s)
	if err != nil {
		return Answer{}, err
	}
	need := c.need(c.f.cost)
	price, end := c.next(0, need)
	if end != yes {
		return Answer{}, c.noPrice(s.Target, end)
	}
	return c.answer(price, need), nil
}

func (s *Schedule) answer(price, need int64) Answer {
	a := Answer{Price: s.f.amount(price), Outcome: s.f.at(price)}
	a.Gaps, a.More = s.gaps(price, need)
	return a
}

func (s *Schedule) noPrice(t Target, end found) error {
	top := s.pieces[len(s.pieces)-1].down
	e := &NoPriceError{
		Venue:  s.f.venue.Name,
		Target: t.String(),
		Share:  decimal.New(unit-top, -12).Round(6),
		Most:   s.f.amount(Max),
	}
	switch {
	case end == gaveUp:
		e.Reason = Undecided
	case top <= 0:
		e.Reason = TakesAll
	}
	return e
}

// gaps lists the ranges above a price at which need is missed.
func (s *Schedule) gaps(price, need int64) (gaps []Gap, more bool) {
	for {
		from, end := s.nextMiss(price+1, need)
		if end != yes {
			return gaps, end == gaveUp
		}
		if len(gaps) == mostGaps {
			return gaps, true
		}
		price, end = s.next(from, need)
		if end == gaveUp {
			return gaps, true
		}
		gaps = append(gaps, s.gap(from, price, need, end))
		if end == none {
			return gaps, false
		}
	}
}

func (s *Schedule) gap(from, next, need int64, end found) Gap {
	to := next - 1
	if end == none {
		to = Max
	}
	g := Gap{From: s.f.amount(from), To: s.f.amount(to), NoEnd: end == none}
	g.Shortfall = s.f.amount(need - s.leastKept(from, to))
	g.Cause, g.Fee = s.cause(from, to)
	return g
}

// cause says why the prices of a gap miss. A step up within one that begins by
// rounding is its cause: it is what makes it wide.
func (s *Schedule) cause(from, to int64) (Cause, string) {
	first := s.at(from)
	if p := &s.pieces[first]; p.down < 0 && (from > p.first || p.edge < 0) {
		return TooSteep, ""
	}
	cause := Rounding
	for i := first; i < len(s.pieces) && s.pieces[i].first <= to; i++ {
		p := &s.pieces[i]
		if p.edge >= 0 && p.first >= from {
			return TierEdge, s.f.lines[p.edge].fee.What
		}
		if p.down < 0 {
			cause = TooSteep
		}
	}
	return cause, ""
}
