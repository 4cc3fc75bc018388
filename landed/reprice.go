package landed

import (
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Repricer is a haul in one parcel made ready to answer, many times over, what it
// would cost at other prices of some of its lots. It counts as [Split] does, with the
// same code: the answer is Split's total. It is not safe for concurrent use.
type Repricer struct {
	base     *splitter
	fixed    int64           // what does not depend on the prices, the border aside
	lots     []int           // whose prices change
	percents []percentCharge // that cover one of them
	border   *assessor       // nil without a border
	meter    *customs.Meter
	items    []int // that customs looks at
	lines    []customs.Line
	sent     [1]customs.Parcel
	priced   []map[money.Amount]pricedLot // by place in lots
}

// percentCharge is a charge that is a percentage of prices, on some items.
type percentCharge struct {
	charge *Charge
	line   Line
	group
	lots []int // covered, by their places in the haul
}

// pricedLot is a lot at one price.
type pricedLot struct {
	home   int64   // price and premium
	values []int64 // by item of the lot, in the territory's currency
}

// NewRepricer makes a haul ready; lots are the places of those whose prices change, which
// may be open. It returns nil where the haul has parcels of its own. The errors are those
// of [Split] at a price of nothing.
func NewRepricer(h *Haul, lots []int) (*Repricer, error) {
	if h == nil {
		return nil, ErrNoHaul
	}
	if len(h.Parcels) > 0 {
		return nil, nil
	}
	free := *h.WithoutBills().OpenAsFree()
	free.Lots = slices.Clone(free.Lots)
	for _, i := range lots {
		lot := &free.Lots[i]
		lot.Open, lot.Price, lot.Settled = true, money.Amount{}, money.Amount{}
	}
	if _, err := Split(&free); err != nil {
		return nil, err
	}
	r := &Repricer{base: newSplitter(&free), lots: lots, priced: make([]map[money.Amount]pricedLot, len(lots))}
	for n := range lots {
		r.priced[n] = map[money.Amount]pricedLot{}
	}
	r.base.lots()
	r.charges()
	r.base.repairs()
	for i := range r.base.st.Lines {
		r.fixed += r.base.st.Lines[i].Home.Minor()
	}
	if err := r.customs(); err != nil {
		return nil, err
	}
	return r, r.base.report.Err()
}

// charges adds the lines of charges, but for those that follow the prices that change.
func (r *Repricer) charges() {
	s := r.base
	all := s.haul.Charges
	var fixed []Charge
	for i := range all {
		c := &all[i]
		if !c.OfPrice || c.Settled.Currency() != 0 {
			fixed = append(fixed, *c)
			continue
		}
		for _, g := range s.groups(c, s.covered(c, s.report)) {
			p := percentCharge{charge: c, line: s.line(c), group: g}
			for _, item := range g.items {
				if lot := s.lotOf(item); !slices.Contains(p.lots, lot) {
					p.lots = append(p.lots, lot)
				}
			}
			r.percents = append(r.percents, p)
		}
	}
	h := *s.haul
	h.Charges = fixed
	x := *s.index
	x.haul = &h
	s.index = &x
	s.charges()
}

// customs prepares what the border looks at.
func (r *Repricer) customs() error {
	s := r.base
	if s.haul.Border == nil {
		return nil
	}
	a, ok := s.assessor()
	if !ok || !a.value(s.st.Lines) {
		return s.report.Err()
	}
	c := a.consignments()
	if len(c.Parcels[0].Lines) == 0 {
		return nil
	}
	var err error
	if r.meter, err = customs.NewMeter(a.rules, c); err != nil {
		return err
	}
	r.border, r.lines = a, slices.Clone(a.lines)
	r.items = a.charged()[0]
	r.sent[0] = c.Parcels[0]
	return nil
}

// at is a lot, by its place in lots, at a price.
func (r *Repricer) at(n int, price money.Amount) (pricedLot, error) {
	if known, ok := r.priced[n][price]; ok {
		return known, nil
	}
	s, lot := *r.base, r.lots[n]
	h := *s.haul
	h.Lots = make([]Lot, len(h.Lots))
	for i := range h.Lots {
		h.Lots[i].Open = true // no line of another lot is made
	}
	h.Lots[lot] = s.haul.Lots[lot]
	h.Lots[lot].Open, h.Lots[lot].Price = false, price
	x := *s.index
	x.haul, s.index = &h, &x
	s.st, s.report = &Statement{Home: h.Home}, &source.Report{}
	s.lots()
	if err := s.report.Err(); err != nil {
		return pricedLot{}, err
	}
	p := pricedLot{home: s.prices[lot].Minor()}
	if r.border != nil {
		a := *r.border
		a.splitter, a.lines = &s, slices.Clone(r.lines)
		first, end := s.start[lot], s.start[lot+1]
		for i := first; i < end; i++ {
			a.lines[i].Value = money.New(0, a.rules.Currency)
		}
		if !a.value(s.st.Lines) {
			return pricedLot{}, s.report.Err()
		}
		for i := first; i < end; i++ {
			p.values = append(p.values, a.lines[i].Value.Minor())
		}
	}
	r.priced[n][price] = p
	return p, nil
}

// Price returns what a lot, by its place among those whose prices change, costs at a price
// by itself: price and premium in home.
func (r *Repricer) Price(n int, price money.Amount) (money.Amount, error) {
	p, err := r.at(n, price)
	return money.New(p.home, r.base.haul.Home), err
}

// Total returns what the haul costs at some prices of the lots that change, in their order.
func (r *Repricer) Total(prices []money.Amount) (money.Amount, error) {
	s := r.base
	s.report = &source.Report{}
	sum := money.New(r.fixed, s.haul.Home)
	if r.border != nil {
		copy(r.border.lines, r.lines)
	}
	for n, price := range prices {
		p, err := r.at(n, price)
		if err != nil {
			return sum, err
		}
		s.prices[r.lots[n]] = money.New(p.home, s.haul.Home)
		if sum, err = sum.Add(s.prices[r.lots[n]]); err != nil {
			return sum, err
		}
		for i, value := range p.values {
			l := &r.border.lines[s.start[r.lots[n]]+i]
			if l.Value, err = l.Value.Add(money.New(value, l.Value.Currency())); err != nil {
				return sum, err
			}
		}
	}
	for i := range r.percents {
		var err error
		if sum, err = r.percent(&r.percents[i], sum); err != nil {
			return sum, err
		}
	}
	if r.border == nil {
		return sum, nil
	}
	return r.levied(sum)
}

// percent adds a charge that follows the prices.
func (r *Repricer) percent(p *percentCharge, sum money.Amount) (money.Amount, error) {
	s := r.base
	s.st.Lines = s.st.Lines[:0]
	s.addCharge(p.charge, p.line, p.group, "amount")
	if err := s.report.Err(); err != nil {
		return sum, err
	}
	for i := range s.st.Lines {
		if r.border != nil && !r.border.valueLine(&s.st.Lines[i]) {
			return sum, s.report.Err()
		}
		var err error
		if sum, err = sum.Add(s.st.Lines[i].Home); err != nil {
			return sum, err
		}
	}
	return sum, nil
}

// levied adds what the border asks.
func (r *Repricer) levied(sum money.Amount) (money.Amount, error) {
	for n, i := range r.items {
		r.sent[0].Lines[n] = r.border.lines[i]
	}
	duty, tax, fees, err := r.meter.Parcel(r.sent[:])
	if err != nil {
		return sum, err
	}
	for _, fee := range append([]customs.Fee{{Amount: duty}, {Amount: tax}}, fees...) {
		home, err := r.base.rates.Cost(fee.Amount.Decimal(), fee.Amount.Currency())
		if err == nil {
			sum, err = sum.Add(home)
		}
		if err != nil {
			return sum, err
		}
	}
	return sum, nil
}

// Terms tells how a price enters what the haul costs: two ways to price the lots cost the
// same, the prices themselves and their premiums aside, where the terms of all lots sum to
// the same. It is of a lot by its place among those whose prices change. It reports false
// where every price counts by itself.
func (r *Repricer) Terms(n int, price money.Amount) ([]int64, bool, error) {
	p, err := r.at(n, price)
	if err != nil {
		return nil, false, err
	}
	var terms []int64
	for i := range r.percents { // what a charge comes to hangs on the sum that it is a part of
		covers, home := r.percents[i].lots, int64(0)
		if slices.Contains(covers, r.lots[n]) {
			home = p.home
		}
		terms = append(terms, home)
	}
	if r.border == nil {
		return terms, true, nil
	}
	key, ok := r.meter.Sums()
	if !ok {
		return nil, false, nil
	}
	var keys []string
	for _, i := range r.items {
		if k := key(&r.border.lines[i]); !slices.Contains(keys, k) {
			keys = append(keys, k)
		}
	}
	values := make([]int64, len(keys))
	first := r.base.start[r.lots[n]]
	for i, value := range p.values {
		if r.base.items[first+i].Count == 0 {
			continue
		}
		values[slices.Index(keys, key(&r.border.lines[first+i]))] += value
	}
	return append(terms, values...), true, nil
}
