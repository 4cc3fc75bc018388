package landed

import (
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// ParcelPricer is a haul made ready to answer, many times over, what it would cost
// to send some of its lots in one parcel. It counts as [Split] does, with the
// same code: where [ParcelPricer.Additive] says so, the parcels' answers and
// [ParcelPricer.FixedCost] sum to Split's total for any division of the lots.
//
// What the haul says of parcels is left aside, and so is a bill of customs,
// which is for the parcels that were.
type ParcelPricer struct {
	haul  Haul
	index *index
	base  *splitter
	lines []customs.Line // by item, from what does not depend on the parcels
	rules *customs.Rules // nil without a border
	wide  bool           // a rule looks beyond one parcel
	alike bool           // and says the same however the lots are divided
	quick *quick         // nil where the long way is needed
	fixed money.Amount
}

// Carriage is what sending one parcel costs, besides what the haul's charges
// ask for each parcel. An amount without a currency is none. Fees are what is
// asked for the parcel beside freight and insurance.
type Carriage struct{ Freight, Insurance, Fees money.Amount }

// NewParcelPricer makes a haul ready. It returns the faults that Split would.
func NewParcelPricer(h *Haul) (*ParcelPricer, error) {
	if h == nil {
		return nil, ErrNoHaul
	}
	p := &ParcelPricer{haul: *h.WithoutLost().WithoutBills()}
	p.haul.Parcels = nil
	whole, err := Split(&p.haul)
	if err != nil {
		return nil, err
	}
	p.base = newSplitter(&p.haul)
	p.index = p.base.index
	p.base.lots()
	p.base.charges()
	if p.haul.Border != nil {
		a, ok := p.base.assessor()
		if !ok || !a.value(p.common()) {
			return nil, p.base.report.Err()
		}
		p.lines, p.rules, p.wide = a.lines, a.rules, a.rules.CountsTogether()
		if p.wide {
			c, _ := a.bySeller()
			if p.alike, err = customs.Divisible(p.rules, c); err != nil {
				return nil, err
			}
		}
	}
	inOne, err := p.Parcel(p.everyLot(), Carriage{})
	if err == nil {
		p.fixed, err = whole.Total.Sub(inOne)
	}
	if err == nil {
		p.quick, err = p.newQuick()
	}
	if err != nil {
		return nil, err
	}
	return p, nil
}

// FixedCost returns what the haul costs apart from its parcels: prices, premiums,
// and charges that are not asked for each parcel.
func (p *ParcelPricer) FixedCost() money.Amount { return p.fixed }

// Additive reports whether the parcels' answers sum to Split's total for any
// division of the lots. They may not where a rule of the border counts several
// parcels together by what depends on the division itself: freight, charges for
// each parcel that are part of the goods' value, or mixed parcels of several
// sellers.
func (p *ParcelPricer) Additive() bool {
	if p.rules == nil || !p.wide {
		return true
	}
	for i := range p.haul.Charges {
		if charge := &p.haul.Charges[i]; charge.Dutiable == AsGoods && charge.Per == PerParcel {
			return false
		}
	}
	return p.alike
}

// CountsFreight reports whether what the border asks may depend on the
// carriage. Where it does not, a parcel costs what it would for nothing, and
// the carriage converted to home line by line.
func (p *ParcelPricer) CountsFreight() bool { return p.rules != nil && p.rules.CountsFreight() }

func (p *ParcelPricer) everyLot() []int { return rangeOf(0, len(p.haul.Lots)) }

// common returns the lines that do not depend on the parcels.
func (p *ParcelPricer) common() []Line {
	return slices.DeleteFunc(slices.Clone(p.base.st.Lines), func(l Line) bool { return l.perParcel })
}

// Parcel returns what sending some lots, by their places in the haul, in one
// parcel costs in home: carriage, charges asked for each parcel, duty, tax and
// border fees. The other lots are taken to travel apart from them on the same
// day, for rules that count them together. The errors are [source.Faults], or
// those of [customs.Assess].
func (p *ParcelPricer) Parcel(lots []int, carriage Carriage) (money.Amount, error) {
	if i := slices.IndexFunc(lots, func(lot int) bool { return lot < 0 || lot >= len(p.haul.Lots) }); i >= 0 {
		return money.Amount{}, source.Faults{{Field: "parcel", What: fmt.Sprintf("the haul has no lot at place %d", lots[i]), Remedy: "name lots by their places in the haul, the first being 0"}}
	}
	if len(lots) == 0 {
		return money.Amount{}, source.Faults{{Field: "parcel", What: "the parcel holds no lots", Remedy: "name one or more"}}
	}
	if p.quick != nil && slices.IsSorted(lots) {
		if cost, ok := p.quick.parcel(lots, carriage); ok {
			return cost, nil
		}
	}
	return p.long(lots, carriage)
}

// long answers with Split's own code, and words for what is wrong.
func (p *ParcelPricer) long(lots []int, carriage Carriage) (money.Amount, error) {
	s := p.with(lots, carriage)
	s.parcels()
	s.charges()
	if p.rules != nil {
		a := &assessor{splitter: s, border: p.haul.Border, rules: p.rules, lines: slices.Clone(p.lines)}
		if !a.value(s.st.Lines) {
			return money.Amount{}, s.report.Err()
		}
		if !p.wide {
			a.only = 1
		}
		consignments := a.consignments()
		assessed, err := customs.Assess(p.rules, consignments)
		if err != nil {
			return money.Amount{}, err
		}
		a.only = 1
		a.charge(assessed)
	}
	sum := money.New(0, p.haul.Home)
	for i := range s.st.Lines {
		if l := &s.st.Lines[i]; l.Parcel == thisParcel {
			sum = s.plus(sum, l.Home, spot{of: p.haul.At, field: "parcel"})
		}
	}
	return sum, s.report.Err()
}

// thisParcel is the id of the parcel asked about.
const thisParcel = "this"

// with returns a splitter for the haul in two parcels, this one and the rest,
// with only the charges that are asked for each parcel.
func (p *ParcelPricer) with(lots []int, carriage Carriage) *splitter {
	h := p.haul
	h.Charges = slices.DeleteFunc(slices.Clone(h.Charges), func(charge Charge) bool { return charge.Per != PerParcel })
	x := *p.index
	x.haul = &h
	x.parcel = make([]int, len(h.Lots))
	for i := range x.parcel {
		x.parcel[i] = 1
	}
	for _, lot := range lots {
		x.parcel[lot] = 0
	}
	h.Parcels = []Parcel{{ID: thisParcel, Carriage: carriage}}
	if slices.Contains(x.parcel, 1) {
		h.Parcels = append(h.Parcels, Parcel{ID: "rest"})
	}
	s := *p.base
	s.index, s.report = &x, &source.Report{}
	s.st = &Statement{Home: h.Home}
	return &s
}
