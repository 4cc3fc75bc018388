package customs

import (
	"slices"
	"strconv"

	"lotcost/landed/internal/outline"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Outline and what it is made of: an assessment in a few sums, which our own workbooks calculate
// again. What they hold may change.
type (
	Outline       = outline.Assessment
	ParcelOutline = outline.Parcel
	Levy          = outline.Levy
)

// Outline returns the outline of an assessment; false where its rules cannot be said in one: where
// a duty goes by weight or piece, or is rounded over several rates together, where a part of the
// price or the dearest piece decides, or a tax and a fee hang on each other.
func (a *Assessment) Outline() (out *Outline, ok bool) {
	a.again(func(again *assessor) { out, ok = again.outlines() })
	return out, ok
}

func (a *assessor) outlines() (*Outline, bool) {
	out := &Outline{}
	for i := range a.work {
		w := &a.work[i]
		holds := w.value.holds
		out.Freight, out.Insurance, out.Fees = holds&partFreight != 0, holds&partInsurance != 0, holds&partFees != 0
		o := outliner{assessor: a, w: w, value: w.value, actual: map[outline.Bound]bool{}}
		a.side = o.side
		if fine := w.value.part == whole && o.branch(); !fine {
			return nil, false
		}
		a.side = nil
		out.Parcels = append(out.Parcels, o.all)
	}
	return out, len(out.Parcels) > 0
}

// outliner finds what is asked of a parcel on each side of each threshold.
type outliner struct {
	*assessor
	w      *parcelWork
	value  *valueRule
	all    ParcelOutline
	sides  []outline.Bound        // that are taken for granted
	asked  []outline.Bound        // that decide beside
	actual map[outline.Bound]bool // the side on which the parcel is
	bad    bool                   // something else decides
	here   ParcelOutline
}

// mostCases is how many cases of a parcel are told.
const mostCases = 24

// branch adds the cases in which the sides that are taken for granted hold, and reports whether the
// one of the parcel as it is, if it is among them, is known.
func (o *outliner) branch() bool {
	o.asked, o.here, o.bad = nil, ParcelOutline{}, false
	known := o.outline() && !o.bad
	for _, b := range o.asked {
		if slices.ContainsFunc(o.sides, func(s outline.Bound) bool { return s.Threshold() == b }) {
			continue
		}
		granted, fine := o.sides, true
		for _, b.Above = range [...]bool{true, false} {
			if o.sides = append(slices.Clone(granted), b); outline.Possible(o.sides) {
				fine = o.branch() && fine
			}
		}
		o.sides = granted
		return fine
	}
	if len(o.all.Cases) == mostCases {
		return false
	}
	if len(o.all.Levies) > 0 && o.all.Least != o.here.Least {
		known = false
	}
	at := len(o.all.Cases)
	o.all.Cases = append(o.all.Cases, outline.Case{Sides: o.sides, Unknown: !known})
	if !known {
		return slices.ContainsFunc(o.sides, func(b outline.Bound) bool { return o.actual[b.Threshold()] != b.Above })
	}
	o.add(at)
	return true
}

// add adds what is asked in a case.
func (o *outliner) add(at int) {
	for _, levy := range o.here.Levies {
		k := slices.IndexFunc(o.all.Levies, func(l Levy) bool { return l.Alike(levy) })
		if k < 0 {
			k = slices.IndexFunc(o.all.Levies, func(l Levy) bool { return l.Tax })
			if levy.Tax || k < 0 {
				k = len(o.all.Levies)
			}
			o.all.Levies = slices.Insert(o.all.Levies, k, levy)
		}
		o.all.Levies[k].Cases = append(o.all.Levies[k].Cases, at)
	}
	for _, fee := range o.here.Fees {
		k := slices.IndexFunc(o.all.Fees, func(f outline.Fee) bool { return f.Alike(fee) })
		if k < 0 {
			k, o.all.Fees = len(o.all.Fees), append(o.all.Fees, fee)
		}
		o.all.Fees[k].Cases = append(o.all.Fees[k].Cases, at)
	}
	o.all.Least = o.here.Least
}

// side reports whether the parcel is taken to be above a limit; what was not said of it is noted.
func (o *outliner) side(w *parcelWork, l *limit) bool {
	b := outline.Bound{OfValue: l.of == ofValue, Strict: l.strict}
	if b.At = o.amount(l.at); l.of == ofWeight {
		b.At, b.Weight = money.Amount{}, measure.Weight(l.at)
	}
	o.bad = o.bad || l.of == ofPiece || l.over != overParcel && len(o.work) > 64
	for i := range o.work {
		if other := &o.work[i]; l.over != overParcel && (other == w || l.over == overDay || other.sharesSeller(w.Parcel)) {
			b.Over |= 1 << i
		}
	}
	if b.Over&(b.Over-1) == 0 {
		b.Over = 0
	}
	o.actual[b] = o.above(w, l)
	for _, s := range o.sides {
		if s.Threshold() == b {
			return s.Above
		}
	}
	o.asked = append(o.asked, b)
	return o.actual[b]
}

// outline tells what is asked of the parcel on the sides that are taken for granted.
func (o *outliner) outline() bool {
	w, p, r := o.w, &o.here, o.rules
	relieved, ok := o.relieved()
	if !ok || first(o.assessor, w, r.value) != o.value {
		return false
	}
	if relieved&duty == 0 {
		levies, ok := o.outlineDuty(w)
		if !ok {
			return false
		}
		p.Levies = append(p.Levies, levies...)
	}
	for i := range r.taxes {
		if relieved&taxKind != 0 {
			break
		}
		levy, any, ok := o.outlineTax(w, &r.taxes[i])
		if !ok {
			return false
		}
		if any {
			p.Levies = append(p.Levies, levy)
		}
	}
	entry := relieved&duty == 0 || relieved&taxKind == 0 && len(r.taxes) > 0
	return o.little() && o.fees(entry)
}

// little finds the sums below which nothing is collected; false where duty and tax are judged
// together, or one by several.
func (o *outliner) little() bool {
	for i := range o.rules.collect {
		v := &o.rules.collect[i]
		if !o.applies(&v.when, o.w) {
			continue
		}
		if v.of == bothKinds || o.here.Least[v.of-duty] != (money.Amount{}) {
			return false
		}
		o.here.Least[v.of-duty] = o.amount(v.at)
	}
	return true
}

// relieved tells what is relieved; false where that is a part.
func (o *outliner) relieved() (kinds, bool) {
	var relieved kinds
	for _, kind := range [...]kinds{duty, taxKind} {
		v := o.reliefOf(o.w, kind)
		switch {
		case v == nil:
			continue
		case v.wholly:
			relieved |= kind
			continue
		case v.origins.any():
			return 0, false
		}
		switch {
		case !o.side(o.w, &v.limit):
			relieved |= kind
		case v.beyond != chargeFull:
			return 0, false
		}
	}
	return relieved, true
}

// outlineRounding tells how so many groups are rounded; false where that is not each by itself.
func outlineRounding(r *rounding, groups int) (outline.Rounding, bool) {
	return outline.Rounding{Step: max(r.step, 1), Mode: r.mode}, (!r.keep || groups < 2) && r.mode != money.HalfEven
}

// outlineDuty tells the duties of a parcel: the main one, and a surcharge each.
func (a *assessor) outlineDuty(w *parcelWork) (levies []Levy, ok bool) {
	rule := &a.rules.duty
	y := first(a, w, rule.ways)
	switch y.by {
	case byNothing:
		return nil, true
	case perHeading:
		return a.outlineByHeading(w, y), true
	case perParcel:
		return nil, false
	}
	if y.lower && !a.lowerForGood(w) || y.less != 0 || a.group(w, rule, y) != nil {
		return nil, false
	}
	var plain Levy
	var fine [2]bool
	plain.Base, fine[0] = outlineRounding(&rule.base, len(w.groups))
	plain.Amount, fine[1] = outlineRounding(&rule.amount, len(w.groups))
	if !fine[0] || !fine[1] || rule.amount.over == byParcel && len(w.groups) > 1 {
		return nil, false
	}
	add := func(name string, rate func(*group) (ratio, bool)) {
		levy, places := plain, make([]int, len(w.groups))
		levy.Name = name
		for i := range w.groups {
			r, on := rate(&w.groups[i])
			if places[i] = -1; on {
				places[i], levy.Rates = len(levy.Rates), append(levy.Rates, reduced(r))
			}
		}
		for j := range w.lines {
			at := w.lines[j].group
			if at >= 0 {
				at = places[at]
			}
			levy.Groups = append(levy.Groups, at)
		}
		if len(levy.Rates) > 0 {
			levies = append(levies, levy)
		}
	}
	add("", func(g *group) (ratio, bool) { return ratio{g.rate.fraction, perUnit}, y.by != bySurcharge })
	add("surcharge of the class", func(g *group) (ratio, bool) { return g.ofClass, g.ofClass.num != 0 })
	for i := range rule.surcharges {
		s := &rule.surcharges[i]
		add("surcharge "+strconv.Itoa(i), func(g *group) (ratio, bool) { return s.rate, g.surcharges&(1<<i) != 0 })
		fine[0] = fine[0] && !s.dutyPaid
	}
	return levies, fine[0] && !slices.ContainsFunc(w.groups, func(g group) bool { return g.rate.specific() })
}

// lowerForGood reports whether the lower of two rates is so whatever the goods cost.
func (a *assessor) lowerForGood(w *parcelWork) bool {
	return !slices.ContainsFunc(w.lines, func(l lineWork) bool {
		return l.left[duty] <= 0 || l.class != nil && l.class.duty.specific()
	})
}

// outlineByHeading tells of a sum for each distinct heading.
func (a *assessor) outlineByHeading(w *parcelWork, y *way) []Levy {
	levy := Levy{Flat: a.amount(y.amount), Rates: slices.Repeat([]outline.Ratio{{Den: 1}}, a.groupByHeading(w, y.digits))}
	for j := range w.lines {
		levy.Groups = append(levy.Groups, w.lines[j].group)
	}
	return []Levy{levy}
}

func (a *assessor) outlineTax(w *parcelWork, t *tax) (levy Levy, any, ok bool) {
	here, err := a.groupTax(w, t)
	base, fine := outlineRounding(&t.round, 1)
	amount, fits := outlineRounding(&t.amount, 1)
	switch {
	case !here:
		return levy, false, true
	case err != nil, !fine, !fits, t.base&partHandling != 0 && a.mayHandle(w), t.base&partValue == 0 && t.of == "":
		return levy, false, false
	}
	beside := t.base &^ (w.value.holds | w.value.without)
	levy = Levy{
		Tax: true, Name: t.name, Of: t.of, Plus: reduced(t.plus), Base: base, Amount: amount,
		OnDuty: t.base&partDuty != 0, Freight: beside&partFreight != 0, Insurance: beside&partInsurance != 0, Fees: beside&partFees != 0,
	}
	for j := range w.lines {
		levy.Groups = append(levy.Groups, w.lines[j].taxGroup)
	}
	for i := range a.taxed {
		levy.Rates = append(levy.Rates, reduced(a.taxed[i].rate.rate))
	}
	return levy, true, true
}

// reduced is a ratio in its least terms.
func reduced(r ratio) outline.Ratio {
	a, b := int64(r.num), int64(r.den)
	for b != 0 {
		a, b = b, a%b
	}
	if a == 0 {
		return outline.Ratio{}
	}
	return outline.Ratio{Num: int64(r.num) / a, Den: int64(r.den) / a}
}

// mayHandle reports whether a fee may be charged for a parcel.
func (a *assessor) mayHandle(w *parcelWork) bool {
	return len(w.Parcel.Fees) > 0 || w.Parcel.Fees == nil && slices.ContainsFunc(a.rules.fees, func(f fee) bool { return a.applies(&f.when, w) })
}

// fees finds the fees, and reports whether each is a sum of its own; entry is where not all is
// relieved.
func (o *outliner) fees(entry bool) bool {
	w := o.w
	for _, f := range w.Fees {
		o.here.Fees = append(o.here.Fees, outline.Fee{What: f.What, Amount: f.Amount})
	}
	if w.Fees != nil {
		return true
	}
	var last *fee
	for i := range o.rules.fees {
		f := &o.rules.fees[i]
		switch {
		case last != nil && last.name == f.name && last.charged != f.charged:
			return false
		case last != nil && last.name == f.name: // of several of one name the first
			continue
		case !o.applies(&f.when, w):
			continue
		}
		last = f
		fee := outline.Fee{What: f.name, Amount: o.amount(0), Always: f.charged.asked(false, entry)}
		if f.percent.den == 0 {
			sum := o.feeOf(w, f)
			if f.taxed.den != 0 {
				sum += o.part(sum, f.taxed)
			}
			fee.Amount = o.amount(sum)
		} else if f.each || f.percent.den != perUnit || f.amount != 0 || f.taxed.den != 0 || f.of != partValue {
			return false
		} else {
			fee.Percent = decimal.New(int64(f.percent.num), -9)
			fee.Least, fee.Most = o.amount(f.least), o.amount(f.most)
		}
		o.here.Fees = append(o.here.Fees, fee)
	}
	return true
}
