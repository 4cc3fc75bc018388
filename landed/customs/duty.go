package customs

import (
	"cmp"
	"math/big"
	"slices"
	"strings"

	"lotcost/landed/money"
)

// group is the lines that one duty is made and rounded on.
type group struct {
	groupKey
	head   *lineWork // speaks for the group
	sum    int64     // of what is left to charge
	weight uint64    // nanograms
	count  uint64
	base   int64 // rounded
	duty   int64
}

// groupKey is what the lines of a group have in common. It is comparable.
type groupKey struct {
	line            int // of a group of one
	heading, origin string
	rate            dutyRate
	ofClass         ratio  // the class's own surcharge
	surcharges      uint64 // bit set of the rules' that apply
	total           uint64 // all fractions together
	flat            bool   // one rate for all goods
}

// scaleOfDuty is the denominator in which rates of every kind meet: a fraction
// over 10^9, and 10^-7 minor units per 10^12 nanograms.
const scaleOfDuty = 1e19

const (
	fractionScale = scaleOfDuty / perUnit
	pieceScale    = scaleOfDuty / 1e7 // minor units times 10^7 a piece
)

// duty makes the duty of a parcel and gives each line its part.
func (a *assessor) duty(w *parcelWork) error {
	rule := &a.rules.duty.list[0]
	y := first(a, w, rule.ways, func(y *way) *when { return &y.when })
	switch y.by {
	case byNothing:
		return nil
	case perHeading:
		a.flatByHeading(w, y)
		return nil
	case perParcel:
		return a.flatForParcel(w, y)
	}
	if err := a.group(w, rule, y); err != nil {
		return err
	}
	a.bases(w, &rule.base)
	a.mainDuty(w, rule, y)
	a.classSurcharge(w, rule)
	for i := range rule.surcharges {
		a.surcharge(w, rule, i)
	}
	return nil
}

// group sorts the lines into groups.
func (a *assessor) group(w *parcelWork, rule *dutyRule, y *way) error {
	w.groups = w.groups[:0]
	for j := range w.lines {
		l := &w.lines[j]
		if l.group = -1; l.pieces[onDuty] == 0 {
			continue
		}
		key, err := a.key(w, l, rule, y)
		if err != nil {
			return err
		}
		switch rule.base.over {
		case byLine:
			key.line = j
		case byHeading:
			key.heading, key.origin = l.heading(), a.origin(l)
		}
		l.group = slices.IndexFunc(w.groups, func(g group) bool { return g.groupKey == key })
		if l.group < 0 {
			l.group = len(w.groups)
			w.groups = append(w.groups, group{groupKey: key, head: l})
		}
		g := &w.groups[l.group]
		weight := uint64(a.scaled(int64(l.Weight), l, onDuty))
		if g.weight+weight < weight {
			a.overflow = true
		}
		g.sum, g.weight, g.count = g.sum+l.left[onDuty], g.weight+weight, g.count+uint64(l.pieces[onDuty])
	}
	return nil
}

// key finds the rates of a line.
func (a *assessor) key(w *parcelWork, l *lineWork, rule *dutyRule, y *way) (groupKey, error) {
	if y.by == byOrigin {
		r, err := a.originRate(w, l)
		return groupKey{rate: dutyRate{fraction: r.num}}, err
	}
	flat := groupKey{flat: true, rate: dutyRate{fraction: y.rate.num}}
	known := l.class != nil && l.class.known
	if y.by == byOneRate && !known {
		return flat, nil
	}
	var key groupKey
	origin := a.origin(l)
	if y.by != bySurcharge {
		if !known {
			return key, a.noRate(w, l, "")
		}
		key.rate = l.class.duty
		key.ofClass = l.class.surOf[origin]
		key.total = key.rate.fraction + key.ofClass.num
	}
	for i := range rule.surcharges {
		s := &rule.surcharges[i]
		if s.makers.hold(origin) && a.applies(&s.when, w) {
			key.surcharges |= 1 << i
			key.total += s.rate.num
		}
	}
	free := key.total == 0 && !key.rate.specific()
	if y.by == byOneRate && !free && !(y.lower && a.ownIsLess(l, &key, y.rate)) {
		return flat, nil
	}
	return key, nil
}

// ownIsLess reports whether a line bears less at its own rates than at one rate
// for all goods.
func (a *assessor) ownIsLess(l *lineWork, key *groupKey, rate ratio) bool {
	one := group{groupKey: *key, base: l.left[onDuty], weight: uint64(a.scaled(int64(l.Weight), l, onDuty)), count: uint64(l.pieces[onDuty])}
	own := a.plus(a.numerator(&one), a.times(mul(uint64(one.base), key.total-key.rate.fraction), fractionScale))
	return own.cmp(a.times(mul(uint64(one.base), rate.num), fractionScale)) < 0
}

