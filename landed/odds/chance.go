package odds

import (
	"math/big"

	"github.com/shopspring/decimal"
)

// Chance is a probability with what is proven about it. The zero value is an
// exact chance of 0. Chances are not comparable with ==; see [Chance.Cmp].
type Chance struct{ value, low, high *big.Rat }

// exactly makes a chance that is known exactly.
func exactly(r *big.Rat) Chance { return Chance{r, r, r} }

// bounded makes a chance that is proven to lie from low to high, kept within 0
// to 1.
func bounded(value, low, high *big.Rat) Chance {
	if low.Sign() < 0 {
		low = new(big.Rat)
	}
	if certain := big.NewRat(1, 1); high.Cmp(certain) > 0 {
		high = certain
	}
	return Chance{value, low, high}
}

// Rat returns the chance as a fraction from 0 to 1: exact, or the best estimate
// within [Chance.Bounds].
func (c Chance) Rat() *big.Rat { return ratOrZero(c.value) }

// Bounds returns the fractions that the true chance is proven to lie between,
// both included.
func (c Chance) Bounds() (low, high *big.Rat) { return ratOrZero(c.low), ratOrZero(c.high) }

// Exact tells whether the chance is known without any error.
func (c Chance) Exact() bool {
	low, high := c.Bounds()
	return low.Cmp(high) == 0
}

// Cmp compares the chance with a fraction (0.2 being 20 %): -1 when it is
// proven to be less, +1 when it is proven to be more, 0 when it is equal or lies
// too near to tell.
func (c Chance) Cmp(q decimal.Decimal) int {
	low, high := c.Bounds()
	switch r := q.Rat(); {
	case high.Cmp(r) < 0:
		return -1
	case low.Cmp(r) > 0:
		return 1
	}
	return 0
}

// String prints the chance as a percentage with one decimal, a half away from
// zero: "12.4%". What would be rounded to nothing or to all without being it is
// printed as "<0.1%" or ">99.9%".
func (c Chance) String() string {
	r := c.Rat()
	s := new(big.Rat).Mul(r, big.NewRat(100, 1)).FloatString(1)
	switch {
	case s == "0.0" && r.Sign() > 0:
		return "<0.1%"
	case s == "100.0" && r.Cmp(big.NewRat(1, 1)) < 0:
		return ">99.9%"
	}
	return s + "%"
}

func ratOrZero(r *big.Rat) *big.Rat {
	if r == nil {
		return new(big.Rat)
	}
	return new(big.Rat).Set(r)
}
