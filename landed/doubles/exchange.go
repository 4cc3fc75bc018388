package doubles

import (
	"math/big"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/money"
)

// exchange brings amounts from one currency to another, at the rates of a haul
// without the spread.
type exchange struct{ haul *landed.Haul }

func (x exchange) rate(from, to money.Currency) (fx.Rate, error) {
	code := func(c money.Currency) fx.Code { return fx.Code(c.Code()) }
	market := x.haul.Market
	if market == nil {
		market = &fx.Market{}
	}
	return market.Rate(code(from), code(to))
}

// to converts an amount; one without a currency is zero.
func (x exchange) to(c money.Currency, a money.Amount, mode money.Mode) (money.Amount, error) {
	switch a.Currency() {
	case c:
		return a, nil
	case 0:
		return money.New(0, c), nil
	}
	r, err := x.rate(a.Currency(), c)
	if err != nil {
		return money.Amount{}, err
	}
	return money.Rounding{Mode: mode}.Amount(a.Decimal().Mul(r.Num), r.Den, c)
}

// cost converts a cost, up to the next minor unit.
func (x exchange) cost(c money.Currency, a money.Amount) (money.Amount, error) {
	mode := money.Up
	if a.Sign() < 0 {
		mode = money.Down
	}
	return x.to(c, a, mode)
}

// exact is an amount in home, unrounded.
func (x exchange) exact(a money.Amount) (*big.Rat, error) {
	r, err := x.rate(a.Currency(), x.haul.Home)
	if err != nil {
		return nil, err
	}
	rat := r.Rat()
	return rat.Mul(rat, a.Decimal().Rat()), nil
}