func (a *assessor) originRate(w *parcelWork, l *lineWork) (ratio, error) {
	origin := a.origin(l)
	if l.class == nil {
		return ratio{}, a.noRate(w, l, origin)
	}
	r, ok := l.class.surOf[origin]
	if !ok {
		return ratio{}, a.noRate(w, l, origin)
	}
	return r, nil
}

func (a *assessor) noRate(w *parcelWork, l *lineWork, origin string) error {
	return &NoRateError{w.ID, l.ID, l.Class, a.c.Classes[l.Class].Code, origin, a.rules.Tariff}
}

func (a *assessor) origin(l *lineWork) string { return orElse(l.Origin, a.c.From) }

// heading is what tells the headings of the tariff apart: the code, or the
// class where it has none, or the line where it has no class either.
func (l *lineWork) heading() string {
	if l.class == nil {
		return "line " + l.ID
	}
	return l.class.heading
}

// bases rounds what the duty is on.
func (a *assessor) bases(w *parcelWork, r *rounding) {
	part := w.value.part
	total := u128{}
	for i := range w.groups {
		g := &w.groups[i]
		exact := mul(uint64(g.sum), part.num)
		total = a.plus(total, exact)
		g.base = a.round(exact, part.den, *r)
	}
	if r.keep {
		keepTotal(w, a.round(total, part.den, *r), r.step)
	}
}

// keepTotal moves groups by a step until their bases sum to the rounded total:
// where too much was taken up, the lowest of the fractions taken up are dropped;
// where too little, the largest of those dropped are taken up; of two equal
// ones, first the one at the lower rate (19 CFR 159.3(a)). The rules take the
// whole of the price here, so the sum of a group is its base before rounding.
func keepTotal(w *parcelWork, total, step int64) {
	for i := range w.groups {
		total -= w.groups[i].base
	}
	for ; total < 0; total += step {
		best := -1
		for i := range w.groups {
			if g := &w.groups[i]; g.base > g.sum && (best < 0 || before(g, &w.groups[best], -1)) {
				best = i
			}
		}
		if best < 0 {
			return
		}
		w.groups[best].base -= step
	}
	for ; total > 0; total -= step {
		best := -1
		for i := range w.groups {
			if g := &w.groups[i]; g.base < g.sum && (best < 0 || before(g, &w.groups[best], 1)) {
				best = i
			}
		}
		if best < 0 {
			return
		}
		w.groups[best].base += step
	}
}

// before reports whether g is moved before o, when fractions are dropped (-1)
// or taken up (1). Where the law is silent, rates that are equal in all but how
// they are made up stand in an order of their own, so that the order of the
// lines does not matter.
func before(g, o *group, up int64) bool {
	gap, other := (g.sum-g.base)*up, (o.sum-o.base)*up
	if gap != other {
		return gap > other
	}
	return cmp.Or(
		cmp.Compare(g.total, o.total), cmp.Compare(g.rate.fraction, o.rate.fraction),
		cmp.Compare(g.rate.perKilogram, o.rate.perKilogram), cmp.Compare(g.rate.perPiece, o.rate.perPiece),
		cmp.Compare(g.ofClass.num, o.ofClass.num), cmp.Compare(g.surcharges, o.surcharges),
	) < 0
}

// part is one duty of those that stack: what it is of each group, exactly, over
// scaleOfDuty; how its lines share it; and what is said of it.
type part struct {
	numerator func(*group) u128
	share     func(at int, sum int64)
	said      func(*group, int64)
}

// component makes one duty on every group, rounds it and gives each line its
// part.
func (a *assessor) component(w *parcelWork, r *rounding, p part) {
	a.parts = resized(a.parts, len(w.groups))
	parts := a.parts
	if r.over == byParcel {
		a.roundTogether(w, r, p.numerator, parts)
	} else {
		for i := range w.groups {
			parts[i] = a.round(p.numerator(&w.groups[i]), scaleOfDuty, *r)
		}
	}
	for i := range w.groups {
		w.groups[i].duty += parts[i]
		w.duty += parts[i]
		a.overflow = a.overflow || w.duty > maxMoney
		p.share(i, parts[i])
		p.said(&w.groups[i], parts[i])
	}
}

