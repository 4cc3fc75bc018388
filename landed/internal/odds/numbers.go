package odds

import (
	"math"
	"math/big"

	"lotcost/landed/internal/exact"
)

// ratio is a fraction that is not brought to lowest terms: with a thousand pieces that takes far
// longer than calculating with it.
type ratio struct{ num, den *big.Int }

func ratioOf(r *big.Rat) ratio { return ratio{r.Num(), r.Denom()} }

func wholeRatio(n int64) ratio { return ratio{big.NewInt(n), big.NewInt(1)} }

func (r ratio) plus(s ratio) ratio {
	switch {
	case r.den.Cmp(s.den) == 0:
		return ratio{new(big.Int).Add(r.num, s.num), r.den}
	case r.num.Sign() == 0:
		return s
	}
	num := new(big.Int).Mul(r.num, s.den)
	return ratio{num.Add(num, new(big.Int).Mul(s.num, r.den)), new(big.Int).Mul(r.den, s.den)}
}

func (r ratio) times(s ratio) ratio {
	return ratio{new(big.Int).Mul(r.num, s.num), new(big.Int).Mul(r.den, s.den)}
}

func (r ratio) minus(s ratio) ratio { return r.plus(ratio{new(big.Int).Neg(s.num), s.den}) }

// rounded is to a whole number, half away from zero, for what is known to fit.
func (r ratio) rounded() int64 {
	num := new(big.Int).Lsh(new(big.Int).Abs(r.num), 1)
	num.Add(num, r.den)
	num.Div(num, new(big.Int).Lsh(r.den, 1))
	return num.Int64() * int64(r.num.Sign())
}

func frac(num, den *big.Int) *big.Rat { return new(big.Rat).SetFrac(num, den) }

func ratOf(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

// sum leaves out what is nil.
func sum(terms ...*big.Rat) *big.Rat {
	out := new(big.Rat)
	for _, t := range terms {
		if t != nil {
			out.Add(out, t)
		}
	}
	return out
}

func product(factors ...*big.Rat) *big.Rat {
	out := ratOf(1)
	for _, f := range factors {
		out.Mul(out, f)
	}
	return out
}

func power(base uint64, n int64) *big.Int {
	out := new(big.Int).SetUint64(base)
	return out.Exp(out, big.NewInt(n), nil)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// times and plus stop at the greatest number.
func times(a, b uint64) uint64 {
	if product, _, ok := exact.MulDiv(a, b, 1); ok {
		return product
	}
	return math.MaxUint64
}

func plus(a, b uint64) uint64 {
	return a + min(b, math.MaxUint64-a)
}
