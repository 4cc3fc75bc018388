package landed

import (
	"math"
	"math/big"
	"slices"

	"lotcost/landed/customs"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/floor"
	"lotcost/landed/money"
)

func (p *parcelPricer) Floors(carriage []money.Currency, most int64) (floors []floor.Floor, measure, bearing []int64, err error) {
	if p.border == nil || p.valuedByParcel() {
		return nil, nil, nil, nil
	}
	charged, err := p.mostCharged()
	if err != nil {
		return nil, nil, nil, err
	}
	a := p.border
	c := a.bySeller()
	x := floorRates{items: slices.Concat(a.charged()...), lots: a.splitter}
	x.apart()
	if p.bySums {
		p.byLot(c, &x)
	}
	meter, err := customs.NewMeter(a.rules, c)
	if err != nil {
		return nil, nil, nil, err
	}
	if err := x.find(a, carriage); err != nil {
		return nil, nil, nil, err
	}
	list := meter.Floors(min(x.seen(most), math.MaxInt64-charged) + charged)
	if len(list) == 0 {
		return nil, nil, nil, nil
	}
	x.bear()
	for i := range list {
		floors = append(floors, x.inHome(&list[i], charged))
	}
	measure = make([]int64, len(p.haul.Lots))
	line := 0
	for i := range c.Parcels {
		for j := range c.Parcels[i].Lines {
			measure[x.lot[line]] += c.Parcels[i].Lines[j].Value.Minor()
			line++
		}
	}
	return floors, measure, x.bearing, nil
}

func (p *parcelPricer) Charged() (parcel *big.Rat, each []*big.Rat, err error) {
	parcel, each = new(big.Rat), make([]*big.Rat, len(p.haul.Lots))
	for lot := range each {
		each[lot] = new(big.Rat)
	}
	lines, err := p.chargedForAll()
	if err != nil {
		return nil, nil, err
	}
	sure := !p.holdsNothing() // else a parcel may be asked for nothing
	for _, l := range lines {
		c, home := &p.apart.haul.Charges[l.charge-1], big.NewRat(l.Home.Minor(), 1)
		switch {
		case l.Home.Sign() < 0:
			parcel.Sub(parcel.Add(parcel, home), big.NewRat(1, 1))
		case sure && c.OfPrice && c.Settled.Currency() == 0:
			parcel.Sub(parcel, big.NewRat(1, 2)) // its rounding
			p.ofPrices(l, c, each)
		case sure && !c.OfPrice && len(c.On) == 0:
			parcel.Add(parcel, home)
		}
	}
	return parcel, each, nil
}

// chargedForAll is what the charges of the haul ask for a parcel of all lots.
func (p *parcelPricer) chargedForAll() (lines []*Line, err error) {
	a, all := p.apart, make([]int, len(p.haul.Lots))
	if len(a.haul.Charges) == 0 {
		return nil, nil
	}
	for lot := range all {
		all[lot] = lot
	}
	if _, err = p.unlevied(all, Carriage{}); err != nil {
		return nil, err
	}
	for i := range a.st.Lines {
		if l := &a.st.Lines[i]; l.Parcel == thisParcel {
			lines = append(lines, l)
		}
	}
	return lines, nil
}

// mostCharged is the most that they are in the value of any parcel, in the territory's currency.
func (p *parcelPricer) mostCharged() (sum int64, err error) {
	lines, err := p.chargedForAll()
	for _, l := range lines {
		if l.Home.Sign() <= 0 {
			continue
		}
		whole, err := p.apart.inTerritory(l)
		if err != nil {
			return 0, err
		}
		if sum += whole.Minor() + 1; sum < 0 { // too much to be told
			return math.MaxInt64, nil
		}
	}
	return sum, err
}

// ofPrices adds what a charge asks of the price of each lot that it covers.
func (p *parcelPricer) ofPrices(l *Line, c *Charge, each []*big.Rat) {
	last := -1
	for _, i := range l.items {
		if lot := p.apart.lotOf(i); lot != last {
			of := big.NewRat(p.apart.prices[lot].Minor(), 1)
			each[lot].Add(each[lot], of.Mul(of, c.Percent.Rat()))
			last = lot
		}
	}
}