// roundTogether rounds the sum of all groups once and shares it.
func (a *assessor) roundTogether(w *parcelWork, r *rounding, numerator func(*group) u128, parts []int64) {
	sum := u128{}
	weights := make([]*big.Int, len(w.groups))
	for i := range w.groups {
		n := numerator(&w.groups[i])
		sum, weights[i] = a.plus(sum, n), n.big()
	}
	if total := a.round(sum, scaleOfDuty, *r); total != 0 {
		a.overflow = money.ApportionBig(parts, total, weights) != nil || a.overflow
	}
}

func inGroup(at int) func(*lineWork) bool { return func(l *lineWork) bool { return l.group == at } }

func dutiable(l *lineWork) int64 { return l.left[onDuty] }

func addDuty(l *lineWork, sum int64) { l.duty += sum }

// byValue gives the lines of a group their part of a duty by value.
func (a *assessor) byValue(w *parcelWork, at int, total int64) {
	a.share(w, total, inGroup(at), dutiable, addDuty)
}

// asBorne gives the lines of a group their part of its duty by what each alone
// would bear, where that goes by weight or piece too.
func (a *assessor) asBorne(w *parcelWork, at int, total int64) {
	g := &w.groups[at]
	weights := make([]*big.Int, len(w.lines))
	for j := range w.lines {
		l := &w.lines[j]
		weights[j] = new(big.Int)
		if l.group == at {
			one := group{groupKey: g.groupKey, base: l.left[onDuty], weight: uint64(a.scaled(int64(l.Weight), l, onDuty)), count: uint64(l.pieces[onDuty])}
			weights[j] = a.numerator(&one).big()
		}
	}
	dst := make([]int64, len(w.lines))
	if money.ApportionBig(dst, total, weights) != nil {
		a.overflow = true
		return
	}
	for j := range w.lines {
		w.lines[j].duty += dst[j]
	}
}

// numerator is the duty of a group at its own rate, over scaleOfDuty.
func (a *assessor) numerator(g *group) u128 {
	sum := a.times(mul(uint64(g.base), g.rate.fraction), fractionScale)
	if g.rate.specific() {
		sum = a.plus(sum, mul(g.weight, g.rate.perKilogram))
		sum = a.plus(sum, a.times(mul(g.count, g.rate.perPiece), pieceScale))
	}
	return sum
}

func (a *assessor) mainDuty(w *parcelWork, rule *dutyRule, y *way) {
	if y.by == bySurcharge {
		return
	}
	a.component(w, &rule.amount, part{
		numerator: a.numerator,
		share: func(at int, sum int64) {
			if sum != 0 && w.groups[at].rate.specific() {
				a.asBorne(w, at, sum)
			} else {
				a.byValue(w, at, sum)
			}
		},
		said: func(g *group, sum int64) { a.sayDuty(w, g, y, sum) },
	})
}

func (a *assessor) sayDuty(w *parcelWork, g *group, y *way, sum int64) {
	c, rule := y.cite, "duty by the rate for the class, "+g.head.Class
	switch {
	case y.by == byOrigin:
		rule = "duty by the rate for the country of making, " + a.origin(g.head)
	case g.flat:
		rule = "one rate for all goods"
	}
	if !g.flat {
		c = cite{source: "given with the class", confidence: Given}
		if code := a.c.Classes[g.head.Class].Code; code != "" {
			c.source += ", tariff code " + code
		}
	}
	a.say(w, "duty", "duty on "+a.named(g), a.rateFigure(g), rule, c, sum)
}

// named names the goods of a group by the class, or the line, that leads it.
func (a *assessor) named(g *group) string { return orElse(g.head.Class, g.head.ID) }

// rateFigure says a rate and what it is on.
func (a *assessor) rateFigure(g *group) string {
	var b strings.Builder
	plus := func(s string) {
		if b.Len() > 0 {
			b.WriteString(" + ")
		}
		b.WriteString(s)
	}
	if g.rate.fraction != 0 || !g.rate.specific() {
		plus(ratio{g.rate.fraction, perUnit}.String() + " of " + a.amount(g.base).String())
	}
	duty := a.c.Classes[g.head.Class].Duty
	if g.rate.perKilogram != 0 {
		plus(duty.PerKilogram.String() + " " + a.rules.Currency.Code() + " per kg")
	}
	if g.rate.perPiece != 0 {
		plus(duty.PerPiece.String() + " " + a.rules.Currency.Code() + " per piece")
	}
	return b.String()
}

