package customs

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/floor"
)

// mostFloors bounds how finely prices are distinguished.
const mostFloors = 6

// Floors implements [planning.Border].
func (m *meter) Floors(most int64) []floor.Floor {
	m.prepare()
	f := &floors{assessor: m.assessor, carriage: most, within: math.MaxInt64}
	f.describe()
	if len(f.lines) == 0 {
		return nil
	}
	return merged(f.between(f.ends()))
}

// Divisible implements [planning.Border].
func (m *meter) Divisible() bool {
	m.prepare()
	f := &floors{assessor: m.assessor, carriage: math.MaxInt64, lo: -1, hi: math.MaxInt64, within: math.MaxInt64}
	f.describe()
	return len(f.lines) == 0 || !m.rules.anyBound(func(b *bound) bool {
		lo, hi := f.measures(&b.limit)
		same := hi != nil && hi.Cmp(lo) == 0
		return b.over != overParcel && !same && f.exceed(&b.limit) == maybe
	})
}

// floors finds what parcels are charged at least.
type floors struct {
	*assessor
	lines    []*lineWork
	headings []heading
	seller   int64 // the least that all lines of one seller cost together
	total    int64
	dearest  int64
	carriage int64 // the most that a parcel's freight, insurance and fees come to
	lo, hi   int64 // the parcels looked at have goods above lo and up to hi
	within   int64 // with all that is in their value they come to no more
	waived   bool  // their duty is too little to be collected
	gates    []gate
	passed   []any // the rules whose gates they are beyond
	at       int64 // the price of the last of them
}

// gate is where a rule turns: what is due is enough to be collected, or a fee is the most that it
// may be. It lies at a price of the goods with so much of each unit of the freight.
type gate struct {
	of      any // the rule
	price   int64
	counted *big.Rat
}

// heading is a group of lines whose duties, and their bases, are rounded together.
type heading struct {
	of    []bool // by line
	lines int
	only  int // the last of them
}

// mostHeadings is of how many headings of several lines it is told what each asks: of more the
// lines are taken to be rounded apart.
const mostHeadings = 8

// linear is a sum that grows with the lines and the carriage.
type linear struct {
	fixed *big.Rat
	each  []*big.Rat
	share [2][]*big.Rat // by line: of each unit of what is in carried, if it falls to the line
	heads []*big.Rat    // by heading, once for all its lines
}

// carried are what a parcel's carriage consists of, as rules tell it apart: what services ask, and
// what others do.
var carried = [2][]parts{{partFreight, partInsurance}, {partFees}}

func (f *floors) describe() {
	of := map[string]int64{}
	for i := range f.work {
		w := &f.work[i]
		f.dearest = max(f.dearest, w.piece)
		for j := range w.lines {
			l := &w.lines[j]
			l.at = len(f.lines)
			f.lines = append(f.lines, l)
			f.total += l.goods
			of[w.Seller] += l.goods
		}
	}
	f.seller = f.total
	f.describeHeadings()
	for _, goods := range of {
		f.seller = min(f.seller, goods)
	}
}

// describeHeadings sorts the lines by their goods.
func (f *floors) describeHeadings() {
	at, several := map[[2]string]int{}, 0
	for i, l := range f.lines {
		key := f.goods(l)
		n, known := at[key]
		if !known {
			n = len(f.headings)
			at[key], f.headings = n, append(f.headings, heading{of: make([]bool, len(f.lines))})
		}
		h := &f.headings[n]
		h.of[i], h.only, h.lines = true, i, h.lines+1
		if h.lines == 2 {
			several++
		}
	}
	if several <= mostHeadings {
		return
	}
	f.headings = nil
	for i := range f.lines {
		h := heading{of: make([]bool, len(f.lines)), lines: 1, only: i}
		h.of[i] = true
		f.headings = append(f.headings, h)
	}
}

// least returns the least of something over the lines.
func (f *floors) least(of func(*lineWork) int64) int64 {
	least := of(f.lines[0])
	for _, l := range f.lines {
		least = min(least, of(l))
	}
	return least
}

// ends returns the prices of goods at which a rule begins or ends, and those from which on it may
// for all the carriage that is in the value.
func (f *floors) ends() []int64 {
	var ends []int64
	for _, list := range f.rules.bounds {
		for _, l := range list {
			if l.over != overParcel || l.of != ofGoods && l.of != ofValue || !f.concerned(&l.when) {
				continue
			}
			for i := range f.rules.value {
				v := &f.rules.value[i]
				at := l.turn(v)
				ends = append(ends, at)
				if more := f.mostExtras(&l.limit, v.holds); l.of == ofValue && more > 0 && more < at {
					ends = append(ends, at-more)
				}
			}
		}
	}
	return ends
}

