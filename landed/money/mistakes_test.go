package money_test

import (
	"errors"
	"math"
	"math/big"
	"slices"
	"testing"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// The subtests are named after mistakes that were found, by running them, in
// general-purpose money libraries or in the plain ways of sharing with a
// decimal library. The answers are those of largest remainder in exact
// arithmetic, or that an input has to be refused.

func TestApportionAvoids(t *testing.T) {
	for _, c := range []struct {
		mistake string
		total   int64
		weights []int64
		want    []int64
	}{
		{"a zero weight is charged", 1, []int64{0, 1, 1}, []int64{0, 1, 0}},
		{"leftovers to the first", 10, []int64{1, 99}, []int64{0, 10}},
		{"two leftovers to the first", 2, []int64{3, 2, 1}, []int64{1, 1, 0}},
		{"the product overflows", 5e9, []int64{2e9, 2e9}, []int64{25e8, 25e8}},
		{"the sum of weights is at the limit", 2, []int64{math.MaxInt64 - 2, 1, 1}, []int64{2, 0, 0}},
		{"remainders equal after 16 places", 1, []int64{5e16, 5e16 + 1}, []int64{0, 1}},
		{"a refund does not mirror the charge", -100, []int64{1, 1, 1}, []int64{-34, -33, -33}},
		{"a refund smaller than the weights is lost", -1, []int64{1, 1, 1}, []int64{-1, 0, 0}},
		{"each share is rounded by itself", 10000, []int64{1, 1, 1}, []int64{3334, 3333, 3333}},
		{"leftovers to the biggest weight", 7, []int64{3, 2}, []int64{4, 3}},
		{"a whole quota gets a unit more", 44530, []int64{5, 6, 1}, []int64{18554, 22265, 3711}},
		{"shares below the unit", 1, []int64{5, 5}, []int64{1, 0}},
		{"a total beyond 2^53", 1 << 60, []int64{1, 1, 1}, []int64{384307168202282326, 384307168202282325, 384307168202282325}},
	} {
		t.Run(c.mistake, func(t *testing.T) {
			if got := share(t, c.total, c.weights...); !slices.Equal(got, c.want) {
				t.Errorf("%d over %v: got %v, want %v", c.total, c.weights, got, c.want)
			}
		})
	}
	t.Run("the sum is lost when every weight is zero", func(t *testing.T) {
		if err := money.Apportion(make([]int64, 2), 100, []int64{0, 0}); !errors.Is(err, money.ErrNoWeight) {
			t.Errorf("got %v, want ErrNoWeight", err)
		}
	})
	t.Run("there is no room for the shares", func(t *testing.T) {
		small := money.Apportion(make([]int64, 1), 100, []int64{1, 1})
		large := money.ApportionBig(make([]int64, 1), 100, []*big.Int{big.NewInt(1), big.NewInt(1)})
		if !errors.Is(small, money.ErrRoom) || !errors.Is(large, money.ErrRoom) {
			t.Errorf("got %v and %v, want ErrRoom", small, large)
		}
	})
	t.Run("halving the largest amount overflows", func(t *testing.T) {
		large, small, larger, err := money.Equal(math.MaxInt64, 2)
		if err != nil || large != 1<<62 || small != 1<<62-1 || larger != 1 {
			t.Errorf("got %d, %d, %d, %v", large, small, larger, err)
		}
	})
}

func TestAmountAvoids(t *testing.T) {
	jpy, usd := money.MustCurrency("JPY"), money.MustCurrency("USD")
	t.Run("addition wraps", func(t *testing.T) {
		if got, err := money.New(math.MaxInt64, usd).Add(money.New(1, usd)); !errors.Is(err, money.ErrOverflow) {
			t.Errorf("got %v, %v, want ErrOverflow", got, err)
		}
	})
	t.Run("an amount goes through a float", func(t *testing.T) {
		got, err := money.Parse("9007199254740993 JPY")
		if want := money.New(9007199254740993, jpy); err != nil || got != want {
			t.Errorf("got %v, %v, want %v", got, err, want)
		}
	})
	t.Run("decimals that a currency lacks are cut", func(t *testing.T) {
		const want = `"1.99 JPY" has decimals, but JPY has no smaller unit: write 2 JPY, or the amount rounded as it was paid`
		if got, err := money.Parse("1.99 JPY"); err == nil || err.Error() != want {
			t.Errorf("got %v, %v, want %s", got, err, want)
		}
	})
	t.Run("a binary fraction is cut to cents", func(t *testing.T) {
		for s, want := range map[string]int64{"0.29": 29, "1.15": 115, "19.99": 1999} {
			if got, err := money.Parse(s + " USD"); err != nil || got.Minor() != want {
				t.Errorf("%s: got %v, %v, want %d cents", s, got, err, want)
			}
			if got, err := money.Round(decimal.RequireFromString(s), decimal.NewFromInt(1), usd); err != nil || got.Minor() != want {
				t.Errorf("%s: rounded to %v, %v, want %d cents", s, got, err, want)
			}
		}
	})
	t.Run("an amount below the minor unit", func(t *testing.T) {
		const want = `"0.005 USD" has 3 decimals, but USD has 2: write 0.01 USD, or the amount rounded as it was paid`
		if got, err := money.Parse("0.005 USD"); err == nil || err.Error() != want {
			t.Errorf("got %v, %v, want %s", got, err, want)
		}
	})
	t.Run("a product loses its last digits", func(t *testing.T) {
		// 12344999999999.9987655 exactly; cut to 19 digits, ten of it would
		// end in 9.9877 and not in 9.98765.
		p := product([]string{"99999999999999.99", "0.12345"})
		got, err := money.Down.Round(p, decimal.New(1, -1), money.MustCurrency("CLF"))
		if err != nil || got.Number() != "123449999999999.9876" {
			t.Errorf("ten of %v: got %v, %v", p, got, err)
		}
	})
	t.Run("words and exponents are amounts", func(t *testing.T) {
		for _, s := range []string{"NaN", "Infinity", "-Infinity", "inf", "1e9", "1E9"} {
			for _, in := range []string{s, s + " USD", "USD " + s} {
				if got, err := money.Parse(in); err == nil {
					t.Errorf("Parse(%q) = %v, want an error", in, got)
				}
			}
			if got, err := money.ParseIn(s, usd); err == nil {
				t.Errorf("ParseIn(%q) = %v, want an error", s, got)
			}
		}
	})
	t.Run("low digits of a long amount are dropped", func(t *testing.T) {
		const long = "12345678901234567890123456789012345678901234567890.00 USD"
		const want = `"` + long + `" is too large to be held exactly: the largest amount is 9223372036854775807 minor units`
		if got, err := money.Parse(long); err == nil || err.Error() != want {
			t.Errorf("got %v, %v, want %s", got, err, want)
		}
		got, err := money.New(math.MaxInt64-1, usd).Add(money.New(1, usd))
		if err != nil || got.Number() != "92233720368547758.07" {
			t.Errorf("got %v, %v, want 92233720368547758.07", got, err)
		}
	})
	t.Run("an amount beyond the range is halved", func(t *testing.T) {
		const want = `"99999999999999999.99 USD" is too large to be held exactly: the largest amount is 9223372036854775807 minor units`
		if got, err := money.Parse("99999999999999999.99 USD"); err == nil || err.Error() != want {
			t.Errorf("got %v, %v, want %s", got, err, want)
		}
	})
}
