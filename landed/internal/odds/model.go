package odds

import (
	"lotcost/landed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Group is Count pieces that are each open to the same outcomes, whose chances come to exactly 1. A
// certain piece has a single outcome.
//
// Of the pieces that come out with an outcome that has a Kept amount, Keep are kept, or all where
// there are fewer; those whose outcome stands earlier in the list come first.
type Group struct {
	// Chances have at most 18 decimals, and Value is what a piece brings, negative when it costs;
	// what it brings of a range, or after a repair, is for the caller to say.
	Outcomes []landed.Outcome
	Kept     []money.Amount // of each outcome: what a piece counts for instead when it is kept; no currency where such a piece never is, and nil where none is
	Count    int64          // 1 or more
	Keep     int64          // 0 or more
	Alike    bool           // all pieces come out the same, instead of each for itself

	// In place of chances, of each outcome its part of the whole, which is up to 2^62.
	parts []uint64
	whole uint64
}

// kept is what a piece that comes out with an outcome counts for when it is kept.
func (g *Group) kept(outcome int) money.Amount {
	if outcome >= len(g.Kept) {
		return money.Amount{}
	}
	return g.Kept[outcome]
}

// chance is that of an outcome, in parts of the whole, or in units of 10^-18 where there is none.
func (g *Group) chance(outcome int) (uint64, error) {
	o := &g.Outcomes[outcome]
	switch {
	case o.UpTo.Currency() != 0 || o.Repair.Sign() != 0:
		return 0, errUnsettled
	case g.whole != 0:
		return g.parts[outcome], nil
	}
	return units(o.Chance, o.What)
}

// Of gives the distribution of what all groups bring together, by convolution in minor units. The
// order of groups makes no difference.
//
// Steps is about how many multiplications it may take; 0 is 24 million, a few hundredths of a
// second. Chances are exact where that is enough, and so are amounts; where not,
// [Distribution.ErrorBounds] says how far they may be off.
//
// An [*Error] says where it found a chance that is none, a [*LimitError], a [money.MismatchError]
// or [money.ErrOverflow], which is that the greatest and the least amounts of all pieces may sum to
// more than 2^60 minor units. No groups at all are a [*LimitError] by itself.
func Of(groups []Group, steps int64) (*Distribution, error) {
	return Under(nil, func([]bool) ([]Group, error) { return groups, nil }, steps)
}

// Under is [Of] where what there is depends on shared risks, of which the chances are given:
// fractions with at most 18 decimals. They happen independently of each other. Groups tells what
// there is when just those risks happen that it is reported, by their place. It is asked once for
// each combination that has a chance; the slice is only good during the call.
//
// The errors are those of [Of] and of groups.
func Under(risks []decimal.Decimal, groups func(happens []bool) ([]Group, error), steps int64) (*Distribution, error) {
	if steps <= 0 {
		steps = defaultSteps
	}
	return under(risks, groups, defaultPoints, steps)
}
