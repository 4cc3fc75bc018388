package customs

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"lotcost/landed/money"
)

// chance is whether a rule is for the parcels looked at.
type chance uint8

const (
	no    chance = iota
	maybe        // for some
	sure         // for all
)

// may reports for which of the parcels a rule is.
func (f *floors) may(r *when) chance {
	if !f.concerned(r) {
		return no
	}
	is := sure
	if len(r.goods) > 0 {
		one := func(l *lineWork) bool { return (&parcelWork{lines: []lineWork{*l}}).ofCodes(r) }
		is = min(is, amid(slices.ContainsFunc(f.lines, one), !slices.ContainsFunc(f.lines, func(l *lineWork) bool { return !one(l) })))
	}
	if r.upto != nil {
		is = min(is, sure-f.exceed(r.upto))
	}
	if r.above != nil {
		is = min(is, f.exceed(r.above))
	}
	return is
}

// concerned reports whether a rule is for such parcels, whatever is in them.
func (f *floors) concerned(r *when) bool {
	plain := *r
	plain.goods, plain.upto, plain.above = nil, nil, nil
	return f.applies(&plain, &f.work[0])
}

// exceed tells for which of the parcels the measure is above a limit.
func (f *floors) exceed(l *limit) chance {
	lo, hi := f.measures(l)
	above := func(measure *big.Rat) bool {
		order := measure.Cmp(big.NewRat(l.at, 1))
		return order > 0 || order == 0 && l.strict
	}
	return amid(hi == nil || above(hi), above(lo))
}

// mostExtras is the most that is in a bound's measure beside the goods.
func (f *floors) mostExtras(l *limit, holds parts) int64 {
	switch {
	case holds == partGoods:
		return 0
	case l.over != overParcel || f.carriage == math.MaxInt64:
		return math.MaxInt64
	}
	sum := f.carriage
	for _, line := range f.lines {
		sum += f.extras(line, holds)
	}
	return sum
}

func amid(some, all bool) chance {
	switch {
	case all:
		return sure
	case some:
		return maybe
	}
	return no
}

// measures returns between which figures a bound's measure lies; hi is nil where it has no end.
func (f *floors) measures(l *limit) (lo, hi *big.Rat) {
	rat := func(n int64) *big.Rat { return big.NewRat(n, 1) }
	if l.of == ofPiece {
		return rat(f.least((*lineWork).dearest)), rat(min(f.dearest, f.hi))
	}
	if l.of == ofWeight {
		sum := int64(0)
		for i := range f.work {
			sum += f.work[i].weight
		}
		return rat(f.least(func(l *lineWork) int64 { return int64(l.Weight) })), rat(sum)
	}
	least, most := f.cheapest(), min(f.hi, f.total)
	if l.over != overParcel {
		most = f.total
	}
	switch l.over { // all that counts with a parcel's goods, however it is divided
	case overDay:
		least = f.total
	case overSeller:
		least = max(least, f.seller)
	}
	if l.of == ofGoods {
		return rat(least), rat(most)
	}
	lo, hi = nil, rat(0)
	for _, v := range f.values() {
		part := v.part.rat()
		if at := times(rat(least), part); lo == nil || at.Cmp(lo) < 0 {
			lo = at
		}
		sum := most + min(f.mostExtras(l, v.holds), math.MaxInt64-most)
		if l.over == overParcel {
			sum = min(sum, f.within)
		}
		if sum == math.MaxInt64 {
			hi = nil
		}
		if hi != nil && times(rat(sum), part).Cmp(hi) > 0 {
			hi = times(rat(sum), part)
		}
	}
	return lo, hi
}

// possible returns the rules of a list that may be the first that applies.
func possible[T any, P conditional[T]](f *floors, list []T) []*T {
	var found []*T
	for i := range list {
		is := f.may(P(&list[i]).condition())
		if is != no {
			found = append(found, &list[i])
		}
		if is == sure {
			break
		}
	}
	return found
}

