package money_test

import (
	"math"
	"math/big"
	"strconv"
	"testing"

	"lotcost/landed/internal/exact"

	"pgregory.net/rapid"
)

func unsigned(n uint64) *big.Int { return new(big.Int).SetUint64(n) }

// TestAgainstBig compares each operation with math/big.
func TestAgainstBig(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := rapid.Uint64().Draw(t, "a"), rapid.Uint64().Draw(t, "b"), rapid.Uint64().Draw(t, "c"), rapid.Uint64().Draw(t, "d")
		if product, ok := exact.Mul(int64(a), int64(b)); true {
			want := new(big.Int).Mul(big.NewInt(int64(a)), big.NewInt(int64(b)))
			if ok != want.IsInt64() || ok && product != want.Int64() {
				t.Fatalf("%d x %d: %d, %t; want %s", int64(a), int64(b), product, ok, want)
			}
		}
		sum := new(big.Int).Add(big.NewInt(int64(a)), big.NewInt(int64(b)))
		sum.Add(sum, big.NewInt(int64(c)))
		held := sum.Int64()
		switch {
		case !sum.IsInt64() && sum.Sign() > 0:
			held = math.MaxInt64
		case !sum.IsInt64():
			held = math.MinInt64
		}
		if got, ok := exact.Sum(int64(a), int64(b), int64(c)); ok != sum.IsInt64() || got != held {
			t.Fatalf("%d + %d + %d: %d, %t; want %s", int64(a), int64(b), int64(c), got, ok, sum)
		}
		if c == 0 {
			if _, _, ok := exact.MulDiv(a, b, c); ok {
				t.Fatal("divided by nothing")
			}
			return
		}
		quotient := func(name string, got uint64, ok bool, num, den *big.Int) {
			want := new(big.Int).Quo(num, den)
			if ok != want.IsUint64() || ok && got != want.Uint64() {
				t.Fatalf("%s of %d, %d, %d, %d: %d, %t; want %s", name, a, b, c, d, got, ok, want)
			}
		}
		product := new(big.Int).Mul(unsigned(a), unsigned(b))
		quotient("high", exact.High(a, b), true, product, new(big.Int).Lsh(big.NewInt(1), 64))
		if a < c {
			quotient("fraction", exact.Fraction64(a, c), true, new(big.Int).Lsh(unsigned(a), 64), unsigned(c))
		}
		shift := uint(d%63 + 1)
		shifted := new(big.Int).Mul(big.NewInt(int64(a)), big.NewInt(int64(b)))
		if shifted.Rsh(shifted, shift); shifted.IsInt64() && exact.MulShift(int64(a), int64(b), shift) != shifted.Int64() {
			t.Fatalf("%d x %d / 2^%d: %d; want %s", int64(a), int64(b), shift, exact.MulShift(int64(a), int64(b), shift), shifted)
		}
		down, rest, ok := exact.MulDiv(a, b, c)
		quotient("down", down, ok, product, unsigned(c))
		if want := new(big.Int).Rem(product, unsigned(c)); ok && rest != want.Uint64() {
			t.Fatalf("rest %d, want %s", rest, want)
		}
		up, ok := exact.MulDivUp(a, b, c)
		quotient("up", up, ok, new(big.Int).Add(product, unsigned(c-1)), unsigned(c))
		half, ok := exact.MulDivHalf(a, b, c)
		twice := new(big.Int).Add(new(big.Int).Lsh(product, 1), unsigned(c))
		quotient("half", half, ok, twice, new(big.Int).Lsh(unsigned(c), 1))
	})
}

func TestMagnitude(t *testing.T) {
	for n, want := range map[int64]uint64{0: 0, 5: 5, -5: 5, -1 << 63: 1 << 63} {
		if got := exact.Magnitude(n); got != want {
			t.Errorf("%d: %d, want %d", n, got, want)
		}
	}
}

// TestDigits: a number has as many digits as it is written with, on each side of each power of ten
// too.
func TestDigits(t *testing.T) {
	check := func(n uint64) {
		if got, want := exact.Digits(n), len(strconv.FormatUint(n, 10)); got != want {
			t.Fatalf("%d has %d digits, want %d", n, got, want)
		}
	}
	for n := uint64(1); ; n *= 10 {
		check(n - 1)
		check(n)
		check(n + 1)
		if n > math.MaxUint64/10 {
			break
		}
	}
	for length := range 65 {
		check(math.MaxUint64 >> length)
	}
	rapid.Check(t, func(t *rapid.T) { check(rapid.Uint64().Draw(t, "n")) })
}
