package odds

import (
	"cmp"
	"errors"
	"math"
	"strconv"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

const (
	places = 18 // of a chance, so that it is a whole number of 10^-18, which fits in 64 bits
	one    = 1_000_000_000_000_000_000

	maxPieces = 1_000_000
	maxRisks  = 6 // each doubles the work
	maxWhole  = 1 << 62
	maxTotal  = 1 << 60 // the most minor units in all, see fixed.go
)

// checker carries the one currency of an input, once it is known.
type checker struct {
	currency money.Currency
	known    bool
	pieces   int64  // of the scenario in hand
	total    uint64 // minor units that they may bring, or cost
}

// group gives the pieces of a group, in minor units and units of 10^-18. Outcomes without a chance
// are left out, and those of which pieces may be kept stand first.
func (c *checker) group(g *Group, at Error) (kind, error) {
	fail := func(err error) (kind, error) {
		at.Err = err
		return kind{}, &at
	}
	c.pieces += max(g.Count, 0)
	switch {
	case g.Count < 1 || g.Count > maxPieces:
		return fail(&LimitError{Given: g.Count, Most: maxPieces})
	case c.pieces > maxPieces:
		return fail(&LimitError{Given: c.pieces, Most: maxPieces})
	case g.Keep < 0:
		return fail(&LimitError{Kept: true, Given: g.Keep, Most: g.Count})
	}
	whole := cmp.Or(g.whole, one)
	if whole > maxWhole {
		return fail(&LimitError{Given: math.MaxInt64, Most: maxWhole})
	}
	k, others := kind{count: g.Count, keep: min(g.Keep, g.Count), den: whole}, kind{}
	var all uint64
	for i := range g.Outcomes {
		o := &g.Outcomes[i]
		at.Outcome = i + 1
		to, amounts, kept := &others, []money.Amount{o.Value}, g.kept(i)
		if k.keep > 0 && kept.Currency() != 0 {
			to, amounts = &k, append(amounts, kept)
		}
		chance, err := g.chance(i)
		if err == nil {
			err = c.same(amounts)
		}
		if err != nil {
			return fail(err)
		}
		if chance == 0 {
			continue
		}
		all = min(all+min(chance, 2*whole), 2*whole) // enough to see that it is too much
		to.num, to.sold = append(to.num, chance), append(to.sold, o.Value.Minor())
		if to == &k {
			k.kept = append(k.kept, kept.Minor())
		}
	}
	if at.Outcome = 0; all != whole {
		return fail(sumError(g))
	}
	k.num, k.sold = append(k.num, others.num...), append(k.sold, others.sold...)
	for _, a := range []int64{k.least(), k.most()} {
		all, ok := exact.Mul(a, k.count)
		if c.total += min(exact.Magnitude(all), 2*maxTotal); !ok || c.total > maxTotal {
			return fail(money.ErrOverflow)
		}
	}
	return k, nil
}

func (c *checker) same(amounts []money.Amount) error {
	for _, a := range amounts {
		if !c.known {
			c.currency, c.known = a.Currency(), true
		}
		if a.Currency() != c.currency {
			return money.MismatchError{c.currency, a.Currency()}
		}
	}
	return nil
}

// units reads a fraction from 0 to 1 as units of 10^-18.
func units(d decimal.Decimal, what string) (uint64, error) {
	remedy := "write one from 0% to 100%"
	if exact.IsFraction(d) {
		units := d.Shift(places)
		if units.IsInteger() {
			return uint64(units.IntPart()), nil
		}
		remedy = "write it with at most 16 decimals"
	}
	if what != "" {
		what = strconv.Quote(what) + ": "
	}
	return 0, errors.New(what + "a chance of " + money.FormatPercent(d) + ": " + remedy)
}
