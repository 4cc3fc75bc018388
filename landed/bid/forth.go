package bid

import (
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/odds"
)

// outcome is how an evening goes by a plan.
type outcome struct {
	won   []*big.Rat // by lot: the chance that it is won
	bids  []*big.Rat // by lot: what is bid when it is won, on average, times that chance
	paid  *big.Rat   // prices and premiums that are expected
	rest  *big.Rat   // what else is added to what is spent
	sets  map[set]*big.Rat
	costs map[set]map[int64]*big.Int // by what they add to what is spent: in how many ways; nil where that is not known
	ways  *big.Int
}

// forth follows a plan from the first lot to the last.
func (p *plan) forth() (*outcome, error) {
	o := &outcome{paid: new(big.Rat), rest: new(big.Rat), sets: map[set]*big.Rat{}, ways: p.common.ways[0]}
	first := newWords(p.common.each, 1)
	first.of[0] = 1
	chances := map[set]words{p.base: first}
	for lot := p.first; lot < len(p.lots); lot++ {
		l := p.lots[lot]
		by := newWords(p.common.each, len(l.bids)+1) // by how many bids are taken: in how many ways
		for _, s := range p.sets(lot) {
			if err := p.follow(s, lot, chances, by); err != nil {
				return nil, err
			}
		}
		if err := o.count(p, lot, by); err != nil {
			return nil, err
		}
	}
	return o, o.end(p, chances)
}

// follow goes on from the states of a set when a lot closes.
func (p *plan) follow(won set, lot int, chances map[set]words, by words) error {
	l, level, next := p.lots[lot], p.levels[won], p.levels[won.with(lot)]
	here, known := chances[won]
	if !known {
		return nil
	}
	delete(chances, won)
	stay, go1 := newWords(here.each, len(level.keys)), newWords(here.each, len(next.keys))
	taken := p.taken[lot][won]
	left := make([]uint64, len(taken))
	for i, n := range taken {
		addTimes(by.at(int(n)), here.at(i), 1)
		left[i] = l.all
	}
	most := int(slices.Max(append(slices.Clone(taken), 0)))
	for b := range most {
		add, err := p.key(lot, l.bids[b])
		if err != nil {
			return err
		}
		at := 0
		for i, key := range level.keys {
			if int(taken[i]) <= b {
				continue
			}
			for next.keys[at] < key+add {
				at++
			}
			addTimes(go1.at(at), here.at(i), l.weights[b])
			left[i] -= l.weights[b]
		}
	}
	for i := range left {
		addTimes(stay.at(i), here.at(i), left[i])
	}
	chances[won] = stay
	if most > 0 {
		chances[won.with(lot)] = go1
	}
	return nil
}

// count adds up what comes of one lot.
func (o *outcome) count(p *plan, lot int, by words) error {
	l := p.lots[lot]
	before := new(big.Int).Quo(p.common.ways[p.first], p.common.ways[lot])
	all := new(big.Int).Mul(before, new(big.Int).SetUint64(l.all))
	won, bids, paid := new(big.Int), new(big.Int), new(big.Int)
	weight, bid, pay := new(big.Int), new(big.Int), new(big.Int)
	term := new(big.Int)
	for n := 1; n <= len(l.bids); n++ {
		w := new(big.Int).SetUint64(l.weights[n-1])
		home, err := l.price(l.bids[n-1])
		if err != nil {
			return err
		}
		weight.Add(weight, w)
		bid.Add(bid, term.Mul(w, big.NewInt(l.bids[n-1])))
		pay.Add(pay, term.Mul(w, big.NewInt(home)))
		ways := number(by.at(n))
		won.Add(won, term.Mul(ways, weight))
		bids.Add(bids, term.Mul(ways, bid))
		paid.Add(paid, term.Mul(ways, pay))
	}
	o.won = append(o.won, new(big.Rat).SetFrac(won, all))
	o.bids = append(o.bids, new(big.Rat).SetFrac(bids, all))
	o.paid.Add(o.paid, new(big.Rat).SetFrac(paid, all))
	return nil
}

