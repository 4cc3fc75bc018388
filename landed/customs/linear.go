package customs

import (
	"math/big"

	"lotcost/landed/money"
)

// took notes which way was taken where figures decide. Where two parcels of the same goods went the
// same ways, so did any whose figures lie between theirs, since what decides rises with them; and
// but for roundings what is charged is then linear in the figures.
func (a *assessor) took(way bool) {
	if a.trail ^= 1; way {
		a.trail ^= 2
	}
	a.trail *= 1_099_511_628_211
}

func (m *meter) Trail() uint64 { return m.trail }

// Rounded adds up what each rounding may take off or add, carried on to all that is charged on it.
func (m *meter) Rounded() (most, steepest *big.Rat, rises bool) {
	r := m.rules
	groups := big.NewRat(int64(len(m.classes)), 1)
	base, amount := steps(&r.duty.base), steps(&r.duty.amount)
	if r.duty.base.keep {
		base = times(base, big.NewRat(3, 2))
	}
	rate, parts := m.highest(), big.NewRat(int64(2+len(r.duty.surcharges)), 1)
	onDuty := times(groups, plus(times(base, rate), times(parts, times(amount, plus(big.NewRat(1, 1), rate)))))
	onTax := m.taxRounded(groups, onDuty, new(big.Rat))
	fees := new(big.Rat)
	for i := range r.fees {
		if r.fees[i].percent.den == 0 {
			continue // it is the same wherever it is asked
		}
		one := plus(big.NewRat(1, 1), r.fees[i].taxed.rat())
		of := plus(plus(onDuty, onTax), groups)
		fees = plus(fees, plus(times(one, plus(times(r.fees[i].percent.rat(), of), big.NewRat(1, 1))), big.NewRat(1, 1)))
	}
	onTax = m.taxRounded(groups, onDuty, fees)
	return plus(plus(onDuty, onTax), fees), m.steepest(rate), !r.duty.base.keep
}

// steepest is how much more is charged at most for a unit more of value, the highest rate of duty
// being known.
func (m *meter) steepest(rate *big.Rat) *big.Rat {
	one, part := big.NewRat(1, 1), new(big.Rat)
	for i := range m.rules.value {
		part = greater(part, m.rules.value[i].part.rat())
	}
	onDuty := times(part, rate)
	tax := m.taxSteepest(plus(part, onDuty), part, new(big.Rat))
	fees := new(big.Rat)
	for i := range m.rules.fees {
		f := &m.rules.fees[i]
		of := plus(plus(plus(one, part), onDuty), tax)
		fees = plus(fees, times(times(f.percent.rat(), of), plus(one, f.taxed.rat())))
	}
	return plus(plus(onDuty, m.taxSteepest(plus(part, onDuty), part, fees)), fees)
}

// taxSteepest is that of the taxes on so much, and on what is added to the value.
func (m *meter) taxSteepest(on, part, fees *big.Rat) *big.Rat {
	sum := new(big.Rat)
	for i := range m.rules.taxes {
		t := &m.rules.taxes[i]
		sum = plus(sum, times(m.taxRate(t), plus(plus(on, times(part, t.plus.rat())), plus(sum, fees))))
	}
	return sum
}

// taxRate is the highest rate of a tax here.
func (m *meter) taxRate(t *tax) *big.Rat {
	rate := new(big.Rat)
	for j := range t.rates {
		if r := &t.rates[j]; m.may(&r.when) && r.isOf(m.c.To) {
			rate = greater(rate, r.rate.rat())
		}
	}
	return rate
}

// taxRounded is what roundings make of the taxes, with those of the duty and of the fees.
func (m *meter) taxRounded(groups, onDuty, fees *big.Rat) *big.Rat {
	sum := new(big.Rat)
	for i := range m.rules.taxes {
		t := &m.rules.taxes[i]
		rate := m.taxRate(t)
		if rate.Sign() == 0 {
			continue
		}
		on := plus(plus(onDuty, fees), plus(sum, times(groups, steps(&t.round))))
		sum = plus(sum, plus(times(rate, on), times(groups, steps(&t.amount))))
	}
	return sum
}

// highest is the highest rate that goods may bear, surcharges with it.
func (m *meter) highest() *big.Rat {
	high := new(big.Rat)
	for _, class := range m.classes {
		sum := ratio{class.duty.fraction, perUnit}.rat()
		for _, s := range class.surOf {
			sum = plus(sum, s.rat())
		}
		high = greater(high, sum)
	}
	for i := range m.rules.duty.ways {
		high = greater(high, m.rules.duty.ways[i].rate.rat())
	}
	for i := range m.rules.duty.surcharges { // may be on the duty too
		of := m.rules.duty.surcharges[i].rate.rat()
		high = plus(high, plus(of, times(high, of)))
	}
	return high
}

// steps is how far a rounding goes.
func steps(r *rounding) *big.Rat {
	if r.mode == money.HalfAway || r.mode == money.HalfEven {
		return big.NewRat(r.step, 2)
	}
	return big.NewRat(r.step, 1)
}
