// Package odds gives the exact distribution of what a lot of uncertain pieces brings, without
// drawing a single sample.
//
// [Of] takes the pieces and what can happen to them. What it returns answers with Mean, StdDev,
// Quantile, Histogram, and Below, the chance of bringing less than an amount. A chance carries the
// bounds of its own error, [Distribution.ErrorBounds] those of all of them.
//
// The pieces of a [Group] are independent of each other, unless the group is Alike, where all come
// out the same. What fees, postage and repairs leave of a value is for the caller to say.
//
// Amounts are whole minor units of one currency; mean and standard deviation are rounded to it
// once, half away from zero.
package odds

import "lotcost/landed/internal/odds"

// What a distribution is made of, and what it tells.
type (
	Group        = odds.Group
	Distribution = odds.Distribution
	Bin          = odds.Bin
	Chance       = odds.Chance
)

// Of gives the distribution of what all groups bring together. The order of groups makes no
// difference. Steps is about how many multiplications it may take; 0 is 24 million, a few
// hundredths of a second. Chances and amounts are exact where that is enough; where not,
// ErrorBounds says how far they may be off.
//
// A chance that is none is an error, and so are no groups at all, amounts in several currencies,
// and [money.ErrOverflow], which is that all pieces may bring more than 2^60 minor units.
func Of(groups []Group, steps int64) (*Distribution, error) { return odds.Of(groups, steps) }
