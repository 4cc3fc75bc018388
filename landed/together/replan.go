package together

import (
	"context"
	"math"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// replanner is a haul made ready to say what [Least] comes to at other prices.
type replanner struct {
	*beyond
	lots  []int // whose prices change
	asked int   // parcels
}

// never is the cost of what no service takes; two of them can be added.
const never = math.MaxInt64 / 2

// mostBlocks bounds the lots, those that stay together counted as one, since each set of them is
// a parcel that is priced.
const mostBlocks = 8

// NewReplanner makes a haul ready to answer, many times over, what [Least] comes to at other prices
// of some lots, by their places in rising order. It returns nil where it takes a whole plan to
// tell: of many lots, or where what a service asks or takes depends on values. The errors are those
// of [Least].
func NewReplanner(h *landed.Haul, s *Sending, lots []int) (planning.Ways, error) {
	p, err := atOtherPrices(h, s, lots)
	if p == nil || err != nil {
		return nil, err
	}
	r := &replanner{beyond: newBeyond(p), lots: lots}
	if len(r.blocks) > mostBlocks {
		return nil, nil
	}
	r.division, r.solve = newDivision(len(r.blocks)), r.divide
	for set := range r.parcels {
		lots := lotsOf(r.blocks, set)
		offers, err := p.offers(lots)
		if err != nil {
			return nil, err
		}
		if offers != nil {
			r.parcels[set] = r.candidate(lots, offers)
			r.asked++
		}
	}
	return r, nil
}

// atOtherPrices is a planner of a haul of which some lots get other prices, now nothing; nil where
// what a service asks or takes depends on those, or where it takes another haul to tell.
func atOtherPrices(h *landed.Haul, s *Sending, lots []int) (*planner, error) {
	p, err := newPlanner(h, s)
	if err != nil || p.toCome() == 0 || !p.movesNot() || slices.ContainsFunc(p.goods, func(g goods) bool { return g.currency != 0 }) {
		return nil, err
	}
	nothing := slices.Repeat([]money.Amount{money.New(0, h.Home)}, len(lots))
	if ok, err := p.pricer.At(lots, nothing); !ok || err != nil {
		return nil, err
	}
	return p, nil
}

// lotsOf are the lots of some blocks, as bits.
func lotsOf(all []partition.Set, blocks int) partition.Set {
	var lots partition.Set
	for i, block := range all {
		if blocks>>i&1 != 0 {
			lots |= block
		}
	}
	return lots
}

// offers are what the services that take some lots in one parcel ask: all, or, where the border
// does not look at that and so asks the same of each, the least.
func (p *planner) offers(lots partition.Set) ([]offer, error) {
	if lots == 0 || p.problem.Parted(lots) {
		return nil, nil
	}
	var offers []offer
	for n := range p.tariffs {
		c, taken, err := p.carriage(lots, n)
		if err != nil {
			return nil, err
		}
		if !taken {
			continue
		}
		o := offer{Carriage: c, service: n}
		for _, a := range []money.Amount{c.Freight, c.Insurance, c.Fees} {
			home, err := p.inHome(a)
			if err != nil {
				return nil, err
			}
			o.home += home
		}
		switch {
		case p.pricer.CountsFreight() || offers == nil:
			offers = append(offers, o)
		case o.home < offers[0].home:
			offers[0] = o
		}
	}
	return offers, nil
}

func (r *replanner) Parcels() int { return r.asked }

func (r *replanner) Total(prices []money.Amount) (money.Amount, bool, error) {
	total := money.Amount{}
	if ok, err := r.pricer.At(r.lots, prices); !ok || err != nil {
		return total, ok, err
	}
	if err := r.prepare(r.pricer); err != nil {
		return total, false, err
	}
	err := r.search(context.Background())
	if err != nil || r.total >= never {
		return total, false, err
	}
	if total, err = r.fixed(); err == nil {
		total, err = total.Add(money.New(r.total, total.Currency()))
	}
	return total, err == nil, err
}