// classSurcharge charges what classes say of goods from some countries.
func (a *assessor) classSurcharge(w *parcelWork, rule *dutyRule) {
	if !slices.ContainsFunc(w.groups, func(g group) bool { return g.ofClass.num != 0 }) {
		return
	}
	a.component(w, &rule.amount, part{
		numerator: func(g *group) u128 { return a.times(mul(uint64(g.base), g.ofClass.num), fractionScale) },
		share:     func(at int, sum int64) { a.byValue(w, at, sum) },
		said: func(g *group, sum int64) {
			if g.ofClass.num != 0 {
				a.say(w, "duty", "surcharge on "+a.named(g), g.ofClass.String()+" of "+a.amount(g.base).String(), "surcharge for the country of making, "+a.origin(g.head), cite{source: "given with the class", confidence: Given}, sum)
			}
		},
	})
}

// surcharge charges one surcharge of the rules on the groups it applies to.
func (a *assessor) surcharge(w *parcelWork, rule *dutyRule, at int) {
	s := &rule.surcharges[at]
	in := func(g *group) bool { return g.surcharges&(1<<at) != 0 }
	if !slices.ContainsFunc(w.groups, func(g group) bool { return in(&g) }) {
		return
	}
	on := make([]int64, len(w.groups)) // the duty so far may be in the base
	for i := range w.groups {
		if g := &w.groups[i]; in(g) {
			on[i] = g.base
			if s.dutyPaid {
				on[i] += g.duty
			}
		}
	}
	index := func(g *group) int { return g.head.group }
	a.component(w, &rule.amount, part{
		numerator: func(g *group) u128 { return a.times(mul(uint64(on[index(g)]), s.rate.num), fractionScale) },
		share: func(at int, sum int64) {
			if s.dutyPaid {
				a.share(w, sum, inGroup(at), func(l *lineWork) int64 { return dutiable(l) + l.duty }, addDuty)
			} else {
				a.byValue(w, at, sum)
			}
		},
		said: func(g *group, sum int64) {
			if in(g) {
				a.say(w, "duty", s.name+" on "+a.named(g), s.rate.String()+" of "+a.amount(on[index(g)]).String(), "surcharge of the rules", s.cite, sum)
			}
		},
	})
}

// flatByHeading charges a sum for each distinct heading.
func (a *assessor) flatByHeading(w *parcelWork, y *way) {
	var seen []string
	for j := range w.lines {
		l := &w.lines[j]
		head := a.shortHeading(l, y.digits)
		l.group = slices.Index(seen, head)
		if l.group < 0 && l.pieces[onDuty] > 0 {
			l.group = len(seen)
			seen = append(seen, head)
		}
	}
	for i := range seen {
		a.byValue(w, i, y.amount)
	}
	sum, ok := mul(uint64(y.amount), uint64(len(seen))).round(1, 1, money.Down)
	a.overflow, w.duty = a.overflow || !ok, sum
	a.say(w, "duty", "duty", a.amount(y.amount).String()+" x "+plural(len(seen), "tariff heading"), "a sum for each tariff heading", y.cite, sum)
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return big.NewInt(int64(n)).String() + " " + word + "s"
}

// shortHeading is the leading digits of the tariff code. Goods without a code
// are a heading of their own, line by line.
func (a *assessor) shortHeading(l *lineWork, digits int) string {
	code := a.c.Classes[l.Class].Code
	if code == "" {
		return "line " + l.ID
	}
	if digits == 0 {
		return code
	}
	code = digitsOf(code)
	return code[:min(len(code), digits)]
}

// digitsOf leaves out the dots and spaces of a tariff code.
func digitsOf(code string) string {
	return strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' {
			return r
		}
		return -1
	}, code)
}

// flatForParcel charges a sum by the highest rate for the origins in a parcel.
func (a *assessor) flatForParcel(w *parcelWork, y *way) error {
	highest := ratio{0, perUnit}
	for j := range w.lines {
		if w.lines[j].pieces[onDuty] == 0 {
			continue
		}
		r, err := a.originRate(w, &w.lines[j])
		if err != nil {
			return err
		}
		if highest.less(r) {
			highest = r
		}
	}
	for i := range y.bands {
		b := &y.bands[i]
		if b.upto.den != 0 && (b.upto.less(highest) || b.strict && !highest.less(b.upto)) {
			continue
		}
		w.duty = b.amount
		a.share(w, b.amount, nil, dutiable, addDuty)
		a.say(w, "duty", "duty", "a rate of "+highest.String(), "a sum for the parcel by the highest rate for the origins in it", b.cite, b.amount)
		return nil
	}
	return nil
}
