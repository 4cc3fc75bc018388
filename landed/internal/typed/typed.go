// Package typed makes values of what a person would type, for tests: each
// function panics where the text is wrong.
package typed

import (
	"time"

	"lotcost/fx"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Amount reads an amount with its currency.
func Amount(s string) money.Amount { return must(money.Parse(s)) }

// Number reads a decimal number.
func Number(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// Market makes a market of one day that knows the stated rates and nothing
// else.
func Market(on time.Time, equations ...string) *fx.Market {
	var eqs []fx.Equation
	for _, text := range equations {
		eqs = append(eqs, must(fx.ParseEquation(text)))
	}
	return must(fx.NewMarket(eqs, nil, on))
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}
