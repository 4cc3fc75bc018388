package customs

import (
	"math/big"
	"slices"

	"lotcost/landed/internal/planning"
)

func (m *meter) Together() (planning.Together, bool) {
	var t planning.Together
	var first *limit
	ok := true
	v, one := m.oneValue()
	m.looksAt(func(l *bound) bool {
		if l.over == overParcel {
			return false
		}
		if first == nil {
			first = &l.limit
		}
		if ok = ok && l.of == first.of && l.over == first.over && (l.of == ofGoods || l.of == ofValue && one); ok {
			t.Turns = append(t.Turns, l.turn(v))
		}
		return false
	})
	if m.counts = 0; first == nil || !ok {
		return planning.Together{}, ok
	}
	if first.of == ofValue {
		m.counts = v.holds & (partFreight | partInsurance | partFees)
	}
	slices.Sort(t.Turns)
	t.Turns, t.BySeller, t.Carriage = slices.Compact(t.Turns), first.over == overSeller, m.counts != 0
	return t, true
}

// turn is the sum, before a part is taken, up to which one is below a bound.
func (l *limit) turn(v *valueRule) int64 {
	part := whole
	if l.of == ofValue {
		part = v.part
	}
	at := new(big.Int).Mul(big.NewInt(l.at), new(big.Int).SetUint64(part.den))
	if l.strict {
		at.Sub(at, big.NewInt(1))
	}
	return at.Div(at, new(big.Int).SetUint64(part.num)).Int64()
}

// oneValue is the rule that makes the value for customs of any of the parcels; false where that
// hangs on what is in them.
func (m *meter) oneValue() (*valueRule, bool) {
	for i := range m.rules.value {
		v := &m.rules.value[i]
		if m.may(&v.when) {
			return v, v.upto == nil && v.above == nil && len(v.goods) == 0
		}
	}
	return nil, false
}

func (m *meter) Counts(p *Parcel) int64 {
	sum := int64(0)
	for i := range p.Lines {
		l := lineWork{Line: &p.Lines[i]}
		sum += l.Value.Minor() + m.extras(&l, m.counts)
	}
	return sum
}
