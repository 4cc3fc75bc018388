package customs

import "slices"

// Sums: one line may stand for all of a class where nothing is looked at, rounded or counted line
// by line. It says yes only where that is certain, so that no may be said of rules that would do.
// What tells lines of one class apart are limits of the dearest piece, relief that goes line by
// line or piece by piece, and groups of a single line.
func (m *meter) Sums() bool {
	r := m.rules
	if r.anyBound(func(l limit) bool { return l.of == ofPiece }) || r.duty.base.over == byLine || r.duty.amount.over == byLine {
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
	return !m.rules.CountsFreight() && !m.rules.anyBound(func(l limit) bool { return l.of == ofWeight })
}

// taxedByGroups reports whether the lines of one tax are whole groups of the duty, so that
// how a duty is shared over lines is all one: where all goods are of one class, or all are
// taxed together, or both go by heading.
func (m *meter) taxedByGroups() bool {
	var one string
	kind, classes, known := "", 0, true
	for i := range m.own.Parcels {
		for j := range m.own.Parcels[i].Lines {
			l := &m.own.Parcels[i].Lines[j]
			if l.Class != one || classes == 0 {
				classes++
				one = l.Class
			}
			class := m.classes[l.Class]
			if class == nil {
				known = false // a heading of its own
				continue
			}
			known = known && (kind == "" || kind == class.kind)
			kind = class.kind
		}
	}
	if !known {
		return false
	}
	if classes == 1 {
		return true
	}
	return !slices.ContainsFunc(m.rules.taxes, func(t tax) bool { return t.round.over == byHeading }) || m.dutyByHeading()
}

// dutyByHeading reports whether duty stays with the headings that taxes are rounded over.
func (m *meter) dutyByHeading() bool {
	d := &m.rules.duty
	if d.base.over != byHeading || slices.ContainsFunc(m.rules.taxes, func(t tax) bool { return t.of != "" || t.base&partHandling != 0 }) {
		return false
	}
	return !slices.ContainsFunc(d.ways, func(y way) bool { return m.may(&y.when) && (y.by == perHeading || y.by == perParcel || y.less != 0) })
}

// may reports whether a rule may be for the goods, whatever they are worth.
func (m *meter) may(w *when) bool { return w.uses == 0 || w.uses&m.c.Use.counts() != 0 }
