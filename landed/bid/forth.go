package bid

import (
	"math/big"
	"math/bits"
	"slices"

	"lotcost/landed"
	"lotcost/landed/odds"
)

// outcome is how an evening goes by a plan.
type outcome struct {
	won   []*big.Rat // by lot: the chance that it is won
	bids  []*big.Rat // by lot: what is bid when it is won, on average, times that chance
	paid  *big.Rat   // prices and premiums that are expected
	rest  *big.Rat   // what else is added to what is spent
	sets  map[set]*big.Rat
	told  bool                       // whether what is paid is told apart
	below uint                       // bits for it below a key
	costs map[set]map[int64]*big.Int // by what they add to what is spent: in how many ways; nil where that is not known
}

// flow is the states of a set that come about, and in how many ways. A key is that of the
// state, and below it what was paid where the state does not tell that.
type flow struct {
	keys []uint64
	ways words
}

// forth follows a plan from the first lot to the last.
func (p *plan) forth() (*outcome, error) {
	o := &outcome{paid: new(big.Rat), rest: new(big.Rat), sets: map[set]*big.Rat{}}
	if err := p.telling(o); err != nil {
		return nil, err
	}
	begin := flow{[]uint64{0}, newWords(p.common.each, 1)}
	begin.ways.of[0] = 1
	flows := map[set]flow{p.base: begin}
	for lot := p.first; lot < len(p.lots); lot++ {
		by := newWords(p.common.each, len(p.lots[lot].bids)+1) // by how many bids are taken: in how many ways
		for _, s := range p.sets(lot) {
			if f, comes := flows[s]; comes {
				if err := p.follow(s, lot, f, flows, by, o.below); err != nil {
					return nil, err
				}
			}
		}
		if err := o.count(p, lot, by); err != nil {
			return nil, err
		}
	}
	return o, o.end(p, flows)
}

// telling sees to it that what was paid is told apart, if a key has room for it.
func (p *plan) telling(o *outcome) error {
	dearest := int64(0)
	for _, l := range p.lots {
		price, err := l.price(l.bids[len(l.bids)-1])
		if err != nil {
			return err
		}
		dearest += price
	}
	switch more := bits.Len64(uint64(dearest)); {
	case p.layout.money || p.layout.single:
		o.told = true
	case int(p.layout.used)+more <= 64:
		o.told, o.below = true, uint(more)
	}
	return nil
}

// follow goes on from the states of a set when a lot closes.
func (p *plan) follow(won set, lot int, f flow, flows map[set]flow, by words, below uint) error {
	l, level, taken := p.lots[lot], p.levels[won], p.taken[lot][won]
	left, takes, at, most := make([]uint64, len(f.keys)), make([]int, len(f.keys)), 0, 0
	for i, key := range f.keys {
		for level.keys[at] != key>>below {
			at++
		}
		takes[i], left[i] = int(taken[at]), l.all
		most = max(most, takes[i])
		addTimes(by.at(takes[i]), f.ways.at(i), 1)
	}
	runs := make([][]entry, 0, most)
	for b := range most {
		add, err := p.key(lot, l.bids[b])
		if err != nil {
			return err
		}
		if below > 0 {
			paid, err := l.price(l.bids[b])
			if err != nil {
				return err
			}
			add = add<<below + uint64(paid)
		}
		var run []entry
		for i, key := range f.keys {
			if takes[i] > b {
				run = append(run, entry{key + add, step{int32(i), int32(b)}})
				left[i] -= l.weights[b]
			}
		}
		runs = append(runs, run)
	}
	if most > 0 {
		flows[won.with(lot)] = f.won(mergedAll(runs), l.weights)
	}
	stay := flow{f.keys, newWords(f.ways.each, len(f.keys))}
	for i := range left {
		addTimes(stay.ways.at(i), f.ways.at(i), left[i])
	}
	flows[won] = stay
	return nil
}

// won adds up the ways in which states come about.
func (f *flow) won(entries []entry, weights []uint64) flow {
	out := flow{make([]uint64, 0, len(entries)), newWords(f.ways.each, len(entries))}
	for _, e := range entries {
		if n := len(out.keys); n == 0 || out.keys[n-1] != e.key {
			out.keys = append(out.keys, e.key)
		}
		addTimes(out.ways.at(len(out.keys)-1), f.ways.at(int(e.state)), weights[e.bid])
	}
	return out
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
func (o *outcome) end(p *plan, flows map[set]flow) error {
	all, rest := p.common.ways[p.first], new(big.Int)
	o.costs = map[set]map[int64]*big.Int{}
	for s, f := range flows {
		level, sum, at := p.levels[s], new(big.Int), 0
		costs := map[int64]*big.Int{}
		for i, key := range f.keys {
			for level.keys[at] != key>>o.below {
				at++
			}
			ways := number(f.ways.at(i))
			if ways.Sign() == 0 {
				continue
			}
			sum.Add(sum, ways)
			added := level.rest[at] - p.spent
			rest.Add(rest, new(big.Int).Mul(ways, big.NewInt(added)))
			paid := int64(key & (1<<o.below - 1))
			if o.below == 0 && o.told {
				var err error
				if paid, err = p.paidAt(s, level, at); err != nil {
					return err
				}
			}
			if costs[added+paid] == nil {
				costs[added+paid] = new(big.Int)
			}
			costs[added+paid].Add(costs[added+paid], ways)
		}
		if sum.Sign() != 0 {
			o.sets[s], o.costs[s] = new(big.Rat).SetFrac(sum, all), costs
		}
	}
	if o.rest.SetFrac(rest, all); !o.told {
		o.costs = nil
	}
	return nil
}

// paidAt is what prices and premiums come to in a state.
func (p *plan) paidAt(won set, l *level, state int) (int64, error) {
	if p.layout.money {
		return p.layout.paid(l.keys[state]), nil
	}
	sum, lots := int64(0), p.in(won)
	for n, bid := range p.bidsOf(won, l, state, nil) {
		home, err := lots[n].price(bid)
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
		l, h := d.BelowAny(costs)
		low.Add(low, l.Mul(l, o.sets[s]))
		high.Add(high, h.Mul(h, o.sets[s]))
	}
	return low, high, nil
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
