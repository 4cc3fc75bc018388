package bid

import (
	"math"
	"math/big"

	"lotcost/landed/internal/exact"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Limit is the most that a bid may add to what is paid for one goal to be met.
type Limit struct {
	Goal string       // such as "expected profit"
	Want string       // "20.00 CAD", "30%"; "" where nothing may be lost on average
	Most money.Amount // in home, rounded down; below it or at it the goal is met. None over an evening
	Met  *bool        // over an evening, whether it is met; nil where that is not known
}

// The kinds of goals.
const (
	noLoss       = "no expected loss" // on average
	profitGoal   = "expected profit"
	returnGoal   = "return on cost"
	marginGoal   = "margin on proceeds"
	chanceOfLoss = "chance of a loss"
	budgetGoal   = "budget"
)

// String says what is wanted, as "a return on cost of 30% at least".
func (l *Limit) String() string {
	switch l.Goal {
	case noLoss:
		return l.Goal
	case chanceOfLoss:
		return "a " + l.Goal + " of " + l.Want + " at most"
	case budgetGoal:
		return "a " + l.Goal + " of " + l.Want
	case profitGoal:
		return "an " + l.Goal + " of " + l.Want + " at least"
	}
	return "a " + l.Goal + " of " + l.Want + " at least"
}

// limits turns every goal into the most that a bid may add to what is spent. Why
// each is the same as its goal stands in the package comment. A risk is judged
// by what is proven of it, or by what is likeliest.
func limits(g *Goal, d *odds.Distribution, spent int64, proven bool) []Limit {
	mean, home := d.MeanRat(), d.Mean().Currency()
	one := big.NewRat(1, 1)
	var list []Limit
	add := func(goal, want string, most *big.Rat) {
		const bound = math.MaxInt64 / 2 // so that sums fit
		whole, _ := exact.Floor(most)
		list = append(list, Limit{Goal: goal, Want: want, Most: money.New(min(max(whole, -bound), bound), home)})
	}
	if g.Profit.Currency() == 0 && g.Return == nil && g.Margin == nil {
		add(noLoss, "", mean)
	}
	if g.Profit.Currency() != 0 {
		add(profitGoal, g.Profit.String(), new(big.Rat).Sub(mean, new(big.Rat).SetInt64(g.Profit.Minor())))
	}
	if g.Return != nil {
		add(returnGoal, money.FormatPercent(*g.Return), new(big.Rat).Quo(mean, new(big.Rat).Add(one, g.Return.Rat())))
	}
	if g.Margin != nil {
		add(marginGoal, money.FormatPercent(*g.Margin), new(big.Rat).Mul(mean, new(big.Rat).Sub(one, g.Margin.Rat())))
	}
	if g.Risk != nil && g.Risk.LessThan(decimal.NewFromInt(1)) {
		list = append(list, Limit{Goal: chanceOfLoss, Want: money.FormatPercent(*g.Risk), Most: money.New(safest(d, *g.Risk, proven), home)})
	}
	if g.Budget.Currency() != 0 {
		list = append(list, Limit{Goal: budgetGoal, Want: g.Budget.String(), Most: money.New(g.Budget.Minor()-spent, home)})
	}
	return list
}

// least returns the place of the limit that binds, the first of equals.
func least(list []Limit) int {
	at := 0
	for i := range list {
		if list[i].Most.Cmp(list[at].Most) < 0 {
			at = i
		}
	}
	return at
}

// safest returns the greatest cost at which the chance to bring less is q or
// less, for q below 1. At the least that can be brought there is no such chance;
// above the most it is 1. It looks near the quantile first, since what a chance may
// be off by moves it little.
func safest(d *odds.Distribution, q decimal.Decimal, proven bool) int64 {
	home, limit := d.Mean().Currency(), q.Rat()
	low, high := d.Quantile(decimal.Zero).Minor(), d.Quantile(decimal.NewFromInt(1)).Minor()+1
	last, _ := lastOf(d.Quantile(q).Minor(), low, func(cost int64) (bool, error) {
		if cost <= low || cost >= high {
			return cost <= low, nil
		}
		loss, err := d.Below(money.New(cost, home))
		chance := loss.Rat()
		if proven {
			_, chance = loss.Bounds()
		}
		return chance.Cmp(limit) <= 0, err
	})
	return last // no error: the currency is its own
}
