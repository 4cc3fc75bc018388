package bid

import (
	"cmp"
	"iter"
	"math"

	"lotcost/landed/money"
)

// mostBid is the highest bid that is looked at, in minor units.
const mostBid = 1 << 50

// defaultSteps are the steps by which bids rise where a haul names none. They
// go by magnitude, and by the digits of the currency: in yen 100 up to 5 000,
// then 250, from 10 000 on 500, from 20 000 on 1 000, from 50 000 on 2 500, and
// so on, a twentieth of where each begins; in currencies with cents a hundredth
// of all that. They are a choice of this project: every sale room has its own
// (common practice, no source).
func defaultSteps(c money.Currency) []BidStep {
	unit := int64(100)
	for range c.Digits() - 2 {
		unit *= 10
	}
	table := []BidStep{{From: money.New(0, c), Step: money.New(unit, c)}}
	for decade := 50 * unit; decade <= mostBid; decade *= 10 {
		for _, times := range []int64{1, 2, 4} {
			from := decade * times
			table = append(table, BidStep{From: money.New(from, c), Step: money.New(from/20, c)})
		}
	}
	return table
}

// grid is the bids that can be made, in minor units, made as they are asked
// for.
type grid struct {
	steps []BidStep
	bids  []int64
}

func newGrid(start money.Amount, steps []BidStep) *grid {
	first := cmp.Or(start.Minor(), steps[0].Step.Minor())
	return &grid{steps: steps, bids: []int64{first}}
}

// at returns a bid by its place. It reports false beyond the highest there is.
func (g *grid) at(i int) (int64, bool) {
	for len(g.bids) <= i {
		last := g.bids[len(g.bids)-1]
		if last >= mostBid {
			return 0, false
		}
		g.bids = append(g.bids, g.next(last))
	}
	return g.bids[i], true
}

// rising are the bids from a place on, by their places.
func (g *grid) rising(place int) iter.Seq2[int, int64] {
	return func(yield func(int, int64) bool) {
		for i := place; ; i++ {
			if bid, ok := g.at(i); !ok || !yield(i, bid) {
				return
			}
		}
	}
}

// next returns the bid after one: a step of the band that it stands in higher,
// but not past the beginning of the next band.
func (g *grid) next(bid int64) int64 {
	_, step, end := g.band(bid)
	return min(bid+step, end)
}

// band is that of the bids about an amount: where they begin, by how much they rise, and where the
// next band begins.
func (g *grid) band(amount int64) (first, step, end int64) {
	n := 0
	for n+1 < len(g.steps) && g.steps[n+1].From.Minor() <= amount {
		n++
	}
	first, step, end = max(g.bids[0], g.steps[n].From.Minor()), min(g.steps[n].Step.Minor(), mostBid), math.MaxInt64
	if n+1 < len(g.steps) {
		end = g.steps[n+1].From.Minor()
	}
	return first, step, end
}

// step returns by how much the bids rise after one.
func (g *grid) step(bid int64) int64 { return g.next(bid) - bid }
