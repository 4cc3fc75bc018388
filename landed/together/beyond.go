package together

import (
	"cmp"
	"context"
	"maps"
	"math/bits"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// beyond finds the least-cost way where rules of the border look beyond one parcel: at a sum over
// all parcels, or over those that hold goods of a seller. A parcel with goods of several counts
// with those of each, and so may be above a limit that they are below. What a parcel costs depends
// on the side of the turns that its sum is on, and is no less on a higher one. Each is taken to be
// on the lowest side that is possible. Where the sum of one is above that in the division found,
// the ways with that sum above the turn, and those with it below, are each a branch to look at.
type beyond struct {
	*planner
	planning.Together
	blocks  []partition.Set
	sellers []uint64 // of each lot; see [planner.sellers]
	base    []int64  // of each lot, what it is in the sum at least
	stand   []within // what has come is in it
	division
	// solve finds a division of least cost in a branch, each parcel on the lowest side that it may
	// be on there, and a bound of all ways in it. It may leave sums that are held too high.
	solve func(*branch) (parcels []chosen, bound int64, err error)
	found []chosen
	total int64 // of what was found; never while there is nothing
	bound int64 // no way costs less
}

// candidate is a parcel that may be sent.
type candidate struct {
	lots    partition.Set
	sellers uint64
	side    int // that its sum is on at least
	least   int64
	offers  []offer
}

// offer is what a service asks for a parcel.
type offer struct {
	landed.Carriage
	service int
	home    int64   // what all of it is in home
	sum     int64   // what the parcel is in the sum; below zero: not asked for
	bySide  []int64 // what the parcel then costs by the side of that; below zero: not asked for
}

// chosen is a parcel and how it is sent.
type chosen struct {
	*candidate
	by *offer
}

// branch is the ways in which the sums of parcels of some sellers lie on some sides.
type branch struct {
	above map[uint64]int // the lowest side that they may be on
	held  []held
	bound int64 // no way in it costs less
}

// held are sums that are on a side at most.
type held struct {
	sellers uint64
	side    int
}

// newBeyond is to be prepared before it is asked.
func newBeyond(p *planner) *beyond {
	b := &beyond{planner: p, blocks: p.problem.Blocks(), base: make([]int64, len(p.haul.Lots))}
	b.Together, _ = p.pricer.Together()
	b.sellers = p.sellers(&b.Together)
	return b
}

// prepare begins anew, by a pricer that knows what the lots are in the sum in whatever parcel.
func (b *beyond) prepare(by planning.Parcels) (err error) {
	b.found, b.total, b.stand = nil, never, nil
	if len(b.Turns) > 0 {
		if b.stand, err = b.count(); err != nil {
			return err
		}
	}
	for lot := range b.stand {
		if b.base[lot] = b.stand[lot].least; b.gone.Has(lot) {
			continue
		}
		if b.base[lot], _, err = by.Counts([]int{lot}, money.Amount{}, money.Amount{}, money.Amount{}); err != nil {
			return err
		}
	}
	for _, c := range b.parcels {
		if c != nil {
			b.forget(c)
		}
	}
	return nil
}

// candidate is a parcel with what services ask for it.
func (b *beyond) candidate(lots partition.Set, offers []offer) *candidate {
	c := &candidate{lots: lots, offers: offers}
	for rest := lots; rest != 0; rest &= rest - 1 {
		c.sellers |= b.sellers[bits.TrailingZeros64(uint64(rest))]
	}
	b.forget(c)
	return c
}

// forget lets all be asked for again, as at other prices.
func (b *beyond) forget(c *candidate) {
	c.side = b.Side(b.beside(c.sellers, 0))
	for i := range c.offers {
		o := &c.offers[i]
		if o.sum = -1; o.bySide == nil {
			o.bySide = make([]int64, len(b.Turns)+1)
		}
		for side := range o.bySide {
			o.bySide[side] = -1
		}
	}
}

// standing is what has come of some sellers in the sum.
func (b *beyond) standing(sellers uint64) int64 {
	sum := int64(0)
	for lot, of := range b.stand {
		if b.sellers[lot]&sellers != 0 {
			sum += of.least
		}
	}
	return sum
}

// beside is the least that the lots of some sellers are in the sum that are not in a parcel.
func (b *beyond) beside(sellers uint64, lots partition.Set) int64 {
	sum := int64(0)
	for lot, base := range b.base {
		if b.sellers[lot]&sellers != 0 && !lots.Has(lot) {
			sum += base
		}
	}
	return sum
}

// price is what a parcel costs with its sum on a side.
func (b *beyond) price(p chosen, side int) (int64, error) {
	o := p.by
	if o.bySide[side] >= 0 {
		return o.bySide[side], nil
	}
	if len(b.Turns) == 0 {
		cost, err := b.priced(p.lots, o.Carriage)
		o.bySide[side] = cost
		return cost, err
	}
	cost, err := b.pricer.Beside(p.lots.Elements(), o.Freight, o.Insurance, o.Fees, b.Least(side))
	if err == nil && (cost.Minor() < 0 || cost.Minor() > partition.MaxCost) {
		err = money.ErrOverflow
	}
	o.bySide[side] = cost.Minor()
	return cost.Minor(), err
}

// sum is what a parcel is in the sum.
func (b *beyond) sum(p chosen) (int64, error) {
	if p.by.sum >= 0 || len(b.Turns) == 0 {
		return p.by.sum, nil
	}
	var err error
	p.by.sum, _, err = b.pricer.Counts(p.lots.Elements(), p.by.Freight, p.by.Insurance, p.by.Fees)
	return p.by.sum, err
}

// on is the side that the sum of a parcel lies on at least in a branch.
func (br *branch) on(c *candidate) int {
	side := c.side
	for sellers, least := range br.above {
		if sellers&^c.sellers == 0 {
			side = max(side, least)
		}
	}
	return side
}

// fits reports whether a parcel leaves the sums that are held where they are, as far as it tells.
func (b *beyond) fits(br *branch, p chosen) (bool, error) {
	for _, h := range br.held {
		if h.sellers&p.sellers == 0 {
			continue
		}
		sum, err := b.sum(p)
		if err != nil || sum+b.beside(h.sellers, p.lots) > b.Turns[h.side] {
			return false, err
		}
	}
	return true, nil
}

// costs is what a parcel costs at least in a branch; false where it can be in none of its ways.
func (b *beyond) costs(br *branch, p chosen) (int64, bool, error) {
	fits, err := b.fits(br, p)
	if err != nil || !fits {
		return 0, false, err
	}
	cost, err := b.price(p, br.on(p.candidate))
	return cost, err == nil, err
}

// search looks at branches, the one with the lowest bound first, until none has a way that costs
// less than the best.
func (b *beyond) search(ctx context.Context) error {
	open := []*branch{{}}
	b.bound = never
	for len(open) > 0 && ctx.Err() == nil {
		i := slices.Index(open, slices.MinFunc(open, func(x, y *branch) int { return cmp.Compare(x.bound, y.bound) }))
		br := open[i]
		open = slices.Delete(open, i, i+1)
		if br.bound >= b.total {
			continue
		}
		parcels, bound, err := b.solve(br)
		if err != nil {
			return err
		}
		if br.bound = max(br.bound, bound); br.bound >= b.total {
			continue
		}
		further, err := b.part(br, parcels)
		if err != nil {
			return err
		}
		if open = append(open, further...); further == nil {
			b.bound = min(b.bound, br.bound)
		}
	}
	for _, br := range open {
		b.bound = min(b.bound, br.bound)
	}
	b.bound = min(b.bound, b.total)
	return nil
}

// part tries a division found in a branch, and parts that by the sum of the parcel that costs more
// than it was taken to. There is nothing to part where none does, or where it is known of that sum
// already.
func (b *beyond) part(br *branch, parcels []chosen) ([]*branch, error) {
	if parcels == nil {
		return nil, nil
	}
	costs, err := b.try(parcels)
	if err != nil {
		return nil, err
	}
	worst, most := chosen{}, int64(0)
	for i, p := range parcels {
		taken, err := b.price(p, br.on(p.candidate))
		if err != nil {
			return nil, err
		}
		if costs[i]-taken > most {
			worst, most = p, costs[i]-taken
		}
	}
	if most == 0 || br.bound >= b.total {
		return nil, nil
	}
	h := held{worst.sellers, max(br.on(worst.candidate), b.Side(worst.by.sum))}
	if slices.ContainsFunc(br.held, func(other held) bool { return other.sellers == h.sellers && other.side <= h.side }) {
		return nil, nil
	}
	above := maps.Clone(br.above)
	if above == nil {
		above = map[uint64]int{}
	}
	above[h.sellers] = h.side + 1
	return []*branch{{above, br.held, br.bound}, {br.above, append(slices.Clip(br.held), h), br.bound}}, nil
}

// try finds what the parcels of a division cost, and keeps it if it is the best.
func (b *beyond) try(parcels []chosen) ([]int64, error) {
	costs, all := make([]int64, len(parcels)), int64(0)
	for i, p := range parcels {
		sum := b.standing(p.sellers)
		for _, other := range parcels {
			if other.sellers&p.sellers == 0 {
				continue
			}
			more, err := b.sum(other)
			if err != nil {
				return nil, err
			}
			sum += more
		}
		var err error
		if costs[i], err = b.price(p, b.Side(sum)); err != nil {
			return nil, err
		}
		all += costs[i]
	}
	if all < b.total {
		b.found, b.total = slices.Clone(parcels), all
	}
	return costs, nil
}
