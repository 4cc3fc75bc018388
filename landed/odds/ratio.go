package odds

import "math/big"

// ratio is a fraction that is not brought to lowest terms: with a thousand
// pieces that takes far longer than reckoning with it.
type ratio struct{ num, den *big.Int }

func ratioOf(r *big.Rat) ratio { return ratio{r.Num(), r.Denom()} }

func wholeRatio(n int64) ratio { return ratio{big.NewInt(n), big.NewInt(1)} }

func (r ratio) plus(s ratio) ratio {
	if r.den.Cmp(s.den) == 0 {
		return ratio{new(big.Int).Add(r.num, s.num), r.den}
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

func (r ratio) rat() *big.Rat { return new(big.Rat).SetFrac(r.num, r.den) }
