package money_test

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var one = decimal.NewFromInt(1)

// roundOracle rounds num/den to minor units by comparing fractions.
func roundOracle(num, den decimal.Decimal, digits int, mode money.Mode) *big.Int {
	scale := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
	x := new(big.Rat).Quo(num.Rat(), den.Rat())
	x.Mul(x, scale)
	negative := x.Sign() < 0
	x.Abs(x)
	whole := new(big.Int).Quo(x.Num(), x.Denom())
	fraction := new(big.Rat).Sub(x, new(big.Rat).SetInt(whole))
	odd := new(big.Int).Mod(whole, big.NewInt(2)).Sign() == 1
	half := fraction.Cmp(big.NewRat(1, 2))
	if mode == money.Up && fraction.Sign() > 0 ||
		mode == money.HalfAway && half >= 0 ||
		mode == money.HalfEven && (half > 0 || half == 0 && odd) {
		whole.Add(whole, big.NewInt(1))
	}
	if negative {
		whole.Neg(whole)
	}
	return whole
}

var modes = []money.Mode{money.HalfAway, money.Down, money.Up, money.HalfEven}

func TestRoundingOfEachMode(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coefficient := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-10_000, 10_000))
		exponent := rapid.OneOf(rapid.Int32Range(-3, 3), rapid.Int32Range(-40, 40))
		num := decimal.New(coefficient.Draw(t, "num"), exponent.Draw(t, "num exponent"))
		den := decimal.New(coefficient.Filter(func(n int64) bool { return n != 0 }).Draw(t, "den"), exponent.Draw(t, "den exponent"))
		if rapid.Bool().Draw(t, "a half, near enough") { // of a minor unit, or next to it
			num = decimal.New(rapid.Int64Range(-401, 401).Draw(t, "hundredths"), -4)
			den = one
		}
		mode := rapid.SampledFrom(modes).Draw(t, "mode")
		cur := rapid.SampledFrom(money.Currencies()).Draw(t, "currency")
		want := roundOracle(num, den, cur.Digits(), mode)
		got, err := mode.Round(num, den, cur)
		if !want.IsInt64() {
			if !errors.Is(err, money.ErrOverflow) {
				t.Fatalf("%v / %v: got %v, %v, want ErrOverflow for %v", num, den, got, err, want)
			}
			return
		}
		if err != nil || got != money.New(want.Int64(), cur) {
			t.Fatalf("%v / %v by %+v: got %v, %v, want %v minor units", num, den, mode, got, err, want)
		}
	})
}

func TestRoundIsHalfAwayToTheMinorUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := decimal.New(rapid.Int64Range(-1e12, 1e12).Draw(t, "num"), -4)
		den := decimal.New(rapid.Int64Range(1, 1e6).Draw(t, "den"), -3)
		cur := rapid.SampledFrom(money.Currencies()).Draw(t, "currency")
		want := roundOracle(num, den, cur.Digits(), money.HalfAway)
		if got, err := money.Round(num, den, cur); err != nil || got != money.New(want.Int64(), cur) {
			t.Fatalf("%v / %v: got %v, %v, want %v minor units", num, den, got, err, want)
		}
	})
}

// TestConvert: an amount times factors over a number is what [money.Round] makes of the product,
// however large they are.
func TestConvert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := func(what string) decimal.Decimal {
			n := rapid.OneOf(rapid.Int64Range(-2000, 2000), rapid.Int64()).Draw(t, what)
			return decimal.New(n, rapid.OneOf(rapid.Int32Range(-4, 2), rapid.Int32Range(-30, 30)).Draw(t, what+" exponent"))
		}
		from, to := rapid.SampledFrom(money.Currencies()).Draw(t, "from"), rapid.SampledFrom(money.Currencies()).Draw(t, "to")
		a := money.New(rapid.OneOf(rapid.Int64Range(-90_000, 90_000), rapid.Int64()).Draw(t, "amount"), from)
		factors := make([]decimal.Decimal, rapid.IntRange(0, 3).Draw(t, "factors"))
		product, den := a.Decimal(), number("den")
		for i := range factors {
			factors[i] = number("factor")
			product = product.Mul(factors[i])
		}
		want, wrong := money.Round(product, den, to)
		if got, err := money.Convert(a, to, den, factors...); err != wrong || err == nil && got != want {
			t.Fatalf("%v %v / %v: %v, %v; want %v, %v", a, factors, den, got, err, want, wrong)
		}
	})
}

