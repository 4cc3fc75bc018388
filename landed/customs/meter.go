package customs

import "lotcost/landed/money"

// Meter assesses one set of consignments after the other by the same rules, without telling how the
// sums come about: for planners, who ask thousands of times. It is not safe for concurrent use.
type Meter struct {
	*assessor
	own Consignments
	out ParcelAssessment
}

// NewMeter checks the consignments, whose parcels hold all the lines that will be assessed, in any
// division and with any freight. The errors are those of [Assess].
func NewMeter(r *Rules, c *Consignments) (*Meter, error) {
	m := &Meter{own: *c}
	var err error
	if m.assessor, err = newAssessor(r, &m.own); err != nil {
		return nil, err
	}
	return m, nil
}

// Parcel returns what [Assess] would of the first of some parcels, those of one day. The fees are
// good until it is asked again. The errors are those of Assess, but that lines are not checked
// again.
func (m *Meter) Parcel(parcels []Parcel) (duty, tax money.Amount, fees []Fee, err error) {
	m.own.Parcels, m.overflow, m.missing = parcels, false, m.missing[:0]
	m.out = ParcelAssessment{Fees: m.out.Fees[:0], Relief: m.out.Relief[:0]}
	m.prepare()
	w := &m.work[0]
	if err := m.parcel(w, &m.out); err != nil {
		return duty, tax, nil, err
	}
	if m.overflow || m.out.feeSum() > maxMoney || m.out.feeSum() < 0 {
		return duty, tax, nil, money.ErrOverflow
	}
	return m.amount(w.duty), m.amount(w.tax), m.out.Fees, nil
}
