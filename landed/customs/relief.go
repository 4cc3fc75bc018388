package customs

import (
	"cmp"
	"slices"
	"strings"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
)

// first returns the first rule of a list that applies to a parcel, or nil.
func first[T any, P conditional[T]](a *assessor, w *parcelWork, list []T) *T {
	for i := range list {
		if a.applies(P(&list[i]).condition(), w) {
			return &list[i]
		}
	}
	return nil
}

// always reports whether a rule applies to any parcel.
func (w *when) always() bool {
	return w.uses|w.modes == 0 && len(w.from)+len(w.notFrom)+len(w.to)+len(w.goods) == 0 &&
		!w.paid && !w.flat && w.stream == 0 && w.open.name == "" && w.upto == nil && w.above == nil
}

// applies reports whether a rule is for a parcel.
func (a *assessor) applies(r *when, w *parcelWork) bool {
	c, mode := a.c, a.c.Mode
	if mode == Letters || mode == Parcels {
		mode = Post
	}
	switch {
	case r.uses != 0 && r.uses&c.Use.counts() == 0, r.modes != 0 && r.modes&(1<<mode) == 0:
		return false
	case r.flat && !c.Flat, r.stream != 0 && r.stream != c.Mode:
		return false
	case len(r.to) > 0 && !inPlaces(r.to, c.To), len(r.goods) > 0 && !w.ofCodes(r):
		return false
	case len(r.from) > 0 && !fromAny(r.from, c.From), fromAny(r.notFrom, c.From):
		return false
	case r.upto != nil && a.exceeds(w, r.upto), r.above != nil && !a.exceeds(w, r.above):
		return false
	}
	return a.said(r, w)
}

// said reports whether what a rule needs to be said holds, and keeps what is asked for.
func (a *assessor) said(r *when, w *parcelWork) bool {
	if r.paid && !w.TaxPaid {
		a.unsaid.paid = true
		return false
	}
	if q := r.open.name; q != "" && q != a.assumed && !slices.Contains(a.c.Holds, q) {
		if !slices.Contains(a.unsaid.open, q) {
			a.unsaid.open = append(a.unsaid.open, q)
		}
		return false
	}
	return true
}

// ofCodes reports whether the tariff code of any line, or of each, begins so or is not known.
func (w *parcelWork) ofCodes(r *when) bool {
	return r.allGoods != slices.ContainsFunc(w.lines, func(l lineWork) bool {
		return r.allGoods != (l.class == nil || l.class.code == "" || begins(l.class.code, r.goods))
	})
}

// begins reports whether a code begins so; "" is no code at all.
func begins(code string, starts []string) bool {
	return slices.ContainsFunc(starts, func(s string) bool { return s == code || s != "" && strings.HasPrefix(code, s) })
}

// measured returns the figure that a bound is compared with, as an amount and the part of it that
// counts.
func (a *assessor) measured(w *parcelWork, l *limit) (sum int64, part ratio) {
	switch l.of {
	case ofPiece:
		return w.piece, whole
	case ofWeight:
		return w.weight, whole
	}
	for i := range a.work {
		o := &a.work[i]
		if o == w || l.over == overDay || l.over == overSeller && o.sharesSeller(w.Parcel) {
			if l.of == ofValue {
				sum += o.pre
			} else {
				sum += o.goods
			}
		}
	}
	if l.of == ofValue {
		return sum, w.value.part
	}
	return sum, whole
}

// exceeds reports whether a parcel is above a limit, or is taken to be.
func (a *assessor) exceeds(w *parcelWork, l *limit) bool {
	if a.side != nil {
		return a.side(w, l)
	}
	above := a.above(w, l)
	a.took(above)
	return above
}

// above compares the measure with the limit, exactly.
func (a *assessor) above(w *parcelWork, l *limit) bool {
	sum, part := a.measured(w, l)
	order := part.of(sum).Cmp(exact.Product(uint64(l.at), part.den))
	return order > 0 || order == 0 && l.strict
}

// relieve applies the first relief for each kind and returns what is relieved altogether.
func (a *assessor) relieve(w *parcelWork, out *ParcelAssessment) kinds {
	var relieved kinds
	var said *relief
	for _, kind := range [...]kinds{duty, taxKind} {
		v := a.reliefOf(w, kind)
		if v == nil {
			continue
		}
		if v.wholly {
			if relieved |= kind; v != said && a.tells {
				a.say(w, a.figure(v.cite, "relief", v.of.String()+" relieved", a.amount(w.goods).String()+" of goods"), v.words, w.goods)
			}
			said = v
			continue
		}
		free := !a.exceeds(w, &v.limit)
		r := a.standing(w, v, kind, free)
		switch {
		case free:
			r.Except = a.relieveMade(w, v, kind)
			if r.Relieved = len(r.Except) == 0; r.Relieved {
				relieved |= kind
			}
		case v.beyond != chargeFull:
			a.reduce(w, v, kind)
		}
		if out.Relief == nil {
			out.Relief = make([]Relief, 0, 2) // of duty and of tax
		}
		out.Relief = append(out.Relief, r)
		if v != said && a.tells {
			a.sayRelief(w, v, r)
			said = v
		}
	}
	return relieved
}

