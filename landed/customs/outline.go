package customs

import (
	"slices"

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
	Bound         = outline.Bound
	Levy          = outline.Levy
	Rounding      = outline.Rounding
)

// Outline returns the outline of an assessment; false where its rules cannot be said in one: where
// a duty goes by weight or piece or is one of several, where the dearest piece or several parcels
// together decide, or a tax and a fee hang on each other.
func (a *Assessment) Outline() (*Outline, bool) {
	again := a.again()
	if again == nil || len(a.Parcels) == 0 {
		return nil, false
	}
	again.prepare()
	out := &Outline{}
	for i := range again.work {
		w := &again.work[i]
		holds := w.value.holds
		out.Freight, out.Insurance, out.Fees = holds&partFreight != 0, holds&partInsurance != 0, holds&partFees != 0
		p, ok := again.outline(w, &a.Parcels[i])
		if !ok || w.value.part != whole {
			return nil, false
		}
		out.Parcels = append(out.Parcels, p)
	}
	return out, true
}

// boundsOf adds the limits of a rule that may apply to a parcel to its bounds, and reports whether
// each is one.
func (a *assessor) boundsOf(w *parcelWork, p *ParcelOutline, r *when) bool {
	free := *r
	free.upto, free.above = nil, nil
	if !a.applies(&free, w) {
		return true
	}
	for _, l := range [...]*limit{r.upto, r.above} {
		if _, ok := a.bound(w, p, l, false); !ok {
			return false
		}
	}
	return true
}

// bound adds a limit to the bounds of a parcel and tells whether the parcel is up to it.
func (a *assessor) bound(w *parcelWork, p *ParcelOutline, l *limit, strict bool) (under, ok bool) {
	switch {
	case l == nil:
		return false, true
	case l.of == ofPiece || l.over != overParcel && len(a.work) > 1:
		return false, false
	}
	order := a.compare(w, l)
	under = order < 0 || order == 0 && !strict
	b := Bound{OfValue: l.of == ofValue, Strict: strict, Above: !under}
	if l.of == ofWeight {
		b.Weight = measure.Weight(l.at)
	} else {
		b.At = a.amount(l.at)
	}
	if !slices.Contains(p.Bounds, b) {
		p.Bounds = append(p.Bounds, b)
	}
	return under, true
}

// boundsOfAll is boundsOf for a list of rules.
func boundsOfAll[T any, P conditional[T]](a *assessor, w *parcelWork, p *ParcelOutline, list []T) bool {
	return !slices.ContainsFunc(list, func(r T) bool { return !a.boundsOf(w, p, P(&r).condition()) })
}

func (a *assessor) outline(w *parcelWork, done *ParcelAssessment) (ParcelOutline, bool) {
	var p ParcelOutline
	r := a.rules
	if !boundsOfAll(a, w, &p, r.value) || !boundsOfAll(a, w, &p, r.relief) || !boundsOfAll(a, w, &p, r.duty.ways) || !boundsOfAll(a, w, &p, r.duty.surcharges) || !boundsOfAll(a, w, &p, r.fees) || !boundsOfAll(a, w, &p, r.collect) {
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
		levy, any, ok := a.outlineTax(w, &p, &a.rules.taxes[i])
		if !ok {
			return p, false
		}
		if any {
			p.Levies = append(p.Levies, levy)
		}
	}
	return p, a.outlineLittle(w, done, &p, relieved) && a.outlineFees(w, done, &p)
}

// outlineLittle adds the sums below which nothing is collected; false where that may be so.
func (a *assessor) outlineLittle(w *parcelWork, done *ParcelAssessment, p *ParcelOutline, relieved kinds) bool {
	for i := range a.rules.collect {
		v := &a.rules.collect[i]
		of := v.of &^ relieved
		if of == 0 || !a.applies(&v.when, w) || !slices.ContainsFunc(p.Levies, func(l Levy) bool { return kindOf(&l)&of != 0 && maySum(&l) }) {
			continue
		}
		sum := int64(0)
		if of&duty != 0 {
			sum += done.Duty.Minor()
		}
		if of&taxKind != 0 {
			sum += done.Tax.Minor()
		}
		if sum < v.at {
			return false
		}
		p.Bounds = append(p.Bounds, Bound{At: a.amount(v.at), OfDuty: of&duty != 0, OfTaxes: of&taxKind != 0, Strict: true, Above: true})
	}
	return true
}

