package customs

import (
	"slices"
	"time"
)

// Other is what is charged if something holds that the consignments leave open.
type Other struct {
	If         string      // "the seller is a private person and charges no tax at the sale"
	Assessment *Assessment // by the rules, if that is so
	Err        error       // why it cannot be assessed: a rate that only this way needs
}

// unsaid is what is open and was asked for on the way to an assessment: where it is not asked, the
// answer is the same if it holds.
type unsaid struct {
	private, paid bool     // whether the seller charges no tax at the sale, or does
	open          []string // questions that the sources of the rules leave open
}

// Others assesses the same parcels for each open question that changes the answer: whether the
// seller charges the tax at the sale, where that is not said, and what the sources of the rules
// leave open. The consignments must not have been changed since.
func (a *Assessment) Others() (others []Other) {
	if u := &a.unsaid; !u.private && !u.paid && len(u.open) == 0 {
		return nil
	}
	a.again(func(again *assessor) {
		try := func(cond string, c *Consignments, assumed string) {
			again.c, again.assumed = c, assumed
			b, err := again.assess()
			if err != nil || !slices.EqualFunc(a.Parcels, b.Parcels, sameCharges) {
				others = append(others, Other{cond, b, err})
			}
		}
		sold := a.of.Use != Gift && a.of.Use != Returned // no one sells those
		if sold && a.unsaid.private {
			try("the seller is a private person and charges no tax at the sale", a.of.sold(func(p *Parcel) { p.Private = true }), "")
		}
		if sold && a.unsaid.paid {
			try("the seller charges the tax at the sale, where you then pay it", a.of.sold(func(p *Parcel) { p.TaxPaid = true }), "")
		}
		for _, q := range a.Rules.open {
			if slices.Contains(a.unsaid.open, q.name) {
				try(q.cond, a.of, q.name)
			}
		}
	})
	return others
}

// sold says of each parcel of whose seller nothing is said whether it charges the tax.
func (c *Consignments) sold(say func(*Parcel)) *Consignments {
	said := *c
	said.Parcels = slices.Clone(c.Parcels)
	for i := range said.Parcels {
		if p := &said.Parcels[i]; !p.TaxPaid && !p.Private {
			say(p)
		}
	}
	return &said
}

func sameCharges(p, q ParcelAssessment) bool {
	return p.Duty == q.Duty && p.Tax == q.Tax && p.feeSum() == q.feeSum()
}

// Later assesses the same parcels by each of the rules that come into force within three months,
// while the goods may be on their way, and change the answer: how long they are is common practice,
// no source. Of several that cannot be applied the first is told.
func (a *Assessment) Later() (others []Other) {
	if a.of == nil || a.of.On.IsZero() {
		return nil
	}
	before, rules := a, a.Rules
	for i := range rules.set.entries {
		e := &a.Rules.set.entries[i]
		if !e.From.After(a.of.On) || e.From.After(a.of.On.AddDate(0, 3, 0)) || e.chargesAs(rules) {
			continue
		}
		rules = e
		c := *a.of
		c.On, c.Holds = e.From, slices.DeleteFunc(slices.Clone(c.Holds), func(name string) bool { return !e.asks(name) })
		b, err := Assess(e, &c)
		if err != nil && before == nil {
			continue
		}
		if err != nil || before == nil || !slices.EqualFunc(before.Parcels, b.Parcels, sameCharges) {
			others = append(others, Other{"the goods arrive from " + e.From.Format(time.DateOnly) + " on, when other rules hold", b, err})
		}
		before = b
	}
	return others
}

// chargesAs reports whether an entry has whatever makes a charge from one that it is like.
func (r *Rules) chargesAs(o *Rules) bool {
	return inherited(r.value, o.value) && inherited(r.relief, o.relief) && inherited(r.duty.ways, o.duty.ways) && inherited(r.taxes, o.taxes) &&
		inherited(r.fees, o.fees) && inherited(r.collect, o.collect)
}

func inherited[T any](a, b []T) bool { return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0]) }

// asks reports whether the sources of the rules leave a question open.
func (r *Rules) asks(name string) bool {
	return slices.ContainsFunc(r.open, func(q question) bool { return q.name == name })
}
