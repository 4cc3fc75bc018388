package resale

import (
	"math"
	"slices"
	"sort"

	"lotcost/landed/internal/exact"
)

// mostLeaps bounds a search. It is reached only where each unit of price leaves less than a few
// millionths, see leap. It is more than a million, the period of [piece.periodic].
const mostLeaps = 1 << 20

// found says how a search ended.
type found uint8

const (
	none found = iota
	yes
	gaveUp
)

// next finds the least price, from a given one upwards, at which need is kept.
func (s *schedule) next(from, need int64) (int64, found) {
	for i := s.at(from); i < len(s.pieces); i++ {
		p := &s.pieces[i]
		first, last := p.window(need)
		price, end := s.f.leap(p, max(first, from), last, need)
		if end != none {
			return price, end
		}
	}
	return 0, none
}

func (s *schedule) at(price int64) int {
	if price == 0 {
		return 0
	}
	return sort.Search(len(s.pieces), func(i int) bool { return s.pieces[i].last >= price })
}

// window bounds the prices of a piece at which need can be kept at all; it is empty if first >
// last. By the meaning of slack, kept at a price q of it is at most atFirst + slope (q - first) +
// slack.
func (p *piece) window(need int64) (first, last int64) {
	missing := need - p.atFirst - p.slack
	switch {
	case missing > 0 && p.up <= 0:
		return p.first, p.first - 1
	case missing > 0:
		return p.first + steps(missing, p.up, p.last-p.first, true), p.last
	case p.up < 0:
		return p.first, p.first + steps(-missing, -p.up, p.last-p.first, false)
	}
	return p.first, p.last
}

// steps is amount / slope, rounded as asked. What is more than most comes out as most + 1.
func steps(amount, slope, most int64, up bool) int64 {
	q, rest, ok := exact.MulDiv(uint64(amount), unit, uint64(slope))
	if !ok {
		return most + 1
	}
	if up && rest > 0 {
		q++
	}
	return int64(min(q, uint64(most)+1))
}

// leap finds the least price of a piece, within [price, last], at which need is kept. Since the
// terms never fall as the price rises, d units more of price keep at most d more: where d is
// missing, nothing nearer than d units on can do, and the leap skips no answer.
//
// It starts where window says. From there to where need is certainly kept are at most 2 x slack /
// slope units, and each leap leaves about (1 - slope) of what was missing: a schedule that keeps a
// half takes two or three leaps, one that keeps a thousandth some thousands.
func (f *figures) leap(p *piece, price, last, need int64) (int64, found) {
	last = min(last, p.last)
	for range mostLeaps {
		if price > last {
			return 0, none
		}
		missing := need - f.kept(p, price)
		if missing <= 0 {
			return price, yes
		}
		price += missing
	}
	if p.periodic() {
		return 0, none
	}
	return 0, gaveUp
}

// periodic reports whether what is kept repeats itself every million units: with a slope of zero
// and rates in whole millionths of the price it does. What no price of a period meets, none meets.
func (p *piece) periodic() bool {
	taxed := func(t term) bool { return t.base.tax != 0 }
	return p.up == 0 && !p.vat && !slices.ContainsFunc(p.terms, taxed)
}

// nextMiss finds the least price, from a given one upwards, at which need is not kept.
func (s *schedule) nextMiss(price, need int64) (int64, found) {
	if price > highest {
		return 0, none
	}
	leaps := 0
	for i := s.at(price); i < len(s.pieces); i++ {
		p := &s.pieces[i]
		for price = max(price, p.first); price <= p.last; leaps++ {
			over := s.f.kept(p, price) - need
			if over < 0 {
				return price, yes
			}
			if leaps == mostLeaps {
				return 0, gaveUp
			}
			price += p.safe(over, p.last-price)
		}
	}
	return 0, none
}

// leastKept is the least that is kept at any price from one to another. Where what is kept hardly
// changes over more than mostLeaps prices, it is the least found: of the ends of the pieces and of
// so many prices.
func (s *schedule) leastKept(from, to int64) int64 {
	least := int64(math.MaxInt64)
	each := func(look func(p *piece, first, last int64)) {
		for i := s.at(from); i < len(s.pieces) && s.pieces[i].first <= to; i++ {
			p := &s.pieces[i]
			look(p, max(from, p.first), min(to, p.last))
		}
	}
	each(func(p *piece, first, last int64) {
		least = min(least, s.f.kept(p, first), s.f.kept(p, last))
	})
	leaps := 0
	each(func(p *piece, first, last int64) {
		for price := first; price <= last && leaps < mostLeaps; leaps++ {
			kept := s.f.kept(p, price)
			least = min(least, kept)
			price += p.safe(kept-least, last-price)
		}
	})
	return least
}

// safe is how many units the price can rise, at least 1 and at most left+1, before need can be
// missed, where over is kept beyond need. Either the slope alone brings it down once more than
// slack is kept, or a unit of price takes at most slack - 1.
func (p *piece) safe(over, left int64) int64 {
	beyond := over - p.slack
	switch {
	case p.slack <= 1 || beyond >= 0 && p.down >= 0:
		return left + 1
	case beyond >= 0:
		return min(left, steps(beyond, -p.down, left, false)) + 1
	}
	return min(left, over/(p.slack-1)) + 1
}
