package landed

import (
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// repricer is a haul in one parcel made ready to answer, many times over, what it
// would cost at other prices of some of its lots. It counts as [Split] does, with the
// same code: the answer is Split's total. It is not safe for concurrent use.
type repricer struct {
	base     *splitter
	fixed    int64           // what does not depend on the prices, the border aside
	lots     []int           // whose prices change
	percents []percentCharge // that cover one of them
	border   *assessor       // nil without a border
	meter    planning.Border[customs.Parcel, customs.Fee, customs.ParcelAssessment]
	items    [][]int // that customs looks at, by parcel
	lines    []customs.Line
	sent     []customs.Parcel
	turned   []customs.Parcel             // sent, the parcel asked about first
	bySums   bool                         // what the border asks goes by sums over classes
	classes  map[string]int               // then: the place of each, in each parcel
	merged   bool                         // one line stands for all items of a class in a parcel
	sums     []customs.Line               // then: these, of all parcels
	start    []customs.Line               // as they are before any price
	single   splitter                     // of the haul with every lot open, to price one at a time
	values   []customs.Line               // that it fills, all else being the same for every price
	priced   []map[money.Amount]pricedLot // by place in lots
	asked    Bill                         // of the prices asked about last
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
	sums   []int64 // of them, by class; nil where what the border asks does not go by them
}

// NewRepricer makes a haul ready; lots are the places of those whose prices change, which
// may be open. It returns nil where the haul has a lot that is lost, or pieces that were found,
// where one of several parcels holds nothing that customs looks at, and where what the border asks
// could not be shared. The errors are those of [Split] at a price of nothing.
func NewRepricer(h *Haul, lots []int) (planning.Prices, error) {
	r, err := newRepricer(h, lots, true)
	if r == nil {
		return nil, err
	}
	return r, err
}

// newRepricer is NewRepricer; where nothing is merged, the border has a line for each item.
func newRepricer(h *Haul, lots []int, merge bool) (*repricer, error) {
	if h == nil {
		return nil, noHaul
	}
	for _, i := range lots {
		if i < 0 || i >= len(h.Lots) {
			return nil, noLotAt("lots", i)
		}
	}
	if slices.ContainsFunc(h.Lots, func(l Lot) bool { return l.Lost }) {
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
	r := &repricer{base: newSplitter(&free), lots: lots, priced: make([]map[money.Amount]pricedLot, len(lots))}
	if r.base.anyFound() {
		return nil, nil
	}
	for n := range lots {
		r.priced[n] = map[money.Amount]pricedLot{}
	}
	r.base.lots()
	r.open()
	r.base.parcels()
	r.charges()
	r.base.repairs()
	for i := range r.base.st.Lines {
		r.fixed += r.base.st.Lines[i].Home.Minor()
	}
	looked, err := r.customs(merge)
	if err == nil {
		err = r.base.report.Err()
	}
	if err != nil || !looked || !r.sharesLevies() {
		return nil, err
	}
	return r, nil
}

// sharesLevies reports whether all that the border may ask can be shared.
func (r *repricer) sharesLevies() bool {
	for _, k := range [...]Kind{Duty, Tax, Fee} {
		line := Line{Kind: k, By: r.base.haul.Share.of(k), Home: money.New(1, r.base.haul.Home)}
		if line.By == ByAssessed || r.border == nil {
			continue
		}
		for _, items := range r.items {
			if _, faults := r.base.weights.share(&line, items); faults != nil {
				return false
			}
		}
	}
	return true
}

// open prepares the haul with every lot open, of which no line is made.
func (r *repricer) open() {
	h := *r.base.haul
	h.Lots = slices.Clone(h.Lots)
	for i := range h.Lots {
		h.Lots[i].Open, h.Lots[i].Settled = true, money.Amount{}
	}
	r.single = *r.base
	r.single.index = r.base.over(&h)
}

// charges adds the lines of charges, but for those that follow the prices that change.
func (r *repricer) charges() {
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
	s.index = s.over(&h)
	s.charges()
}

// customs prepares what the border looks at; false where one of several parcels holds nothing.
func (r *repricer) customs(merge bool) (bool, error) {
	s := r.base
	if s.haul.Border == nil {
		return true, nil
	}
	a, ok := s.assessor()
	if !ok || !a.value(s.st.Lines) {
		return false, s.report.Err()
	}
	c := a.consignments()
	if slices.ContainsFunc(c.Parcels, func(p customs.Parcel) bool { return len(p.Lines) == 0 }) {
		return len(c.Parcels) == 1, nil
	}
	var err error
	if r.meter, err = customs.NewMeter(a.rules, c); err != nil {
		return false, err
	}
	r.border, r.lines, r.values = a, slices.Clone(a.lines), slices.Clone(a.lines)
	r.items = a.charged()
	r.sent = c.Parcels
	r.turned = make([]customs.Parcel, len(r.sent))
	if r.bySums = r.meter.Sums(); r.bySums {
		r.number()
		r.merged = merge && len(r.percents) == 0
	}
	if r.merged {
		r.merge()
	}
	return true, nil
}

// classIn is what a class in a parcel is known by.
func (r *repricer) classIn(parcel int, class string) string {
	if id := r.base.parcelID(parcel); id != "" {
		return id + "\x00" + class
	}
	return class
}

// number finds the places of classes, those of one parcel after those of another.
func (r *repricer) number() {
	r.classes = map[string]int{}
	for n := range r.sent {
		for _, l := range r.sent[n].Lines {
			name := r.classIn(n, l.Class)
			if _, known := r.classes[name]; !known {
				r.classes[name] = len(r.classes)
			}
		}
	}
}

// merge has the border look at one line for all of a class in a parcel, where their weights fit
// somewhere.
func (r *repricer) merge() {
	sums, ends := make([]customs.Line, 0, len(r.classes)), make([]int, len(r.sent))
	for n := range r.sent {
		if sums, r.merged = byClass(sums, r.sent[n].Lines, r.border.rules.Currency); !r.merged {
			return
		}
		ends[n] = len(sums)
	}
	first := 0
	for n, end := range ends {
		r.sent[n].Lines, first = sums[first:end:end], end
	}
	r.sums, r.start = sums, slices.Clone(sums)
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

// at is a lot, by its place in lots, at a price.
func (r *repricer) at(n int, price money.Amount) (pricedLot, error) {
	if known, ok := r.priced[n][price]; ok {
		return known, nil
	}
	s, lot := r.single, r.lots[n]
	s.haul.Lots[lot].Open, s.haul.Lots[lot].Price = false, price
	s.st, s.report = &Statement{Home: s.haul.Home}, &collect.Report{}
	s.lots()
	s.haul.Lots[lot].Open = true
	if err := s.report.Err(); err != nil {
		return pricedLot{}, err
	}
	p := pricedLot{home: s.prices[lot].Minor()}
	if r.border != nil {
		a := *r.border
		a.splitter, a.lines = &s, r.values
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
		if r.bySums {
			p.sums = make([]int64, len(r.classes))
			for i := first; i < end; i++ {
				if s.items[i].Count > 0 {
					p.sums[r.classes[r.classIn(s.parcel[lot], a.lines[i].Class)]] += a.lines[i].Value.Minor()
				}
			}
		}
	}
	r.priced[n][price] = p
	return p, nil
}

func (r *repricer) Total(prices []money.Amount) (money.Amount, error) {
	sum, err := r.paid(prices)
	if err != nil || r.border == nil {
		return sum, err
	}
	return r.levied(sum)
}

// paid is what the haul costs without the border, for which it puts its lines at the prices.
func (r *repricer) paid(prices []money.Amount) (money.Amount, error) {
	s := r.base
	s.report = &collect.Report{}
	sum := r.Fixed()
	if r.merged {
		copy(r.sums, r.start)
	} else if r.border != nil {
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
		if err := r.put(n, &p); err != nil {
			return sum, err
		}
	}
	for i := range r.percents {
		var err error
		if sum, err = r.percent(&r.percents[i], sum); err != nil {
			return sum, err
		}
	}
	return sum, nil
}

// AtBorder returns what the border asks at the prices that the total of [NewRepricer] was asked at
// last, and how each parcel stands there but for its lines: nothing without a border. It reports
// false where the value for customs takes every item to tell.
func AtBorder(prices planning.Prices) (Bill, []customs.ParcelAssessment, bool) {
	r, ok := prices.(*repricer)
	if !ok {
		return Bill{}, nil, false
	}
	if r.border == nil {
		zero := money.New(0, r.base.haul.Home)
		return Bill{zero, zero, zero}, nil, r.base.haul.Border == nil
	}
	parcels := make([]customs.ParcelAssessment, len(r.sent))
	for n := range r.sent {
		if len(r.sent) > 1 { // else it was asked about last
			if _, _, _, err := r.meter.Parcel(r.turn(n)); err != nil {
				return r.asked, nil, false
			}
		}
		if parcels[n], ok = r.meter.Last(); !ok && r.merged {
			return r.asked, nil, false
		}
	}
	return r.asked, parcels, true
}

func (r *repricer) put(n int, p *pricedLot) error {
	if r.border == nil {
		return nil
	}
	lines, values := r.border.lines[r.base.start[r.lots[n]]:], p.values
	if r.merged {
		lines, values = r.sums, p.sums
	}
	for i, value := range values {
		var err error
		if lines[i].Value, err = lines[i].Value.Add(money.New(value, r.border.rules.Currency)); err != nil {
			return err
		}
	}
	return nil
}

func (r *repricer) percent(p *percentCharge, sum money.Amount) (money.Amount, error) {
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

func (r *repricer) levied(sum money.Amount) (money.Amount, error) {
	if !r.merged {
		for n, items := range r.items {
			for k, i := range items {
				r.sent[n].Lines[k] = r.border.lines[i]
			}
		}
	}
	none := money.New(0, r.base.haul.Home)
	r.asked = Bill{none, none, none}
	for n := range r.sent {
		var err error
		if sum, err = r.askedFor(n, sum); err != nil {
			return sum, err
		}
	}
	return sum, nil
}

// turn is all parcels, one of them first.
func (r *repricer) turn(n int) []customs.Parcel {
	r.turned = append(append(append(r.turned[:0], r.sent[n]), r.sent[:n]...), r.sent[n+1:]...)
	return r.turned
}

// askedFor adds what the border asks for a parcel, beside the others.
func (r *repricer) askedFor(n int, sum money.Amount) (money.Amount, error) {
	duty, tax, fees, err := r.meter.Parcel(r.turn(n))
	if err != nil {
		return sum, err
	}
	home := r.base.haul.Home
	add := func(to *money.Amount, a money.Amount) {
		if err == nil && a.Currency() != home {
			a, err = r.base.rates.Cost(a)
		}
		if err == nil {
			sum, err = sum.Add(a)
			*to = money.New(to.Minor()+a.Minor(), home)
		}
	}
	add(&r.asked.Duty, duty)
	add(&r.asked.Tax, tax)
	for _, fee := range fees {
		add(&r.asked.Fee, fee.Amount)
	}
	return sum, err
}

func (r *repricer) Classes() []string {
	if !r.merged {
		return nil
	}
	list := make([]string, len(r.classes))
	for class, at := range r.classes {
		list[at] = class
	}
	return list
}

func (r *repricer) Levies() bool {
	return r.merged && r.meter.Values() && (len(r.sent) == 1 || !r.border.rules.CountsTogether()) && !slices.ContainsFunc(r.start, func(l customs.Line) bool { return l.Count == 0 })
}

func (r *repricer) Fixed() money.Amount { return money.New(r.fixed, r.base.haul.Home) }

func (r *repricer) Rest(classes []string, terms []int64) (money.Amount, bool, error) {
	sum := r.Fixed()
	if !r.merged {
		return sum, false, nil
	}
	copy(r.sums, r.start)
	for i, class := range classes {
		at, known := r.classes[class]
		if !known {
			continue
		}
		l := &r.sums[at]
		var err error
		if l.Value, err = l.Value.Add(money.New(terms[i], r.border.rules.Currency)); err != nil {
			return sum, true, err
		}
	}
	sum, err := r.levied(sum)
	return sum, true, err
}

func (r *repricer) Terms(n int, price money.Amount) ([]int64, bool, error) {
	p, err := r.at(n, price)
	if err != nil || r.border != nil && !r.bySums {
		return nil, false, err
	}
	var terms []int64
	for i := range r.percents { // what a charge comes to hangs on the sum that it is a part of
		home := int64(0)
		if slices.Contains(r.percents[i].lots, r.lots[n]) {
			home = p.home
		}
		terms = append(terms, home)
	}
	return append(terms, p.sums...), true, nil
}
