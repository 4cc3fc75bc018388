package landed

import (
	"math/big"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

func (p *parcelPricer) Terms(n int, price money.Amount) ([]int64, bool, error) {
	if p.at == nil || n < 0 || n >= len(p.at.lots) || p.at.border == nil || len(p.at.percents) > 0 {
		return nil, false, nil
	}
	return p.at.Terms(n, price)
}

func (p *parcelPricer) Together() (planning.Together, bool) {
	if p.quick == nil || p.quick.meter == nil {
		return planning.Together{}, p.rules == nil
	}
	return p.quick.together, p.quick.counts
}

func (p *parcelPricer) Counts(lots []int, freight, insurance, fees money.Amount) (least, most int64, err error) {
	if p.at == nil || p.quick == nil || p.quick.meter == nil {
		return 0, 0, nil
	}
	parcels, ok := p.quick.parcels(lots, Carriage{freight, insurance, fees})
	if !ok {
		return 0, 0, money.ErrOverflow
	}
	least = p.quick.meter.Counts(&parcels[0])
	others := customs.Parcel{Lines: []customs.Line{p.shareOfOthers(lots)}}
	return least, least + p.quick.meter.Counts(&others), nil
}

func (p *parcelPricer) Beside(lots []int, freight, insurance, fees money.Amount, sum int64) (money.Amount, error) {
	carriage := Carriage{freight, insurance, fees}
	if p.quick == nil || p.quick.meter == nil || !slices.IsSorted(lots) {
		return p.parcel(lots, carriage)
	}
	cost, ok := p.quick.parcel(lots, carriage, &sum)
	if !ok {
		return cost, money.ErrOverflow
	}
	return cost, nil
}

// beside is a parcel and one more that counts with it, so that they come to a sum.
func (q *quick) beside(one customs.Parcel, sum int64) []customs.Parcel {
	q.both[0], q.both[1] = one, customs.Parcel{Seller: one.Seller, Sellers: one.Sellers, Lines: q.rest[:]}
	more := sum
	if sum > 0 {
		more -= q.meter.Counts(&one)
	}
	q.rest[0] = customs.Line{Count: 1, Value: money.New(max(more, 0), q.rules.Currency)}
	if more <= 0 {
		return q.both[:1]
	}
	return q.both[:2]
}

func (p *parcelPricer) BySums(lots []int, freight, insurance, fees money.Amount) (func(sums []int64, together int64) (planning.BySums, error), bool) {
	if p.at == nil || p.quick == nil || p.quick.meter == nil || !p.at.bySums {
		return nil, false
	}
	carriage := Carriage{freight, insurance, fees}
	sent, okSent := p.quick.sum(freight, insurance, fees)
	parcels, ok := p.quick.parcels(lots, carriage)
	if !ok || !okSent {
		return nil, false
	}
	one := parcels[0]
	of := make([]int, len(p.at.classes)) // the line of each class, and one more; 0 is none
	if one.Lines, ok = byClass(nil, parcels[0].Lines, p.rules.Currency); !ok {
		return nil, false
	}
	for i := range one.Lines {
		class, known := p.at.classes[one.Lines[i].Class]
		if !known {
			return nil, false
		}
		of[class] = i + 1
	}
	bare, more := slices.Clone(one.Lines), slices.Clone(one.Lines)
	others := p.shareOfOthers(lots)
	for i := range more {
		if !merge(&more[i], &others, p.rules.Currency) {
			return nil, false
		}
	}
	at := func(lines []customs.Line, sums []int64, together int64) (int64, error) {
		copy(one.Lines, lines)
		for class, sum := range sums {
			if of[class] > 0 {
				l := &one.Lines[of[class]-1]
				l.Value = money.New(l.Value.Minor()+sum, p.rules.Currency)
			}
		}
		asked, ok := p.quick.askedBy(p.quick.beside(one, together))
		if !ok {
			return 0, money.ErrOverflow
		}
		all, err := sent.Add(asked)
		return all.Minor(), err
	}
	return func(sums []int64, together int64) (told planning.BySums, err error) {
		told.Least, err = at(bare, sums, together)
		told.Most, told.Trail = told.Least, p.quick.meter.Trail()
		if err != nil || others == (customs.Line{}) {
			return told, err
		}
		told.Most, err = at(more, sums, together)
		told.Trail = told.Trail*31 + p.quick.meter.Trail()
		return told, err
	}, true
}

func (p *parcelPricer) Rounded() (int64, *big.Rat, bool, error) {
	if p.quick == nil || p.quick.meter == nil {
		return 0, new(big.Rat), true, nil
	}
	most, steepest, rises := p.quick.meter.Rounded()
	home, err := p.quick.border.toHome(p.rules.Currency)
	if err != nil {
		return 0, nil, false, err
	}
	amounts := int64(0)
	if p.rules.Currency != p.haul.Home { // each is rounded by itself
		amounts = int64(2 + mostFees + len(p.haul.Border.Fees))
	}
	most.Add(most.Mul(most, home), big.NewRat(amounts, 2))
	if whole := new(big.Int).Quo(most.Num(), most.Denom()); whole.IsInt64() && whole.Int64() < 1<<50 {
		return whole.Int64() + 1, steepest.Mul(steepest, home), rises, nil
	}
	return 0, nil, false, money.ErrOverflow
}

// shareOfOthers is what those lots bear of the haul's charges at the border whose prices change and
// that are not in a parcel: without them it falls to the others, and to each a minor unit more at
// most.
func (p *parcelPricer) shareOfOthers(lots []int) customs.Line {
	none := money.New(0, p.rules.Currency)
	all := customs.Line{Value: none, Freight: none, Insurance: none, OtherFees: none}
	for _, lot := range p.at.lots {
		if slices.Contains(lots, lot) {
			continue
		}
		for i := p.base.start[lot]; i < p.base.start[lot+1]; i++ {
			l := p.lines[i]
			merge(&all, &customs.Line{Value: l.Value, Freight: l.Freight, Insurance: l.Insurance, OtherFees: l.OtherFees}, p.rules.Currency)
		}
	}
	if all.Value.Minor() == 0 && (!p.CountsFreight() || all.Freight.Minor() == 0 && all.Insurance.Minor() == 0 && all.OtherFees.Minor() == 0) {
		return customs.Line{}
	}
	for _, sum := range []*money.Amount{&all.Value, &all.Freight, &all.Insurance, &all.OtherFees} {
		if sum.Minor() > 0 {
			*sum = money.New(sum.Minor()+int64(len(p.lines)), p.rules.Currency)
		}
	}
	return all
}
