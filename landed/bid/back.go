package bid

import "math/big"

// plan is what is best in every state of a tree.
type plan struct {
	*tree
	worths map[set]words      // of the states of each set, before the lot that is looked at closes
	taken  []map[set][]uint16 // by lot, by set, by state: how many of the likely bids for it are taken
	lost   []*big.Int         // by lot: what the first state is worth once it is lost, all before it lost too
}

// back works from the last lot back to the first that is still to come.
func (t *tree) back() *plan {
	p := &plan{tree: t, worths: map[set]words{}, taken: make([]map[set][]uint16, len(t.lots)), lost: make([]*big.Int, len(t.lots))}
	for s, l := range t.levels {
		p.worths[s] = newWords(t.common.each, len(l.keys))
		w := t.worthsOf(s, len(t.lots))
		for i, rest := range l.rest {
			t.worth(p.worths[s].at(i), &w, rest)
		}
	}
	for lot := len(t.lots) - 1; lot >= t.first; lot-- {
		if len(p.worths[t.base].of) > 0 {
			p.lost[lot] = number(p.worths[t.base].at(0))
		}
		p.taken[lot] = map[set][]uint16{}
		for _, s := range t.sets(lot) {
			p.decide(s, lot)
		}
	}
	return p
}

// decide finds how many of the likely bids for a lot are taken in each state of a set: the
// number that makes the state worth most, the greatest of equals. Bids are taken from the
// least one up, and none above one that cannot be paid.
func (p *plan) decide(won set, lot int) {
	l, level, next := p.lots[lot], p.levels[won], p.levels[won.with(lot)]
	lost, after, pays := p.worths[won], p.worths[won.with(lot)], p.common.pays[lot]
	n := len(level.keys)
	sums, bests, taken, open := newWords(lost.each, n), newWords(lost.each, n), make([]uint16, n), make([]bool, n)
	for i := range open {
		open[i] = true
	}
	more, any := make([]uint64, lost.each), true
	for b := 0; b < len(l.bids) && any; b++ {
		add, at := p.key(lot, l.bids[b]), 0
		any = false
		for i, key := range level.keys {
			if !open[i] {
				continue
			}
			for at < len(next.keys) && next.keys[at] < key+add {
				at++
			}
			if at == len(next.keys) || next.keys[at] != key+add {
				open[i] = false
				continue
			}
			any = true
			sub(more, after.at(at), pays.at(b))
			sub(more, more, lost.at(i))
			sum := sums.at(i)
			addTimes(sum, more, l.weights[b])
			if compare(sum, bests.at(i)) >= 0 {
				copy(bests.at(i), sum)
				taken[i] = uint16(b + 1)
			}
		}
	}
	for i := range n {
		addTimes(bests.at(i), lost.at(i), l.all)
	}
	p.worths[won], p.taken[lot][won] = bests, taken
	delete(p.worths, won.with(lot))
}
