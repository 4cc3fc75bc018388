package landed

import (
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// parcelPricer is a haul made ready to answer, many times over, what it would cost
// to send some of its lots in one parcel. It counts as [Split] does, with the
// same code: where [planning.Parcels.Additive] says so, the parcels' answers and
// [planning.Parcels.FixedCost] sum to Split's total for any division of the lots.
//
// What the haul says of parcels is left aside, and so is a bill of customs,
// which is for the parcels that were.
type parcelPricer struct {
	haul  Haul
	base  *splitter
	lines []customs.Line // by item, from what does not depend on the parcels
	rules *customs.Rules // nil without a border
	wide  bool           // a rule looks beyond one parcel
	alike bool           // and says the same however the lots are divided
	quick *quick         // nil where the long way is needed
	fixed money.Amount
	at    *repricer // nil until some lots are given other prices
}

// Carriage is what sending one parcel costs, besides what the haul's charges
// ask for each parcel. An amount without a currency is none. Fees are what is
// asked for the parcel beside freight and insurance.
type Carriage struct{ Freight, Insurance, Fees money.Amount }

// NewParcelPricer makes a haul ready for planners. It returns the faults that Split would.
func NewParcelPricer(h *Haul) (planning.Parcels, error) {
	if h == nil {
		return nil, noHaul
	}
	p := &parcelPricer{haul: *h.WithoutLost().WithoutBills()}
	p.haul.Parcels = nil
	whole, err := Split(&p.haul)
	if err != nil {
		return nil, err
	}
	p.base = newSplitter(&p.haul)
	p.base.lots()
	p.base.charges()
	if p.haul.Border != nil {
		a, ok := p.base.assessor()
		common := slices.DeleteFunc(slices.Clone(p.base.st.Lines), func(l Line) bool { return l.perParcel }) // to all ways to send
		if !ok || !a.value(common) {
			return nil, p.base.report.Err()
		}
		p.lines, p.rules, p.wide = a.lines, a.rules, a.rules.CountsTogether()
		if p.wide {
			c, _ := a.bySeller()
			meter, err := customs.NewMeter(p.rules, c)
			if err != nil {
				return nil, err
			}
			p.alike = meter.Divisible()
		}
	}
	inOne, err := p.parcel(p.everyLot(), Carriage{})
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

func (p *parcelPricer) At(lots []int, prices []money.Amount) (bool, error) {
	if p.at == nil {
		if _, ok := p.Together(); !ok || p.quick == nil || p.holdsNothing() {
			return false, nil
		}
		var err error
		if p.at, err = newRepricer(&p.haul, lots, false); p.at == nil || err != nil {
			return false, err
		}
	}
	if len(prices) != len(p.at.lots) {
		return false, source.Faults{{Field: "prices", What: fmt.Sprintf("there are %d prices for %d lots", len(prices), len(p.at.lots)), Remedy: "give each lot one"}}
	}
	var err error
	if p.fixed, err = p.at.paid(prices); err == nil && p.at.border != nil {
		copy(p.lines, p.at.border.lines)
	}
	return err == nil, err
}

func (p *parcelPricer) Same(a, b int) bool {
	n := len(p.haul.Lots)
	if a < 0 || b < 0 || a >= n || b >= n || p.rules == nil {
		return p.rules == nil
	}
	lines := func(lot int) []customs.Line {
		list := slices.Clone(p.lines[p.base.start[lot]:p.base.start[lot+1]])
		for i := range list {
			list[i].ID = ""
		}
		return list
	}
	return slices.Equal(lines(a), lines(b))
}

// holdsNothing reports whether some lot has no pieces that were paid for.
func (p *parcelPricer) holdsNothing() bool {
	return slices.ContainsFunc(p.haul.Lots, func(l Lot) bool {
		return !slices.ContainsFunc(l.Items, func(it Item) bool { return it.Count > 0 })
	})
}

func (p *parcelPricer) FixedCost() money.Amount { return p.fixed }

func (p *parcelPricer) Additive() bool {
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

func (p *parcelPricer) CountsFreight() bool { return p.rules != nil && p.rules.CountsFreight() }

func (p *parcelPricer) everyLot() []int {
	lots := make([]int, len(p.haul.Lots))
	for i := range lots {
		lots[i] = i
	}
	return lots
}

func (p *parcelPricer) Parcel(lots []int, freight, insurance, fees money.Amount) (money.Amount, error) {
	return p.parcel(lots, Carriage{freight, insurance, fees})
}

func (p *parcelPricer) parcel(lots []int, carriage Carriage) (money.Amount, error) {
	if i := slices.IndexFunc(lots, func(lot int) bool { return lot < 0 || lot >= len(p.haul.Lots) }); i >= 0 {
		return money.Amount{}, noLotAt("parcel", lots[i])
	}
	if len(lots) == 0 {
		return money.Amount{}, source.Faults{{Field: "parcel", What: "the parcel holds no lots", Remedy: "name one or more"}}
	}
	if p.quick != nil && slices.IsSorted(lots) {
		if cost, ok := p.quick.parcel(lots, carriage, nil); ok {
			return cost, nil
		}
	}
	if p.at != nil {
		return money.Amount{}, money.ErrOverflow // nothing else stops the quick way
	}
	return p.long(lots, carriage)
}

func noLotAt(field string, place int) source.Faults {
	return source.Faults{{Field: field, What: fmt.Sprintf("the haul has no lot at place %d", place), Remedy: "name lots by their places in the haul, the first being 0"}}
}

// long answers with Split's own code, and words for what is wrong.
func (p *parcelPricer) long(lots []int, carriage Carriage) (money.Amount, error) {
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
func (p *parcelPricer) with(lots []int, carriage Carriage) *splitter {
	h := p.haul
	h.Charges = slices.DeleteFunc(slices.Clone(h.Charges), func(charge Charge) bool { return charge.Per != PerParcel })
	x := p.base.index.over(&h)
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
	s.index, s.report = x, &collect.Report{}
	s.st = &Statement{Home: h.Home}
	return &s
}