// values returns the rules of the value for customs that may apply. Theirs are no bounds of a
// value.
func (f *floors) values() []*valueRule { return possible(f, f.rules.value) }

// valueOf is the least value for customs of a line, without the freight of its parcel; of the goods
// alone where the extras are left out.
func (f *floors) valueOf(l *lineWork, values []*valueRule, extras bool) *big.Rat {
	var least *big.Rat
	for _, v := range values {
		sum := l.goods
		if extras {
			sum += f.extras(l, v.holds)
		}
		value := times(big.NewRat(sum, 1), v.part.rat())
		if least == nil || value.Cmp(least) < 0 {
			least = value
		}
	}
	return least
}

// carriedIn is the least part of each of what is carried that is in a base, which holds the value
// for customs as often as value says.
func carriedIn(base parts, value *big.Rat, values []*valueRule) (in [2]*big.Rat) {
	for k, all := range carried {
		for _, v := range values {
			for _, one := range all {
				part := new(big.Rat)
				switch {
				case v.holds&one != 0 && base&partValue != 0:
					part = times(v.part.rat(), value)
				case v.holds&one == 0 && v.without&one == 0 && base&one != 0:
					part.SetInt64(1)
				}
				if in[k] == nil || part.Cmp(in[k]) < 0 {
					in[k] = part
				}
			}
		}
	}
	return in
}

// levied is a sum, what of it is on the goods alone, and its highest rate.
type levied struct {
	linear
	bare    linear
	dearest *big.Rat
}

// relieved returns what is left of a sum by each relief that may apply, and by none.
func (f *floors) relieved(x *levied, kind kinds) linear {
	var options []linear
	certain := false
	for i := range f.rules.relief {
		v := &f.rules.relief[i]
		is := f.may(&v.when)
		if v.of&kind == 0 || v.sale && f.work[0].Private || is == no {
			continue
		}
		made := slices.ContainsFunc(f.lines, func(l *lineWork) bool { return v.origins.match(f.origin(l)) })
		if !made {
			continue
		}
		options = append(options, f.under(x, v)...)
		if certain = is == sure && !v.origins.any(); certain {
			break
		}
	}
	if !certain {
		options = append(options, x.linear)
	}
	return f.lowest(options)
}

// under returns what is left of a sum under and over the threshold of a relief, as far as parcels
// may be there.
func (f *floors) under(x *levied, v *relief) []linear {
	if v.wholly {
		return []linear{f.nothing()}
	}
	var options []linear
	exceed := f.exceed(&v.limit)
	if exceed != sure {
		left := f.nothing()
		for i, l := range f.lines {
			if v.origins.any() && !v.origins.match(f.origin(l)) {
				left.each[i] = x.each[i]
			}
		}
		left.fixed = lesser(x.fixed, left.fixed)
		for n, head := range x.heads {
			left.heads[n] = lesser(head, left.heads[n])
		}
		options = append(options, left)
	}
	if exceed == no {
		return options
	}
	over := x.linear
	if v.beyond == chargePieces { // what falls away with a piece is more than its price
		over = x.bare
	}
	if v.beyond != chargeFull {
		over.fixed = minus(lesser(over.fixed, new(big.Rat)), times(big.NewRat(v.limit.at, 1), x.dearest))
		over.heads = slices.Clone(over.heads)
		for n, head := range over.heads {
			over.heads[n] = lesser(head, new(big.Rat))
		}
	}
	return append(options, over)
}

