package bid

import (
	"math/big"
	"math/bits"
	"slices"
	"sort"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
)

// outcome is how an evening goes by a plan.
type outcome struct {
	won       []*big.Rat // by lot: the chance that it is won
	bids      []*big.Rat // by lot: what is bid when it is won, on average, times that chance
	paid      *big.Rat   // prices and premiums that are expected
	rest      *big.Rat   // what else is added to what is spent
	adds      *big.Rat   // what of it the bids add for certain; see [planning.Bounds]
	sets      map[set]*big.Rat
	separable bool                       // whether what is paid is told apart
	below     uint                       // bits for it below a key
	unit      int64                      // in which it is then counted, raised to the next
	costs     map[set]map[int64]*big.Int // by what they add to what is spent: in how many ways; nil where that is not known
}

// flow is the states of a set that come about, and in how many ways. A key is that of the
// state, and below it what was paid where the state does not tell that.
type flow struct {
	keys []uint64
	ways words
}

// forth follows a plan from the first lot to the last.
func (p *plan) forth() *outcome {
	o := &outcome{paid: new(big.Rat), rest: new(big.Rat), adds: new(big.Rat), sets: map[set]*big.Rat{}}
	p.telling(o)
	begin := flow{[]uint64{0}, newWords(p.common.each, 1)}
	begin.ways.of[0] = 1
	flows := map[set]flow{p.base: begin}
	for lot := p.first; lot < len(p.lots); lot++ {
		by := newWords(p.common.each, len(p.lots[lot].bids)+1) // by how many bids are taken: in how many ways
		for _, s := range p.sets(lot) {
			if f, comes := flows[s]; comes {
				p.follow(o, s, lot, f, flows, by)
			}
		}
		o.count(p, lot, by)
	}
	o.end(p, flows)
	return o
}

// telling sees to it that what was paid is told apart, if a key has room for it.
func (p *plan) telling(o *outcome) {
	dearest := p.dearest()
	if o.unit = max(1, p.grain); p.bounds != nil {
		o.unit = max(1, dearest*int64(p.states)/mostCoarse)
	}
	dearest = dearest/o.unit + int64(len(p.lots))
	switch more := bits.Len64(uint64(dearest)); {
	case p.layout.money || p.layout.placed && p.bounds == nil:
		o.separable = true
	case int(p.layout.used())+more <= 64:
		o.separable, o.below = true, uint(more)
	}
}

// follow goes on from the states of a set when a lot closes.
func (p *plan) follow(o *outcome, won set, lot int, f flow, flows map[set]flow, by words) {
	l, level, taken := p.lots[lot], p.levels[won], p.taken[lot][won]
	takes, at, most := make([]int, len(f.keys)), 0, 0
	stay := flow{f.keys, newWords(f.ways.each, len(f.keys))}
	below := l.below()
	for i, key := range f.keys {
		for level.keys[at] != key>>o.below {
			at++
		}
		takes[i] = int(taken[at])
		most = max(most, takes[i])
		addTimes(by.at(takes[i]), f.ways.at(i), 1)
		addTimes(stay.ways.at(i), f.ways.at(i), l.all-below[takes[i]])
	}
	flows[won] = stay
	if most == 0 {
		return
	}
	adds := p.adds(lot, most, o.below, o.unit)
	counts := make([]int, len(takes))
	for i, n := range takes {
		counts[i] = sort.Search(len(adds), func(a int) bool { return adds[a].bid >= n })
	}
	next := flow{keys: p.sums(f.keys, adds, counts)}
	next.ways = newWords(f.ways.each, len(next.keys))
	for a, add := range adds {
		at := 0
		for i, key := range f.keys {
			if counts[i] <= a {
				continue
			}
			for next.keys[at] != key+add.key {
				at++
			}
			addTimes(next.ways.at(at), f.ways.at(i), below[min(add.end, takes[i])]-below[add.bid])
		}
	}
	flows[won.with(lot)] = next
}

