package odds

import (
	"math/big"

	"github.com/shopspring/decimal"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
)

const (
	places   = 18
	one      = 1_000_000_000_000_000_000 // the chance of 100 % in units of 10^-18
	maxTotal = 1 << 60                   // the most minor units in all, see fixed.go
)

// fate is a checked group: its amounts in minor units, their chances in units of
// 10^-18.
type fate struct {
	amounts []int64
	chances []uint64
	count   int64
	alike   bool
}

// risk is a checked shared risk.
type risk struct {
	chance  uint64
	hits    []bool // by group
	factor  uint64
	instead []fate
}

// checker carries the one currency of an input, once it is known.
type checker struct {
	currency money.Currency
	known    bool
	pieces   int64
}

func (c *checker) groups(groups []Group, at Place) ([]fate, error) {
	list := make([]fate, len(groups))
	for i, g := range groups {
		at.Group = i + 1
		f, err := c.group(g, at)
		if err != nil {
			return nil, err
		}
		list[i] = f
	}
	return list, nil
}

func (c *checker) group(g Group, at Place) (fate, error) {
	if g.Count < 1 || g.Count > maxPieces {
		return fate{}, &CountError{Place: at, Count: g.Count}
	}
	if c.pieces += g.Count; c.pieces > maxPieces {
		return fate{}, &PlaceError{at, &LimitError{What: "pieces in all", Given: c.pieces, Least: 1, Most: maxPieces}}
	}
	f := fate{make([]int64, len(g.Outcomes)), make([]uint64, len(g.Outcomes)), g.Count, g.Alike}
	var sum uint64
	for i, o := range g.Outcomes {
		at.Outcome = i + 1
		chance, err := fraction(o.Chance, "chance", o.What, at)
		if err != nil {
			return fate{}, err
		}
		if err := c.same(o.Amount.Currency()); err != nil {
			return fate{}, &PlaceError{at, err}
		}
		f.amounts[i], f.chances[i] = o.Amount.Minor(), chance
		sum = min(sum+chance, 2*one) // enough to see that it is too much
	}
	if sum != one {
		at.Outcome = 0
		return fate{}, sumError(f.chances, at)
	}
	return f, nil
}

func sumError(chances []uint64, at Place) error {
	var sum decimal.Decimal
	for _, chance := range chances {
		sum = sum.Add(decimal.New(int64(chance), -places))
	}
	return &SumError{Place: at, Sum: sum, Missing: decimal.New(1, 0).Sub(sum)}
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

func (c *checker) shared(list []Shared, groups int) ([]risk, error) {
	if len(list) > maxShared {
		return nil, &LimitError{What: "shared risks", Given: int64(len(list)), Least: 0, Most: maxShared}
	}
	risks := make([]risk, len(list))
	for i, s := range list {
		r, err := c.risk(s, groups, Place{Risk: i + 1})
		if err != nil {
			return nil, err
		}
		risks[i] = r
	}
	return risks, nil
}

func (c *checker) risk(s Shared, groups int, at Place) (r risk, err error) {
	if r.chance, err = fraction(s.Chance, "chance", s.What, at); err != nil {
		return r, err
	}
	if r.factor, err = fraction(s.Factor, "factor", s.What, at); err != nil {
		return r, err
	}
	r.hits = make([]bool, groups)
	for i := range r.hits {
		r.hits[i] = len(s.On) == 0
	}
	for _, i := range s.On {
		if i < 0 || i >= groups {
			return r, &PlaceError{at, &LimitError{What: "index of a group", Given: int64(i), Least: 0, Most: int64(groups - 1)}}
		}
		r.hits[i] = true
	}
	r.instead, err = c.groups(s.Instead, at)
	return r, err
}

// fraction reads a fraction from 0 to 1 as units of 10^-18.
func fraction(d decimal.Decimal, kind, what string, at Place) (uint64, error) {
	fault := &ChanceError{Place: at, Kind: kind, What: what, Given: d}
	n, shift := d.Coefficient(), places+int64(d.Exponent())
	switch {
	case n.Sign() == 0:
		return 0, nil
	case n.Sign() < 0:
		fault.Remedy = "it cannot be below 0%"
		return 0, fault
	case shift > places:
		fault.Remedy = "it cannot be above 100%"
		return 0, fault
	}
	ten, digit := big.NewInt(10), new(big.Int)
	for ; shift < 0; shift++ {
		if n.QuoRem(n, ten, digit); digit.Sign() != 0 {
			fault.Remedy = "write it with at most 16 decimals"
			return 0, fault
		}
	}
	n.Mul(n, new(big.Int).Exp(ten, big.NewInt(shift), nil))
	if n.Cmp(big.NewInt(one)) > 0 {
		fault.Remedy = "it cannot be above 100%"
		return 0, fault
	}
	return n.Uint64(), nil
}

// scaled is amount x factor, factor in units of 10^-18, half away from zero.
func scaled(amount int64, factor uint64) int64 {
	q, _ := exact.MulDivHalf(exact.Magnitude(amount), factor, one)
	if amount < 0 {
		return -int64(q)
	}
	return int64(q)
}
