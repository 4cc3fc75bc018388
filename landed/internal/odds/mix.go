package odds

import (
	"math"
	"math/big"

	"lotcost/landed/internal/exact"
)

// setMoments works out mean, variance and extremes of the mixture of scenarios.
func (d *Distribution) setMoments(all []scenario) {
	d.least, d.most = math.MaxInt64, math.MinInt64
	mean, square, den := wholeRatio(0), wholeRatio(0), weights(all)
	for i := range all {
		s := &all[i]
		d.least, d.most = min(d.least, s.base+s.low), max(d.most, s.base+s.high)
		m, v := s.moments()
		weight := ratio{s.weight, den}
		mean, square = mean.plus(m.times(weight)), square.plus(v.plus(m.times(m)).times(weight))
	}
	d.mean, d.variance = frac(mean.num, mean.den), square.minus(mean.times(mean))
}

// weights is what the weights of all scenarios sum to.
func weights(all []scenario) *big.Int {
	sum := new(big.Int)
	for _, w := range all {
		sum.Add(sum, w.weight)
	}
	return sum
}

// chancesOf mixes the parts by the weights of their scenarios.
func chancesOf(all []scenario, parts []part) *chances {
	mixed := parts[0]
	if len(parts) > 1 {
		mixed = mix(all, parts)
	}
	c := &chances{amounts: mixed.amounts, limbs: mixed.limbs, den: mixed.den, beyond: new(big.Rat), excess: new(big.Rat)}
	for i := range parts {
		drift, doubtful := parts[i].drift.bound()
		c.drift = max(c.drift, drift)
		if doubtful {
			c.beyond.SetFrac64(1, 1<<hoeffdingBits)
		}
		if excess := frac(new(big.Int).SetUint64(parts[i].excess), parts[i].den); excess.Cmp(c.excess) > 0 {
			c.excess = excess
		}
	}
	c.cumulate(mixed.num)
	return c
}

// mix adds the parts, brought to a common denominator, or, in units of 2^-63, cut off downwards.
func mix(all []scenario, parts []part) part {
	sum, lists := weights(all), make([][]int64, len(parts))
	for i, p := range parts {
		lists[i] = p.amounts
	}
	out := part{amounts: union(lists), den: parts[0].den, limbs: 1}
	if !parts[0].fixed {
		out.den = commonDen(parts, sum)
		out.limbs = out.den.BitLen()/64 + 1
	}
	out.num = make([]uint64, len(out.amounts)*out.limbs)
	for i, p := range parts {
		if p.fixed {
			weight := new(big.Int).Lsh(all[i].weight, 64)
			timesAll(p.num, p.num, weight.Div(weight, sum).Uint64())
			out.scatter(&p, []uint64{1})
			continue
		}
		factor := new(big.Int).Mul(out.den, all[i].weight)
		factor.Div(factor, new(big.Int).Mul(sum, p.den))
		out.scatter(&p, exact.Limbs(factor))
	}
	return out
}

// commonDen is a denominator for the mixture: the least of all parts, times the one of the weights.
func commonDen(parts []part, sum *big.Int) *big.Int {
	den, common := big.NewInt(1), new(big.Int)
	for _, p := range parts {
		common.GCD(nil, nil, den, p.den)
		den.Mul(den, common.Div(p.den, common))
	}
	return den.Mul(den, sum)
}

// hoeffdingBits says how seldom Hoeffding's bound fails: with a chance of 2^-30.
const hoeffdingBits = 30

// bound is how far a sum can have moved, in minor units, and whether that has a chance of 2^-30 to
// be too little.
//
// Independent moves, each within a range r of its own around a mean of 0, sum to t or more either
// way with a chance of at most 2 exp(-2 t^2 / sum r^2) (Hoeffding 1963, theorem 2; from memory),
// and so for any function of independent pieces that each change it by r at most (McDiarmid 1989;
// from memory). That is 2^-30 for t^2 = sum r^2 x 31 ln 2 / 2, and 31 ln 2 / 2 is below 10.7438.
// What keeps the mean is rounded to a whole minor unit, so that the sum moves by up to half a unit
// more; as it moves by whole units, and the bound is whole and t above the root, that changes
// nothing.
func (d *drift) bound() (most int64, doubtful bool) {
	if d.worst.Sign() == 0 {
		return 0, false
	}
	t := new(big.Int).Mul(&d.squares, big.NewInt(107_438))
	t.Div(t, big.NewInt(10_000))
	t.Sqrt(t).Add(t, big.NewInt(1))
	if doubtful = t.Cmp(&d.worst) < 0; !doubtful {
		t = &d.worst
	}
	return t.Int64(), doubtful
}
