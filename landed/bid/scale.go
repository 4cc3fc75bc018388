package bid

import (
	"fmt"
	"math/big"

	"lotcost/landed/internal/exact"
)

// common is the denominator in which worths are whole numbers. The worth of a state, before
// some lot closes, is what is still gained from there on, prices paid before it aside, in
// units of 1/unit of a minor unit over the number of ways in which the lots to come may go.
type common struct {
	each    int        // words of a number
	unit    *big.Int   // of means and of the goal's factor
	gain    *big.Int   // the goal's factor, in it
	means   []*big.Int // of each lot, in it
	pays    []words    // by lot and likely bid: what it takes from the worth after it
	ways    []*big.Int // by lot, in how many ways it and those after it may go; one more entry is 1
	byTerms bool       // whether terms tell what is paid beside the prices for each set
	// hopes are more than a set can be worth before a lot closes: without budget, border and carriage.
	hopes []words // by lot, and by set
}

// mostCost bounds a landed cost, in minor units, so that all sums fit.
const mostCost = 1 << 55

// newCommon finds the denominator.
func (n *night) newCommon() error {
	last := len(n.lots)
	worths := []*big.Rat{n.gain}
	for i := range n.lots {
		worths = append(worths, n.lots[i].mean)
	}
	whole, unit := exact.Whole(worths)
	c := &common{unit: unit, gain: whole[0], means: whole[1:], ways: make([]*big.Int, last+1)}
	largest := new(big.Int).Mul(c.gain, big.NewInt(mostCost))
	c.ways[last] = big.NewInt(1)
	for i, mean := range c.means {
		largest.Add(largest, new(big.Int).Abs(mean))
		lot := last - 1 - i
		c.ways[lot] = new(big.Int).Mul(c.ways[lot+1], new(big.Int).SetUint64(n.lots[lot].all))
	}
	largest.Mul(largest, c.ways[0])
	c.each = (largest.BitLen()+3)/64 + 1
	n.common = c
	for lot, l := range n.lots {
		pays := newWords(c.each, len(l.bids))
		for b, bid := range l.bids {
			put(pays.at(b), n.paying(lot, bid))
		}
		c.pays = append(c.pays, pays)
	}
	return n.hope()
}

// worths tells what the states of a set are worth before a lot closes, once nothing more is won:
// what its lots bring less what is paid, prices aside.
type worths struct{ all, each []uint64 }

func (n *night) worthsOf(won set, lot int) worths {
	c := n.common
	w := worths{make([]uint64, c.each), make([]uint64, c.each)}
	sum := new(big.Int).Mul(c.gain, big.NewInt(n.spent))
	for i, mean := range c.means {
		if won.has(i) {
			sum.Add(sum, mean)
		}
	}
	put(w.all, sum.Mul(sum, c.ways[lot]))
	put(w.each, new(big.Int).Mul(c.gain, c.ways[lot]))
	return w
}

// worth puts what such a state is worth where so much is paid beside the prices.
func (n *night) worth(out []uint64, w *worths, rest int64) {
	if rest > mostCost || rest < -mostCost {
		n.fail(fmt.Errorf("the evening cannot be calculated: a cost of %d minor units is too large", rest))
		return
	}
	if rest < 0 {
		copy(out, w.all)
		addTimes(out, w.each, uint64(-rest))
		return
	}
	clear(out)
	addTimes(out, w.each, uint64(rest))
	sub(out, w.all, out)
}

// paying is what a bid for a lot takes from the worth after it.
func (n *night) paying(lot int, bid int64) *big.Int {
	paid := new(big.Int).Mul(n.common.gain, big.NewInt(n.lots[lot].pays(bid)))
	return paid.Mul(paid, n.common.ways[lot+1])
}

// hope makes the hopes: those of every set, from the last lot back.
func (n *night) hope() error {
	c, last := n.common, len(n.lots)
	c.hopes, c.byTerms = make([]words, last+1), true
	for lot := range c.hopes {
		c.hopes[lot] = newWords(c.each, 1<<lot)
	}
	for s := set(0); s < 1<<last; s++ {
		cost, err := n.of(s)
		if err != nil {
			return err
		}
		c.byTerms = c.byTerms && (cost.flat || cost.quick != nil && cost.quick.Classes() != nil)
		w := n.worthsOf(s, last)
		n.worth(c.hopes[last].at(int(s)), &w, n.least(s, cost))
	}
	for lot := last - 1; lot >= 0; lot-- {
		l, won := n.lots[lot], make([]uint64, c.each)
		for s := set(0); s < 1<<lot; s++ {
			lost, with, sum := c.hopes[lot+1].at(int(s)), c.hopes[lot+1].at(int(s.with(lot))), c.hopes[lot].at(int(s))
			for b := range l.bids {
				if sub(won, with, c.pays[lot].at(b)); compare(won, lost) < 0 {
					copy(won, lost)
				}
				addTimes(sum, won, l.weights[b])
			}
		}
	}
	return nil
}

// least is what is paid at least beside what the bids for a set come to.
func (n *night) least(won set, c *setCost) int64 {
	if n.bounds == nil || won == 0 {
		return c.least
	}
	rest, ok := n.bounds.Least(int(won))
	if !ok {
		return mostCost // no service takes them
	}
	return c.least + rest
}

// allowed is how many of the likely bids for a lot may be worth to be won at on top of a
// set: beyond, even hope is worth less than to win nothing more.
func (t *tree) allowed(won set, lot int, worst int64) int {
	c := t.common
	least, left := make([]uint64, c.each), make([]uint64, c.each)
	w := t.worthsOf(won, lot+1)
	t.worth(least, &w, worst)
	for b := range t.lots[lot].bids {
		if sub(left, c.hopes[lot+1].at(int(won.with(lot))), c.pays[lot].at(b)); compare(left, least) < 0 {
			return b
		}
	}
	return len(t.lots[lot].bids)
}
