package customs

import (
	"cmp"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed/internal/exact"
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

// ofClass is the surcharge that classes bring themselves, each its own rate.
var ofClass = surcharge{name: "surcharge", rule: rule{cite: cite{source: "given with the class", confidence: given}}}

// scaleOfDuty is the denominator in which rates of every kind meet: a fraction over 10^9, and 10^-7
// minor units per 10^12 nanograms.
const scaleOfDuty = 1e19

const (
	fractionScale = scaleOfDuty / perUnit
	pieceScale    = scaleOfDuty / 1e7 // minor units times 10^7 a piece
)

// duty makes the duty of a parcel and gives each line its part.
func (a *assessor) duty(w *parcelWork) error {
	rule := &a.rules.duty
	y := first(a, w, rule.ways)
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
	a.deduct(w, y)
	a.surcharge(w, rule, &ofClass, func(g *group) bool { return g.ofClass.num != 0 })
	for i := range rule.surcharges {
		a.surcharge(w, rule, &rule.surcharges[i], func(g *group) bool { return g.surcharges&(1<<i) != 0 })
	}
	return nil
}

// group sorts the lines into groups.
func (a *assessor) group(w *parcelWork, rule *dutyRule, y *way) error {
	w.groups = w.groups[:0]
	for j := range w.lines {
		l := &w.lines[j]
		if l.group = -1; l.pieces[duty] == 0 {
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
		one := a.alone(l, key)
		if g.weight+one.weight < one.weight {
			a.overflow = true
		}
		g.sum, g.weight, g.count = g.sum+one.base, g.weight+one.weight, g.count+one.count
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
	if y.by == byOneRate && (!known || y.free) {
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
		if s.origins.match(origin) && a.applies(&s.when, w) {
			key.surcharges |= 1 << i
			key.total += s.rate.num
		}
	}
	free := key.total == 0 && !key.rate.specific()
	switch oneRate := y.by == byOneRate && !free; {
	case oneRate && !y.lower:
		return flat, nil
	case l.Unweighed && key.rate.perKilogram != 0:
		return key, wrong(w.ID, l.ID, "weight", "not known", "write what one piece weighs, since the duty of class "+strconv.Quote(l.Class)+" is by weight")
	case oneRate && !a.ownIsLess(l, &key, y.rate):
		return flat, nil
	}
	return key, nil
}

// alone is what a line would be in a group of its own.
func (a *assessor) alone(l *lineWork, key groupKey) group {
	return group{groupKey: key, base: l.left[duty], weight: uint64(a.carried(int64(l.Weight), l.pieces[duty], l.Count)), count: uint64(l.pieces[duty])}
}

// ownIsLess reports whether a line bears less at its own rates than at one rate for all goods.
func (a *assessor) ownIsLess(l *lineWork, key *groupKey, rate ratio) bool {
	one := a.alone(l, *key)
	own := a.noted(a.numerator(&one).Plus(a.fraction(one.base, key.total-key.rate.fraction)))
	return own.Cmp(a.fraction(one.base, rate.num)) < 0
}

// fraction is such a fraction of a base, over scaleOfDuty.
func (a *assessor) fraction(base int64, fraction uint64) exact.Wide {
	return a.noted(exact.Product(uint64(base), fraction).Times(fractionScale))
}

func (a *assessor) originRate(w *parcelWork, l *lineWork) (ratio, error) {
	origin := a.origin(l)
	if l.class != nil {
		if r, ok := l.class.surOf[origin]; ok {
			return r, nil
		}
	}
	return ratio{}, a.noRate(w, l, origin)
}

func (a *assessor) origin(l *lineWork) string { return homeland(cmp.Or(l.Origin, a.c.From)) }

// heading is what tells the headings of the tariff apart: the code, or the class where it has none,
// or the line where it has no class either.
func (l *lineWork) heading() string {
	if l.class == nil {
		return "line " + l.ID
	}
	return l.class.heading
}

// bases rounds what the duty is on.
func (a *assessor) bases(w *parcelWork, r *rounding) {
	part := w.value.part
	total := exact.Wide{}
	for i := range w.groups {
		g := &w.groups[i]
		sum := part.of(g.sum)
		total = a.noted(total.Plus(sum))
		g.base = a.round(sum, part.den, *r)
	}
	if r.keep {
		keepTotal(w, a.round(total, part.den, *r), r.step)
	}
}

// keepTotal moves groups by a step until their bases sum to the rounded total: where too much was
// taken up, the lowest of the fractions taken up are dropped; where too little, the largest of
// those dropped are taken up; of two equal ones, first the one at the lower rate (19 CFR 159.3(a)).
// The rules take the whole of the price here, so the sum of a group is its base before rounding.
func keepTotal(w *parcelWork, total, step int64) {
	for i := range w.groups {
		total -= w.groups[i].base
	}
	for total != 0 {
		up := int64(cmp.Compare(total, 0))
		var best *group
		for i := range w.groups {
			if g := &w.groups[i]; (g.sum-g.base)*up > 0 && (best == nil || before(g, best, up)) {
				best = g
			}
		}
		if best == nil {
			return
		}
		best.base += up * step
		total -= up * step
	}
}

// before reports whether g is moved before o, when fractions are dropped (-1) or taken up (1).
// Where the law is silent, rates that are equal in all but how they are made up stand in an order
// of their own, so that the order of the lines does not matter.
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

// component makes one of the duties that stack on every group, of which numerator tells the exact
// sum over scaleOfDuty, and rounds it. Lines have their parts of what it returns, and it is told,
// once it is there.
func (a *assessor) component(w *parcelWork, r *rounding, numerator func(*group) exact.Wide) []int64 {
	a.parts = resized(a.parts, len(w.groups))
	if r.over == byParcel {
		a.roundTogether(w, r, numerator, a.parts)
	} else {
		for i := range w.groups {
			a.parts[i] = a.round(numerator(&w.groups[i]), scaleOfDuty, *r)
		}
	}
	for i, sum := range a.parts {
		w.groups[i].duty += sum
		w.duty += sum
		a.overflow = a.overflow || w.duty > maxMoney
	}
	return a.parts
}

// roundTogether rounds the sum of all groups once and shares it.
func (a *assessor) roundTogether(w *parcelWork, r *rounding, numerator func(*group) exact.Wide, parts []int64) {
	sum := exact.Wide{}
	weights := make([]*big.Int, len(w.groups))
	for i := range w.groups {
		n := numerator(&w.groups[i])
		sum, weights[i] = a.noted(sum.Plus(n)), n.Big()
	}
	if total := a.round(sum, scaleOfDuty, *r); total != 0 {
		a.overflow = money.ApportionBig(parts, total, weights) != nil || a.overflow
	}
}

func inGroup(at int) func(*lineWork) bool { return func(l *lineWork) bool { return l.group == at } }

func dutiable(l *lineWork) int64 { return l.left[duty] }

func addDuty(l *lineWork, sum int64) { l.duty += sum }

// byValue gives the lines of a group their part of a duty by value.
func (a *assessor) byValue(w *parcelWork, at int, total int64) {
	a.share(w, total, inGroup(at), dutiable, addDuty)
}

// asBorne gives the lines of a group their part of its duty by what each alone would bear, where
// that goes by weight or piece too.
func (a *assessor) asBorne(w *parcelWork, at int, total int64) {
	g := &w.groups[at]
	weights := make([]*big.Int, len(w.lines))
	for j := range w.lines {
		l := &w.lines[j]
		weights[j] = new(big.Int)
		if l.group == at {
			one := a.alone(l, g.groupKey)
			weights[j] = a.numerator(&one).Big()
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
func (a *assessor) numerator(g *group) exact.Wide {
	sum := a.fraction(g.base, g.rate.fraction)
	if g.rate.specific() {
		sum = a.noted(sum.Plus(exact.Product(g.weight, g.rate.perKilogram)))
		sum = a.noted(sum.Plus(a.noted(exact.Product(g.count, g.rate.perPiece).Times(pieceScale))))
	}
	return sum
}

func (a *assessor) mainDuty(w *parcelWork, rule *dutyRule, y *way) {
	if y.by == bySurcharge {
		return
	}
	for i, sum := range a.component(w, &rule.amount, a.numerator) {
		g := &w.groups[i]
		if sum != 0 && g.rate.specific() {
			a.asBorne(w, i, sum)
		} else {
			a.byValue(w, i, sum)
		}
		if a.tells {
			a.sayDuty(w, g, y, sum)
		}
	}
}

// deduct takes a fixed sum off the duty of a parcel.
func (a *assessor) deduct(w *parcelWork, y *way) {
	sum := min(y.less, w.duty)
	a.took(sum == y.less)
	if sum == 0 {
		return
	}
	a.share(w, sum, nil, func(l *lineWork) int64 { return l.duty }, func(l *lineWork, s int64) { l.duty -= s })
	before := w.duty
	if w.duty -= sum; !a.tells {
		return
	}
	text := a.amount(before).String() + " less " + a.amount(y.less).String()
	a.say(w, a.figure(y.cite, "duty", "duty", text), "a fixed sum is taken off", w.duty).AtStake = a.amount(sum)
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
		c = ofClass.cite
		switch class := a.c.Classes[g.head.Class]; {
		case class.Found != "":
			c.source = class.Found
		case class.Code != "":
			c.source += ", tariff code " + class.Code
		}
	}
	a.say(w, a.figureOn(g, c, "duty", a.rateText(g)), rule, sum)
}

// figureOn is a figure of a duty on the goods of a group, which are called by the class, or the
// line, that leads it.
func (a *assessor) figureOn(g *group, c cite, what, text string) Figure {
	return a.figure(c, "duty", what+" on "+cmp.Or(g.head.Class, g.head.ID), text)
}

// rateText says a rate and what it is on.
func (a *assessor) rateText(g *group) string {
	var parts []string
	if g.rate.fraction != 0 || !g.rate.specific() {
		parts = append(parts, ratio{g.rate.fraction, perUnit}.String()+" of "+a.amount(g.base).String())
	}
	duty := a.c.Classes[g.head.Class].Duty
	if g.rate.perKilogram != 0 {
		parts = append(parts, duty.PerKilogram.String()+" "+a.rules.Currency.Code()+" per kg")
	}
	if g.rate.perPiece != 0 {
		parts = append(parts, duty.PerPiece.String()+" "+a.rules.Currency.Code()+" per piece")
	}
	return strings.Join(parts, " + ")
}

// surcharge charges one surcharge on the groups it applies to.
func (a *assessor) surcharge(w *parcelWork, rule *dutyRule, s *surcharge, in func(*group) bool) {
	on := make([]int64, len(w.groups)) // the duty so far may be in the base
	any := false
	for i := range w.groups {
		if g := &w.groups[i]; in(g) {
			any, on[i] = true, g.base
			if s.dutyPaid {
				on[i] += g.duty
			}
		}
	}
	if !any {
		return
	}
	rate := func(g *group) ratio {
		if s == &ofClass {
			return g.ofClass
		}
		return s.rate
	}
	numerator := func(g *group) exact.Wide { return a.fraction(on[g.head.group], rate(g).num) }
	for i, sum := range a.component(w, &rule.amount, numerator) {
		if s.dutyPaid {
			a.share(w, sum, inGroup(i), func(l *lineWork) int64 { return dutiable(l) + l.duty }, addDuty)
		} else {
			a.byValue(w, i, sum)
		}
		if g := &w.groups[i]; a.tells && in(g) {
			words := "surcharge of the rules"
			if s == &ofClass {
				words = "surcharge for the country of making, " + a.origin(g.head)
			}
			a.say(w, a.figureOn(g, s.cite, s.name, rate(g).String()+" of "+a.amount(on[i]).String()), words, sum)
		}
	}
}

// flatByHeading charges a sum for each distinct heading.
func (a *assessor) flatByHeading(w *parcelWork, y *way) {
	n := a.groupByHeading(w, y.digits)
	for i := range n {
		a.byValue(w, i, y.amount)
	}
	sum, ok := exact.Mul(y.amount, int64(n))
	a.overflow, w.duty = a.overflow || !ok || sum > maxMoney, sum
	if !a.tells {
		return
	}
	headings := strconv.Itoa(n) + " tariff heading"
	if n != 1 {
		headings += "s"
	}
	a.say(w, a.figure(y.cite, "duty", "duty", a.amount(y.amount).String()+" x "+headings), "a sum for each tariff heading", sum)
}

// groupByHeading sorts the lines that are charged into groups by so many digits of their codes, and
// returns how many there are.
func (a *assessor) groupByHeading(w *parcelWork, digits int) int {
	var seen []string
	for j := range w.lines {
		l := &w.lines[j]
		head := a.shortHeading(l, digits)
		l.group = slices.Index(seen, head)
		if l.group < 0 && l.pieces[duty] > 0 {
			l.group = len(seen)
			seen = append(seen, head)
		}
	}
	return len(seen)
}

// shortHeading is the leading digits of the tariff code, or what tells goods without one apart.
func (a *assessor) shortHeading(l *lineWork, digits int) string {
	code := a.c.Classes[l.Class].Code
	if code == "" || digits == 0 {
		return l.heading()
	}
	code = a.digits(code)
	return code[:min(len(code), digits)]
}

// flatForParcel charges a sum by the highest rate for the origins in a parcel.
func (a *assessor) flatForParcel(w *parcelWork, y *way) error {
	highest := ratio{0, perUnit}
	for j := range w.lines {
		if w.lines[j].pieces[duty] == 0 {
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
		if a.tells {
			a.say(w, a.figure(b.cite, "duty", "duty", "a rate of "+highest.String()), "a sum for the parcel by the highest rate for the origins in it", b.amount)
		}
		return nil
	}
	return nil
}