// dutyFloor is the duty.
func (f *floors) dutyFloor(values []*valueRule) linear {
	sum := levied{dearest: new(big.Rat)}
	var options, bare []linear
	for _, y := range possible(f, f.rules.duty.ways) {
		x, onGoods, lost := f.nothing(), f.nothing(), make([]*big.Rat, len(f.lines))
		f.addFlats(&x, y)
		onGoods.add(x, whole)
		in := carriedIn(partValue, whole.rat(), values)
		for i, l := range f.lines {
			rate, specific := f.rateFloor(l, y)
			for k := range in {
				x.share[k][i] = times(rate, in[k])
			}
			x.each[i] = plus(times(rate, f.valueOf(l, values, true)), specific)
			onGoods.each[i] = times(rate, f.valueOf(l, values, false))
			if lost[i] = times(f.rules.duty.base.lost(), rate); rate.Sign() > 0 || specific.Sign() > 0 {
				lost[i] = plus(lost[i], times(f.rules.duty.amount.lost(), big.NewRat(f.duties(), 1)))
			}
			sum.dearest = greater(sum.dearest, rate)
		}
		f.roundDuty(&x, lost)
		f.roundDuty(&onGoods, lost)
		options, bare = append(options, x), append(bare, onGoods)
	}
	sum.linear, sum.bare = f.lowest(options), f.lowest(bare)
	return f.relieved(&sum, duty)
}

// roundDuty takes off what roundings may: so much of each line, or once of those of one heading.
func (f *floors) roundDuty(x *linear, lost []*big.Rat) {
	if f.rules.duty.base.over == byLine || f.rules.duty.amount.over == byLine {
		for i := range x.each {
			x.each[i] = minus(x.each[i], lost[i])
		}
		return
	}
	for n, h := range f.headings {
		most := new(big.Rat)
		for i, in := range h.of {
			if in {
				most = greater(most, lost[i])
			}
		}
		x.heads[n] = minus(x.heads[n], most)
	}
}

// duties is how many duties may be made, and rounded, on the same goods.
func (f *floors) duties() int64 {
	n := int64(1)
	if slices.ContainsFunc(f.lines, func(l *lineWork) bool { return l.class != nil && len(l.class.surOf) > 0 }) {
		n++
	}
	for i := range f.rules.duty.surcharges {
		if f.may(&f.rules.duty.surcharges[i].when) != no {
			n++
		}
	}
	return n
}

// addFlats adds the least that a way asks whatever the goods are worth: of a parcel, or of each
// heading, where those are told apart.
func (f *floors) addFlats(x *linear, y *way) {
	x.fixed = big.NewRat(-y.less, 1)
	flat := big.NewRat(y.amount, 1)
	switch y.by {
	case perHeading:
		heads := map[string]bool{}
		for _, h := range f.headings {
			heads[f.shortHeading(f.lines[h.only], y.digits)] = true
		}
		if len(heads) < len(f.headings) {
			x.fixed = plus(x.fixed, flat)
			return
		}
		for n := range x.heads {
			x.heads[n] = flat
		}
	case perParcel:
		least := y.bands[0].amount
		for i := range y.bands {
			least = min(least, y.bands[i].amount)
		}
		x.fixed = plus(x.fixed, big.NewRat(least, 1))
	}
}

// rateFloor is the least rate at which a line is charged, and what it is charged by weight or
// piece.
func (f *floors) rateFloor(l *lineWork, y *way) (rate, specific *big.Rat) {
	rate, specific = new(big.Rat), new(big.Rat)
	origin, own := f.origin(l), l.class != nil && l.class.known
	switch y.by {
	case byClass, bySurcharge, byOneRate:
		if own && y.by != bySurcharge {
			rate = plus(ratio{l.class.duty.fraction, perUnit}.rat(), l.class.surOf[origin].rat())
			weight := times(new(big.Rat).SetFrac64(int64(l.Weight), 1e12), new(big.Rat).SetUint64(l.class.duty.perKilogram))
			specific = plus(weight, times(big.NewRat(l.Count, 1), new(big.Rat).SetUint64(l.class.duty.perPiece)))
			specific = times(specific, big.NewRat(1, 1e7))
		}
		for i := range f.rules.duty.surcharges {
			if s := &f.rules.duty.surcharges[i]; s.origins.match(origin) && f.may(&s.when) == sure && (own || y.by == bySurcharge) {
				rate = plus(rate, s.rate.rat())
			}
		}
		if y.by == byOneRate {
			free := own && rate.Sign() == 0 && specific.Sign() == 0
			specific = new(big.Rat)
			if !own || y.free || !free && (!y.lower || y.rate.rat().Cmp(rate) < 0) {
				rate = y.rate.rat()
			}
		}
	case byOrigin:
		if l.class != nil {
			rate = l.class.surOf[origin].rat()
		}
	}
	return rate, specific
}

