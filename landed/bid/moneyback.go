package bid

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// MoneyBack is how many pieces must come good for the money back at a bid: the least number of
// good pieces, taken in the order below, with which the net proceeds cover the cost whatever
// becomes of the others.
//
// A piece is good when its best outcome comes true, as [landed.Haul.Best] has it, at the low end
// where that is a range. Every other piece with chances counts at its worst outcome, a piece
// without chances at its value, and no risk happens. Of unlike items the pieces come first that
// add most when good over what they make at worst, equals in the order of the file; an item whose
// pieces are all alike counts whole. Where some are kept or alike, fewer in another order may do.
type MoneyBack struct {
	Good   []Good   // how many pieces must be good, by items
	Enough bool     // else all of Good, which is then every piece that may, do not bring the cost
	Chance *big.Rat // that so many of each item are good and no risk happens; exact where odds are
}

// Good is so many good pieces of an item.
type Good struct {
	Item       string // its id
	Pieces, Of int64
}

// gains are pieces of an uncertain item that bring alike when they are good.
type gains struct {
	good  int   // index into the items
	units int64 // single pieces, or all of an item at once
	of    int64 // pieces of a unit
	each  int64 // what a unit brings over what it does at worst, minor units of home
	key   int64 // by which they come: those that are kept stand before the others of an item
}

// moneyBack finds it for a cost in minor units of home; nil where no piece is uncertain,
// or where pieces depend on each other otherwise than by being alike.
func (b *Bidder) moneyBack(cost int64) (*MoneyBack, error) {
	items := b.proceeds.items()
	base, sums := money.New(-cost, b.haul.Home), tally.Tally{}
	var found []gains
	var goods []uncertain
	for _, it := range items {
		if isLearnt(it.Item) || len(it.Further) > 0 {
			return nil, nil
		}
		d, err := b.proceeds.group(it.Item, decimal.NewFromInt(1))
		if err != nil {
			return nil, err
		}
		u := newUncertain(it, &d.Group)
		if len(it.Chances) == 0 { // good for certain
			u.worst = u.sold
			base = sums.Add(base, sums.Times(money.New(u.kept-u.sold, b.haul.Home), u.keep))
		} else {
			best, err := b.proceeds.bestOf(it.Item, it.Chances)
			if err != nil {
				return nil, err
			}
			u.chance = it.Chances[best].Chance
			found, goods = append(found, u.gains(len(goods))...), append(goods, u)
		}
		base = sums.Add(base, sums.Times(money.New(u.worst, b.haul.Home), it.Count))
	}
	if len(goods) == 0 || sums.Err != nil {
		return nil, sums.Err
	}
	slices.SortStableFunc(found, func(g, h gains) int { return cmp.Compare(h.key, g.key) })
	back := &MoneyBack{Enough: base.Minor() >= 0}
	counts, missing := make([]int64, len(goods)), -base.Minor()
	for _, g := range found {
		if back.Enough || g.each <= 0 {
			break
		}
		n := min((missing-1)/g.each+1, g.units)
		counts[g.good] += n * g.of
		missing -= n * g.each
		back.Enough = missing <= 0
	}
	return back, b.chanceOf(back, items, goods, counts)
}

// chanceOf puts what is needed of each item into a [MoneyBack], with the chance of it.
func (b *Bidder) chanceOf(back *MoneyBack, items []placed, goods []uncertain, counts []int64) error {
	back.Chance = big.NewRat(1, 1)
	risks, _ := b.proceeds.risks(items)
	for _, r := range risks {
		back.Chance.Mul(back.Chance, decimal.NewFromInt(1).Sub(r).Rat())
	}
	for i, n := range counts {
		if n == 0 {
			continue
		}
		back.Good = append(back.Good, Good{goods[i].ID, n, goods[i].Count})
		chance, err := goods[i].atLeast(n, b.haul.Home)
		if err != nil {
			return err
		}
		back.Chance.Mul(back.Chance, chance)
	}
	return nil
}

// uncertain is what the pieces of an item bring, each in minor units of home.
type uncertain struct {
	placed
	sold, kept, worst int64 // good and sold, good and kept, at worst
	keep              int64 // how many good ones are kept
	chance            decimal.Decimal
}

func newUncertain(it placed, g *odds.Group) uncertain {
	u := uncertain{placed: it, keep: min(g.Keep, g.Count), worst: g.Outcomes[0].Value.Minor(), sold: math.MaxInt64, kept: math.MaxInt64}
	for i := range g.Outcomes {
		sold, kept := g.Outcomes[i].Value.Minor(), g.Kept[i]
		u.worst = min(u.worst, sold)
		if kept.Currency() == 0 {
			continue
		}
		if u.keep > 0 {
			u.worst = min(u.worst, kept.Minor())
		}
		u.sold, u.kept = min(u.sold, sold), min(u.kept, kept.Minor())
	}
	return u
}

// gains lists what good pieces bring over the worst: the kept ones, then the others.
func (u *uncertain) gains(place int) []gains {
	kept, sold := u.kept-u.worst, u.sold-u.worst
	if u.Alike {
		all := u.keep*kept + (u.Count-u.keep)*sold
		return []gains{{place, 1, u.Count, all, all / u.Count}}
	}
	var list []gains
	if u.keep > 0 {
		list = append(list, gains{place, u.keep, 1, kept, kept})
	} else {
		kept = sold
	}
	if u.Count > u.keep {
		list = append(list, gains{place, u.Count - u.keep, 1, sold, min(sold, kept)})
	}
	return list
}

// atLeast is the chance that so many pieces are good.
func (u *uncertain) atLeast(n int64, home money.Currency) (*big.Rat, error) {
	bad := decimal.NewFromInt(1).Sub(u.chance)
	if u.Alike || bad.IsZero() {
		return u.chance.Rat(), nil
	}
	good := []landed.Outcome{{Chance: u.chance, Value: money.New(1, home)}, {Chance: bad, Value: money.New(0, home)}}
	d, err := odds.Of([]odds.Group{{Count: u.Count, Outcomes: good}}, 0)
	if err != nil {
		return nil, err
	}
	fewer, err := d.Below(money.New(n, home))
	return new(big.Rat).Sub(big.NewRat(1, 1), fewer.Rat()), err
}
