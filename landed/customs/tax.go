package customs

import (
	"slices"

	"lotcost/landed/internal/exact"
)

// taxGroup is the lines that one tax is made and rounded on.
type taxGroup struct {
	rate   *taxRate
	line   int    // of a group of one
	head   string // of a group of one heading
	left   int64  // part of the value for customs, before the part is taken
	extras int64  // what is added to it
	sum    int64  // of the tax
}

// taxes makes each tax of a parcel and gives each line its part.
func (a *assessor) taxes(w *parcelWork) error {
	w.tax = 0
	for j := range w.lines {
		w.lines[j].tax, w.lines[j].base = 0, 0
	}
	list := a.rules.taxes
	a.amounts = resized(a.amounts, len(list)*len(w.lines))
	amounts := a.amounts
	for i := range list {
		t := &list[i]
		mine := amounts[i*len(w.lines):][:len(w.lines)]
		var of []int64
		if t.of != "" {
			of = amounts[t.ofIndex*len(w.lines):][:len(w.lines)]
		}
		if err := a.oneTax(w, t, of, mine); err != nil {
			return err
		}
		for j := range mine {
			w.lines[j].tax += mine[j]
			w.tax += mine[j]
		}
		a.overflow = a.overflow || w.tax > maxMoney
	}
	return nil
}

func (a *assessor) oneTax(w *parcelWork, t *tax, of, mine []int64) error {
	here, err := a.groupTax(w, t)
	if !here || err != nil {
		return err
	}
	for j := range w.lines {
		l := &w.lines[j]
		if l.taxGroup < 0 {
			continue
		}
		left, extras := a.taxParts(w, l, t, of)
		g := &a.taxed[l.taxGroup]
		g.left, g.extras = g.left+left, g.extras+extras
		l.taxed = a.part(left, w.value.part) + extras
		if t.plus.den != 0 {
			l.taxed += a.part(a.part(left, w.value.part), t.plus)
		}
		if t.of == "" {
			l.base = max(l.base, l.taxed)
		}
	}
	for i := range a.taxed {
		a.taxOf(w, t, &a.taxed[i])
		a.share(w, a.taxed[i].sum, func(l *lineWork) bool { return l.taxGroup == i },
			func(l *lineWork) int64 { return l.taxed }, func(l *lineWork, sum int64) { mine[l.at] += sum })
	}
	return nil
}

// groupTax sorts the lines into the groups of a tax, and reports whether it is one of this place.
func (a *assessor) groupTax(w *parcelWork, t *tax) (here bool, err error) {
	rates := a.ratesHere(w, t)
	a.taxed = a.taxed[:0]
	for j := range w.lines {
		l := &w.lines[j]
		if l.taxGroup = -1; len(rates) == 0 {
			continue
		}
		rate, err := a.rateOf(l, t, rates)
		if err != nil {
			return true, err
		}
		if rate == nil {
			continue
		}
		key := taxGroup{rate: rate, line: -1}
		switch t.round.over {
		case byLine:
			key.line = j
		case byHeading:
			key.head = l.heading()
		}
		if l.taxGroup = slices.Index(a.taxed, key); l.taxGroup < 0 {
			l.taxGroup = len(a.taxed)
			a.taxed = append(a.taxed, key)
		}
	}
	return len(rates) > 0, nil
}

// taxParts returns what of a line is in the base of a tax: the part of the value for customs, and
// what is added to it.
func (a *assessor) taxParts(w *parcelWork, l *lineWork, t *tax, of []int64) (left, extras int64) {
	if of != nil {
		return 0, of[l.at]
	}
	if t.base&partValue != 0 {
		left = l.left[taxKind]
	}
	extras = a.carried(a.extras(l, t.base&^(w.value.holds|w.value.without)), l.pieces[taxKind], l.Count)
	if t.base&partDuty != 0 {
		extras += a.carried(l.duty, l.pieces[taxKind], l.pieces[duty])
	}
	if t.base&partHandling != 0 {
		extras += l.handling
	}
	return left, extras
}

// taxOf makes the tax of a group.
func (a *assessor) taxOf(w *parcelWork, t *tax, g *taxGroup) {
	part := w.value.part
	sum, den := a.noted(part.of(g.left).Plus(exact.Product(uint64(g.extras), part.den))), part.den
	if t.plus.den != 0 {
		sum = a.noted(a.noted(sum.Times(t.plus.den)).Plus(a.noted(part.of(g.left).Times(t.plus.num))))
		den *= t.plus.den
	}
	base := a.round(sum, den, t.round)
	g.sum = a.round(g.rate.rate.of(base), g.rate.rate.den, t.amount)
	if !a.tells {
		return
	}
	c := weakest(g.rate.cite, t.cite, t.round.cite, t.amount.cite)
	a.say(w, a.figure(c, "tax", t.name, g.rate.rate.String()+" of "+a.amount(base).String()), t.words, g.sum)
}

// ratesHere returns the rates of a tax for the place and the parcel.
func (a *assessor) ratesHere(w *parcelWork, t *tax) []*taxRate {
	here := a.rates[:0]
	for i := range t.rates {
		r := &t.rates[i]
		if r.isOf(a.c.To) && a.applies(&r.when, w) {
			here = append(here, r)
		}
	}
	a.rates = here
	return here
}

// isOf reports whether a rate is one of a place.
func (r *taxRate) isOf(place string) bool { return len(r.places) == 0 || inPlaces(r.places, place) }

// rateOf finds the rate for a line, nil where it is not taxed.
func (a *assessor) rateOf(l *lineWork, t *tax, rates []*taxRate) (*taxRate, error) {
	kind := l.taxKind()
	for _, r := range rates {
		if r.kind == kind {
			return r, nil
		}
	}
	if kind == "zero" {
		return nil, nil
	}
	return nil, a.noTaxRate(l, kind, t, rates)
}
