package odds

import "math/big"

// Chance is a probability with what is proven about it. The zero value is an exact chance of 0.
// Chances are not comparable with ==.
type Chance struct{ value, low, high *big.Rat }

// bounded makes a chance that is proven to lie from low to high, kept within 0 to 1.
func bounded(value, low, high *big.Rat) Chance {
	if low.Sign() < 0 {
		low = new(big.Rat)
	}
	if certain := ratOf(1); high.Cmp(certain) > 0 {
		high = certain
	}
	return Chance{value, low, high}
}

// Rat returns the chance as a fraction from 0 to 1: exact where both [Chance.Bounds] are the same,
// or else the best estimate between them.
func (c Chance) Rat() *big.Rat { return sum(c.value) }

// Bounds returns the fractions that the true chance is proven to lie between, both included.
func (c Chance) Bounds() (low, high *big.Rat) { return sum(c.low), sum(c.high) }

// String prints the chance as a percentage with one decimal, a half away from zero: "12.4%". What
// would be rounded to nothing or to all without being it is printed as "<0.1%" or ">99.9%".
func (c Chance) String() string {
	r := c.Rat()
	s := new(big.Rat).Mul(r, ratOf(100)).FloatString(1)
	switch {
	case s == "0.0" && r.Sign() > 0:
		return "<0.1%"
	case s == "100.0" && r.Cmp(ratOf(1)) < 0:
		return ">99.9%"
	}
	return s + "%"
}
