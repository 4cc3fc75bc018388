package customs

import (
	"slices"

	"lotcost/landed/internal/exact"
)

// fees charges what clearing the parcel costs.
func (a *assessor) fees(w *parcelWork, out *ParcelAssessment, relieved kinds) {
	due := w.duty != 0 || w.tax != 0
	a.took(due)
	entry := relieved&duty == 0 || relieved&taxKind == 0 && len(a.rules.taxes) > 0
	a.addMissing(w, due, entry)
	if w.Fees != nil {
		for _, f := range w.Fees {
			if due {
				a.charge(w, out, f.What, f.Amount.Minor(), ratio{})
				a.sayFee(w, out, cite{source: "given with the parcel", confidence: given}, "as the carrier says", "a sum for the parcel")
			}
		}
		return
	}
	var name string // of the last fee: of several of one name the first that applies is charged
	for i := range a.rules.fees {
		f := &a.rules.fees[i]
		if f.name != name && f.charged.asked(due, entry) && a.applies(&f.when, w) {
			name = f.name
			a.charge(w, out, f.name, a.feeOf(w, f), f.taxed)
			a.sayFee(w, out, f.cite, f.words, "fee of the rules")
		}
	}
}

func (a *assessor) charge(w *parcelWork, out *ParcelAssessment, what string, sum int64, taxed ratio) {
	w.handling += sum
	if taxed.den != 0 {
		sum += a.part(sum, taxed)
	}
	a.overflow = a.overflow || sum > maxMoney || w.handling > maxMoney
	out.Fees = append(out.Fees, Fee{what, a.amount(sum)})
}

// sayFee adds the step of the fee charged last.
func (a *assessor) sayFee(w *parcelWork, out *ParcelAssessment, c cite, text, rule string) {
	if fee := &out.Fees[len(out.Fees)-1]; a.tells {
		a.say(w, a.figure(c, "fee", fee.What, text), rule, fee.Amount.Minor())
	}
}

// feeOf makes a fee from its parts and keeps it within its bounds.
func (a *assessor) feeOf(w *parcelWork, f *fee) int64 {
	sum := f.amount
	if f.each {
		sum = a.round(exact.Product(uint64(f.amount), uint64(max(a.headings(w)-f.headings, 0))), 1, rounding{})
	}
	if f.percent.den != 0 {
		sum += a.part(a.feeBase(w, f.of), f.percent)
	}
	a.took(sum > f.least)
	a.took(sum > f.most)
	sum = max(sum, f.least)
	if f.most != 0 {
		sum = min(sum, f.most)
	}
	return sum
}

// headings counts the tariff headings in a parcel.
func (a *assessor) headings(w *parcelWork) int {
	seen := map[string]bool{}
	for j := range w.lines {
		seen[a.shortHeading(&w.lines[j], 0)] = true
	}
	return len(seen)
}

// feeBase sums what a percentage is of. Freight and the like count once, in the value for customs
// or beside it.
func (a *assessor) feeBase(w *parcelWork, of parts) int64 {
	sum := int64(0)
	beside := of
	if of&partValue != 0 {
		beside = of &^ w.value.holds
	}
	for j := range w.lines {
		l := &w.lines[j]
		if of&partValue != 0 {
			sum += l.value
		}
		if beside&partGoods != 0 {
			sum += l.goods
		}
		sum += a.extras(l, beside)
	}
	if of&partDuty != 0 {
		sum += w.duty
	}
	if of&partTax != 0 {
		sum += w.tax
	}
	return sum
}

// asked reports whether a charge is asked of a parcel of which something is due, or which is not
// relieved.
func (o occasion) asked(due, entry bool) bool {
	return due || o == whenParcel || entry && o == whenEntry
}

// addMissing notes what may be asked of a parcel and is not in the rules, unless the carrier's fees
// are known.
func (a *assessor) addMissing(w *parcelWork, due, entry bool) {
	for i := range a.rules.missing {
		m := &a.rules.missing[i]
		if w.Fees != nil && !m.always || !m.charged.asked(due, entry) || !a.applies(&m.when, w) {
			continue
		}
		at := slices.IndexFunc(a.missing, func(o Missing) bool { return o.What == m.what })
		if at < 0 {
			at = len(a.missing)
			a.missing = append(a.missing, Missing{What: m.what})
		}
		a.missing[at].Parcels = append(a.missing[at].Parcels, w.ID)
	}
}
