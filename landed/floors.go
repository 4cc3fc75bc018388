package landed

import (
	"math"
	"math/big"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/floor"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

func (p *parcelPricer) Floors(carriage []money.Currency, most int64) (floors []floor.Floor, measure []int64, err error) {
	if p.border == nil || p.valuedByParcel() {
		return nil, nil, nil
	}
	if slices.ContainsFunc(p.haul.Charges, func(c Charge) bool { return c.Per == PerParcel }) {
		most = math.MaxInt64 // it may be in the value as well
	}
	a := p.border
	c := a.bySeller()
	items := slices.Concat(a.charged()...)
	if p.bySums {
		items = p.byLot(c, items)
	}
	meter, err := customs.NewMeter(a.rules, c)
	if err != nil {
		return nil, nil, err
	}
	x := floorRates{items: items, lots: a.splitter}
	if err := x.find(a, carriage); err != nil {
		return nil, nil, err
	}
	list := meter.Floors(x.seen(most))
	if len(list) == 0 {
		return nil, nil, nil
	}
	for i := range list {
		floors = append(floors, x.inHome(&list[i]))
		if i > 0 && floors[i].UpTo <= floors[i-1].UpTo { // by roundings alone
			floors[i-1].UpTo, floors[i-1].Counted = list[i-1].UpTo, new(big.Rat)
		}
	}
	measure = make([]int64, len(p.haul.Lots))
	at := 0
	for i := range c.Parcels {
		for j := range c.Parcels[i].Lines {
			measure[a.lotOf(items[at])] += c.Parcels[i].Lines[j].Value.Minor()
			at++
		}
	}
	return floors, measure, nil
}

// byLot puts one line in the place of all of a lot that are of one class, where the border
// goes by their sums: a lot travels whole, so that floors of its lines are as good. It returns the
// first item of each line.
func (p *parcelPricer) byLot(c *customs.Consignments, items []int) []int {
	var firsts []int
	for i := range c.Parcels {
		var lines []customs.Line
		start := len(firsts)
		for j := range c.Parcels[i].Lines {
			l, item := &c.Parcels[i].Lines[j], items[0]
			items = items[1:]
			at := slices.IndexFunc(firsts[start:], func(first int) bool {
				return p.base.lotOf(first) == p.base.lotOf(item) && p.goods[first].Class == l.Class
			})
			if at < 0 || !merge(&lines[at], l, p.border.rules.Currency) {
				lines, firsts = append(lines, *l), append(firsts, item)
			}
		}
		c.Parcels[i].Lines = lines
	}
	return firsts
}

// floorRates bring floors to home.
type floorRates struct {
	items []int // of each line
	lots  *splitter
	home  *big.Rat // minor units of home for one of the territory
	share *big.Rat // least part of a unit of carriage in home that customs sees, in units of the territory
	most  *big.Rat // the greatest
	lost  *big.Rat // the most that roundings to home take away, besides those of the carriage
}

// mostFees is more fees than any rules ask for one parcel.
const mostFees = 20

// find finds the rates between the territory, the carriage and home.
func (x *floorRates) find(a *assessor, carriage []money.Currency) error {
	home, here, half := a.haul.Home, a.rules.Currency, big.NewRat(1, 2)
	var err error
	if x.home, err = a.toHome(here); err != nil {
		return err
	}
	x.lost = new(big.Rat)
	if here != home { // duty, tax and each fee by itself
		x.lost.SetInt64(int64(2 + mostFees + len(a.border.Fees)))
		x.lost.Mul(x.lost, half)
	}
	for _, in := range carriage {
		rate, err := a.rate(in)
		if err != nil {
			return err
		}
		paid, err := a.toHome(in)
		if err != nil {
			return err
		}
		seen := new(big.Rat).Mul(rate.Rat(), minors(in, here))
		if seen.Quo(seen, paid); x.share == nil || seen.Cmp(x.share) < 0 {
			x.share = seen
		}
		if x.most == nil || seen.Cmp(x.most) > 0 {
			x.most = seen
		}
	}
	if x.share == nil {
		x.share, x.most = new(big.Rat), new(big.Rat)
	}
	return nil
}

// seen is the most that customs sees of so much carriage in home, of which each part was rounded
// twice.
func (x *floorRates) seen(carriage int64) int64 {
	const parts = 3
	sum := new(big.Rat).Mul(big.NewRat(carriage, 1), x.most)
	sum.Add(sum, new(big.Rat).Mul(new(big.Rat).Add(x.most, big.NewRat(1, 1)), big.NewRat(parts, 1)))
	whole := new(big.Int).Quo(sum.Num(), sum.Denom())
	if carriage == math.MaxInt64 || !whole.IsInt64() {
		return math.MaxInt64
	}
	return whole.Int64() + 1
}

// toHome is what one minor unit costs in minor units of home, not rounded.
func (a *assessor) toHome(in money.Currency) (*big.Rat, error) {
	rate, err := a.rates.Rate(in, a.haul.Home)
	if err != nil {
		return nil, err
	}
	of := new(big.Rat).Mul(rate.Rat(), minors(in, a.haul.Home))
	if in != a.haul.Home {
		of.Mul(of, decimal.NewFromInt(1).Add(a.haul.Spread).Rat())
	}
	return of, nil
}

// minors is how many minor units of a currency are one of another at a rate of 1.
func minors(from, to money.Currency) *big.Rat {
	return decimal.New(1, int32(to.Digits()-from.Digits())).Rat()
}

func (x *floorRates) inHome(f *floor.Floor) floor.Floor {
	out := floor.Floor{UpTo: f.UpTo, Each: make([]*big.Rat, len(x.lots.haul.Lots)), Share: new(big.Rat).Mul(f.Share, x.home), OnFees: new(big.Rat).Mul(f.OnFees, x.home), Due: new(big.Rat).Mul(f.Due, x.home), Sure: make([]bool, len(x.lots.haul.Lots)), Counted: new(big.Rat).Mul(f.Counted, x.share)}
	// What customs sees of the freight was rounded to the territory's unit, and what it cost to
	// that of home.
	lost := new(big.Rat).Add(big.NewRat(1, 1), x.share)
	if more := new(big.Rat).Mul(lost, f.Counted); more.Sign() > 0 {
		out.UpTo += new(big.Int).Quo(more.Num(), more.Denom()).Int64() + 1
	}
	lost.Add(lost.Mul(lost, new(big.Rat).Add(out.Share, out.OnFees)), x.lost)
	out.Share.Mul(out.Share, x.share)
	out.OnFees.Mul(out.OnFees, x.share)
	out.Fixed = lost.Sub(new(big.Rat).Mul(f.Fixed, x.home), lost)
	for lot := range out.Each {
		out.Each[lot] = new(big.Rat)
	}
	for n, i := range x.items {
		lot := x.lots.lotOf(i)
		out.Sure[lot] = out.Sure[lot] || f.Sure[n]
		sum := out.Each[lot]
		sum.Add(sum, new(big.Rat).Mul(f.Each[n], x.home))
	}
	return out
}