func kindOf(l *Levy) kinds {
	if l.Tax {
		return taxKind
	}
	return duty
}

// maySum reports whether a levy can come to anything.
func maySum(l *Levy) bool {
	return l.Flat.Sign() != 0 || slices.ContainsFunc(l.Rates, func(r decimal.Decimal) bool { return !r.IsZero() })
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
		case v.origins.any():
			return 0, false
		}
		free, ok := a.bound(w, p, &v.limit, v.strict)
		switch {
		case !ok || !free && v.beyond != chargeFull:
			return 0, false
		case free:
			relieved |= kind
		}
	}
	return relieved, true
}

// outlineRounding tells how so many groups are rounded; false where that is not each by itself.
func outlineRounding(r *rounding, groups int) (Rounding, bool) {
	return Rounding{Step: max(r.step, 1), Mode: r.mode}, (!r.keep || groups < 2) && r.mode != money.HalfEven
}

func (a *assessor) outlineDuty(w *parcelWork) (levy Levy, any, ok bool) {
	rule := &a.rules.duty
	y := first(a, w, rule.ways)
	switch y.by {
	case byNothing:
		return levy, false, true
	case perHeading:
		var heads []string
		for j := range w.lines {
			head := a.shortHeading(&w.lines[j], y.digits)
			at := slices.Index(heads, head)
			if at < 0 {
				at, heads = len(heads), append(heads, head)
			}
			levy.Groups = append(levy.Groups, at)
		}
		levy.Rates, levy.Flat = make([]decimal.Decimal, len(heads)), a.amount(y.amount)
		return levy, true, !slices.ContainsFunc(w.lines, func(l lineWork) bool { return l.Count == 0 })
	}
	if y.by != byClass && y.by != byOneRate || y.lower || y.less != 0 || a.group(w, rule, y) != nil {
		return levy, false, false
	}
	var fine [2]bool
	levy.Base, fine[0] = outlineRounding(&rule.base, len(w.groups))
	levy.Amount, fine[1] = outlineRounding(&rule.amount, len(w.groups))
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

func (a *assessor) outlineTax(w *parcelWork, p *ParcelOutline, t *tax) (levy Levy, any, ok bool) {
	rates := a.ratesHere(w, t)
	if slices.ContainsFunc(t.rates, func(r taxRate) bool {
		return (len(r.places) == 0 || inPlaces(r.places, a.c.To)) && !a.boundsOf(w, p, &r.when)
	}) {
		return levy, false, false
	}
	if len(rates) == 0 {
		return levy, false, true
	}
	if t.of != "" || t.plus.den != 0 || t.base&partHandling != 0 && a.mayHandle(w) || t.base&partValue == 0 {
		return levy, false, false
	}
	beside := t.base &^ (w.value.holds | w.value.without)
	levy = Levy{Tax: true, OnDuty: t.base&partDuty != 0, Freight: beside&partFreight != 0, Insurance: beside&partInsurance != 0, Fees: beside&partFees != 0}
	var fine [2]bool
	levy.Base, fine[0] = outlineRounding(&t.round, 1)
	levy.Amount, fine[1] = outlineRounding(&t.amount, 1)
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

// mayHandle reports whether a fee may be charged for a parcel.
func (a *assessor) mayHandle(w *parcelWork) bool {
	return len(w.Parcel.Fees) > 0 || w.Parcel.Fees == nil && slices.ContainsFunc(a.rules.fees, func(f fee) bool { return a.applies(&f.when, w) })
}

// outlineFees takes the fees that were charged, and reports whether each is a sum of its own.
func (a *assessor) outlineFees(w *parcelWork, done *ParcelAssessment, p *ParcelOutline) bool {
	for _, charged := range done.Fees {
		fee := outline.Fee{What: charged.What, Amount: charged.Amount}
		for i := range a.rules.fees {
			f := &a.rules.fees[i]
			if w.Parcel.Fees != nil || f.name != charged.What || !a.applies(&f.when, w) {
				continue
			}
			if f.percent.den != 0 {
				fee.Percent = decimal.New(int64(f.percent.num), -9)
			}
			if f.percent.den != 0 && (f.each || f.percent.den != perUnit || f.amount != 0 || f.least != 0 || f.most != 0 || f.taxed.den != 0 || f.of != partValue) {
				return false
			}
			fee.Always = f.charged != whenDue
			break
		}
		p.Fees = append(p.Fees, fee)
	}
	return true
}