// lost is the most that a rounding takes away.
func (r *rounding) lost() *big.Rat {
	switch {
	case r.mode == money.Up:
		return new(big.Rat)
	case r.keep:
		return big.NewRat(r.step, 1)
	}
	return steps(r)
}

// fewGroups is how many groups of lines a parcel may be rounded by before their roundings count by
// line.
const fewGroups = 3

// round takes off what roundings may: so much for each group, or each line.
func (x *levied) round(lost *big.Rat, groups int, byLine bool) {
	for _, sum := range []*linear{&x.linear, &x.bare} {
		if !byLine && groups <= fewGroups {
			sum.fixed = minus(sum.fixed, times(lost, big.NewRat(int64(groups), 1)))
			continue
		}
		for i := range sum.each {
			sum.each[i] = minus(sum.each[i], lost)
		}
	}
}

// distinct is how many kinds of lines there are, which may be rounded apart.
func (f *floors) distinct(kind func(*lineWork) [2]string) int {
	kinds := map[[2]string]bool{}
	for _, l := range f.lines {
		kinds[kind(l)] = true
	}
	return len(kinds)
}

// goods tells the goods of lines apart.
func (f *floors) goods(l *lineWork) [2]string {
	return [2]string{cmp.Or(l.Class, "line "+l.ID), f.origin(l)}
}

// taxFloor is the taxes.
func (f *floors) taxFloor(values []*valueRule, onGoods linear) linear {
	sum := levied{f.nothing(), f.nothing(), new(big.Rat)}
	made := map[string]linear{}
	for i := range f.rules.taxes {
		t := &f.rules.taxes[i]
		if !slices.ContainsFunc(t.rates, func(r taxRate) bool { return r.isOf(f.c.To) }) {
			continue // of other places
		}
		x := f.oneTaxFloor(t, values, onGoods, made[t.of])
		made[t.name] = x.linear
		sum.linear.add(x.linear, whole)
		sum.bare.add(x.bare, whole)
		sum.dearest = plus(sum.dearest, x.dearest)
	}
	return f.relieved(&sum, taxKind)
}

func (f *floors) oneTaxFloor(t *tax, values []*valueRule, onGoods, other linear) levied {
	x := levied{f.nothing(), f.nothing(), new(big.Rat)}
	value := plus(whole.rat(), t.plus.rat()) // what is added to the base goes by the value
	in := carriedIn(t.base, value, values)
	rates, most := make([]*big.Rat, len(f.lines)), make([]*big.Rat, len(f.lines))
	for i, l := range f.lines {
		rates[i], most[i] = f.taxRateFloor(l, t)
		x.dearest = greater(x.dearest, most[i])
		if t.of == "" && t.base&partValue != 0 {
			x.each[i] = times(times(rates[i], f.valueOf(l, values, true)), value)
			x.bare.each[i] = times(times(rates[i], f.valueOf(l, values, false)), value)
		}
		for k := range in {
			if t.of == "" {
				x.share[k][i] = times(rates[i], in[k])
			}
		}
	}
	if t.of != "" {
		f.addTaxed(&x.linear, other, rates, most)
	} else if t.base&partDuty != 0 {
		f.addTaxed(&x.linear, onGoods, rates, most)
	}
	kind := func(l *lineWork) [2]string { return [2]string{l.taxKind()} }
	if t.round.over == byHeading || t.amount.over == byHeading {
		kind = f.goods
	}
	lost := plus(times(t.round.lost(), x.dearest), t.amount.lost())
	x.round(lost, f.distinct(kind), t.round.over == byLine || t.amount.over == byLine)
	return x
}