func (a *assessor) reliefOf(w *parcelWork, kind kinds) *relief {
	for i := range a.rules.relief {
		v := &a.rules.relief[i]
		if v.of&kind == 0 || !a.applies(&v.when, w) || !a.anyMade(w, v.origins) {
			continue
		}
		a.unsaid.private = a.unsaid.private || v.sale
		if !(v.sale && w.Private) {
			return v
		}
	}
	return nil
}

// anyMade reports whether a rule is for the country of making of any line.
func (a *assessor) anyMade(w *parcelWork, m origins) bool {
	return !m.any() || slices.ContainsFunc(w.lines, func(l lineWork) bool { return m.match(a.origin(&l)) })
}

// relieveMade relieves the lines of the countries of making that a relief is for, and returns the
// ids of the others.
func (a *assessor) relieveMade(w *parcelWork, v *relief, kind kinds) []string {
	if !v.origins.any() {
		return nil
	}
	var except []string
	for j := range w.lines {
		l := &w.lines[j]
		if v.origins.match(a.origin(l)) {
			l.left[kind], l.pieces[kind] = 0, 0
		} else {
			except = append(except, l.ID)
		}
	}
	return except
}

func (a *assessor) standing(w *parcelWork, v *relief, kind kinds, free bool) Relief {
	sum, part := a.measured(w, &v.limit)
	shown := sum
	if part != whole { // a fraction of a minor unit counts: show it as a whole one
		shown = a.round(part.of(sum), part.den, rounding{mode: money.Up})
	}
	return Relief{
		What: kind.String(), Measure: a.amount(shown), Threshold: a.amount(v.limit.at),
		Relieved: free, BySeller: free && v.sale, OfGoods: v.limit.of == ofGoods && w.pre != w.goods,
	}
}

func (a *assessor) sayRelief(w *parcelWork, v *relief, r Relief) {
	text := r.Measure.String() + v.limit.measured()
	switch margin := r.Threshold.Minor() - r.Measure.Minor(); {
	case r.Relieved || len(r.Except) > 0:
		text += ", under the threshold of " + r.Threshold.String() + " by " + a.amount(margin).String()
	case margin == 0:
		text += ", at the threshold, which must not be reached"
	default:
		text += ", over the threshold of " + r.Threshold.String() + " by " + a.amount(-margin).String()
	}
	outcome, on := " not relieved", v.of
	switch {
	case r.BySeller:
		outcome = " not at the border: the seller charges it at the sale"
	case r.Relieved:
		outcome = " relieved"
	case len(r.Except) > 0:
		outcome = " relieved but on " + strings.Join(r.Except, ", ")
	case v.beyond == chargeExcess:
		outcome = " on the excess only"
	case v.beyond == chargePieces:
		outcome = " on the pieces that do not fit under the threshold"
	}
	if r.Relieved {
		on = 0
	}
	a.sayOn(w, on, a.figure(v.cite, "relief", v.of.String()+outcome, text), v.words, r.Measure.Minor())
}

// reduce takes the relieved part off what is charged.
func (a *assessor) reduce(w *parcelWork, v *relief, kind kinds) {
	if v.beyond == chargeExcess {
		a.share(w, v.limit.at, nil, func(l *lineWork) int64 { return l.goods }, func(l *lineWork, s int64) { l.left[kind] -= s })
		return
	}
	a.takePieces(w, v.limit.at, kind)
}

// takePieces relieves whole pieces, the dearest first, as long as they fit.
func (a *assessor) takePieces(w *parcelWork, room int64, kind kinds) {
	order := make([]*lineWork, len(w.lines))
	for j := range w.lines {
		order[j] = &w.lines[j]
	}
	slices.SortStableFunc(order, func(x, y *lineWork) int { return cmp.Compare(y.dearest(), x.dearest()) })
	for _, l := range order {
		fit := l.Count
		if p := l.dearest(); p > 0 {
			fit = min(fit, room/p)
			room -= fit * p
		}
		l.pieces[kind] -= fit
		l.left[kind] = a.carried(l.pre, l.pieces[kind], l.Count)
	}
}

// dearest is the price of the dearest piece.
func (l *lineWork) dearest() int64 {
	large, _, _, _ := money.Equal(l.goods, l.Count)
	return large
}

// carried is the part of an amount on so many pieces that those left over of them carry.
func (a *assessor) carried(amount, left, pieces int64) int64 {
	if left >= pieces {
		return amount
	}
	return a.round(exact.Product(uint64(amount), uint64(left)), uint64(pieces), rounding{})
}