// byLot puts one line in the place of all of a lot that are of one class, where the border
// goes by their sums: a lot travels whole, so that floors of its lines are as good.
func (p *parcelPricer) byLot(c *customs.Consignments, x *floorRates) {
	x.lot = nil
	n := 0
	for i := range c.Parcels {
		var lines []customs.Line
		start := len(x.lot)
		for j := range c.Parcels[i].Lines {
			l, lot := &c.Parcels[i].Lines[j], x.lots.lotOf(x.items[n])
			at := 0
			for at < len(lines) && (x.lot[start+at] != lot || lines[at].Class != l.Class) {
				at++
			}
			if at == len(lines) || !merge(&lines[at], l, p.border.rules.Currency) {
				at, lines, x.lot = len(lines), append(lines, *l), append(x.lot, lot)
			}
			x.line[n] = start + at
			n++
		}
		c.Parcels[i].Lines = lines
	}
}

// floorRates bring floors to home.
type floorRates struct {
	items []int // those that are charged
	line  []int // of each of them
	lot   []int // of each line
	lots  *splitter
	// bearing is what each lot weighs where freight is shared, borne is each of items; nil where that
	// is not told in whole numbers.
	bearing, borne []int64
	home           *big.Rat // minor units of home for one of the territory
	share          *big.Rat // least part of a unit of carriage in home that customs sees, in units of the territory
	most           *big.Rat // the greatest
	lost           *big.Rat // the most that roundings to home take away, besides those of the carriage
}

// apart gives each item a line of its own.
func (x *floorRates) apart() {
	for n, i := range x.items {
		x.line, x.lot = append(x.line, n), append(x.lot, x.lots.lotOf(i))
	}
}

// bear finds what lots and items weigh where freight is shared.
func (x *floorRates) bear() {
	const most = 1 << 61
	by := x.lots.haul.Share.of(Freight)
	if by == ByAssessed { // which Split refuses of a freight
		return
	}
	weights := x.lots.weights.vector(by).small
	bearing, sum := make([]int64, len(x.lots.haul.Lots)), int64(0)
	for _, i := range x.lots.all {
		if weights == nil || weights[i] < 0 || weights[i] > most-sum {
			return
		}
		sum += weights[i]
		bearing[x.lots.lotOf(i)] += weights[i]
	}
	x.bearing = bearing
	for _, i := range x.items {
		x.borne = append(x.borne, weights[i])
	}
}

// mostFees is more fees than any rules ask for one parcel.
const mostFees = 20