// TestRoundingNeighbours writes the modes out, in fifths of a minor unit.
func TestRoundingNeighbours(t *testing.T) {
	chf := money.MustCurrency("CHF")
	for _, c := range []struct {
		num                          string
		halfAway, down, up, halfEven string
	}{
		{"1.000", "1.00", "1.00", "1.00", "1.00"},
		{"1.0002", "1.00", "1.00", "1.01", "1.00"},
		{"1.0048", "1.00", "1.00", "1.01", "1.00"},
		{"1.005", "1.01", "1.00", "1.01", "1.00"}, // 100 and a half
		{"1.0052", "1.01", "1.00", "1.01", "1.01"},
		{"1.015", "1.02", "1.01", "1.02", "1.02"}, // 101 and a half
		{"-1.005", "-1.01", "-1.00", "-1.01", "-1.00"},
		{"-1.015", "-1.02", "-1.01", "-1.02", "-1.02"},
		{"-0.0002", "0.00", "0.00", "-0.01", "0.00"},
	} {
		for mode, want := range map[money.Mode]string{
			money.HalfAway: c.halfAway, money.Down: c.down, money.Up: c.up, money.HalfEven: c.halfEven,
		} {
			if got, err := mode.Round(decimal.RequireFromString(c.num), one, chf); err != nil || got.Number() != want {
				t.Errorf("%s by %d: got %v, %v, want %s", c.num, mode, got, err, want)
			}
		}
	}
}

func TestRoundErrors(t *testing.T) {
	const want = "amount is too large to be held exactly"
	cad := money.MustCurrency("CAD")
	limit := decimal.RequireFromString("92233720368547758.07")
	for _, c := range []struct {
		name     string
		mode     money.Mode
		num, den decimal.Decimal
	}{
		{"division by zero", money.HalfAway, one, decimal.Decimal{}},
		{"zero by zero", money.HalfAway, decimal.Decimal{}, decimal.New(0, 5)},
		{"half a cent above the limit", money.HalfAway, limit.Add(decimal.New(5, -3)), one},
		{"anything above the limit, up", money.Up, limit.Add(decimal.New(1, -30)), one},
		{"below the least", money.HalfAway, limit.Neg().Sub(decimal.New(15, -3)), one},
	} {
		got, err := c.mode.Round(c.num, c.den, cad)
		if !errors.Is(err, money.ErrOverflow) || err.Error() != want || got != (money.Amount{}) {
			t.Errorf("%s: got %v, %v, want %s", c.name, got, err, want)
		}
	}
	if got, err := money.Round(limit.Add(decimal.New(4999, -6)), one, cad); err != nil || got.Minor() != math.MaxInt64 {
		t.Errorf("just below half a cent above the limit: got %v, %v", got, err)
	}
	if got, err := money.Round(limit.Neg().Sub(decimal.New(1, -2)), one, cad); err != nil || got.Minor() != math.MinInt64 {
		t.Errorf("the least amount: got %v, %v", got, err)
	}
}

// TestRoundHostileExponents: an exponent of a few bytes must not ask for a
// power of ten of a million digits (raised after all, it would outlast the time
// limit of the tests), and small enough is zero, not an error.
func TestRoundHostileExponents(t *testing.T) {
	cad := money.MustCurrency("CAD")
	huge, tiny := decimal.New(1, math.MaxInt32), decimal.New(1, math.MinInt32)
	type result struct {
		amount money.Amount
		err    error
	}
	amount := func(minor int64) result { return result{money.New(minor, cad), nil} }
	overflow := result{money.Amount{}, money.ErrOverflow}
	for _, c := range []struct {
		name     string
		mode     money.Mode
		num, den decimal.Decimal
		want     result
	}{
		{"a large number", money.HalfAway, decimal.New(1, 2_000_000), one, overflow},
		{"the largest", money.HalfAway, huge, tiny, overflow},
		{"the largest by itself", money.HalfAway, huge, huge, amount(100)},
		{"the smallest by itself", money.HalfAway, tiny, tiny, amount(100)},
		{"a small number", money.HalfAway, decimal.New(1, -2_000_000), one, amount(0)},
		{"the smallest", money.HalfAway, tiny, huge, amount(0)},
		{"the smallest, to even", money.HalfEven, tiny, huge, amount(0)},
		{"the smallest, down", money.Down, tiny.Neg(), huge, amount(0)},
		{"the smallest, up", money.Up, tiny, huge, amount(1)},
		{"minus the smallest, up", money.Up, tiny.Neg(), huge, amount(-1)},
		{"the smallest by minus one, up", money.Up, tiny, huge.Neg(), amount(-1)},
		{"zero with a large exponent", money.Up, decimal.New(0, math.MaxInt32), one, amount(0)},
		{"many digits after all", money.HalfAway, decimal.RequireFromString("1.25" + strings.Repeat("0", 5_000)), one, amount(125)},
	} {
		got, err := c.mode.Round(c.num, c.den, cad)
		if (result{got, err}) != c.want {
			t.Errorf("%s: got %v, %v, want %v", c.name, got, err, c.want)
		}
	}
}