// below is, by how many bids, the weight of the first so many that are likely.
func (l *likely) below() []uint64 {
	sums := make([]uint64, len(l.weights)+1)
	for b, w := range l.weights {
		sums[b+1] = sums[b] + w
	}
	return sums
}

func (o *outcome) count(p *plan, lot int, by words) {
	l := p.lots[lot]
	before := new(big.Int).Quo(p.common.ways[p.first], p.common.ways[lot])
	all := new(big.Int).Mul(before, new(big.Int).SetUint64(l.all))
	won, above, ways, term := new(big.Int), new(big.Int), new(big.Int), new(big.Int)
	bids, paid, adds := new(big.Int), new(big.Int), new(big.Int)
	for b, bid := range slices.Backward(l.bids) {
		above.Add(above, number(by.at(b+1))) // in which this bid is taken
		ways.Mul(above, new(big.Int).SetUint64(l.weights[b]))
		won.Add(won, ways)
		bids.Add(bids, term.Mul(ways, big.NewInt(bid)))
		paid.Add(paid, term.Mul(ways, big.NewInt(l.price(bid))))
		adds.Add(adds, term.Mul(ways, big.NewInt(l.adds[bid])))
	}
	o.won = append(o.won, new(big.Rat).SetFrac(won, all))
	o.bids = append(o.bids, new(big.Rat).SetFrac(bids, all))
	o.paid.Add(o.paid, new(big.Rat).SetFrac(paid, all))
	o.adds.Add(o.adds, new(big.Rat).SetFrac(adds, all))
}

func (o *outcome) end(p *plan, flows map[set]flow) {
	all, rest := p.common.ways[p.first], new(big.Int)
	o.costs = map[set]map[int64]*big.Int{}
	for s, f := range flows {
		level, sum, at := p.levels[s], make([]uint64, f.ways.each), 0
		costs, rests := map[int64][]uint64{}, map[int64][]uint64{}
		for i, key := range f.keys {
			for level.keys[at] != key>>o.below {
				at++
			}
			ways := f.ways.at(i)
			if !slices.ContainsFunc(ways, func(w uint64) bool { return w != 0 }) {
				continue
			}
			addTimes(sum, ways, 1)
			added := level.rest[at] - p.spent
			count(rests, added, ways)
			paid := int64(key&(1<<o.below-1)) * o.unit
			if o.below == 0 && o.separable {
				paid = p.paidAt(s, level, at)
			}
			count(costs, added+paid, ways)
		}
		for added, ways := range rests {
			rest.Add(rest, new(big.Int).Mul(number(ways), big.NewInt(added)))
		}
		if len(costs) > 0 {
			o.sets[s], o.costs[s] = new(big.Rat).SetFrac(number(sum), all), map[int64]*big.Int{}
			for cost, ways := range costs {
				o.costs[s][cost] = number(ways)
			}
		}
	}
	o.rest.SetFrac(rest, all)
	if o.rest.Add(o.rest, o.adds); !o.separable {
		o.costs = nil
	}
}

// count adds up ways by what they cost.
func count(sums map[int64][]uint64, cost int64, ways []uint64) {
	if sums[cost] == nil {
		sums[cost] = make([]uint64, len(ways))
	}
	addTimes(sums[cost], ways, 1)
}

// paidAt is what prices and premiums come to in a state.
func (p *plan) paidAt(won set, l *level, state int) int64 {
	if p.layout.money {
		return p.layout.paid(l.keys[state])
	}
	sum, lots := int64(0), p.in(won)
	for n, bid := range p.standIns(p.costs[won], p.bidsOf(won, l, state, nil)) {
		sum += lots[n].price(bid)
	}
	return sum
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

func (n *night) brings(s set) (*odds.Distribution, error) {
	d := n.only(func(l *landed.Lot) bool { return slices.Contains(n.costs[s].ids, l.ID) })
	p, err := newProceeds(d, n.options.Venue, func() bool { return n.options.goes(0) })
	if err != nil {
		return nil, err
	}
	return p.distribution(0)
}
