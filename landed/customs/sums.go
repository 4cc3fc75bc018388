package customs

import "slices"

// Sums: one line may stand for all of a class where nothing is looked at, rounded or counted line
// by line. It says yes only where that is certain, so that no may be said of rules that would do.
// What tells lines of one class apart are limits of the dearest piece, relief that goes line by
// line or piece by piece, and groups of a single line.
func (m *meter) Sums() bool {
	r := m.rules
	if m.looksAt(func(b *bound) bool { return b.of == ofPiece }) || r.duty.base.over == byLine || r.duty.amount.over == byLine {
		return false
	}
	for i := range r.relief {
		if v := &r.relief[i]; v.beyond != chargeFull && m.may(&v.when) {
			return false
		}
	}
	for i := range r.duty.ways {
		if y := &r.duty.ways[i]; y.lower && m.may(&y.when) {
			return false
		}
	}
	if slices.ContainsFunc(r.value, func(v valueRule) bool { return v.part != whole }) &&
		slices.ContainsFunc(r.fees, func(f fee) bool { return f.of&partValue != 0 }) {
		return false
	}
	return !slices.ContainsFunc(r.taxes, func(t tax) bool { return t.round.over == byLine }) && m.taxedByGroups()
}

func (m *meter) Values() bool {
	for _, class := range m.classes {
		if class.duty.specific() {
			return false
		}
	}
	return !m.rules.CountsFreight() && !m.rules.anyBound(func(b *bound) bool { return b.of == ofWeight })
}

// taxedByGroups reports whether the lines of one tax are whole groups of the duty, so that
// how a duty is shared over lines is all one: where all goods are of one class, or all are
// taxed together, or duty goes by headings and each is taxed in one way.
func (m *meter) taxedByGroups() bool {
	kinds, one := map[string]string{}, true // by heading
	kind, classes := "", map[string]bool{}
	for i := range m.own.Parcels {
		for j := range m.own.Parcels[i].Lines {
			l := &m.own.Parcels[i].Lines[j]
			class := m.classes[l.Class]
			if class == nil {
				return false // a heading of its own
			}
			if len(classes) == 0 {
				kind = class.kind
			}
			if known, is := kinds[class.heading]; is && known != class.kind {
				return false
			}
			classes[l.Class], kinds[class.heading], one = true, class.kind, one && class.kind == kind
		}
	}
	if len(classes) < 2 {
		return true
	}
	together := !slices.ContainsFunc(m.rules.taxes, func(t tax) bool { return t.round.over == byHeading })
	return one && together || m.dutyByHeading(classes)
}

// dutyByHeading reports whether duty stays with the headings that taxes are rounded over, and
// nothing else is shared over all.
func (m *meter) dutyByHeading(classes map[string]bool) bool {
	d := &m.rules.duty
	handled := func(t tax) bool { return t.of != "" || t.base&partHandling != 0 && m.mayHandle() }
	if d.base.over != byHeading || slices.ContainsFunc(m.rules.taxes, handled) {
		return false
	}
	return !slices.ContainsFunc(d.ways, func(y way) bool {
		return m.may(&y.when) && (y.by == perParcel || y.less != 0 || y.by == perHeading && !m.apart(classes, y.digits))
	})
}

// mayHandle reports whether a fee may be asked for any of the parcels.
func (m *meter) mayHandle() bool {
	return slices.ContainsFunc(m.own.Parcels, func(p Parcel) bool {
		if p.Fees != nil {
			return len(p.Fees) > 0
		}
		return slices.ContainsFunc(m.rules.fees, func(f fee) bool { return m.may(&f.when) })
	})
}

// apart reports whether so many digits tell the headings of some classes apart.
func (m *meter) apart(classes map[string]bool, digits int) bool {
	headings := map[string]string{}
	for name := range classes {
		class := m.classes[name]
		short := m.shortHeading(&lineWork{Line: &Line{Class: name}, class: class}, digits)
		if known, is := headings[short]; is && known != class.heading {
			return false
		}
		headings[short] = class.heading
	}
	return true
}

// may reports whether a rule may be for some of the parcels, whatever is in them.
func (m *meter) may(w *when) bool {
	plain := *w
	plain.goods, plain.upto, plain.above = nil, nil, nil
	return slices.ContainsFunc(m.own.Parcels, func(p Parcel) bool { return m.applies(&plain, &parcelWork{Parcel: &p}) })
}

// looksAt reports whether any rule that may be for some of the parcels has such a bound.
func (m *meter) looksAt(such func(*bound) bool) bool {
	return m.rules.anyBound(func(b *bound) bool { return m.may(&b.when) && such(b) })
}
