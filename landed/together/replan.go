package together

import (
	"math"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/planning"
	"lotcost/landed/money"
)

// replanner is a haul made ready to say what [Least] comes to at other prices.
type replanner struct {
	*planner
	lots    []int // whose prices change
	wide    *beyond
	blocks  []partition.Set
	parcels []candidate
}

// candidate is a parcel that may be sent.
type candidate struct {
	blocks int // as bits
	lots   partition.Set
	ways   []landed.Carriage // what each service that takes it asks
}

// never is the cost of what no service takes; two of them can be added.
const never = math.MaxInt64 / 2

// mostBlocks bounds the lots, those that stay together counted as one, since each set of them is
// a parcel that is priced.
const mostBlocks = 8

// NewReplanner makes a haul ready to answer, many times over, what [Least] comes to at other prices
// of some lots, by their places in rising order. It returns nil where it takes a whole plan to
// tell: of many lots, where what a service asks or takes depends on values, or where rules of the
// border count parcels together by more than two sellers. The errors are those of [Least].
func NewReplanner(h *landed.Haul, s *Sending, lots []int) (planning.Ways, error) {
	p, err := atOtherPrices(h, s, lots)
	if p == nil || err != nil {
		return nil, err
	}
	blocks := p.problem.Blocks()
	if len(blocks) > mostBlocks {
		return nil, nil
	}
	r := &replanner{planner: p, lots: lots, blocks: blocks}
	t, _ := p.pricer.Together()
	var ok bool
	if r.wide, ok = newBeyond(t, p.haul, blocks); !ok {
		return nil, nil
	}
	for set := 1; set < 1<<len(blocks); set++ {
		if err := r.add(set); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// atOtherPrices is a planner of a haul of which some lots get other prices, now nothing; nil where
// what a service asks or takes depends on those, or where it takes another haul to tell.
func atOtherPrices(h *landed.Haul, s *Sending, lots []int) (*planner, error) {
	p, err := newPlanner(h, s)
	if err != nil || slices.ContainsFunc(p.goods, func(g goods) bool { return g.currency != 0 }) {
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

// add adds the parcel of some blocks, if any service takes it.
func (r *replanner) add(set int) error {
	lots := lotsOf(r.blocks, set)
	ways, err := r.waysOf(lots)
	if ways != nil {
		r.parcels = append(r.parcels, candidate{blocks: set, lots: lots, ways: ways})
	}
	return err
}

// waysOf are what the services that take some lots in one parcel ask: all, or, where the border
// does not look at that and so asks the same of each, the least.
func (p *planner) waysOf(lots partition.Set) ([]landed.Carriage, error) {
	if p.problem.Parted(lots) {
		return nil, nil
	}
	var ways []landed.Carriage
	least := int64(never)
	for n := range p.tariffs {
		c, taken, err := p.carriage(lots, n)
		if err != nil {
			return nil, err
		}
		if !taken {
			continue
		}
		if p.pricer.CountsFreight() {
			ways = append(ways, c)
			continue
		}
		sum := int64(0)
		for _, a := range []money.Amount{c.Freight, c.Insurance, c.Fees} {
			home, err := p.inHome(a)
			if err != nil {
				return nil, err
			}
			sum += home
		}
		if sum < least {
			ways, least = []landed.Carriage{c}, sum
		}
	}
	return ways, nil
}

func (r *replanner) Parcels() int { return len(r.parcels) }

func (r *replanner) Total(prices []money.Amount) (money.Amount, bool, error) {
	fixed := r.pricer.FixedCost()
	if ok, err := r.pricer.At(r.lots, prices); !ok || err != nil {
		return fixed, ok, err
	}
	least, err := r.together()
	if err != nil || least >= never {
		return fixed, false, err
	}
	total, err := r.pricer.FixedCost().Add(money.New(least, fixed.Currency()))
	return total, err == nil, err
}
