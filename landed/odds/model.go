package odds

import (
	"slices"

	"github.com/shopspring/decimal"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"
)

// Limits of what is taken. A chance has at most 18 decimals (16 of a per cent)
// so that it is a whole number of 10^-18, which fits in 64 bits.
const (
	maxPieces = 1_000_000
	maxRisks  = 6 // each doubles the work
	maxSpread = 1_000
)

// Outcome is one thing that may happen to a piece.
type Outcome struct {
	Chance decimal.Decimal // a fraction, 0.6 being 60 %, with at most 18 decimals
	Amount money.Amount    // what the piece then brings; negative when it costs
	Kept   money.Amount    // what it counts for instead when it is kept; no currency where such a piece never is
	What   string          // in the user's words, for messages
}

// Group is Count pieces that are each open to the same outcomes, whose chances
// come to exactly 1. A certain piece has a single outcome.
//
// Of the pieces that come out with an outcome that has a Kept amount, Keep are
// kept, or all where there are fewer; those whose outcome stands earlier in the
// list come first.
type Group struct {
	Outcomes []Outcome
	Count    int64 // 1 or more
	Keep     int64 // 0 or more
	Alike    bool  // one fate decides for all pieces, instead of one for each
}

// Risk is something that may happen to many pieces at once. Several risks are
// independent of each other and of the pieces.
type Risk struct {
	Chance decimal.Decimal // a fraction from 0 to 1, with at most 18 decimals
	What   string          // in the user's words, for messages
}

// Options bounds the work. The zero value takes the defaults.
type Options struct {
	// MaxPoints is the most amounts that a distribution may have before it is
	// coarsened. The default is 262144.
	MaxPoints int
	// MaxSteps is the most multiplications that may be planned for, which is the
	// time it may take: the default of 24 million is a few hundredths of a second.
	// Beyond it exact chances give way to chances in units of 2^-63, and then
	// amounts to a coarser grid.
	MaxSteps int64
}

// Range is the outcomes of a value that lies anywhere from low to high: points
// amounts evenly spread over it, ends included, each rounded to a whole minor
// unit, half away from zero, and all with the same chance. Where that is not a
// whole number of 10^-18, the earlier ones get 10^-18 more. There are never
// more points than whole minor units from low to high; 0 points are taken as 5.
//
// It returns a [*money.MismatchError], a [*LimitError] where high is below low
// (the figures are minor units) or points is negative or above 1000, and
// [money.ErrOverflow] for amounts beyond 2^60 minor units.
func Range(low, high money.Amount, points int) ([]Outcome, error) {
	from, to := low.Minor(), high.Minor()
	switch {
	case low.Currency() != high.Currency():
		return nil, &money.MismatchError{A: low.Currency(), B: high.Currency()}
	case points < 0 || points > maxSpread:
		return nil, &LimitError{What: "points of a range", Given: int64(points), Least: 0, Most: maxSpread}
	case exact.Magnitude(from) > maxTotal || exact.Magnitude(to) > maxTotal:
		return nil, money.ErrOverflow
	case to < from:
		return nil, &LimitError{What: "end of a range in minor units", Given: to, Least: from, Most: maxTotal}
	}
	if points == 0 {
		points = 5
	}
	n := min(int64(points), to-from+1)
	chances := make([]int64, n)
	if err := money.Apportion(chances, one, slices.Repeat([]int64{1}, int(n))); err != nil {
		return nil, err
	}
	list := make([]Outcome, n)
	for i := range list {
		minor := from
		if i > 0 {
			part, _ := exact.MulDivHalf(uint64(to-from), uint64(i), uint64(n-1))
			minor += int64(part)
		}
		amount := money.New(minor, low.Currency())
		list[i] = Outcome{Chance: decimal.New(chances[i], -places), Amount: amount, What: amount.String()}
	}
	return list, nil
}
