package landed_test

import (
	"errors"
	"fmt"
	"math/big"
	"testing"

	"lotcost/fx"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/typed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func Example_converter() {
	x := exchange.New(typed.Market(day, "100 JPY = 0.93 CAD", "1 USD = 1.37 CAD"), cad, typed.Number("0.025"))
	paid := typed.Amount("7400 JPY")
	cost, _ := x.Cost(paid)        // 68.82 x 1.025 = 70.5405
	value, _ := x.Value(paid, usd) // 68.82 / 1.37 = 50.2336
	exact, _ := x.Exact(paid, usd)
	fmt.Println(cost, value, exact)
	// Output: 70.54 CAD 50.23 USD 6882/137
}

// TestExchangeRules: what is in home bears no spread and needs no rate, what has no
// currency is nothing, and a rate that is missing is reported.
func TestExchangeRules(t *testing.T) {
	x := exchange.New(typed.Market(day, "100 JPY = 0.93 CAD", "1 USD = 1.37 CAD"), cad, typed.Number("0.025"))
	for _, c := range []struct {
		what string
		got  func() (money.Amount, error)
		want string
	}{
		{"a cost in home", func() (money.Amount, error) { return x.Cost(typed.Amount("3 CAD")) }, "3.00 CAD"},
		{"finer than a cent", func() (money.Amount, error) { return x.Cost(typed.Amount("3 CAD"), typed.Number("1.0017")) }, "3.01 CAD"},
		{"a value of nothing", func() (money.Amount, error) { return x.Value(money.Amount{}, usd) }, "0.00 USD"},
		{"a value in its own currency", func() (money.Amount, error) { return x.Value(typed.Amount("3 KWD"), kwd) }, "3.000 KWD"},
		{"a fraction rounded up", func() (money.Amount, error) { return exchange.Round(big.NewRat(10, 3), money.Up, usd) }, "3.34 USD"},
	} {
		if got, err := c.got(); err != nil || got != typed.Amount(c.want) {
			t.Errorf("%s: %v, %v; want %s", c.what, got, err, c.want)
		}
	}
	if zero, err := x.Exact(money.Amount{}, usd); err != nil || zero.Sign() != 0 {
		t.Errorf("nothing is exactly %v, %v", zero, err)
	}
	for _, bare := range []*exchange.Converter{x, exchange.New(nil, cad, decimal.Decimal{})} {
		var none *fx.NoRateError
		if _, err := bare.Value(typed.Amount("3 KWD"), usd); !errors.As(err, &none) || none.From != "KWD" {
			t.Errorf("a value without a rate: %v", err)
		}
		if _, err := bare.Cost(typed.Amount("3 KWD")); !errors.As(err, &none) || none.To != "CAD" {
			t.Errorf("a cost without a rate: %v", err)
		}
		if _, err := bare.Exact(typed.Amount("3 KWD"), usd); !errors.As(err, &none) {
			t.Errorf("exact without a rate: %v", err)
		}
	}
	huge := exchange.New(typed.Market(day, "100 JPY = 0.93 CAD"), cad, decimal.New(1, 2_000_000_000))
	if _, err := huge.Cost(typed.Amount("3 JPY")); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("a spread beyond all bounds: %v", err)
	}
	if _, err := huge.ExactCost(typed.Amount("3 JPY")); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("exactly, a spread beyond all bounds: %v", err)
	}
	if home, err := x.ExactCost(typed.Amount("3.10 CAD")); err != nil || home.Cmp(big.NewRat(31, 10)) != 0 {
		t.Errorf("what was asked in home costs exactly %v, %v; want no spread", home, err)
	}
	if zero, err := x.ExactCost(money.Amount{}); err != nil || zero.Sign() != 0 {
		t.Errorf("nothing costs exactly %v, %v", zero, err)
	}
}

// TestExchangeAgainstFractions: every way is what fractions make of the rates, by way of
// home only where no equation states the pair.
func TestExchangeAgainstFractions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(what string, most int64) int64 { return rapid.Int64Range(1, most).Draw(t, what) }
		a, b, direct := draw("CAD of 100 JPY", 999), draw("CAD of 100 USD", 999), int64(0)
		equations := []string{fmt.Sprintf("100 JPY = %d CAD", a), fmt.Sprintf("100 USD = %d CAD", b)}
		rate := big.NewRat(a, b)
		if rapid.Bool().Draw(t, "stated") {
			direct = draw("USD of 100 JPY", 999)
			equations, rate = append(equations, fmt.Sprintf("100 JPY = %d USD", direct)), big.NewRat(direct, 100)
		}
		spread := decimal.New(draw("spread", 99), -3)
		x := exchange.New(typed.Market(day, equations...), cad, spread)
		yen := money.New(draw("yen", 1e9), jpy)

		exact := new(big.Rat).Mul(rate, new(big.Rat).SetInt64(yen.Minor()))
		if got, err := x.Exact(yen, usd); err != nil || got.Cmp(exact) != 0 {
			t.Fatalf("exactly %v, %v; want %v", got, err, exact)
		}
		if got, err := x.Value(yen, usd); err != nil || got.Minor() != cents(exact) {
			t.Fatalf("worth %v, %v; want %d cents", got, err, cents(exact))
		}
		cost := new(big.Rat).Mul(big.NewRat(a, 100), new(big.Rat).SetInt64(yen.Minor()))
		cost.Mul(cost, new(big.Rat).Add(big.NewRat(1, 1), spread.Rat()))
		if got, err := x.Cost(yen); err != nil || got.Minor() != cents(cost) {
			t.Fatalf("costs %v, %v; want %d cents", got, err, cents(cost))
		}
		if got, err := x.ExactCost(yen); err != nil || got.Cmp(cost) != 0 {
			t.Fatalf("costs exactly %v, %v; want %v", got, err, cost)
		}
	})
}

// cents rounds a positive amount half up.
func cents(r *big.Rat) int64 {
	r = new(big.Rat).Add(new(big.Rat).Mul(r, big.NewRat(100, 1)), big.NewRat(1, 2))
	return new(big.Int).Div(r.Num(), r.Denom()).Int64()
}