// between makes the floors of the prices between some ends.
func (f *floors) between(ends []int64) []floor.Floor {
	first := f.least(func(l *lineWork) int64 { return l.goods })
	ends = slices.DeleteFunc(ends, func(at int64) bool { return at < first || at >= f.total })
	slices.Sort(ends)
	var list []floor.Floor
	f.lo = -1
	for _, f.hi = range append(slices.Compact(ends), f.total) {
		for _, f.waived = range []bool{true, false} {
			if !f.waived {
				list = f.surely(list)
			}
			list = f.pieces(list)
		}
		f.lo = f.hi
	}
	return list
}

// surely adds the floors of the parcels looked at that are within a bound with their freight, where
// others are beyond it by theirs alone, and may be asked less.
func (f *floors) surely(list []floor.Floor) []floor.Floor {
	values, hi := f.values(), f.hi
	if len(values) != 1 || values[0].holds&(partFreight|partInsurance) == 0 || values[0].holds&partFees != 0 {
		return list
	}
	beside := int64(0)
	for _, l := range f.lines {
		beside += f.extras(l, values[0].holds)
	}
	var bounds []int64
	for _, of := range f.rules.bounds {
		for _, l := range of {
			if at := l.turn(values[0]); l.of == ofValue && l.over == overParcel && at-beside > f.lo && f.concerned(&l.when) && f.exceed(&l.limit) == maybe {
				bounds = append(bounds, at)
			}
		}
	}
	slices.Sort(bounds)
	for _, f.within = range slices.Compact(bounds) {
		if slices.ContainsFunc(list, func(o floor.Floor) bool { return o.Surely && o.UpTo == f.within-beside }) {
			continue
		}
		f.passed, f.at, f.hi = nil, f.lo, min(f.total, f.within-beside)
		f.gates = []gate{{nil, f.hi, new(big.Rat)}}
		if next, ok := f.charged(); ok && len(f.gates) == 1 {
			next.UpTo, next.Counted, next.Surely = f.within-beside, whole.rat(), true
			list = append(list, next)
		}
	}
	f.within, f.hi = math.MaxInt64, hi
	return list
}

// pieces adds the floors of the parcels looked at, from gate to gate.
func (f *floors) pieces(list []floor.Floor) []floor.Floor {
	f.passed, f.at = nil, f.lo
	for f.at < f.hi {
		f.gates = []gate{{nil, f.hi, new(big.Rat)}}
		next, ok := f.charged()
		if !ok {
			break
		}
		end := slices.MinFunc(f.gates, func(a, b gate) int { return cmp.Compare(a.price, b.price) })
		next.UpTo, next.Counted = end.price, end.counted
		list = append(list, next)
		f.passed, f.at = append(f.passed, end.of), end.price
	}
	return list
}

// levy is a sum with what it asks of headings of several lines, and once of others.
func (f *floors) levy(x linear, once floor.Head) floor.Levy {
	heads := []floor.Head{once}
	for n, h := range f.headings {
		if h.lines > 1 {
			heads = append(heads, floor.Head{Of: h.of, Sum: x.heads[n]})
		}
	}
	return floor.Levy{Fixed: x.fixed, OnFees: slices.MinFunc(x.share[1], (*big.Rat).Cmp), Each: x.each, Share: x.share[0], Heads: heads}
}

// merged joins neighbours that say the same, and then the first ones until there are few: where
// the latter is for all parcels that the former is for. Before these those go that are surely
// within a bound.
func merged(list []floor.Floor) []floor.Floor {
	surely := func(f floor.Floor) bool { return f.Surely }
	joins := func(i int) bool { return !list[i+1].Surely && (list[i].Owing != nil || list[i+1].Owing == nil) }
	for i := 0; i+1 < len(list); {
		if a, b := linearOf(&list[i]), linearOf(&list[i+1]); joins(i) && a.equal(&b) && slices.EqualFunc(list[i].Heads, list[i+1].Heads, sameLots) {
			list, i = slices.Delete(list, i, i+1), max(0, i-1)
		} else {
			i++
		}
	}
	for i := 0; len(list) > mostFloors; {
		if n := slices.IndexFunc(list, surely); n >= 0 {
			list = slices.Delete(list, n, n+1)
			continue
		}
		if !joins(i) {
			i++
			continue
		}
		a, next := linearOf(&list[i]), &list[i+1]
		a.lower(linearOf(next))
		next.Fixed, next.Each, next.Share, next.OnFees = a.fixed, a.each, a.share[0], a.share[1][0]
		for n, h := range list[i].Heads {
			next.Heads[n].Sum = a.heads[n]
			for line, of := range h.Of { // of all lines but where it is above nothing
				next.Heads[n].Of[line] = of && next.Heads[n].Of[line]
			}
		}
		list = slices.Delete(list, i, i+1)
	}
	return list
}

