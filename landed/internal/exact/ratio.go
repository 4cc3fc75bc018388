package exact

import (
	"math"
	"math/big"

	"github.com/shopspring/decimal"
)

// Ratio is a fraction that is not negative, in integers so that it can be used
// in a loop. Den is a power of ten.
type Ratio struct{ Num, Den int64 }

// NewRatio makes a ratio of a fraction, and reports whether its digits fit.
func NewRatio(d decimal.Decimal) (Ratio, bool) {
	const digits = 18 // 10^18 is the greatest power of ten in an int64
	exp := int64(d.Exponent())
	if d.IsZero() {
		return Ratio{0, 1}, true
	}
	if d.Sign() < 0 || exp < -digits || exp > digits || int64(d.NumDigits())+max(exp, 0) > digits {
		return Ratio{0, 1}, false
	}
	num, den := d.CoefficientInt64(), int64(1)
	for ; exp > 0; exp-- {
		num *= 10
	}
	for ; exp < 0; exp++ {
		den *= 10
	}
	return Ratio{num, den}, true
}

// Of is r times n, which is not negative, half rounded up, and whether it fits.
func (r Ratio) Of(n int64) (int64, bool) {
	return fits(MulDivHalf(uint64(r.Num), uint64(n), uint64(r.Den)))
}

// Up is likewise, but rounds up.
func (r Ratio) Up(n int64) (int64, bool) {
	return fits(MulDivUp(uint64(r.Num), uint64(n), uint64(r.Den)))
}

func fits(q uint64, ok bool) (int64, bool) { return int64(q), ok && q <= math.MaxInt64 }

// Floor is a number rounded down, held at the bounds of an int64, and whether it was in them.
func Floor(r *big.Rat) (int64, bool) {
	switch n := new(big.Int).Div(r.Num(), r.Denom()); {
	case n.IsInt64():
		return n.Int64(), true
	case n.Sign() < 0:
		return math.MinInt64, false
	}
	return math.MaxInt64, false
}

// Whole is some fractions as whole numbers in proportion, each counted in so many parts of 1.
func Whole(fractions []*big.Rat) (whole []*big.Int, parts *big.Int) {
	parts = big.NewInt(1)
	for _, f := range fractions {
		gcd := new(big.Int).GCD(nil, nil, parts, f.Denom())
		parts.Mul(parts, gcd.Quo(f.Denom(), gcd))
	}
	whole = make([]*big.Int, len(fractions))
	for i, f := range fractions {
		n := new(big.Int).Quo(parts, f.Denom())
		whole[i] = n.Mul(n, f.Num())
	}
	return whole, parts
}
