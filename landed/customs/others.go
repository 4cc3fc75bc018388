package customs

import "slices"

// Other is what is charged if something holds that the consignments leave open.
type Other struct {
	If         string // "the seller is a private person and charges no tax at the sale"
	Assessment *Assessment
	Err        error // why it cannot be assessed: a rate that only this way needs
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
func (a *Assessment) Others() []Other {
	if u := &a.unsaid; !u.private && !u.paid && len(u.open) == 0 {
		return nil
	}
	var others []Other
	again := a.again()
	if again == nil {
		return nil
	}
	defer again.free()
	sold := a.of.Use != Gift && a.of.Use != Returned // no one sells those
	if sold && a.unsaid.private {
		others = a.other(others, again, "the seller is a private person and charges no tax at the sale", a.of.sold(func(p *Parcel) { p.Private = true }), "")
	}
	if sold && a.unsaid.paid {
		others = a.other(others, again, "the seller charges the tax at the sale, where you then pay it", a.of.sold(func(p *Parcel) { p.TaxPaid = true }), "")
	}
	for _, q := range a.Rules.open {
		if slices.Contains(a.unsaid.open, q.name) {
			others = a.other(others, again, q.cond, a.of, q.name)
		}
	}
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

// other adds what the parcels bear so, if that is not the same.
func (a *Assessment) other(others []Other, again *assessor, cond string, c *Consignments, assumed string) []Other {
	again.c, again.assumed = c, assumed
	b, err := again.assess()
	if err == nil && slices.EqualFunc(a.Parcels, b.Parcels, sameCharges) {
		return others
	}
	return append(others, Other{cond, b, err})
}

func sameCharges(p, q ParcelAssessment) bool {
	return p.Duty == q.Duty && p.Tax == q.Tax && p.feeSum() == q.feeSum()
}
