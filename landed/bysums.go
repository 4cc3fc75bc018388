package landed

import (
	"math/big"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

func (p *parcelPricer) Counts(lots []int, freight, insurance, fees money.Amount) (least, most int64, err error) {
	parcels, _, err := p.boxed(lots, Carriage{freight, insurance, fees})
	if err != nil || p.border == nil {
		return 0, 0, err
	}
	least = p.meter.Counts(&parcels[0])
	others := customs.Parcel{Lines: []customs.Line{p.shareOfOthers(lots)}}
	return least, least + p.meter.Counts(&others), nil
}

// beside is a parcel and one more that counts with it, so that they come to a sum.
func (p *parcelPricer) beside(one customs.Parcel, sum int64) []customs.Parcel {
	p.both[0], p.both[1] = one, customs.Parcel{Seller: one.Seller, Sellers: one.Sellers, Lines: p.rest[:]}
	more := sum
	if sum > 0 {
		more -= p.meter.Counts(&one)
	}
	p.rest[0] = customs.Line{Count: 1, Value: money.New(max(more, 0), p.border.rules.Currency)}
	if more <= 0 {
		return p.both[:1]
	}
	return p.both[:2]
}

func (p *parcelPricer) BySums(lots []int, freight, insurance, fees money.Amount) (func(sums []int64, together int64) (planning.BySums, error), bool) {
	if p.asked == nil || !p.bySums || len(p.percents) > 0 {
		return nil, false
	}
	parcels, sent, err := p.boxed(lots, Carriage{freight, insurance, fees})
	if err != nil {
		return nil, false
	}
	one, ok := parcels[0], false
	of := make([]int, len(p.classes)) // the line of each class, and one more; 0 is none
	if one.Lines, ok = byClass(nil, parcels[0].Lines, p.border.rules.Currency); !ok {
		return nil, false
	}
	for i := range one.Lines {
		class, known := p.classes[one.Lines[i].Class]
		if !known {
			return nil, false
		}
		of[class] = i + 1
	}
	bare, more := slices.Clone(one.Lines), slices.Clone(one.Lines)
	others := p.shareOfOthers(lots)
	for i := range more {
		if !merge(&more[i], &others, p.border.rules.Currency) {
			return nil, false
		}
	}
	at := func(lines []customs.Line, sums []int64, together int64) (int64, error) {
		copy(one.Lines, lines)
		for class, sum := range sums {
			if of[class] > 0 {
				l := &one.Lines[of[class]-1]
				l.Value = money.New(l.Value.Minor()+sum, p.border.rules.Currency)
			}
		}
		asked, err := p.ask(p.beside(one, together), Bill{}, &Bill{})
		if err == nil {
			asked, err = asked.Add(sent)
		}
		return asked.Minor(), err
	}
	return func(sums []int64, together int64) (bound planning.BySums, err error) {
		bound.Least, err = at(bare, sums, together)
		bound.Most, bound.Trail = bound.Least, p.meter.Trail()
		if err != nil || others == (customs.Line{}) {
			return bound, err
		}
		bound.Most, err = at(more, sums, together)
		bound.Trail = bound.Trail*31 + p.meter.Trail()
		return bound, err
	}, true
}

func (p *parcelPricer) Rounded() (int64, *big.Rat, bool, error) {
	if p.border == nil {
		return 0, new(big.Rat), true, nil
	}
	most, steepest, rises := p.meter.Rounded()
	home, err := p.border.toHome(p.border.rules.Currency)
	if err != nil {
		return 0, nil, false, err
	}
	most.Add(most.Mul(most, home), p.border.lostToHome())
	if whole, _ := exact.Floor(most); whole < 1<<50 {
		return whole + 1, steepest.Mul(steepest, home), rises, nil
	}
	return 0, nil, false, money.ErrOverflow
}

// shareOfOthers is what those lots bear of the haul's charges at the border whose prices change and
// that are not in a parcel: without them it falls to the others, and to each a minor unit more at
// most.
func (p *parcelPricer) shareOfOthers(lots []int) customs.Line {
	none := money.New(0, p.border.rules.Currency)
	all := customs.Line{Value: none, Freight: none, Insurance: none, OtherFees: none}
	for _, lot := range p.lots {
		if slices.Contains(lots, lot) {
			continue
		}
		for i := p.base.start[lot]; i < p.base.start[lot+1]; i++ {
			l := p.goods[i]
			merge(&all, &customs.Line{Value: l.Value, Freight: l.Freight, Insurance: l.Insurance, OtherFees: l.OtherFees}, p.border.rules.Currency)
		}
	}
	if all.Value.Minor() == 0 && (!p.CountsFreight() || all.Freight.Minor() == 0 && all.Insurance.Minor() == 0 && all.OtherFees.Minor() == 0) {
		return customs.Line{}
	}
	for _, sum := range []*money.Amount{&all.Value, &all.Freight, &all.Insurance, &all.OtherFees} {
		if sum.Minor() > 0 {
			*sum = money.New(sum.Minor()+int64(len(p.goods)), p.border.rules.Currency)
		}
	}
	return all
}
