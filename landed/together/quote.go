package together

import (
	"cmp"
	"errors"
	"math"
	"math/big"
	"math/bits"
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/freight"
	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/floor"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// sender prices parcels of a haul's lots: what the service asks, what the
// forwarder asks, and what the border adds.
type sender struct {
	haul    *landed.Haul // as planned: without what the services take the place of
	rates   *exchange.Converter
	sending *Sending
	pricer  planning.Parcels
	leaves  time.Time
	tariffs []tariffOf
	goods   []goods // the lots as services see them, once for each currency in which their values matter
	held    []parcels.Lot
	all     parcels.Services // the tariffs
	singly  []money.Amount   // what the forwarder asks for each lot, once that was asked
	err     error            // the first that stopped a price

	inside, outside int64 // the volume that was asked about last, and that of a box for it at least
}

// tariffOf is a service on the day the parcels leave.
type tariffOf struct {
	*parcels.Tariff
	service *freight.Service
	goods   int // which of the sender's goods it looks at

	mostVolume int64 // of lots in one parcel
}

// goods are the lots with their values in one currency, or with none.
type goods struct {
	currency money.Currency
	lots     []parcels.Lot

	last  partition.Set // the set asked for last, and its boxes
	boxes []parcels.Box
}

// boxesOf makes the boxes for some lots that some service may take. Services are asked for one set
// after the other, so the last one is kept.
func (s *sender) boxesOf(lots partition.Set, g *goods) ([]parcels.Box, error) {
	if g.last == lots {
		return g.boxes, nil
	}
	boxes, err := s.packed(lots, g, s.all.Pack)
	if err == nil {
		g.last, g.boxes = lots, boxes
	}
	return boxes, err
}

// packed makes the boxes for some lots.
func (s *sender) packed(lots partition.Set, g *goods, pack func([]parcels.Lot, freight.Packing) ([]parcels.Box, error)) ([]parcels.Box, error) {
	chosen := make([]parcels.Lot, 0, lots.Len())
	for rest := lots; rest != 0; rest &= rest - 1 {
		chosen = append(chosen, g.lots[bits.TrailingZeros64(uint64(rest))])
	}
	boxes, err := pack(chosen, s.sending.Packing)
	for i := range boxes {
		boxes[i].Uninsured = !s.sending.Insure
	}
	return boxes, err
}

// cost is what one parcel of the lots costs in home by a service, border
// included; false when it is refused. The first error is kept.
func (s *sender) cost(lots partition.Set, service int) (int64, bool) {
	cost, ok, err := s.price(lots, service)
	if err != nil && s.err == nil {
		s.err = err
	}
	return cost, ok && err == nil
}

func (s *sender) price(lots partition.Set, service int) (int64, bool, error) {
	carriage, ok, err := s.carriage(lots, service)
	if !ok || err != nil {
		return 0, false, err
	}
	cost, err := s.priced(lots, carriage)
	return cost, err == nil, err
}

// priced is what a parcel of the lots costs in home, its carriage known.
func (s *sender) priced(lots partition.Set, carriage landed.Carriage) (int64, error) {
	parcel, err := s.pricer.Parcel(lots.Elements(), carriage.Freight, carriage.Insurance, carriage.Fees)
	if all := parcel.Minor(); err != nil || all >= 0 && all <= partition.MaxCost {
		return all, err
	}
	return 0, money.ErrOverflow
}

// carriage is what sending the lots costs, the border aside: by the cheapest
// of the boxes that surely hold them.
func (s *sender) carriage(lots partition.Set, service int) (landed.Carriage, bool, error) {
	t := &s.tariffs[service]
	boxes, err := s.boxesOf(lots, &s.goods[t.goods])
	if err != nil {
		return landed.Carriage{}, false, err
	}
	least, insurance, found := int64(math.MaxInt64), int64(0), false
	for i := range boxes {
		if carriage, cover, ok := t.Price(&boxes[i]); ok && carriage < least { // to cover the lots costs the same in each
			least, insurance, found = carriage, cover, true
		}
	}
	if !found {
		return landed.Carriage{}, false, nil
	}
	fees, err := s.fees(lots)
	c := landed.Carriage{Freight: money.New(least, t.service.Currency), Fees: fees}
	if insurance > 0 {
		c.Insurance = money.New(insurance, t.service.Currency)
	}
	return c, true, err
}

// fees is the sum of what the forwarder asks for a parcel: the same as of [sender.charges], which
// says what each is for.
func (s *sender) fees(lots partition.Set) (sum money.Amount, err error) {
	f := s.sending.Forwarder
	if f == nil {
		return sum, nil
	}
	each, err := s.lotFees()
	for _, a := range []money.Amount{f.PerParcel, f.Consolidation}[:min(2, lots.Len())] { // the latter of several lots
		if err == nil {
			sum, err = plus(sum, a)
		}
	}
	for rest := lots; rest != 0 && err == nil; rest &= rest - 1 {
		sum, err = plus(sum, each[bits.TrailingZeros64(uint64(rest))])
	}
	return sum, err
}

// lotFees is what the forwarder asks for each lot, in whichever parcel.
func (s *sender) lotFees() ([]money.Amount, error) {
	if s.singly != nil {
		return s.singly, nil
	}
	each := make([]money.Amount, len(s.held))
	for i := range each {
		if s.held[i].Weight == 0 { // it has come
			continue
		}
		charges, err := s.charges(partition.SetOf(i))
		for _, c := range charges {
			if c.Lot != "" && err == nil {
				each[i], err = plus(each[i], c.Amount)
			}
		}
		if err != nil {
			return nil, err
		}
	}
	s.singly = each
	return each, nil
}

// plus adds amounts of which either may be none.
func plus(a, b money.Amount) (money.Amount, error) {
	switch {
	case b.Sign() == 0:
		return a, nil
	case a.Sign() == 0:
		return b, nil
	}
	return a.Add(b)
}

func (s *sender) charges(lots partition.Set) ([]parcels.Charge, error) {
	f := s.sending.Forwarder
	if f == nil {
		return nil, nil
	}
	held := make([]parcels.Lot, 0, lots.Len())
	for rest := lots; rest != 0; rest &= rest - 1 {
		held = append(held, s.held[bits.TrailingZeros64(uint64(rest))])
	}
	return parcels.Charges(f, held, s.leaves)
}

// quote is the service's own account of the parcel, or its refusal.
func (s *sender) quote(lots partition.Set, service int) (parcels.Quote, error) {
	t := &s.tariffs[service]
	boxes, err := s.packed(lots, &s.goods[t.goods], parcels.Pack)
	if err != nil {
		return parcels.Quote{}, err
	}
	return t.Ask(boxes)
}

// cheapest finds the service of least cost for some lots. The error tells why
// each one refuses them.
func (s *sender) cheapest(lots partition.Set) (service int, cost int64, err error) {
	cost = math.MaxInt64
	var refusals []error
	for n := range s.tariffs {
		c, ok := s.cost(lots, n)
		if s.err != nil {
			return 0, 0, s.err
		}
		if !ok {
			_, err := s.quote(lots, n)
			refusals = append(refusals, err)
		} else if c < cost {
			service, cost = n, c
		}
	}
	if cost == math.MaxInt64 {
		return 0, 0, errors.Join(refusals...)
	}
	return service, cost, nil
}

// inHome is what an amount is in home.
func (s *sender) inHome(a money.Amount) (int64, error) {
	if a.Currency() == 0 {
		return 0, nil
	}
	home, err := s.rates.Cost(a)
	return home.Minor(), err
}

// floors are lower bounds that need neither boxes nor the border. What the forwarder asks is in
// fine parts of home.
type floors struct {
	weight        []int64        // of each lot with its part of the packing, in nanograms
	each          []int64        // for each lot
	currency      money.Currency // in which it is asked; none where there is none
	alone, joined int64          // for a parcel of one lot, and of several, beside that
}

// floors works out what is known of each lot. The fees of a parcel are rounded once, all together,
// and so by half a minor unit at most: that is taken off what is asked for each parcel, or where it
// is less, each of them is rounded down.
func (s *sender) floors() (f floors, err error) {
	share, forwarder := s.sending.Packing.Share, s.sending.Forwarder
	for i := range s.held {
		w := int64(s.held[i].Weight)
		f.weight = append(f.weight, w+share.Mul(decimal.NewFromInt(w)).IntPart())
	}
	f.each = make([]int64, len(s.held))
	if forwarder == nil {
		return f, nil
	}
	asked, err := s.lotFees()
	for i := range asked {
		if f.each[i], err = s.fineInHome(asked[i]); err != nil {
			return f, err
		}
	}
	if err != nil {
		return f, err
	}
	f.currency = cmp.Or(forwarder.PerParcel.Currency(), forwarder.PerLot.Currency(), forwarder.Consolidation.Currency(), forwarder.PerDay.Currency())
	parcel, err := s.fineInHome(forwarder.PerParcel)
	if err != nil {
		return f, err
	}
	more, err := s.fineInHome(forwarder.Consolidation)
	const one = 1 << partition.FineBits
	if f.alone = parcel - one/2; f.alone < 0 {
		f.alone, more = 0, more&^(one-1)
		for i := range f.each {
			f.each[i] &^= one - 1
		}
	}
	f.joined = f.alone + more
	return f, err
}

// withCharges adds what the haul's charges ask for each parcel. What is below nothing is taken off
// what each lot is asked for, and no more than that.
func (s *sender) withCharges(f floors) (each []int64, alone, joined int64, err error) {
	parcel, lots, err := s.pricer.Charged()
	if err != nil {
		return nil, 0, 0, err
	}
	alone = f.alone + fine(parcel, partition.FineBits)
	less := max(0, -alone)
	for i := range f.each {
		each = append(each, max(0, f.each[i]+fine(lots[i], partition.FineBits)-less))
	}
	alone += less
	return each, alone, alone + f.joined - f.alone, nil
}

// fineInHome is what an amount costs in home, in fine parts.
func (s *sender) fineInHome(a money.Amount) (int64, error) {
	cost, err := s.rates.ExactCost(a)
	if err != nil {
		return 0, err
	}
	return fine(cost.Mul(cost, big.NewRat(exact.PowerOfTen(s.haul.Home.Digits()), 1)), partition.FineBits), nil
}

// figures are the volume of each lot and what it is worth in each currency in which that matters;
// none where no lot has any.
func (s *sender) figures() [][]int64 {
	const beyond = 1 << 55 // the sum of all lots stays in its range
	all := make([][]int64, 1+len(s.goods))
	matter := false
	for i, g := range append(s.goods[:1:1], s.goods...) {
		for k := range g.lots {
			n := g.lots[k].Value.Minor()
			if i == 0 {
				n = g.lots[k].Volume()
			}
			matter = matter || n > 0
			all[i] = append(all[i], max(0, min(n, beyond)))
		}
	}
	if !matter {
		return nil
	}
	return all
}

// brackets are lower bounds of what the border asks; none where it cannot be reported before it is
// asked.
func (s *sender) brackets(asked floors) (list []partition.Bracket, measure, bearing []int64) {
	var carriage []money.Currency
	for n := range s.tariffs {
		carriage = append(carriage, s.tariffs[n].service.Currency)
	}
	if fees := asked.currency; fees != 0 {
		carriage = append(carriage, fees)
	}
	floors, measure, bearing, err := s.pricer.Floors(carriage, s.mostCarriage(asked))
	if err != nil {
		return nil, nil, nil
	}
	for i := range floors {
		b := asBracket(&floors[i], asked, bearing)
		if b.Surely = floors[i].Surely; b.Surely {
			b.Counted++
		}
		if !b.Surely || b.Counted < partition.MostShare && b.UpTo >= 0 {
			list = append(list, b)
		}
	}
	return list, measure, bearing
}

// asBracket is a floor in fine parts.
func asBracket(f *floor.Floor, asked floors, bearing []int64) partition.Bracket {
	b := partition.Bracket{UpTo: f.UpTo, Counted: inShares(f.Counted), Levy: asLevy(&f.Levy, asked, bearing)}
	if f.Owing != nil {
		owing := asLevy(f.Owing, asked, bearing)
		b.Owing = &owing
	}
	return b
}

func inShares(of *big.Rat) int64 { return min(fine(of, partition.ShareBits), partition.MostShare) }

// asLevy is a sum in fine parts, with what of it is on the forwarder's fees.
func asLevy(f *floor.Levy, asked floors, bearing []int64) partition.Levy {
	least, onFees := inShares(f.Share[0]), inShares(f.OnFees)
	for _, of := range f.Share {
		least = min(least, inShares(of))
	}
	of := func(fee int64) int64 { return exact.MulShift(fee, onFees, partition.ShareBits) }
	b := partition.Levy{Fixed: fine(f.Fixed, partition.FineBits) + of(asked.alone), Share: least}
	for lot, each := range f.Each {
		b.Each = append(b.Each, fine(each, partition.FineBits)+of(asked.each[lot]))
		if bearing != nil {
			b.Bears = append(b.Bears, exact.MulShift(bearing[lot], min(inShares(f.Share[lot])-least, 1<<partition.ShareBits), partition.ShareBits))
		}
	}
	for _, h := range f.Heads {
		if sum := fine(h.Sum, partition.FineBits); sum != 0 {
			b.Heads = append(b.Heads, partition.Head{Of: setOf(h.Of), Sum: sum})
		}
	}
	return b
}

// setOf is the set of those of which something is said.
func setOf(said []bool) (set partition.Set) {
	for i, is := range said {
		if is {
			set |= partition.SetOf(i)
		}
	}
	return set
}

// mostCarriage is the most that a parcel of any of the lots is asked in home, freight, insurance
// and fees together; math.MaxInt64 where that is not known.
func (s *sender) mostCarriage(asked floors) int64 {
	weight, fees := s.sending.Packing.Fixed, asked.joined
	for lot := range s.held {
		weight, fees = weight+measure.Weight(asked.weight[lot])+1, fees+asked.each[lot]
	}
	most, sized := int64(0), slices.ContainsFunc(s.haul.Lots, func(l landed.Lot) bool { return l.Size != (measure.Size{}) })
	for n := range s.tariffs {
		t := &s.tariffs[n]
		var value int64
		for lot := range s.goods[t.goods].lots {
			value += s.goods[t.goods].lots[lot].Value.Minor()
		}
		cost, ok := t.Most(weight, value, sized)
		if !ok {
			return math.MaxInt64
		}
		home, err := s.inHome(money.New(cost, t.service.Currency))
		if err != nil {
			return math.MaxInt64
		}
		most = max(most, home)
	}
	return most + fees>>partition.FineBits + 2*int64(len(s.held)) // all that was rounded down
}

// fine is a number in parts of so many binary places, rounded down; what is beyond all sums is 0.
func fine(x *big.Rat, places uint) int64 {
	q := new(big.Int).Lsh(x.Num(), places)
	if q.Div(q, x.Denom()); !q.IsInt64() { // towards minus infinity: the denominator is above zero
		return 0
	}
	return q.Int64()
}

// levied is the least that the border asks for a parcel, as far as the brackets tell.
func (p *planner) levied(lots partition.Set) int64 {
	if len(p.problem.Brackets) == 0 {
		return 0
	}
	var weight int64
	for _, lot := range lots.Elements() {
		weight += p.problem.Weight[lot]
	}
	carriage, _ := p.carriageFloor(weight)
	return p.problem.Levied(lots, carriage)
}

// serviceFloor is carriageFloor by one service, with what it asks for figures of the lots, if they
// are given.
func (s *sender) serviceFloor(service int, weight int64, figures []int64) (int64, bool) {
	t := &s.tariffs[service]
	var volume, value int64
	if figures != nil {
		volume, value = figures[0], figures[1+t.goods]
	}
	if volume > t.mostVolume || value > t.MostValue() {
		return 0, false
	}
	if volume != s.inside {
		s.inside, s.outside = volume, parcels.Outside(volume, s.sending.Packing.Padding)
	}
	if !s.sending.Insure {
		value = 0
	}
	cost, insurance, ok := t.Floor(measure.Weight(weight)+s.sending.Packing.Fixed, s.outside, value)
	if !ok {
		return 0, false
	}
	home, err := s.inHome(money.New(cost, t.service.Currency))
	if err == nil && insurance > 0 {
		cost = home
		home, err = s.inHome(money.New(insurance, t.service.Currency))
		home += cost
	}
	return home, err == nil
}

// carriageFloor is the least that any parcel of at least a weight costs, the
// border and insurance aside; false when no service carries it.
func (s *sender) carriageFloor(weight int64) (int64, bool) {
	least, found := int64(math.MaxInt64), false
	for n := range s.tariffs {
		if home, ok := s.serviceFloor(n, weight, nil); ok && home < least {
			least, found = home, true
		}
	}
	return least, found
}
