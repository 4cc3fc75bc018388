package money_test

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"

	"lotcost/landed/money"
)

var one = decimal.NewFromInt(1)

// roundOracle rounds num/den to whole steps by comparing fractions.
func roundOracle(num, den decimal.Decimal, digits int, r money.Rounding) *big.Int {
	scale := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
	step := new(big.Rat).SetInt64(max(r.Step, 1))
	x := new(big.Rat).Quo(num.Rat(), den.Rat())
	x.Mul(x, scale).Quo(x, step)
	negative := x.Sign() < 0
	x.Abs(x)
	whole := new(big.Int).Quo(x.Num(), x.Denom())
	fraction := new(big.Rat).Sub(x, new(big.Rat).SetInt(whole))
	odd := new(big.Int).Mod(whole, big.NewInt(2)).Sign() == 1
	half := fraction.Cmp(big.NewRat(1, 2))
	if r.Mode == money.Up && fraction.Sign() > 0 ||
		r.Mode == money.HalfAway && half >= 0 ||
		r.Mode == money.HalfEven && (half > 0 || half == 0 && odd) {
		whole.Add(whole, big.NewInt(1))
	}
	whole.Mul(whole, step.Num())
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
		if rapid.Bool().Draw(t, "a half, near enough") { // of a step, or next to it
			num = decimal.New(rapid.Int64Range(-401, 401).Draw(t, "hundredths"), -4)
			den = one
		}
		r := money.Rounding{
			Mode: rapid.SampledFrom(modes).Draw(t, "mode"),
			Step: rapid.SampledFrom([]int64{0, 1, 2, 5, 10, 100, 3, -7, math.MaxInt64}).Draw(t, "step"),
		}
		cur := rapid.SampledFrom(money.Currencies()).Draw(t, "currency")
		want := roundOracle(num, den, cur.Digits(), r)
		got, err := r.Amount(num, den, cur)
		if !want.IsInt64() {
			if !errors.Is(err, money.ErrOverflow) {
				t.Fatalf("%v / %v: got %v, %v, want ErrOverflow for %v", num, den, got, err, want)
			}
			return
		}
		if err != nil || got != money.New(want.Int64(), cur) {
			t.Fatalf("%v / %v by %+v: got %v, %v, want %v minor units", num, den, r, got, err, want)
		}
	})
}

func TestRoundIsHalfAwayToTheMinorUnit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := decimal.New(rapid.Int64Range(-1e12, 1e12).Draw(t, "num"), -4)
		den := decimal.New(rapid.Int64Range(1, 1e6).Draw(t, "den"), -3)
		cur := rapid.SampledFrom(money.Currencies()).Draw(t, "currency")
		want := roundOracle(num, den, cur.Digits(), money.Rounding{})
		if got, err := money.Round(num, den, cur); err != nil || got != money.New(want.Int64(), cur) {
			t.Fatalf("%v / %v: got %v, %v, want %v minor units", num, den, got, err, want)
		}
	})
}

// TestRoundingNeighbours writes the modes out, in steps of 5 minor units.
func TestRoundingNeighbours(t *testing.T) {
	chf := money.MustCurrency("CHF")
	for _, c := range []struct {
		num                          string
		halfAway, down, up, halfEven string
	}{
		{"1.000", "1.00", "1.00", "1.00", "1.00"},
		{"1.001", "1.00", "1.00", "1.05", "1.00"},
		{"1.024", "1.00", "1.00", "1.05", "1.00"},
		{"1.025", "1.05", "1.00", "1.05", "1.00"}, // 20 steps and a half
		{"1.026", "1.05", "1.00", "1.05", "1.05"},
		{"1.075", "1.10", "1.05", "1.10", "1.10"}, // 21 steps and a half
		{"-1.025", "-1.05", "-1.00", "-1.05", "-1.00"},
		{"-1.075", "-1.10", "-1.05", "-1.10", "-1.10"},
		{"-0.001", "0.00", "0.00", "-0.05", "0.00"},
	} {
		for mode, want := range map[money.Mode]string{
			money.HalfAway: c.halfAway, money.Down: c.down, money.Up: c.up, money.HalfEven: c.halfEven,
		} {
			r := money.Rounding{Mode: mode, Step: 5}
			if got, err := r.Amount(decimal.RequireFromString(c.num), one, chf); err != nil || got.Number() != want {
				t.Errorf("%s by %+v: got %v, %v, want %s", c.num, r, got, err, want)
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
		r        money.Rounding
		num, den decimal.Decimal
	}{
		{"division by zero", money.Rounding{}, one, decimal.Decimal{}},
		{"zero by zero", money.Rounding{}, decimal.Decimal{}, decimal.New(0, 5)},
		{"half a cent above the limit", money.Rounding{}, limit.Add(decimal.New(5, -3)), one},
		{"anything above the limit, up", money.Rounding{Mode: money.Up}, limit.Add(decimal.New(1, -30)), one},
		{"the limit in whole dollars, up", money.Rounding{Mode: money.Up, Step: 100}, limit, one},
		{"below the least", money.Rounding{}, limit.Neg().Sub(decimal.New(15, -3)), one},
	} {
		got, err := c.r.Amount(c.num, c.den, cad)
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
	up := money.Rounding{Mode: money.Up}
	franc := money.Rounding{Mode: money.Up, Step: 100}
	huge, tiny := decimal.New(1, math.MaxInt32), decimal.New(1, math.MinInt32)
	type result struct {
		amount money.Amount
		err    error
	}
	amount := func(minor int64) result { return result{money.New(minor, cad), nil} }
	overflow := result{money.Amount{}, money.ErrOverflow}
	for _, c := range []struct {
		name     string
		r        money.Rounding
		num, den decimal.Decimal
		want     result
	}{
		{"a large number", money.Rounding{}, decimal.New(1, 2_000_000), one, overflow},
		{"the largest", money.Rounding{}, huge, tiny, overflow},
		{"the largest by itself", money.Rounding{}, huge, huge, amount(100)},
		{"the smallest by itself", money.Rounding{}, tiny, tiny, amount(100)},
		{"a small number", money.Rounding{}, decimal.New(1, -2_000_000), one, amount(0)},
		{"the smallest", money.Rounding{}, tiny, huge, amount(0)},
		{"the smallest, to even", money.Rounding{Mode: money.HalfEven}, tiny, huge, amount(0)},
		{"the smallest, down", money.Rounding{Mode: money.Down}, tiny.Neg(), huge, amount(0)},
		{"the smallest, up", up, tiny, huge, amount(1)},
		{"minus the smallest, up", up, tiny.Neg(), huge, amount(-1)},
		{"the smallest by minus one, up", up, tiny, huge.Neg(), amount(-1)},
		{"the smallest, up to a whole unit", franc, tiny, huge, amount(100)},
		{"zero with a large exponent", up, decimal.New(0, math.MaxInt32), one, amount(0)},
		{"many digits after all", money.Rounding{}, decimal.RequireFromString("1.25" + strings.Repeat("0", 5_000)), one, amount(125)},
	} {
		got, err := c.r.Amount(c.num, c.den, cad)
		if (result{got, err}) != c.want {
			t.Errorf("%s: got %v, %v, want %v", c.name, got, err, c.want)
		}
	}
}
