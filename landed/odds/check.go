package odds

import (
	"math/big"

	"github.com/shopspring/decimal"

	"lotcost/landed/money"
)

const (
	places   = 18
	one      = 1_000_000_000_000_000_000 // the chance of 100 % in units of 10^-18
	maxTotal = 1 << 60                   // the most minor units in all, see fixed.go
)

// fate is a checked group: its amounts in minor units, their chances in units of
// 10^-18. Outcomes without a chance are left out, and those of which pieces may
// be kept stand first.
type fate struct {
	amounts []int64
	kept    []int64 // of the first outcomes, what a kept piece counts for
	chances []uint64
	count   int64
	keep    int64
	alike   bool
}

// checker carries the one currency of an input, once it is known.
type checker struct {
	currency money.Currency
	known    bool
	pieces   int64 // of the world in hand
	laws     map[string]*law
}

func (c *checker) groups(groups []Group) ([]fate, error) {
	if len(groups) == 0 {
		return nil, &LimitError{What: "groups", Given: 0, Least: 1, Most: maxPieces}
	}
	list := make([]fate, len(groups))
	c.pieces = 0
	for i := range groups {
		f, err := c.group(&groups[i], Place{Group: i + 1})
		if err != nil {
			return nil, err
		}
		list[i] = f
	}
	return list, nil
}

func (c *checker) group(g *Group, at Place) (fate, error) {
	if g.Count < 1 || g.Count > maxPieces {
		return fate{}, &PlaceError{at, &LimitError{What: Pieces, Given: g.Count, Least: 1, Most: maxPieces}}
	}
	if c.pieces += g.Count; c.pieces > maxPieces {
		return fate{}, &PlaceError{at, &LimitError{What: AllPieces, Given: c.pieces, Least: 1, Most: maxPieces}}
	}
	if g.Keep < 0 {
		return fate{}, &PlaceError{at, &LimitError{What: "pieces kept", Given: g.Keep, Least: 0, Most: g.Count}}
	}
	var sum uint64
	chances := make([]uint64, len(g.Outcomes))
	mayKeep, rest := fate{count: g.Count, keep: min(g.Keep, g.Count), alike: g.Alike}, fate{}
	for i := range g.Outcomes {
		at.Outcome = i + 1
		to := &rest
		if mayKeep.keep > 0 && g.Outcomes[i].Kept.Currency() != 0 {
			to = &mayKeep
		}
		chance, err := c.outcome(to, &g.Outcomes[i], at)
		if err != nil {
			return fate{}, err
		}
		chances[i] = chance
		sum = min(sum+chance, 2*one) // enough to see that it is too much
	}
	if at.Outcome = 0; sum != one {
		return fate{}, &PlaceError{at, sumError(chances)}
	}
	mayKeep.amounts, mayKeep.chances = append(mayKeep.amounts, rest.amounts...), append(mayKeep.chances, rest.chances...)
	return mayKeep, nil
}

// outcome adds an outcome to a fate, unless it has no chance; one to a fate with
// pieces to keep may be kept.
func (c *checker) outcome(to *fate, o *Outcome, at Place) (chance uint64, err error) {
	if chance, err = fraction(o.Chance, o.What, at); err != nil {
		return 0, err
	}
	amounts := []money.Amount{o.Amount, o.Kept}
	if to.keep == 0 {
		amounts = amounts[:1]
	}
	for _, a := range amounts {
		if err := c.same(a.Currency()); err != nil {
			return 0, &PlaceError{at, err}
		}
	}
	if chance == 0 {
		return 0, nil
	}
	to.amounts, to.chances = append(to.amounts, o.Amount.Minor()), append(to.chances, chance)
	if to.keep > 0 {
		to.kept = append(to.kept, o.Kept.Minor())
	}
	return chance, nil
}

func sumError(chances []uint64) error {
	var sum decimal.Decimal
	for _, chance := range chances {
		sum = sum.Add(decimal.New(int64(chance), -places))
	}
	return &SumError{Sum: sum, Missing: decimal.New(1, 0).Sub(sum)}
}

func (c *checker) same(currency money.Currency) error {
	if !c.known {
		c.currency, c.known = currency, true
	}
	if currency != c.currency {
		return &money.MismatchError{A: c.currency, B: currency}
	}
	return nil
}

// fraction reads a fraction from 0 to 1 as units of 10^-18.
func fraction(d decimal.Decimal, what string, at Place) (uint64, error) {
	chance := &ChanceError{What: what, Given: d}
	fault := &PlaceError{at, chance}
	n, shift := d.Coefficient(), places+int64(d.Exponent())
	switch {
	case n.Sign() == 0:
		return 0, nil
	case n.Sign() < 0:
		chance.Remedy = "it cannot be below 0%"
		return 0, fault
	case shift > places:
		chance.Remedy = "it cannot be above 100%"
		return 0, fault
	}
	ten, digit := big.NewInt(10), new(big.Int)
	for ; shift < 0; shift++ {
		if n.QuoRem(n, ten, digit); digit.Sign() != 0 {
			chance.Remedy = "write it with at most 16 decimals"
			return 0, fault
		}
	}
	n.Mul(n, new(big.Int).Exp(ten, big.NewInt(shift), nil))
	if n.Cmp(big.NewInt(one)) > 0 {
		chance.Remedy = "it cannot be above 100%"
		return 0, fault
	}
	return n.Uint64(), nil
}
