package money_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// TestAmountArithmetic compares every operation with big integers.
func TestAmountArithmetic(t *testing.T) {
	cad := money.MustCurrency("CAD")
	edges := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-3, 3), rapid.Int64Range(-4_000_000_000, 4_000_000_000),
		rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64}))
	rapid.Check(t, func(t *rapid.T) {
		x, y := edges.Draw(t, "x"), edges.Draw(t, "y")
		a, b := money.New(x, cad), money.New(y, cad)
		bx, by := big.NewInt(x), big.NewInt(y)
		check := func(name string, want *big.Int, got money.Amount, err error) {
			t.Helper()
			switch {
			case !want.IsInt64() && (!errors.Is(err, money.ErrOverflow) || got != money.Amount{}):
				t.Fatalf("%s of %d and %d: got %v, %v, want ErrOverflow", name, x, y, got, err)
			case want.IsInt64() && (err != nil || got != money.New(want.Int64(), cad)):
				t.Fatalf("%s of %d and %d: got %v, %v, want %v", name, x, y, got, err, want)
			}
		}
		got, err := a.Add(b)
		check("sum", new(big.Int).Add(bx, by), got, err)
		got, err = a.Sub(b)
		check("difference", new(big.Int).Sub(bx, by), got, err)
		got, err = a.Times(y)
		check("product", new(big.Int).Mul(bx, by), got, err)
		if a.Cmp(b) != bx.Cmp(by) || a.Sign() != bx.Sign() {
			t.Fatalf("Cmp(%d, %d) = %d, Sign(%d) = %d", x, y, a.Cmp(b), x, a.Sign())
		}
		if d := a.Decimal().Shift(2); !d.IsInteger() || d.IntPart() != x {
			t.Fatalf("%v as a decimal is %v", a, a.Decimal())
		}
	})
}

func TestAmountMismatch(t *testing.T) {
	cad, jpy := money.New(1, money.MustCurrency("CAD")), money.New(1, money.MustCurrency("JPY"))
	const want = "CAD and JPY cannot be added: convert one of them first"
	for name, f := range map[string]func(money.Amount) (money.Amount, error){"Add": cad.Add, "Sub": cad.Sub} {
		got, err := f(jpy)
		if !errors.Is(err, money.MismatchError{cad.Currency(), jpy.Currency()}) || err.Error() != want || got != (money.Amount{}) {
			t.Errorf("%s: got %v, %v, want %s", name, got, err, want)
		}
	}
	if cad.Cmp(jpy) == 0 || cad.Cmp(jpy) != -jpy.Cmp(cad) || cad == jpy {
		t.Errorf("amounts of two currencies compare as %d and %d", cad.Cmp(jpy), jpy.Cmp(cad))
	}
}

func TestZeroAmount(t *testing.T) {
	var a money.Amount
	if a.String() != "0" || a.Number() != "0" || a.Sign() != 0 || a.Currency().Code() != "" || a.Currency().Digits() != 0 {
		t.Errorf("the zero amount is %q, %q, of currency %q", a.String(), a.Number(), a.Currency())
	}
}
