package show

import (
	"math/big"

	"lotcost/landed/bid"

	"github.com/shopspring/decimal"
)

// A figure in print must say of its goal what was decided exactly: it is given
// to as many decimals as the goal, and one that misses is never rounded to meet.

// rounded prints a number to so many decimals, half away from zero. Missed says
// that it misses the goal: by being less, for a way of -1, or more, for +1.
func rounded(n *big.Rat, digits int, goal *big.Rat, missed bool, way int) string {
	if goal == nil {
		return n.FloatString(digits)
	}
	if more, exact := goal.FloatPrec(); exact {
		digits = max(digits, more)
	}
	text := n.FloatString(digits)
	if r, ok := new(big.Rat).SetString(text); !missed || ok && r.Cmp(goal) == way {
		return text
	}
	unit := new(big.Rat).SetFrac(big.NewInt(int64(way)), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
	return unit.Add(unit, goal).FloatString(digits)
}

// hundred makes a percentage of a fraction; nil of none.
func hundred(r *big.Rat) *big.Rat {
	return given(r, func(r *big.Rat) *big.Rat { return new(big.Rat).Mul(r, big.NewRat(100, 1)) })
}

func ratOf(d *decimal.Decimal) *big.Rat { return given(d, (*decimal.Decimal).Rat) }

// returnOf prints the return of a point, as a percentage or as a fraction.
func returnOf(a *bid.Answer, p *bid.Point) (text, data string) {
	if p.Return == nil {
		return "", ""
	}
	goal := ratOf(a.Goal.Return)
	missed := goal != nil && p.Return.Cmp(goal) < 0
	return rounded(hundred(p.Return), 1, hundred(goal), missed, -1) + "%", rounded(p.Return, 6, goal, missed, -1)
}

// lossOf prints the chance of a loss of a point likewise.
func lossOf(a *bid.Answer, p *bid.Point) (text, data string) {
	goal, chance := ratOf(a.Goal.Risk), p.Loss.Rat()
	_, high := p.Loss.Bounds()
	missed := goal != nil && high.Cmp(goal) > 0
	text = rounded(hundred(chance), 1, hundred(goal), missed, +1) + "%"
	if plain := p.Loss.String(); plain[0] == '<' && text == "0.0%" || plain[0] == '>' && text == "100.0%" {
		text = plain // neither nothing nor all
	}
	return text, rounded(chance, 6, goal, missed, +1)
}
