package landed

import (
	"encoding/binary"
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// parcelPricer answers for a haul that is to be divided what some of its lots cost in one parcel:
// where [planning.Parcels.Additive] says so, the parcels' answers and [planning.Parcels.FixedCost]
// sum to Split's total for any division of the lots.
//
// What the haul says of parcels is left aside, and so is a bill of customs,
// which is for the parcels that were.
type parcelPricer struct {
	*pricer
	haul     Haul
	cost     money.Amount // apart from the parcels
	wide     bool         // a rule looks beyond one parcel
	alike    bool         // and says the same however the lots are divided
	freight  bool         // rules look at what it costs to send the parcel
	together planning.Together
	counts   bool                    // whether that is all that rules look at beyond a parcel
	apart    *assessor               // of the parcel asked about and the rest, with what is asked for each parcel alone
	asked    map[string]money.Amount // by key, once prices move; see [planning.Parcels.At]
	key      []byte
	last     []int             // the lots asked for last; none where what was asked is of no more use
	levy     money.Amount      // what the border asks for them
	held     []int             // the items in the parcel asked about
	boxes    [2]customs.Parcel // that, and the rest
	both     [2]customs.Parcel // of beside
	rest     [1]customs.Line
}

// mostAsked is how many parcels at other prices are remembered.
const mostAsked = 200_000

// Carriage is what sending one parcel costs, besides what the haul's charges
// ask for each parcel. An amount without a currency is none. Fees are what is
// asked for the parcel beside freight and insurance.
type Carriage struct{ Freight, Insurance, Fees money.Amount }

// NewParcelPricer makes a haul ready for planners, open prices counting as nothing. It returns the
// faults that Split would.
func NewParcelPricer(h *Haul) (planning.Parcels, error) {
	if h == nil {
		return nil, noHaul
	}
	p := &parcelPricer{haul: *h.WithoutLost().WithoutBills()}
	p.haul.Parcels = nil
	made, err := newPricer(&p.haul, nil, true)
	if err != nil {
		return nil, err
	}
	if p.use(made); p.border != nil {
		p.alike = !p.wide || p.meter.Divisible()
	}
	p.cost, err = p.paid(nil)
	return p, err
}

// use answers by a haul made ready from then on.
func (p *parcelPricer) use(made *pricer) {
	p.pricer = made
	p.base.rates.Keep()
	h := p.haul
	h.Charges = slices.DeleteFunc(slices.Clone(h.Charges), func(charge Charge) bool { return charge.Per != PerParcel })
	h.Parcels = []Parcel{{ID: thisParcel}, {ID: "rest"}}
	s := *p.base
	s.index, s.report, s.st = s.over(&h), &collect.Report{}, &Statement{Home: h.Home}
	s.parcel = slices.Clone(s.parcel)
	if p.apart = (&assessor{splitter: &s}); p.border == nil {
		return
	}
	p.apart = s.assessorBy(p.border.rules)
	p.apart.known = map[money.Amount]money.Amount{}
	p.wide, p.freight = p.border.rules.CountsTogether(), p.border.rules.CountsFreight()
	p.together, p.counts = p.meter.Together()
}

// thisParcel is the id of the parcel asked about.
const thisParcel = "this"

func (p *parcelPricer) At(lots []int, prices []money.Amount) (bool, error) {
	if p.asked == nil {
		if _, ok := p.Together(); !ok || len(p.apart.haul.Charges) > 0 || p.holdsNothing() {
			return false, nil
		}
		made, err := newPricer(&p.haul, lots, true)
		if err != nil || !made.moves() {
			return false, err
		}
		p.use(made)
		p.asked = map[string]money.Amount{}
	}
	if len(prices) != len(p.lots) {
		return false, source.Faults{{Field: "prices", What: fmt.Sprintf("there are %d prices for %d lots", len(prices), len(p.lots)), Remedy: "give each lot one"}}
	}
	var err error
	p.last = p.last[:0] // they had other prices
	p.cost, err = p.paid(prices)
	return err == nil, err
}

// holdsNothing reports whether some lot has no pieces that were paid for.
func (p *parcelPricer) holdsNothing() bool {
	return slices.ContainsFunc(p.haul.Lots, func(l Lot) bool {
		return !slices.ContainsFunc(l.Items, func(it Item) bool { return it.Count > 0 })
	})
}

func (p *parcelPricer) Same(a, b int) bool {
	n := len(p.haul.Lots)
	if a < 0 || b < 0 || a >= n || b >= n || p.border == nil {
		return p.border == nil
	}
	lines := func(lot int) []customs.Line {
		list := slices.Clone(p.goods[p.base.start[lot]:p.base.start[lot+1]])
		for i := range list {
			list[i].ID = ""
		}
		return list
	}
	return slices.Equal(lines(a), lines(b))
}

func (p *parcelPricer) FixedCost() money.Amount { return p.cost }

func (p *parcelPricer) Additive() bool { return !p.wide || p.alike && !p.valuedByParcel() }

// valuedByParcel reports whether what is asked for each parcel is part of what its goods are worth.
func (p *parcelPricer) valuedByParcel() bool {
	return slices.ContainsFunc(p.apart.haul.Charges, func(c Charge) bool { return c.Dutiable == AsGoods })
}

func (p *parcelPricer) CountsFreight() bool { return p.freight }

func (p *parcelPricer) Together() (planning.Together, bool) {
	return p.together, p.border == nil || p.counts
}

func (p *parcelPricer) Parcel(lots []int, freight, insurance, fees money.Amount) (money.Amount, error) {
	return p.parcel(lots, Carriage{freight, insurance, fees}, nil)
}

func (p *parcelPricer) Beside(lots []int, freight, insurance, fees money.Amount, sum int64) (money.Amount, error) {
	return p.parcel(lots, Carriage{freight, insurance, fees}, &sum)
}

// parcel is what some lots cost in one parcel, as in [planning.Parcels.Beside] where there is a
// sum. Services are asked for one parcel after the other, so that where the border does not look at
// what they ask its last answer is kept.
func (p *parcelPricer) parcel(lots []int, carriage Carriage, together *int64) (money.Amount, error) {
	sum, err := p.unlevied(lots, carriage)
	if err != nil || p.border == nil {
		return sum, err
	}
	if p.freight || together != nil || !slices.Equal(lots, p.last) {
		parcels, err := p.parcels()
		if err != nil {
			return sum, err
		}
		if p.last = p.last[:0]; together != nil {
			parcels = p.beside(parcels[0], *together)
		}
		if p.levy, err = p.levied(lots, parcels); err != nil {
			return sum, err
		}
		if together == nil {
			p.last = append(p.last, lots...)
		}
	}
	return sum.Add(p.levy)
}

// boxed is some lots in one parcel, and all others in another where rules look at it, as customs
// sees them, and what the first costs without the border. It is good until it is asked again.
func (p *parcelPricer) boxed(lots []int, carriage Carriage) ([]customs.Parcel, money.Amount, error) {
	sum, err := p.unlevied(lots, carriage)
	if err != nil || p.border == nil {
		return nil, sum, err
	}
	parcels, err := p.parcels()
	return parcels, sum, err
}

// unlevied is what some lots in one parcel cost without the border.
func (p *parcelPricer) unlevied(lots []int, carriage Carriage) (money.Amount, error) {
	a, sum := p.apart, money.New(0, p.haul.Home)
	if err := p.haul.noLots("parcel", lots); err != nil {
		return sum, err
	}
	if len(lots) == 0 {
		return sum, source.Faults{{Field: "parcel", What: "the parcel holds no lots", Remedy: "name one or more"}}
	}
	a.again()
	a.st.Lines = a.st.Lines[:0]
	for i := range a.parcel {
		a.parcel[i] = 1
	}
	for _, lot := range lots {
		a.parcel[lot] = 0
	}
	p.held = p.held[:0]
	for lot, box := range a.parcel {
		if box == 0 {
			p.held = append(p.held, a.all[a.start[lot]:a.start[lot+1]]...)
		}
	}
	sum = p.carry(carriage, sum)
	a.charges()
	for i := range a.st.Lines {
		if l := &a.st.Lines[i]; l.Parcel == thisParcel {
			sum = a.plus(sum, l.Home, spot{of: p.haul.At, field: "parcel"})
		}
	}
	return sum, a.report.Err()
}

// carry adds what it costs to send the items held to a sum, or lines of it, shared, where the
// border looks at that.
func (p *parcelPricer) carry(carriage Carriage, sum money.Amount) money.Amount {
	a := p.apart
	for _, c := range [...]parcelCost{{Freight, "freight", carriage.Freight, money.Amount{}}, {Insurance, "insurance", carriage.Insurance, money.Amount{}}, {Fee, "fees", carriage.Fees, money.Amount{}}} {
		if c.asked.Currency() == 0 {
			continue
		}
		if home, err := a.rates.Cost(c.asked); err == nil && !p.freight {
			sum = a.plus(sum, home, spot{of: p.haul.At, field: "parcel"})
			continue
		}
		a.st.Lines = append(a.st.Lines, Line{What: "parcel " + thisParcel, Kind: c.kind, Parcel: thisParcel, Times: 1, By: a.haul.Share.of(c.kind), paid: paid{amount: c.asked}})
		line, at := &a.st.Lines[len(a.st.Lines)-1], spot{of: p.haul.At, key: c.key, field: "parcel " + thisParcel}
		if a.convert(line, money.Amount{}, at) {
			a.share(line, p.held, at)
		}
	}
	return sum
}

// parcels are the lots in one parcel, and all others in another where rules look at it.
func (p *parcelPricer) parcels() ([]customs.Parcel, error) {
	a, lines := p.apart, [2][]customs.Line{p.goods, p.goods}
	switch {
	case len(a.haul.Charges) > 0:
		copy(a.lines, p.goods)
		lines = [2][]customs.Line{a.lines, a.lines}
	case p.freight:
		for _, i := range p.held {
			a.lines[i] = p.goods[i]
		}
		lines[0] = a.lines
	}
	if !a.value(a.st.Lines) {
		return nil, a.report.Err()
	}
	p.boxes = [2]customs.Parcel{{Lines: p.boxes[0].Lines[:0]}, {Lines: p.boxes[1].Lines[:0]}}
	for lot, box := range a.parcel {
		if box == 0 || p.wide {
			a.pack(&p.boxes[box], lot, lines[box])
		}
	}
	if len(p.boxes[1].Lines) == 0 {
		return p.boxes[:1], nil
	}
	return p.boxes[:], nil
}

// pack adds a lot to a parcel.
func (a *assessor) pack(to *customs.Parcel, lot int, lines []customs.Line) {
	for i := a.start[lot]; i < a.start[lot+1]; i++ {
		if a.items[i].Count > 0 {
			addSeller(to, a.haul.Lots[lot].Seller, len(to.Lines) == 0)
			to.Lines = append(to.Lines, lines[i])
		}
	}
	to.TaxPaid, to.Private, to.Fees = a.border.TaxPaid, a.border.Private, a.border.Fees
}

// levied is what the border asks for the first of some parcels, which holds some lots, in home. At
// other prices of a haul the same goods are met again and again.
func (p *parcelPricer) levied(lots []int, parcels []customs.Parcel) (money.Amount, error) {
	if p.asked != nil {
		p.keyOf(lots, parcels)
		if sum, known := p.asked[string(p.key)]; known {
			return sum, nil
		}
	}
	sum, err := p.ask(parcels, Bill{}, &Bill{})
	if p.asked != nil && err == nil {
		if len(p.asked) == mostAsked {
			clear(p.asked)
		}
		p.asked[string(p.key)] = sum
	}
	return sum, err
}

// keyOf makes the key of a parcel, which tells what it holds and at which values, and of another
// that counts with it.
func (p *parcelPricer) keyOf(lots []int, parcels []customs.Parcel) {
	p.key = binary.AppendVarint(p.key[:0], int64(len(lots)))
	for _, lot := range lots {
		p.key = binary.AppendVarint(p.key, int64(lot))
	}
	for i := range parcels {
		for j := range parcels[i].Lines {
			l := &parcels[i].Lines[j]
			for _, a := range [...]money.Amount{l.Value, l.Freight, l.Insurance, l.OtherFees} {
				p.key = binary.AppendVarint(p.key, a.Minor())
			}
		}
	}
}
