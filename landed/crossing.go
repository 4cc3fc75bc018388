package landed

import (
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Crossing is a haul made ready to answer, many times over, what it would cost
// to send some of its lots in one parcel. It reckons as [Split] does, with the
// same code: where [Crossing.Adds] says so, the parcels' answers and
// [Crossing.Apart] sum to Split's total for any division of the lots.
//
// What the haul says of parcels is left aside, and so is a bill of customs,
// which is for the parcels that were.
type Crossing struct {
	haul  Haul
	index *index
	base  *splitter
	lines []customs.Line // by item, from what does not depend on the parcels
	rules *customs.Rules // nil without a border
	wide  bool           // a rule looks beyond one parcel
	apart money.Amount
}

// Carriage is what sending one parcel costs, besides what the haul's charges
// ask for each parcel. An amount without a currency is none. Fees are what is
// asked for the parcel beside freight and insurance.
type Carriage struct{ Freight, Insurance, Fees money.Amount }

// NewCrossing makes a haul ready. It returns the faults that Split would.
func NewCrossing(h *Haul) (*Crossing, error) {
	if h == nil {
		return nil, noHaul()
	}
	c := &Crossing{haul: *h.Present().Unbilled()}
	c.haul.Parcels = nil
	whole, err := Split(&c.haul)
	if err != nil {
		return nil, err
	}
	c.base = newSplitter(&c.haul)
	c.index = c.base.index
	c.base.lots()
	c.base.charges()
	if c.haul.Border != nil {
		a, ok := c.base.assessor()
		if !ok || !a.value(c.common()) {
			return nil, c.base.report.Err()
		}
		c.lines, c.rules, c.wide = a.lines, a.rules, a.rules.CountsTogether()
	}
	inOne, err := c.Parcel(c.everyLot(), Carriage{})
	if err != nil {
		return nil, err
	}
	c.apart, err = whole.Total.Sub(inOne)
	return c, err
}

// Apart returns what the haul costs apart from its parcels: prices, premiums,
// and charges that are not asked for each parcel.
func (c *Crossing) Apart() money.Amount { return c.apart }

// Adds reports whether the parcels' answers sum to Split's total for any
// division of the lots. They may not where a rule of the border counts several
// parcels together by what hangs on the division itself: freight, charges for
// each parcel that are part of the goods' value, or mixed parcels of several
// sellers.
func (c *Crossing) Adds() bool {
	if c.rules == nil || !c.wide {
		return true
	}
	for i := range c.haul.Charges {
		if charge := &c.haul.Charges[i]; charge.Dutiable == AsGoods && charge.Per == PerParcel {
			return false
		}
	}
	for i := range c.haul.Lots {
		if c.haul.Lots[i].Seller != c.haul.Lots[0].Seller {
			return !c.rules.DependsOnDivision(true)
		}
	}
	return !c.rules.DependsOnDivision(false)
}

// CountsFreight reports whether what the border asks may depend on the
// carriage. Where it does not, a parcel costs what it would for nothing, and
// the carriage converted to home line by line.
func (c *Crossing) CountsFreight() bool { return c.rules != nil && c.rules.CountsFreight() }

func (c *Crossing) everyLot() []int { return rangeOf(0, len(c.haul.Lots)) }

// common returns the lines that do not depend on the parcels.
func (c *Crossing) common() []Line {
	return slices.DeleteFunc(slices.Clone(c.base.st.Lines), func(l Line) bool { return l.perParcel })
}

// Parcel returns what sending some lots, by their places in the haul, in one
// parcel costs in home: carriage, charges asked for each parcel, duty, tax and
// border fees. The other lots are taken to travel apart from them on the same
// day, for rules that count them together. The errors are [source.Faults], or
// those of [customs.Assess].
func (c *Crossing) Parcel(lots []int, carriage Carriage) (money.Amount, error) {
	if i := slices.IndexFunc(lots, func(lot int) bool { return lot < 0 || lot >= len(c.haul.Lots) }); i >= 0 {
		return money.Amount{}, source.Faults{{Field: "parcel", What: fmt.Sprintf("the haul has no lot at place %d", lots[i]), Remedy: "name lots by their places in the haul, the first being 0"}}
	}
	if len(lots) == 0 {
		return money.Amount{}, source.Faults{{Field: "parcel", What: "the parcel holds no lots", Remedy: "name one or more"}}
	}
	s := c.with(lots, carriage)
	s.parcels()
	s.charges()
	if c.rules != nil {
		a := &assessor{splitter: s, border: c.haul.Border, rules: c.rules, lines: slices.Clone(c.lines)}
		if !a.value(s.st.Lines) {
			return money.Amount{}, s.report.Err()
		}
		if !c.wide {
			a.only = 1
		}
		consignments := a.consignments()
		assessed, err := customs.Assess(c.rules, consignments)
		if err != nil {
			return money.Amount{}, err
		}
		a.only = 1
		a.charge(assessed)
	}
	sum := money.New(0, c.haul.Home)
	for i := range s.st.Lines {
		if l := &s.st.Lines[i]; l.Parcel == thisParcel {
			sum = s.plus(sum, l.Home, spot{of: c.haul.At, field: "parcel"})
		}
	}
	return sum, s.report.Err()
}

// thisParcel is the id of the parcel asked about.
const thisParcel = "this"

// with returns a splitter for the haul in two parcels, this one and the rest,
// with only the charges that are asked for each parcel.
func (c *Crossing) with(lots []int, carriage Carriage) *splitter {
	h := c.haul
	h.Charges = slices.DeleteFunc(slices.Clone(h.Charges), func(charge Charge) bool { return charge.Per != PerParcel })
	x := *c.index
	x.haul = &h
	x.parcel = make([]int, len(h.Lots))
	for i := range x.parcel {
		x.parcel[i] = 1
	}
	for _, lot := range lots {
		x.parcel[lot] = 0
	}
	h.Parcels = []Parcel{{ID: thisParcel, Freight: carriage.Freight, Insurance: carriage.Insurance, Fees: carriage.Fees}}
	if slices.Contains(x.parcel, 1) {
		h.Parcels = append(h.Parcels, Parcel{ID: "rest"})
	}
	s := *c.base
	s.index, s.report = &x, &source.Report{}
	s.st = &Statement{Home: h.Home}
	return &s
}