// addTaxed adds the tax on a sum, at the least rates of the lines, or at the most where it is below
// nothing.
func (f *floors) addTaxed(x *linear, on linear, rates, most []*big.Rat) {
	rated := func(sum *big.Rat, of func(int) bool) *big.Rat {
		var rate *big.Rat
		for i := range f.lines {
			switch {
			case !of(i):
			case sum.Sign() < 0 && (rate == nil || most[i].Cmp(rate) > 0):
				rate = most[i]
			case sum.Sign() >= 0 && (rate == nil || rates[i].Cmp(rate) < 0):
				rate = rates[i]
			}
		}
		return times(sum, rate)
	}
	x.fixed = plus(x.fixed, rated(on.fixed, func(int) bool { return true }))
	for n := range x.heads {
		x.heads[n] = plus(x.heads[n], rated(on.heads[n], func(i int) bool { return f.headings[n].of[i] }))
	}
	for i, rate := range rates {
		x.each[i] = plus(x.each[i], times(on.each[i], rate))
		for k := range x.share {
			x.share[k][i] = plus(x.share[k][i], times(on.share[k][i], rate))
		}
	}
}

// taxRateFloor is the least and the highest rate at which a line may be taxed.
func (f *floors) taxRateFloor(l *lineWork, t *tax) (least, most *big.Rat) {
	most = new(big.Rat)
	for i := range t.rates {
		r := &t.rates[i]
		is := f.may(&r.when)
		if is == no || r.kind != l.taxKind() || !r.isOf(f.c.To) {
			continue
		}
		rate := r.rate.rat()
		if least == nil {
			least = rate
		}
		least, most = lesser(least, rate), greater(most, rate)
		if is == sure {
			return least, most
		}
	}
	return new(big.Rat), most
}

// feeFloor is the least that is asked for clearing a parcel of which something is due, or may not
// be.
func (f *floors) feeFloor(due bool) *big.Rat {
	sum := new(big.Rat)
	if given := f.work[0].Fees; given != nil {
		for _, fee := range given {
			if due {
				sum = plus(sum, big.NewRat(fee.Amount.Minor(), 1))
			}
		}
		return sum
	}
	var name string // of the last fee, and the least of those of that name; it counts once one surely applies
	var least *big.Rat
	certain := false
	for i := range f.rules.fees {
		v := &f.rules.fees[i]
		if v.name != name {
			name, least, certain = v.name, nil, false
		}
		is, amount := f.may(&v.when), new(big.Rat)
		if is == no || certain {
			continue
		}
		asked := v.charged.asked(due, false)
		if asked {
			amount = v.leastSum()
		}
		if least == nil || amount.Cmp(least) < 0 {
			least = amount
		}
		if certain = is == sure && asked; certain {
			sum = plus(sum, least)
		}
	}
	return sum
}

// addPercentFees adds what fees ask of the value, where one is surely asked, by itself, and is
// below its most for all lines together.
func (f *floors) addPercentFees(x *linear, due bool, onGoods linear, values []*valueRule) {
	for i := range f.rules.fees {
		v := &f.rules.fees[i]
		alone := !slices.ContainsFunc(f.rules.fees[:i], func(o fee) bool { return o.name == v.name && f.may(&o.when) != no })
		if !alone || f.work[0].Fees != nil || !v.charged.asked(due, false) || f.may(&v.when) != sure || v.of&(partValue|partGoods) == 0 || v.least > v.amount || v.each {
			continue
		}
		base := f.nothing()
		for j, l := range f.lines {
			base.each[j] = big.NewRat(l.goods, 1)
			if v.of&partValue != 0 {
				base.each[j] = f.valueOf(l, values, true)
			}
		}
		for k, in := range carriedIn(v.of, whole.rat(), values) {
			for j := range base.share[k] {
				base.share[k][j] = in
			}
		}
		if v.of&partDuty != 0 {
			base.add(onGoods, whole)
		}
		asked := f.nothing()
		asked.add(base, v.percent)
		asked.fixed = minus(asked.fixed, big.NewRat(1, 2)) // its rounding
		if v.most != 0 {
			f.capped(&asked, v)
		}
		x.add(asked, whole)
	}
}