func sameLots(a, b floor.Head) bool { return slices.Equal(a.Of, b.Of) }

func linearOf(f *floor.Floor) linear {
	x := linear{fixed: f.Fixed, each: f.Each, share: [2][]*big.Rat{f.Share, {f.OnFees}}}
	for _, h := range f.Heads {
		x.heads = append(x.heads, h.Sum)
	}
	return x
}

// parts are all that a sum is made of but what is fixed.
func (x *linear) parts() [4][]*big.Rat {
	return [4][]*big.Rat{x.each, x.share[0], x.share[1], x.heads}
}

func (x *linear) equal(y *linear) bool {
	same := func(a, b *big.Rat) bool { return a.Cmp(b) == 0 }
	others := y.parts()
	for k, list := range x.parts() {
		if !slices.EqualFunc(list, others[k], same) {
			return false
		}
	}
	return same(x.fixed, y.fixed)
}

// lower takes the lesser of two in all they are made of.
func (x *linear) lower(y linear) {
	x.fixed = lesser(x.fixed, y.fixed)
	others := y.parts()
	for k, list := range x.parts() {
		for i := range list {
			list[i] = lesser(list[i], others[k][i])
		}
	}
}

// lowest returns the lesser of several in all they are made of.
func (f *floors) lowest(options []linear) linear {
	out := f.nothing()
	out.add(options[0], whole)
	for _, o := range options[1:] {
		out.lower(o)
	}
	return out
}

func lesser(a, b *big.Rat) *big.Rat {
	if b.Cmp(a) < 0 {
		return b
	}
	return a
}

func (f *floors) nothing() linear {
	zeros := func(n int) []*big.Rat {
		list := make([]*big.Rat, n)
		for i := range list {
			list[i] = new(big.Rat)
		}
		return list
	}
	n := len(f.lines)
	return linear{new(big.Rat), zeros(n), [2][]*big.Rat{zeros(n), zeros(n)}, zeros(len(f.headings))}
}

// charged is what the parcels looked at are charged at least, one that holds a line of which
// something is surely due once more; false where they are those of which duty is waived, and none
// is.
func (f *floors) charged() (out floor.Floor, ok bool) {
	values := f.values()
	onGoods := f.dutyFloor(values)
	enough := f.uncollected(onGoods)
	switch {
	case f.waived && enough == nil:
		return out, false
	case f.waived:
		onGoods.fixed = minus(onGoods.fixed, enough)
		f.toLines(&onGoods)
		owing := f.levy(onGoods, floor.Head{Of: make([]bool, len(f.lines)), Sum: new(big.Rat)})
		out.Owing, onGoods = &owing, f.nothing()
	}
	onImport := f.taxFloor(values, onGoods)
	f.collected(&onImport, onImport, taxKind)
	both := f.nothing()
	both.add(onGoods, whole)
	both.add(onImport, whole)
	f.toLines(&both)
	lowered := f.collected(&both, both, bothKinds)
	due := !f.waived && enough != nil || f.sureOf(both).Sign() > 0 || !lowered && slices.ContainsFunc(f.passed, func(of any) bool { _, is := of.(*least); return is })
	sum, once := f.withFees(both, onGoods, due, values), floor.Head{Of: make([]bool, len(f.lines)), Sum: new(big.Rat)}
	for i := range once.Of {
		once.Of[i] = !due && plus(f.fixedWith(both, i), both.each[i]).Sign() > 0
	}
	if slices.Contains(once.Of, true) {
		once.Sum = minus(f.withFees(both, onGoods, true, values).fixed, sum.fixed)
	}
	out.Levy = f.levy(sum, once)
	return out, true
}

// toLines gives what is asked of a heading of one line to the line. A line that costs less than
// nothing may be in any parcel.
func (f *floors) toLines(x *linear) {
	for n, h := range f.headings {
		if h.lines == 1 {
			x.each[h.only], x.heads[n] = plus(x.each[h.only], x.heads[n]), new(big.Rat)
		}
	}
	for i, each := range x.each {
		if each.Sign() < 0 {
			x.fixed, x.each[i] = plus(x.fixed, each), new(big.Rat)
		}
	}
}

