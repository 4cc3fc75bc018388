package landed

import (
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/planning"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
)

// repricer answers for a haul in the parcels it has at other prices of some of its lots. The answer
// is Split's total.
type repricer struct {
	*pricer
	turned []customs.Parcel // sent, the parcel asked about first
	asked  Bill             // of the prices asked about last, but for what is billed
}

// NewRepricer makes a haul ready; lots are the places of those whose prices change, which
// may be open. It returns nil where the haul has a lot that is lost, or pieces that were found,
// where one of several parcels holds nothing that customs looks at, and where what the border asks
// could not be shared. The errors are those of [Split] at a price of nothing.
func NewRepricer(h *Haul, lots []int) (planning.Prices, error) {
	if h == nil {
		return nil, noHaul
	}
	if slices.ContainsFunc(h.Lots, func(l Lot) bool { return l.Lost }) {
		return nil, h.noLots("lots", lots)
	}
	p, err := newPricer(h, lots, false)
	if err != nil || !p.moves() {
		return nil, err
	}
	if p.bySums && len(p.percents) == 0 {
		p.merge()
	}
	return &repricer{pricer: p}, nil
}

// merge has the border look at one line for all of a class in a parcel, where their weights fit
// somewhere.
func (p *pricer) merge() {
	sums, ends := make([]customs.Line, 0, len(p.classes)), make([]int, len(p.sent))
	for n := range p.sent {
		var ok bool
		if sums, ok = byClass(sums, p.sent[n].Lines, p.border.rules.Currency); !ok {
			return
		}
		ends[n] = len(sums)
	}
	first := 0
	for n, end := range ends {
		p.sent[n].Lines, first = sums[first:end:end], end
	}
	p.merged, p.goods, p.bare = true, sums, slices.Clone(sums)
}

func (r *repricer) Total(prices []money.Amount) (money.Amount, error) {
	sum, err := r.paid(prices)
	if err != nil {
		return sum, err
	}
	return r.levied(sum)
}

// AtBorder returns what the border is estimated to ask at the prices that the total of
// [NewRepricer] was asked at last, and how each parcel that is not billed stands there but for its
// lines: nothing without a border. It reports false where the value for customs takes every item
// to tell.
func AtBorder(prices planning.Prices) (Bill, []customs.ParcelAssessment, bool) {
	r, ok := prices.(*repricer)
	if !ok {
		return Bill{}, nil, false
	}
	if r.border == nil {
		return r.asked, nil, r.base.haul.Border == nil || r.base.haul.Billed()
	}
	var parcels []customs.ParcelAssessment
	for n := range r.sent {
		if bill := r.base.haul.billOf(n); bill.Whole() {
			continue
		}
		if len(r.sent) > 1 { // else it was asked about last
			if _, _, _, err := r.meter.Parcel(r.turn(n)); err != nil {
				return r.asked, nil, false
			}
		}
		last, ok := r.meter.Last()
		if !ok && r.merged {
			return r.asked, nil, false
		}
		parcels = append(parcels, last)
	}
	return r.asked, parcels, true
}

// levied adds what the border asks.
func (r *repricer) levied(sum money.Amount) (money.Amount, error) {
	none := money.New(0, r.base.haul.Home)
	r.asked = Bill{none, none, none}
	if r.border == nil {
		return sum, nil
	}
	if !r.merged {
		for n, items := range r.items {
			for k, i := range items {
				r.sent[n].Lines[k] = r.goods[i]
			}
		}
	}
	var sums tally.Tally
	for n := range r.sent {
		if bill := r.base.haul.billOf(n); !bill.Whole() {
			sum = sums.Add(sum, sums.Of(r.ask(r.turn(n), bill, &r.asked)))
		}
	}
	return sum, sums.Err
}

// turn is all parcels, one of them first.
func (r *repricer) turn(n int) []customs.Parcel {
	r.turned = append(append(append(r.turned[:0], r.sent[n]), r.sent[:n]...), r.sent[n+1:]...)
	return r.turned
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
	return r.merged && r.meter.Values() && (len(r.sent) == 1 || !r.border.rules.CountsTogether()) && !slices.ContainsFunc(r.bare, func(l customs.Line) bool { return l.Count == 0 })
}

func (r *repricer) Fixed() money.Amount { return money.New(r.fixed, r.base.haul.Home) }

func (r *repricer) Rest(classes []string, terms []int64) (money.Amount, bool, error) {
	sum := r.Fixed()
	if !r.merged {
		return sum, false, nil
	}
	copy(r.goods, r.bare)
	var sums tally.Tally
	for i, class := range classes {
		if at, known := r.classes[class]; known {
			r.goods[at].Value = sums.Add(r.goods[at].Value, money.New(terms[i], r.border.rules.Currency))
		}
	}
	if sums.Err != nil {
		return sum, true, sums.Err
	}
	sum, err := r.levied(sum)
	return sum, true, err
}