// capped holds what a percentage asks below the most of its fee: where the goods, and so much of
// each unit of the freight, come to no more than some price, it is below that, and beyond it is no
// less than there.
func (f *floors) capped(x *linear, v *fee) {
	most := big.NewRat(v.most-v.amount, 1)
	left := minus(most, greater(x.fixed, new(big.Rat)))
	for _, head := range x.heads {
		left = minus(left, greater(head, new(big.Rat)))
	}
	highest := new(big.Rat)
	for i, l := range f.lines {
		if l.goods > 0 {
			highest = greater(highest, quo(x.each[i], big.NewRat(l.goods, 1)))
		} else if x.each[i].Sign() > 0 {
			*x = f.nothing()
			return
		}
	}
	share := slices.MaxFunc(slices.Concat(x.share[0], x.share[1]), (*big.Rat).Cmp)
	at := plus(times(highest, big.NewRat(min(f.hi, f.total), 1)), times(share, big.NewRat(f.carriage, 1)))
	if at.Cmp(left) <= 0 {
		return // however much the freight may be
	}
	x.share[1] = f.nothing().share[1]
	if highest.Sign() == 0 {
		*x = f.nothing()
		return
	}
	fixed, rate := f.byPrice(*x)
	counted := quo(slices.MaxFunc(x.share[0], (*big.Rat).Cmp), highest)
	if counted.Sign() > 0 {
		rate = lesser(rate, quo(slices.MinFunc(x.share[0], (*big.Rat).Cmp), counted))
	}
	price := max(0, min(wholeOf(quo(left, highest))-1, f.hi-1)) // a unit may be lost on the way to home
	other := func(g gate) bool { return g.of != nil && g.of != any(v) && g.counted.Cmp(counted) != 0 }
	switch {
	case price <= f.lo || slices.Contains(f.passed, any(v)):
		*x = f.nothing()
		x.fixed = lesser(plus(fixed, times(rate, big.NewRat(price, 1))), most)
	case price > f.at && !slices.ContainsFunc(f.gates, other):
		f.gates = append(f.gates, gate{v, price, counted})
	default:
		*x = f.nothing()
	}
}

// addTaxOn adds the taxes on the fees of the rules, where no relief may take them away.
func (f *floors) addTaxOn(x *linear, fees linear) {
	relief := func(v relief) bool { return v.of&taxKind != 0 && f.may(&v.when) != no }
	if f.work[0].Fees != nil || slices.ContainsFunc(f.rules.relief, relief) || slices.ContainsFunc(f.rules.fees, func(v fee) bool { return v.taxed.den != 0 }) {
		return
	}
	for i := range f.rules.taxes {
		t := &f.rules.taxes[i]
		if t.base&partHandling == 0 {
			continue
		}
		rate, _ := f.taxRateFloor(f.lines[0], t)
		for _, l := range f.lines {
			least, _ := f.taxRateFloor(l, t)
			rate = lesser(rate, least)
		}
		x.addTimes(fees, rate)
	}
}

// leastSum is the least that the fee comes to.
func (v *fee) leastSum() *big.Rat {
	sum := v.least
	if !v.each {
		sum = max(sum, v.amount)
	}
	if v.most != 0 {
		sum = min(sum, v.most)
	}
	return big.NewRat(sum, 1)
}

func (l *lineWork) taxKind() string {
	if l.class != nil {
		return l.class.kind
	}
	return "standard"
}

func (r ratio) rat() *big.Rat {
	if r.den == 0 {
		return new(big.Rat)
	}
	return new(big.Rat).SetFrac(new(big.Int).SetUint64(r.num), new(big.Int).SetUint64(r.den))
}

func plus(a, b *big.Rat) *big.Rat  { return new(big.Rat).Add(a, b) }
func minus(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func times(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
func quo(a, b *big.Rat) *big.Rat   { return new(big.Rat).Quo(a, b) }

func greater(a, b *big.Rat) *big.Rat {
	if b.Cmp(a) > 0 {
		return b
	}
	return a
}
