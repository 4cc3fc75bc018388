package landed

import (
	"cmp"
	"fmt"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/planning"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// pricer is a haul made ready for planners, who ask many times over what [Split] would say of it:
// at other prices of some lots ([NewRepricer]), or of some lots in one parcel ([NewParcelPricer]).
// It counts with Split's own code.
type pricer struct {
	base     *splitter
	fixed    int64           // what does not depend on the prices, the border aside
	lots     []int           // whose prices change
	percents []percentCharge // that may cover one of them
	border   *assessor       // nil without a border
	meter    planning.Border[customs.Parcel, customs.Fee, customs.ParcelAssessment]
	items    [][]int // that customs looks at, by parcel
	sent     []customs.Parcel
	goods    []customs.Line               // at the prices asked about last: the border's, or merged
	bare     []customs.Line               // those before any price
	merged   bool                         // one line stands for all items of a class in a parcel
	bySums   bool                         // what the border asks goes by sums over classes
	classes  map[string]int               // then: the place of each, in each parcel
	single   splitter                     // of the haul with every lot open, to price one at a time
	values   []customs.Line               // that it fills, all else being the same for every price
	priced   []map[money.Amount]pricedLot // by place in lots
}

// percentCharge is a charge that is a percentage of prices, on some items.
type percentCharge struct {
	charge *Charge
	line   Line
	group
}

// pricedLot is a lot at one price.
type pricedLot struct {
	home   int64   // price and premium
	values []int64 // by item of the lot, in the territory's currency
	sums   []int64 // of them, by class; nil where what the border asks does not go by them
}

// newPricer makes a haul ready in the parcels it has, or, where it is to be divided, without what
// is asked for each parcel. The errors are those of Split with the lots whose prices change, by
// their places, at a price of nothing.
func newPricer(h *Haul, lots []int, divided bool) (*pricer, error) {
	if err := h.noLots("lots", lots); err != nil {
		return nil, err
	}
	free := *h.OpenAsFree()
	free.Lots = slices.Clone(free.Lots)
	for _, i := range lots {
		lot := &free.Lots[i]
		lot.Open, lot.Price, lot.Settled = true, money.Amount{}, money.Amount{}
	}
	if _, err := Split(&free); err != nil {
		return nil, err
	}
	p := &pricer{base: newSplitter(&free), lots: lots, priced: make([]map[money.Amount]pricedLot, len(lots))}
	for n := range lots {
		p.priced[n] = map[money.Amount]pricedLot{}
	}
	p.base.lots()
	p.open()
	p.base.parcels()
	p.charges(divided)
	p.base.repairs()
	for i := range p.base.st.Lines {
		p.fixed += p.base.st.Lines[i].Home.Minor()
	}
	p.bills()
	if err := p.customs(divided); err != nil {
		return nil, err
	}
	return p, p.base.report.Err()
}

// noLots refuses places at which there is no lot.
func (h *Haul) noLots(field string, places []int) error {
	for _, i := range places {
		if i < 0 || i >= len(h.Lots) {
			return source.Faults{{Field: field, What: fmt.Sprintf("the haul has no lot at place %d", i), Remedy: "name lots by their places in the haul, the first being 0"}}
		}
	}
	return nil
}

// open prepares the haul with every lot open, of which no line is made.
func (p *pricer) open() {
	h := *p.base.haul
	h.Lots = slices.Clone(h.Lots)
	for i := range h.Lots {
		h.Lots[i].Open, h.Lots[i].Settled = true, money.Amount{}
	}
	p.single = *p.base
	p.single.index = p.base.over(&h)
}

// charges adds the lines of charges, but for those that follow the prices.
func (p *pricer) charges(divided bool) {
	s := p.base
	all := s.haul.Charges
	var fixed []Charge
	for i := range all {
		c := &all[i]
		if divided && c.Per == PerParcel {
			continue
		}
		if !c.OfPrice || c.Settled.Currency() != 0 {
			fixed = append(fixed, *c)
			continue
		}
		for _, g := range s.groups(c, s.covered(c, s.report)) {
			p.percents = append(p.percents, percentCharge{c, s.line(c), g})
		}
	}
	h := *s.haul
	h.Charges = fixed
	s.index = s.over(&h)
	s.charges()
}

// bills adds what the border has asked to what is fixed.
func (p *pricer) bills() {
	s := p.base
	all := []Bill{{}}
	if s.haul.Border != nil {
		all[0] = s.haul.Border.Bill
	}
	for i := range s.haul.Parcels {
		all = append(all, s.haul.Parcels[i].Bill)
	}
	for i := range all {
		for _, k := range [...]Kind{Duty, Tax, Fee} {
			if asked := all[i].of(k); asked.Currency() != 0 {
				home, err := s.rates.Cost(asked)
				s.report.AddErr(s.haul.At, "assessed", err)
				p.fixed += home.Minor()
			}
		}
	}
}

// customs prepares what the border looks at: nothing where a parcel is empty, or all is billed.
func (p *pricer) customs(divided bool) error {
	if p.base.haul.Border == nil || p.base.haul.Billed() {
		return nil
	}
	a, ok := p.base.assessor()
	if !ok || !a.value(p.base.st.Lines) {
		return p.base.report.Err()
	}
	c := a.consignments()
	p.sent, p.items = c.Parcels, a.charged()
	if slices.ContainsFunc(p.sent, func(one customs.Parcel) bool { return len(one.Lines) == 0 }) {
		return nil
	}
	if divided {
		c = a.bySeller()
	}
	var err error
	if p.meter, err = customs.NewMeter(a.rules, c); err != nil {
		return err
	}
	p.border, p.goods, p.bare, p.values = a, a.lines, slices.Clone(a.lines), slices.Clone(a.lines)
	if p.bySums = p.meter.Sums(); p.bySums {
		p.number()
	}
	return nil
}

// bySeller is what customs may have to look at, a parcel for each seller.
func (a *assessor) bySeller() *customs.Consignments {
	first := func(seller string) int {
		return slices.IndexFunc(a.haul.Lots, func(l Lot) bool { return l.Seller == seller })
	}
	a.parts = a.together(slices.Concat(a.charged()...), func(i int) int { return first(a.haul.Lots[a.lotOf(i)].Seller) })
	return a.consignments()
}

// classIn is what a class in a parcel is known by.
func (p *pricer) classIn(parcel int, class string) string {
	if id := p.base.parcelID(parcel); id != "" {
		return id + "\x00" + class
	}
	return class
}

// number finds the places of classes, those of one parcel after those of another.
func (p *pricer) number() {
	p.classes = map[string]int{}
	for n := range p.sent {
		for _, l := range p.sent[n].Lines {
			name := p.classIn(n, l.Class)
			if _, known := p.classes[name]; !known {
				p.classes[name] = len(p.classes)
			}
		}
	}
}

// moves reports whether the haul can be answered for at other prices: nothing was found in it, of
// several parcels each holds something that customs looks at, and all that the border may ask can
// be shared.
func (p *pricer) moves() bool {
	if p.base.anyFound() || p.border == nil && len(p.sent) > 1 {
		return false
	}
	for _, k := range [...]Kind{Duty, Tax, Fee} {
		line := Line{Kind: k, By: p.base.haul.Share.of(k), Home: money.New(1, p.base.haul.Home)}
		if line.By == ByAssessed || p.border == nil {
			continue
		}
		for _, items := range p.items {
			if _, faults := p.base.weights.share(&line, items); faults != nil {
				return false
			}
		}
	}
	return true
}

// at is a lot, by its place in lots, at a price.
func (p *pricer) at(n int, price money.Amount) (pricedLot, error) {
	if known, ok := p.priced[n][price]; ok {
		return known, nil
	}
	s, lot := p.single, p.lots[n]
	s.haul.Lots[lot].Open, s.haul.Lots[lot].Price = false, price
	s.again()
	s.st = &Statement{Home: s.haul.Home}
	s.lots()
	s.haul.Lots[lot].Open = true
	if err := s.report.Err(); err != nil {
		return pricedLot{}, err
	}
	is := pricedLot{home: s.prices[lot].Minor()}
	if p.border != nil {
		a := *p.border
		a.splitter, a.lines = &s, p.values
		first, end := s.start[lot], s.start[lot+1]
		for i := first; i < end; i++ {
			a.lines[i].Value = money.New(0, a.rules.Currency)
		}
		if !a.value(s.st.Lines) {
			return pricedLot{}, s.report.Err()
		}
		if p.bySums {
			is.sums = make([]int64, len(p.classes))
		}
		for i := first; i < end; i++ {
			value := a.lines[i].Value.Minor()
			if is.values = append(is.values, value); p.bySums && s.items[i].Count > 0 {
				is.sums[p.classes[p.classIn(s.parcel[lot], a.lines[i].Class)]] += value
			}
		}
	}
	p.priced[n][price] = is
	return is, nil
}

// paid is what the haul costs at some prices without the border, into whose lines they go.
func (p *pricer) paid(prices []money.Amount) (money.Amount, error) {
	s, sums := p.base, tally.Tally{}
	s.again()
	sum := money.New(p.fixed, s.haul.Home)
	copy(p.goods, p.bare)
	for n, price := range prices {
		is, err := p.at(n, price)
		if err != nil {
			return sum, err
		}
		lot := p.lots[n]
		s.prices[lot] = money.New(is.home, s.haul.Home)
		sum = sums.Add(sum, s.prices[lot])
		lines, values := p.goods, is.sums
		if !p.merged && p.border != nil {
			lines, values = lines[s.start[lot]:], is.values
		}
		for i, value := range values {
			lines[i].Value = sums.Add(lines[i].Value, money.New(value, p.border.rules.Currency))
		}
	}
	for i := range p.percents {
		of := &p.percents[i]
		s.st.Lines = s.st.Lines[:0]
		s.addCharge(of.charge, of.line, of.group, "amount")
		for k := range s.st.Lines {
			if sum = sums.Add(sum, s.st.Lines[k].Home); p.border != nil {
				p.border.valueLine(&s.st.Lines[k])
			}
		}
	}
	return sum, cmp.Or(sums.Err, s.report.Err())
}

// Terms is that of [planning.Prices] and of [planning.Parcels].
func (p *pricer) Terms(n int, price money.Amount) ([]int64, bool, error) {
	if n < 0 || n >= len(p.lots) {
		return nil, false, nil
	}
	is, err := p.at(n, price)
	if err != nil || p.border != nil && !p.bySums {
		return nil, false, err
	}
	var terms []int64
	covered := func(item int) bool { return p.base.lotOf(item) == p.lots[n] }
	for i := range p.percents { // what a charge comes to hangs on the sum that it is a part of
		home := int64(0)
		if slices.ContainsFunc(p.percents[i].items, covered) {
			home = is.home
		}
		terms = append(terms, home)
	}
	return append(terms, is.sums...), true, nil
}

// ask is what the border asks for the first of some parcels, in home, but for what is billed. It is
// added to a sum by kinds too.
func (p *pricer) ask(parcels []customs.Parcel, billed Bill, asked *Bill) (money.Amount, error) {
	duty, tax, fees, err := p.meter.Parcel(parcels)
	all, sums := money.New(0, p.base.haul.Home), tally.Tally{Err: err}
	add := func(to *money.Amount, known, asked money.Amount) {
		if sums.Err == nil && known.Currency() == 0 {
			home := sums.Of(p.base.rates.Cost(asked))
			all = sums.Add(all, home)
			*to = money.New(to.Minor()+home.Minor(), p.base.haul.Home)
		}
	}
	add(&asked.Duty, billed.Duty, duty)
	add(&asked.Tax, billed.Tax, tax)
	for i := range fees {
		add(&asked.Fee, billed.Fee, fees[i].Amount)
	}
	return all, sums.Err
}

// byClass appends one line for all of a class among some lines, in the order in which the classes
// first come; false where their weights fit nowhere.
func byClass(to, lines []customs.Line, in money.Currency) ([]customs.Line, bool) {
	first := len(to)
	for i := range lines {
		l := &lines[i]
		if at := slices.IndexFunc(to[first:], func(all customs.Line) bool { return all.Class == l.Class }); at < 0 {
			to = append(to, *l)
		} else if !merge(&to[first+at], l, in) {
			return nil, false
		}
	}
	return to, true
}

// merge adds a line to one of its class; false where their weight fits nowhere.
func merge(all, l *customs.Line, in money.Currency) bool {
	weight, err := all.Weight.Add(l.Weight)
	if err != nil {
		return false
	}
	for _, sum := range [...]struct{ to, of *money.Amount }{{&all.Value, &l.Value}, {&all.Freight, &l.Freight}, {&all.Insurance, &l.Insurance}, {&all.OtherFees, &l.OtherFees}} {
		*sum.to = money.New(sum.to.Minor()+sum.of.Minor(), in)
	}
	all.Weight, all.Count, all.Unweighed = weight, all.Count+l.Count, all.Unweighed || l.Unweighed
	return true
}
