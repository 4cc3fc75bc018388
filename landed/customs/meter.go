package customs

import (
	"slices"

	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// meter is an assessor that is asked again and again.
type meter struct {
	*assessor
	own    Consignments
	out    ParcelAssessment
	counts parts // beside the goods, in the sum that rules look at beyond one parcel
}

// NewMeter makes consignments ready for planners. It checks them: their parcels hold all the lines
// that will be assessed, in any division and with any freight. The errors are those of [Assess].
func NewMeter(r *Rules, c *Consignments) (planning.Border[Parcel, Fee, ParcelAssessment], error) {
	m := &meter{own: *c}
	var err error
	if m.assessor, err = newAssessor(r, &m.own); err != nil {
		return nil, err
	}
	return m, nil
}

func (m *meter) Parcel(parcels []Parcel) (duty, tax money.Amount, fees []Fee, err error) {
	m.own.Parcels, m.overflow, m.missing, m.trail = parcels, false, m.missing[:0], 0
	m.out = ParcelAssessment{Lines: m.out.Lines, Fees: m.out.Fees[:0], Relief: m.out.Relief[:0]}
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

func (m *meter) Last() (ParcelAssessment, bool) {
	w := &m.work[0]
	m.report(w, &m.out)
	last := m.out
	last.Fees, last.Relief, last.Lines = slices.Clone(last.Fees), slices.Clone(last.Relief), nil
	return last, w.value.part == whole
}
