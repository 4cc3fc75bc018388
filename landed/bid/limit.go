package bid

import (
	"math/big"

	"lotcost/landed/money"
)

// asked is how many bids are tried at once for a limit.
const asked = 64

// limit is the highest bid by the plan for a lot, all before it lost: of those with which as
// many of the likely bids are taken, the highest at which to have won keeps to the budget
// and is worth at least as much as to have lost. It has no currency where there is none.
func (p *plan) limit(lot int) (money.Amount, error) {
	l, taken := p.lots[lot], 0
	if states := p.taken[lot][p.base]; len(states) > 0 {
		taken = int(states[0])
	}
	most := p.highest(lot)
	if taken < len(l.bids) {
		most = min(most, l.bids[taken]-1)
	}
	least, found := int64(0), money.Amount{}
	if taken > 0 {
		least = l.bids[taken-1]
		found = l.bid(least)
	}
	for p.bounds == nil { // bids that are not likely are in no cell
		var some []int64
		some, most = l.grid.below(most, least, asked)
		if len(some) == 0 {
			return found, nil
		}
		at, err := p.worthIt(lot, some)
		if err != nil {
			return found, err
		}
		if at >= 0 {
			return l.bid(some[at]), nil
		}
	}
	return found, nil
}

// highest is a bid for a lot above which hope is worth less than to have lost it.
func (p *plan) highest(lot int) int64 {
	hope := number(p.common.hopes[lot+1].at(int(p.base.with(lot))))
	hope.Sub(hope, p.lost[lot])
	l := p.lots[lot]
	most, _ := lastOf(l.grid.bids[0], 0, func(bid int64) (bool, error) {
		return bid <= mostBid && p.paying(lot, bid).Cmp(hope) <= 0 && (!p.limited || l.price(bid) <= p.budget), nil
	})
	return most
}

// below lists up to so many bids of at most one amount and above another, falling, and
// says where to go on.
func (g *grid) below(most, above int64, n int) ([]int64, int64) {
	var bids []int64
	for len(bids) < n && most > above {
		bid := g.upTo(most)
		if bid <= above || bid == 0 {
			break
		}
		bids, most = append(bids, bid), bid-1
	}
	return bids, most
}

// upTo is the last bid of an amount or less, 0 where there is none.
func (g *grid) upTo(amount int64) int64 {
	if amount < g.bids[0] {
		return 0
	}
	first, step, _ := g.band(amount)
	return first + (amount-first)/step*step
}

// worthIt finds the first of some bids at which to have won a lot, all before it lost, keeps
// to the budget and is worth at least as much as to have lost it; -1 where there is none.
func (p *plan) worthIt(lot int, bids []int64) (int, error) {
	t := &tree{night: p.night, first: lot + 1, base: p.base.with(lot), most: 4 * mostStates}
	for _, bid := range bids {
		t.roots = append(t.roots, []int64{bid})
	}
	if err := t.chooseLayout(p.layout.money); err != nil {
		return -1, err
	}
	if err := t.grow(); err != nil {
		return -1, err
	}
	after := t.back()
	worth := map[uint64]*big.Int{}
	for i, key := range t.levels[t.base].keys {
		worth[key] = number(after.worths[t.base].at(i))
	}
	for i, bid := range bids {
		paid := p.paying(lot, bid)
		if w := worth[t.rootKey(i)]; w != nil && paid.Sub(w, paid).Cmp(p.lost[lot]) >= 0 {
			return i, nil
		}
	}
	return -1, nil
}