// uncollected is how much duty is at most too little to be collected of the parcels looked at; nil
// where all is.
func (f *floors) uncollected(onGoods linear) (enough *big.Rat) {
	for i := range f.rules.collect {
		v := &f.rules.collect[i]
		at := big.NewRat(v.at, 1)
		if v.of == duty && f.may(&v.when) != no && !onGoods.nothing() && f.sureOf(onGoods).Cmp(at) < 0 && (enough == nil || at.Cmp(enough) > 0) {
			enough = at
		}
	}
	return enough
}

// withFees is a sum of duty and tax, of which so much is duty, with the fees that go with it, and
// the tax on them.
func (f *floors) withFees(both, onGoods linear, due bool, values []*valueRule) linear {
	sum, fees := f.nothing(), f.nothing()
	fees.fixed = f.feeFloor(due)
	f.addPercentFees(&fees, due, onGoods, values)
	sum.add(both, whole)
	sum.add(fees, whole)
	f.addTaxOn(&sum, fees)
	return sum
}

// fixedWith is what a sum asks at least of a parcel with a line, beside its lines.
func (f *floors) fixedWith(x linear, line int) *big.Rat {
	sum := x.fixed
	for n, h := range f.headings {
		if h.of[line] || x.heads[n].Sign() < 0 {
			sum = plus(sum, x.heads[n])
		}
	}
	return sum
}

// nothing reports whether a sum is surely no more than nothing, whatever is in a parcel.
func (x *linear) nothing() bool {
	for _, list := range x.parts() {
		if slices.ContainsFunc(list, func(r *big.Rat) bool { return r.Sign() > 0 }) {
			return false
		}
	}
	return x.fixed.Sign() <= 0
}

// add adds so much of another sum.
func (x *linear) add(y linear, of ratio) { x.addTimes(y, of.rat()) }

// addTimes adds another sum so many times.
func (x *linear) addTimes(y linear, r *big.Rat) {
	x.fixed = plus(x.fixed, times(y.fixed, r))
	others := y.parts()
	for k, list := range x.parts() {
		for i := range list {
			list[i] = plus(list[i], times(others[k][i], r))
		}
	}
}

// sureOf is what a sum comes to at least for the cheapest of the parcels looked at.
func (f *floors) sureOf(x linear) *big.Rat {
	fixed, rate := f.byPrice(x)
	return plus(fixed, times(rate, big.NewRat(f.cheapest(), 1)))
}

// byPrice is what a sum without its freight comes to at least by the price of the goods: an amount,
// and so much of each unit of the price.
func (f *floors) byPrice(x linear) (fixed, rate *big.Rat) {
	fixed = f.fixedWith(x, 0)
	for i := range f.lines {
		fixed = lesser(fixed, f.fixedWith(x, i))
	}
	for i, l := range f.lines {
		each := new(big.Rat)
		if x.each[i].Sign() < 0 {
			fixed = plus(fixed, x.each[i])
		} else if l.goods > 0 {
			each.Quo(x.each[i], big.NewRat(l.goods, 1))
		}
		if rate == nil || each.Cmp(rate) < 0 {
			rate = each
		}
	}
	return fixed, rate
}

// cheapest is the lowest price of goods of the parcels looked at.
func (f *floors) cheapest() int64 {
	return max(f.lo+1, f.least(func(l *lineWork) int64 { return l.goods }))
}

// collected lowers a sum where what is of some kinds may be too little to be collected. From where
// on it is enough is noted. It reports whether it was lowered.
func (f *floors) collected(x *linear, judged linear, known kinds) (lowered bool) {
	for i := range f.rules.collect {
		v := &f.rules.collect[i]
		if v.of != known || f.may(&v.when) == no || judged.nothing() || slices.Contains(f.passed, any(v)) {
			continue
		}
		at := big.NewRat(v.at, 1)
		if f.sureOf(judged).Cmp(at) >= 0 {
			continue
		}
		f.addGate(v, judged)
		x.fixed, lowered = minus(x.fixed, at), true
	}
	return lowered
}

// addGate notes from where on a sum is enough, where a price inside the bounds tells.
func (f *floors) addGate(v *least, judged linear) {
	fixed, rate := f.byPrice(judged)
	if rate.Sign() <= 0 {
		return
	}
	price := wholeOf(quo(minus(big.NewRat(v.at, 1), fixed), rate)) + 1
	if price = max(price, f.at+1); price < f.hi {
		f.gates = append(f.gates, gate{v, price, quo(slices.MinFunc(judged.share[0], (*big.Rat).Cmp), rate)})
	}
}

// wholeOf is a number rounded down, kept where one more or less still is a price.
func wholeOf(x *big.Rat) int64 {
	whole, _ := exact.Floor(x)
	return max(math.MinInt64+1, min(whole, math.MaxInt64-1))
}
