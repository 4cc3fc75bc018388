package bid

import (
	"cmp"
	"fmt"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// mostLikely is how many bids may be likely for one lot.
const mostLikely = 5000

// likely is what others may pay for a lot: bids of the ladder, rising, each with its
// weight. Chances are weights over the sum of all.
type likely struct {
	bids    []int64
	weights []uint64
	all     uint64
}

// ladderOf is the bids for an open lot: by the terms, or else the usual ones of the
// currency in which its likely prices are, or it is priced; that is 0 where
// nothing says in which currency it is sold.
func (b *Bidding) ladderOf(lot *landed.Lot) (*grid, money.Currency) {
	var start money.Amount
	var steps []BidStep
	var cur money.Currency
	if b != nil {
		start, steps, cur = b.Start, b.Steps, b.currency()
	}
	cur = cmp.Or(cur, lot.Price.Currency())
	if cur == 0 && lot.Likely != nil {
		cur = currencyOf(lot.Likely)
	}
	if cur == 0 {
		return nil, 0
	}
	if len(steps) == 0 {
		steps = defaultSteps(cur)
	}
	return newGrid(start, steps), cur
}

// Currency is that in which a lot is bid for; 0 where nothing says it. The terms may be nil.
func (b *Bidding) Currency(lot *landed.Lot) money.Currency {
	_, cur := b.ladderOf(lot)
	return cur
}

// checkLikely records likely prices of lots still to come of which no bid comes.
func (b *Bidding) checkLikely(h *landed.Haul, report *collect.Report) {
	for i := range h.Lots {
		lot := &h.Lots[i]
		if lot.Likely == nil || lot.Lost || lot.Bought() {
			continue
		}
		grid, cur := b.ladderOf(lot)
		if cur == 0 {
			continue
		}
		if _, f := likelyOf(lot.Likely, grid, cur); f != nil {
			f.At, f.Field = lot.Likely.At, "lot "+lot.ID+": likely"
			report.Add(f)
		}
	}
}

// likelyOf finds the bids of a ladder that are likely, or what is wrong.
func likelyOf(l *landed.Likely, g *grid, cur money.Currency) (likely, *source.Fault) {
	switch {
	case currencyOf(l) != cur:
		return likely{}, &source.Fault{What: fmt.Sprintf("the prices are in %s, but bids in %s", currencyOf(l), cur), Remedy: "write them in " + cur.Code() + ", the currency of the sale"}
	case len(l.Prices) > 0:
		return g.listed(l.Prices)
	case l.To.Currency() != 0:
		bids, f := g.between(l.From.Minor(), l.To.Minor())
		if f == nil && len(bids) == 0 {
			f = &source.Fault{What: fmt.Sprintf("there is no bid from %s to %s", l.From, l.To), Remedy: "write a range with a bid in it, such as " + g.near(l.To.Minor(), cur)}
		}
		return likely{bids, slices.Repeat([]uint64{1}, len(bids)), uint64(len(bids))}, f
	}
	return g.halved(l.Half, l.Most)
}

// listed raises prices to the next bid.
func (g *grid) listed(prices []money.Amount) (likely, *source.Fault) {
	var l likely
	if len(prices) > mostLikely {
		return l, tooManyLikely()
	}
	for _, p := range prices {
		bid := g.from(p.Minor())
		at, known := slices.BinarySearch(l.bids, bid)
		if !known {
			l.bids, l.weights = slices.Insert(l.bids, at, bid), slices.Insert(l.weights, at, 0)
		}
		l.weights[at]++
		l.all++
	}
	return l, nil
}

// halved has half the chance on the bids up to one amount, half on those above it up to
// another.
func (g *grid) halved(half, most money.Amount) (likely, *source.Fault) {
	lower, f := g.between(0, half.Minor())
	if f != nil {
		return likely{}, f
	}
	upper, f := g.between(half.Minor()+1, most.Minor())
	switch cur := half.Currency(); {
	case f != nil:
	case most.Cmp(half) < 0:
		f = &source.Fault{What: fmt.Sprintf("the most, %s, is below half, %s", most, half), Remedy: "write the lesser one as half"}
	case len(lower) == 0:
		f = &source.Fault{What: fmt.Sprintf("there is no bid up to %s", half), Remedy: "write as half a bid, such as " + money.New(g.bids[0], cur).String()}
	case len(upper) == 0:
		f = &source.Fault{What: fmt.Sprintf("there is no bid above %s up to %s", half, most), Remedy: "write more as most, such as " + money.New(g.from(half.Minor()+1), cur).String()}
	}
	if f != nil {
		return likely{}, f
	}
	each := func(weight, bids []int64) []uint64 { return slices.Repeat([]uint64{uint64(len(weight))}, len(bids)) }
	return likely{append(lower, upper...), append(each(upper, lower), each(lower, upper)...), uint64(2 * len(lower) * len(upper))}, nil
}

// between lists the bids from one amount to another, ends included.
func (g *grid) between(from, to int64) ([]int64, *source.Fault) {
	var bids []int64
	for bid := g.from(from); bid <= to && bid <= mostBid; bid = g.next(bid) {
		if bids = append(bids, bid); len(bids) > mostLikely {
			return nil, tooManyLikely()
		}
	}
	return bids, nil
}

func tooManyLikely() *source.Fault {
	return &source.Fault{What: fmt.Sprintf("more than %d bids are likely", mostLikely), Remedy: "write a narrower range, a list of prices, or larger steps"}
}

// from is the first bid of an amount or more.
func (g *grid) from(amount int64) int64 {
	if amount <= g.bids[0] {
		return g.bids[0]
	}
	return g.next(g.upTo(amount - 1))
}

// near is a range about an amount with a bid in it.
func (g *grid) near(amount int64, cur money.Currency) string {
	bid := money.New(g.from(amount), cur).String()
	return bid + ".." + bid
}

// quarter is the lowest price at which the chance of it or less reaches so many quarters.
func (l *likely) quarter(n uint64) int64 {
	sum := uint64(0)
	return l.bids[slices.IndexFunc(l.weights, func(w uint64) bool { sum += w; return 4*sum >= n*l.all })]
}

// middle is the lowest price at which the chance of it or less reaches a half.
func (l *likely) middle() int64 { return l.quarter(2) }

func currencyOf(l *landed.Likely) money.Currency {
	switch {
	case len(l.Prices) > 0:
		return l.Prices[0].Currency()
	case l.To.Currency() != 0:
		return l.To.Currency()
	}
	return l.Most.Currency()
}
