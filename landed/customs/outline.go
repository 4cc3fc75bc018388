package customs

import (
	"slices"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Outline is an assessment in a few sums, for those who calculate it again with other figures. It
// holds as long as no parcel comes to the other side of a bound.
type Outline struct {
	// What the value for customs holds beside the goods.
	Freight, Insurance, Fees bool
	Parcels                  []ParcelOutline // as in the assessment
}

// ParcelOutline is what is asked of a parcel.
type ParcelOutline struct {
	Bounds []Bound
	Levies []Levy     // the duty first, then the taxes; none that is relieved
	Fees   []FeeOnDue // those charged
}

// Bound is a threshold that decides over a parcel.
type Bound struct {
	At      money.Amount
	OfValue bool // of the value for customs, not of the goods alone
	Strict  bool // the threshold itself is above
	Above   bool // the parcel is
}

// Levy is a duty or a tax by rates of a base that is rounded over groups of lines. Each line has
// its part of a group's sum by what it adds to the base, or by its pieces where none adds any.
type Levy struct {
	Tax                      bool
	OnDuty                   bool // a tax: the duty is in the base
	Freight, Insurance, Fees bool // what is in the base beside the value for customs
	Groups                   []int
	Rates                    []decimal.Decimal // of the groups, as fractions
	Base, Amount             Rounding
}

// Rounding is to a whole multiple of a step, in minor units.
type Rounding struct {
	Step int64
	Mode money.Mode
}

// FeeOnDue is a fee; where Always is not set it falls away once there is no duty and no tax.
type FeeOnDue struct {
	Fee
	Always bool
}

// Outline returns the outline of an assessment; false where its rules cannot be said in one: where
// a duty goes by weight or piece or is one of several, where what is asked hangs on the value in
// other ways, or a tax or a fee on each other.
func (a *Assessment) Outline() (*Outline, bool) {
	again := a.again()
	if again == nil || len(a.Parcels) == 0 || len(a.Rules.collect) > 0 {
		return nil, false
	}
	again.prepare()
	out := &Outline{}
	for i := range again.work {
		w := &again.work[i]
		holds := w.value.holds
		out.Freight, out.Insurance, out.Fees = holds&partFreight != 0, holds&partInsurance != 0, holds&partFees != 0
		p, ok := again.outline(w, &a.Parcels[i])
		if !ok || w.value.part != whole || again.hangs(w, &w.value.when) {
			return nil, false
		}
		out.Parcels = append(out.Parcels, p)
	}
	return out, true
}

// hangs reports whether a rule that may apply to a parcel does so by its value or weight.
func (a *assessor) hangs(w *parcelWork, r *when) bool {
	if r.upto == nil && r.above == nil {
		return false
	}
	free := *r
	free.upto, free.above = nil, nil
	return a.applies(&free, w)
}

// hangsAny is hangs for a list of rules.
func hangsAny[T any, P conditional[T]](a *assessor, w *parcelWork, list []T) bool {
	return slices.ContainsFunc(list, func(r T) bool { return a.hangs(w, P(&r).condition()) })
}

func (a *assessor) outline(w *parcelWork, done *ParcelAssessment) (ParcelOutline, bool) {
	var p ParcelOutline
	if hangsAny(a, w, a.rules.value) || hangsAny(a, w, a.rules.relief) || hangsAny(a, w, a.rules.duty.ways) || hangsAny(a, w, a.rules.duty.surcharges) || hangsAny(a, w, a.rules.fees) {
		return p, false
	}
	relieved, ok := a.outlineBounds(w, &p)
	if !ok {
		return p, false
	}
	if relieved&duty == 0 {
		levy, any, ok := a.outlineDuty(w)
		if !ok {
			return p, false
		}
		if any {
			p.Levies = append(p.Levies, levy)
		}
	}
	for i := range a.rules.taxes {
		if relieved&taxKind != 0 {
			break
		}
		levy, any, ok := a.outlineTax(w, &a.rules.taxes[i])
		if !ok {
			return p, false
		}
		if any {
			p.Levies = append(p.Levies, levy)
		}
	}
	return p, a.outlineFees(w, done, &p)
}

func (a *assessor) outlineBounds(w *parcelWork, p *ParcelOutline) (kinds, bool) {
	var relieved kinds
	for _, kind := range [...]kinds{duty, taxKind} {
		v := a.reliefOf(w, kind)
		switch {
		case v == nil:
			continue
		case v.wholly:
			relieved |= kind
			continue
		case v.limit.over != overParcel || v.limit.of > ofValue || v.origins.any():
			return 0, false
		}
		order := a.compare(w, &v.limit)
		free := order < 0 || order == 0 && !v.strict
		if free {
			relieved |= kind
		} else if v.beyond != chargeFull {
			return 0, false
		}
		bound := Bound{At: a.amount(v.limit.at), OfValue: v.limit.of == ofValue, Strict: v.strict, Above: !free}
		if !slices.Contains(p.Bounds, bound) {
			p.Bounds = append(p.Bounds, bound)
		}
	}
	return relieved, true
}

// outlineRounding tells how something is rounded; false where that is not by line or group alone.
func outlineRounding(r *rounding) (Rounding, bool) {
	return Rounding{max(r.step, 1), r.mode}, !r.keep && r.mode != money.HalfEven
}

func (a *assessor) outlineDuty(w *parcelWork) (levy Levy, any, ok bool) {
	rule := &a.rules.duty
	y := first(a, w, rule.ways)
	if y.by == byNothing {
		return levy, false, true
	}
	if y.by != byClass && y.by != byOneRate || y.lower || y.less != 0 || a.group(w, rule, y) != nil {
		return levy, false, false
	}
	var fine [2]bool
	levy.Base, fine[0] = outlineRounding(&rule.base)
	levy.Amount, fine[1] = outlineRounding(&rule.amount)
	if !fine[0] || !fine[1] || rule.amount.over == byParcel && len(w.groups) > 1 {
		return levy, false, false
	}
	for i := range w.groups {
		g := &w.groups[i]
		if g.rate.specific() || g.ofClass.num != 0 || g.surcharges != 0 {
			return levy, false, false
		}
		levy.Rates = append(levy.Rates, decimal.New(int64(g.rate.fraction), -9))
	}
	for j := range w.lines {
		levy.Groups = append(levy.Groups, w.lines[j].group)
	}
	return levy, true, true
}

func (a *assessor) outlineTax(w *parcelWork, t *tax) (levy Levy, any, ok bool) {
	rates := a.ratesHere(w, t)
	if slices.ContainsFunc(t.rates, func(r taxRate) bool { return (len(r.places) == 0 || inPlaces(r.places, a.c.To)) && a.hangs(w, &r.when) }) {
		return levy, false, false
	}
	if len(rates) == 0 {
		return levy, false, true
	}
	if t.of != "" || t.plus.den != 0 || t.base&partHandling != 0 || t.base&partValue == 0 {
		return levy, false, false
	}
	beside := t.base &^ (w.value.holds | w.value.without)
	levy = Levy{Tax: true, OnDuty: t.base&partDuty != 0, Freight: beside&partFreight != 0, Insurance: beside&partInsurance != 0, Fees: beside&partFees != 0}
	var fine [2]bool
	levy.Base, fine[0] = outlineRounding(&t.round)
	levy.Amount, fine[1] = outlineRounding(&t.amount)
	if !fine[0] || !fine[1] {
		return levy, false, false
	}
	var keys []taxGroup
	for j := range w.lines {
		l := &w.lines[j]
		rate, err := a.rateOf(l, t, rates)
		if err != nil {
			return levy, false, false
		}
		if rate == nil || rate.rate.den != perUnit {
			if rate != nil {
				return levy, false, false
			}
			levy.Groups = append(levy.Groups, -1)
			continue
		}
		key := taxGroup{rate: rate, line: -1}
		switch t.round.over {
		case byLine:
			key.line = j
		case byHeading:
			key.head = l.heading()
		}
		at := slices.Index(keys, key)
		if at < 0 {
			at = len(keys)
			keys, levy.Rates = append(keys, key), append(levy.Rates, decimal.New(int64(rate.rate.num), -9))
		}
		levy.Groups = append(levy.Groups, at)
	}
	return levy, true, true
}

// outlineFees takes the fees that were charged, and reports whether each is a sum of its own.
func (a *assessor) outlineFees(w *parcelWork, done *ParcelAssessment, p *ParcelOutline) bool {
	for _, charged := range done.Fees {
		fee := FeeOnDue{Fee: charged}
		for i := range a.rules.fees {
			f := &a.rules.fees[i]
			if w.Parcel.Fees != nil || f.name != charged.What || !a.applies(&f.when, w) {
				continue
			}
			if f.each || f.percent.den != 0 {
				return false
			}
			fee.Always = f.charged != whenDue
			break
		}
		p.Fees = append(p.Fees, fee)
	}
	return true
}
