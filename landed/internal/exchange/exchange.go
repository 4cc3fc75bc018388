// Package exchange brings amounts from one currency to another, in four ways.
//
// A cost ([Converter.Cost]) is what had to be paid in home: it bears the spread
// of the card. A value ([Converter.Value]) is what something is worth: it does
// not. Both are rounded once, half away from zero, to the minor unit. Exact amounts
// ([Converter.ExactCost], [Converter.Exact]) are a cost and a value that are not
// rounded yet, since something is still to be made of them.
//
// There is one rule for the rate: the one that the market holds for the two
// currencies, or else, where it holds none, that by way of home. No rate is ever
// rounded.
package exchange

import (
	"cmp"
	"math/big"

	"lotcost/fx"
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

var one = decimal.NewFromInt(1)

// Converter converts at the rates of one market. It keeps the rates that it has
// looked up, and is not safe for concurrent use.
type Converter struct {
	market *fx.Market
	home   money.Currency
	of     decimal.Decimal               // the spread,
	spread decimal.Decimal               // and 1 plus that; zero where it is too large
	err    error                         // of the spread
	rates  [2]fx.Rate                    // those used so far,
	used   int                           // so many,
	others []*fx.Rate                    // and where there are more
	costs  map[money.Amount]money.Amount // those found so far; nil where they are not kept
}

// New makes a converter. A market may be nil, where all is in home; the spread is
// a fraction, 0.025 for 2.5 %.
func New(market *fx.Market, home money.Currency, spread decimal.Decimal) *Converter {
	x := &Converter{}
	x.Reset(market, home, spread)
	return x
}

// Keep has the costs of amounts kept from then on, for those who ask for the same again and again.
func (x *Converter) Keep() { x.costs = map[money.Amount]money.Amount{} }

// noMarket has no rates.
var noMarket fx.Market

// Reset makes it what [New] would: rates that it gave away are then others.
func (x *Converter) Reset(market *fx.Market, home money.Currency, spread decimal.Decimal) {
	market = cmp.Or(market, &noMarket)
	x.market, x.home, x.used, x.others, x.costs = market, home, 0, nil, nil
	if x.of == spread && !x.spread.IsZero() {
		return // as most are that are reset
	}
	if x.of, x.err = spread, nil; exact.IsBounded(spread) {
		x.spread = one.Add(spread)
	} else {
		x.spread, x.err = decimal.Decimal{}, money.ErrOverflow
	}
}

// Rate returns the rate between two currencies, without the spread. Its error is
// that of [fx.Market.Rate] for the rate that is missing. The rate is the same one
// each time, and not to be changed.
func (x *Converter) Rate(from, to money.Currency) (*fx.Rate, error) {
	have, want := code(from), code(to)
	for i := range x.rates[:x.used] {
		if r := &x.rates[i]; r.From == have && r.To == want {
			return r, nil
		}
	}
	for _, r := range x.others {
		if r.From == have && r.To == want {
			return r, nil
		}
	}
	r, err := x.market.Rate(have, want)
	if err != nil && from != x.home && to != x.home {
		r, err = x.through(from, to)
	}
	if err != nil {
		return nil, err
	}
	return x.keep(r), nil
}

func (x *Converter) keep(r fx.Rate) *fx.Rate {
	if x.used == len(x.rates) {
		other := r
		x.others = append(x.others, &other)
		return &other
	}
	x.used++
	x.rates[x.used-1] = r
	return &x.rates[x.used-1]
}

func code(c money.Currency) fx.Code { return fx.Code(c.Code()) }

// through crosses two rates by way of home.
func (x *Converter) through(from, to money.Currency) (fx.Rate, error) {
	first, err := x.Rate(from, x.home)
	if err != nil {
		return fx.Rate{}, err
	}
	second, err := x.Rate(x.home, to)
	if err != nil {
		return fx.Rate{}, err
	}
	crossed := *first
	crossed.To, crossed.Num, crossed.Den = second.To, first.Num.Mul(second.Num), first.Den.Mul(second.Den)
	return crossed, nil
}

// Cost converts what was asked, an amount or that times some factors, to home: at the
// rate and one plus the spread, rounded once, half away from zero. What was asked in
// home bears no spread. The errors are that of [Converter.Rate], and
// [money.ErrOverflow].
func (x *Converter) Cost(asked money.Amount, factors ...decimal.Decimal) (money.Amount, error) {
	if asked.Currency() == x.home {
		if len(factors) == 0 {
			return asked, nil
		}
		return money.Convert(asked, x.home, one, factors...)
	}
	if known, is := x.costs[asked]; is && len(factors) == 0 {
		return known, nil
	}
	rate, err := x.Rate(asked.Currency(), x.home)
	if err == nil {
		err = x.err
	}
	if err != nil {
		return money.Amount{}, err
	}
	var all [4]decimal.Decimal
	cost, err := money.Convert(asked, x.home, rate.Den, append(append(all[:0], factors...), rate.Num, x.spread)...)
	if x.costs != nil && len(factors) == 0 && err == nil {
		x.costs[asked] = cost
	}
	return cost, err
}

// Value converts what something is worth, rounded once, half away from zero. The
// value of what has no currency is 0. The errors are that of [Converter.Rate],
// and [money.ErrOverflow].
func (x *Converter) Value(a money.Amount, to money.Currency) (money.Amount, error) {
	switch a.Currency() {
	case to:
		return a, nil
	case 0:
		return money.New(0, to), nil
	}
	rate, err := x.Rate(a.Currency(), to)
	if err != nil {
		return money.Amount{}, err
	}
	return At(a, rate, to)
}

// Exact converts what something is worth to major units, not rounded; what has no
// currency is 0. The error is that of [Converter.Rate].
func (x *Converter) Exact(a money.Amount, to money.Currency) (*big.Rat, error) {
	switch a.Currency() {
	case to:
		return a.Decimal().Rat(), nil
	case 0:
		return new(big.Rat), nil
	}
	rate, err := x.Rate(a.Currency(), to)
	if err != nil {
		return nil, err
	}
	value := rate.Rat()
	return value.Mul(value, a.Decimal().Rat()), nil
}

// ExactCost converts what was asked to major units of home, at the rate and one plus the
// spread, not rounded. What was asked in home bears no spread; what has no currency is 0.
// The errors are that of [Converter.Rate], and [money.ErrOverflow] for a spread beyond all
// bounds.
func (x *Converter) ExactCost(asked money.Amount) (*big.Rat, error) {
	cost, err := x.Exact(asked, x.home)
	if err != nil || asked.Currency() == x.home {
		return cost, err
	}
	return cost.Mul(cost, x.spread.Rat()), x.err
}

// At converts an amount, or that times some factors, at a rate, rounded once, half
// away from zero. The error is [money.ErrOverflow].
func At(a money.Amount, rate *fx.Rate, to money.Currency, factors ...decimal.Decimal) (money.Amount, error) {
	var all [4]decimal.Decimal
	return money.Convert(a, to, rate.Den, append(append(all[:0], factors...), rate.Num)...)
}

// Round rounds an exact amount of major units once, to the minor unit. The error
// is [money.ErrOverflow].
func Round(amount *big.Rat, mode money.Mode, c money.Currency) (money.Amount, error) {
	return mode.Round(decimal.NewFromBigInt(amount.Num(), 0), decimal.NewFromBigInt(amount.Denom(), 0), c)
}