// find finds the rates between the territory, the carriage and home.
func (x *floorRates) find(a *assessor, carriage []money.Currency) error {
	here := a.rules.Currency
	var err error
	if x.home, err = a.toHome(here); err != nil {
		return err
	}
	x.lost = a.lostToHome()
	for _, in := range carriage {
		rate, err := a.rate(in)
		if err != nil {
			return err
		}
		paid, err := a.toHome(in)
		if err != nil {
			return err
		}
		seen := new(big.Rat).Mul(rate.Rat(), money.New(1, in).Decimal().Rat())
		seen.Mul(seen, minors(here))
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
	whole, fits := exact.Floor(sum)
	if carriage == math.MaxInt64 || !fits {
		return math.MaxInt64
	}
	return whole + 1
}

// toHome is what one minor unit costs in minor units of home, not rounded.
func (a *assessor) toHome(in money.Currency) (*big.Rat, error) {
	of, err := a.rates.ExactCost(money.New(1, in))
	if err != nil {
		return nil, err
	}
	return of.Mul(of, minors(a.haul.Home)), nil
}

// minors is how many minor units are one major unit.
func minors(of money.Currency) *big.Rat {
	return big.NewRat(exact.PowerOfTen(of.Digits()), 1)
}

// lostToHome is the most that roundings of what the border asks take away in home, in minor units:
// half of one for the duty, the tax and each fee, where they are in another currency.
func (a *assessor) lostToHome() *big.Rat {
	if a.rules.Currency == a.haul.Home {
		return new(big.Rat)
	}
	return big.NewRat(int64(2+mostFees+len(a.border.Fees)), 2)
}

// inHome brings a floor of lines to one of lots, where so much is charged in the value of a parcel
// besides at most.
func (x *floorRates) inHome(f *floor.Floor, charged int64) floor.Floor {
	out := floor.Floor{UpTo: f.UpTo, Counted: new(big.Rat).Mul(f.Counted, x.share), Surely: f.Surely, Levy: x.levy(&f.Levy)}
	if f.Surely { // however much of it customs sees
		out.Counted, out.UpTo = x.most, max(-1, f.UpTo-min(charged, math.MaxInt64/2)-min(x.seen(0), math.MaxInt64/2))
		return out
	}
	// What customs sees of the freight was rounded to the territory's unit, and what it cost to
	// that of home.
	if more := new(big.Rat).Mul(x.unseen(), f.Counted); more.Sign() > 0 {
		whole, _ := exact.Floor(more)
		out.UpTo += whole + 1
	}
	if f.Owing != nil {
		owing := x.levy(f.Owing)
		out.Owing = &owing
	}
	return out
}

// unseen is how much of the freight customs may not see for roundings.
func (x *floorRates) unseen() *big.Rat { return new(big.Rat).Add(big.NewRat(1, 1), x.share) }

// levy brings a sum of lines to one of lots.
func (x *floorRates) levy(f *floor.Levy) floor.Levy {
	lots := len(x.lots.haul.Lots)
	out := floor.Levy{OnFees: new(big.Rat).Mul(f.OnFees, x.home)}
	for range lots {
		out.Each, out.Share = append(out.Each, new(big.Rat)), append(out.Share, new(big.Rat))
	}
	for line, lot := range x.lot {
		out.Each[lot].Add(out.Each[lot], new(big.Rat).Mul(f.Each[line], x.home))
	}
	for _, h := range f.Heads {
		out.Heads = append(out.Heads, floor.Head{Of: x.any(h.Of), Sum: new(big.Rat).Mul(h.Sum, x.home)})
	}
	least, most := slices.MinFunc(f.Share, (*big.Rat).Cmp), slices.MaxFunc(f.Share, (*big.Rat).Cmp)
	lost := x.unseen()
	lost.Add(lost.Mul(lost, new(big.Rat).Mul(new(big.Rat).Add(most, f.OnFees), x.home)), x.lost)
	out.Fixed = lost.Sub(new(big.Rat).Mul(f.Fixed, x.home), lost)
	out.OnFees.Mul(out.OnFees, x.share)
	x.bears(&out, f, least)
	return out
}

// any tells of which lots something is said of a line.
func (x *floorRates) any(said []bool) []bool {
	of := make([]bool, len(x.lots.haul.Lots))
	for line, lot := range x.lot {
		of[lot] = of[lot] || said[line]
	}
	return of
}

// bears finds what of each unit of freight that falls to a lot is charged: as its items share it,
// each rounded by less than a unit, or the least of all where that is not known.
func (x *floorRates) bears(out, f *floor.Levy, least *big.Rat) {
	if len(x.items) < len(x.lots.all) { // what others bear is not charged
		least = new(big.Rat)
	}
	for n := range x.items {
		if x.bearing == nil {
			break
		}
		lot, share := x.lot[x.line[n]], f.Share[x.line[n]]
		if all := x.bearing[lot]; all > 0 {
			out.Share[lot].Add(out.Share[lot], new(big.Rat).Mul(share, big.NewRat(x.borne[n], all)))
		}
		lost := new(big.Rat).Sub(share, least)
		out.Each[lot].Sub(out.Each[lot], lost.Mul(lost, x.home))
	}
	for lot, share := range out.Share {
		if x.bearing == nil {
			share.Set(least)
		}
		share.Mul(share, x.home)
		share.Mul(share, x.share)
		if each := out.Each[lot]; each.Sign() < 0 {
			out.Fixed.Add(out.Fixed, each)
			each.SetInt64(0)
		}
	}
}