// end adds up what has come of the evening.
func (o *outcome) end(p *plan, chances map[set]words) error {
	all, rest := p.common.ways[p.first], new(big.Int)
	if p.layout.money || p.layout.single {
		o.costs = map[set]map[int64]*big.Int{}
	}
	for s, here := range chances {
		level, sum := p.levels[s], new(big.Int)
		costs := map[int64]*big.Int{}
		for i, paid := range level.rest {
			ways := number(here.at(i))
			if ways.Sign() == 0 {
				continue
			}
			sum.Add(sum, ways)
			rest.Add(rest, new(big.Int).Mul(ways, big.NewInt(paid-p.spent)))
			if o.costs == nil {
				continue
			}
			prices, err := p.paidAt(s, level, i)
			if err != nil {
				return err
			}
			total := paid - p.spent + prices
			if costs[total] == nil {
				costs[total] = new(big.Int)
			}
			costs[total].Add(costs[total], ways)
		}
		if sum.Sign() == 0 {
			continue
		}
		o.sets[s] = new(big.Rat).SetFrac(sum, all)
		if o.costs != nil {
			o.costs[s] = costs
		}
	}
	o.rest.SetFrac(rest, all)
	return nil
}

// paidAt is what prices and premiums come to in a state.
func (p *plan) paidAt(won set, l *level, state int) (int64, error) {
	if p.layout.money {
		return p.layout.paid(l.keys[state]), nil
	}
	sum := int64(0)
	for n, bid := range p.bidsOf(won, l, state, nil) {
		home, err := p.in(won)[n].price(bid)
		if err != nil {
			return 0, err
		}
		sum += home
	}
	return sum, nil
}

// loss is the chance that the evening brings less than it adds to what is spent, between
// two bounds; nil where that is not known.
func (n *night) loss(o *outcome) (low, high *big.Rat, err error) {
	if o.costs == nil {
		return nil, nil, nil
	}
	low, high = new(big.Rat), new(big.Rat)
	for s, costs := range o.costs {
		if s == 0 {
			continue // nothing is won and nothing lost
		}
		d, err := n.brings(s)
		if err != nil {
			return nil, nil, err
		}
		least, most := new(big.Rat), new(big.Rat)
		for _, part := range below(d, costs, n.Home) {
			if part.err != nil {
				return nil, nil, part.err
			}
			ways := new(big.Rat).SetInt(part.ways)
			l, h := part.chance.Bounds()
			least.Add(least, l.Mul(l, ways))
			most.Add(most, h.Mul(h, ways))
		}
		low.Add(low, least)
		high.Add(high, most)
	}
	all := new(big.Rat).SetInt(o.ways)
	return low.Quo(low, all), high.Quo(high, all), nil
}

// part is costs of one chance of a loss, and in how many ways they come.
type lossPart struct {
	chance odds.Chance
	ways   *big.Int
	err    error
}

// below finds the chance of a loss at each of some costs.
func below(d *odds.Distribution, costs map[int64]*big.Int, home money.Currency) []lossPart {
	var parts []lossPart
	for cost, ways := range costs {
		chance, err := d.Below(money.New(cost, home))
		parts = append(parts, lossPart{chance, ways, err})
	}
	return parts
}

// brings is what the lots of a set bring together.
func (n *night) brings(s set) (*odds.Distribution, error) {
	lots := n.in(s)
	d := n.only(func(l *landed.Lot) bool {
		return slices.ContainsFunc(lots, func(o *lotTonight) bool { return o.ID == l.ID })
	})
	p, err := newProceeds(d, n.options.Venue)
	if err != nil {
		return nil, err
	}
	p.goes = func() bool { return n.options.goes(0) }
	return p.distribution(0)
}
