// Package odds gives the exact distribution of what a lot of uncertain pieces brings, without
// drawing a single sample.
//
// Most callers need [Of], which takes the pieces and what can happen to them, and then
// [Distribution.Below], the chance of bringing less than an amount.
//
// # The model
//
// A [Group] is a number of pieces and what each may bring, outcomes as a [landed.Item] has them;
// what fees, postage and repairs leave of a value is for the caller to say. The pieces are
// independent of each other, unless the group is Alike, where all come out the same; or some of
// those that come out well are kept, and count for something else than those sold. Shared risks,
// such as a parcel that is dropped, come on top ([Under]): each happens or not, independently of
// the pieces, and the result is the mixture of what there is in each case.
//
// # Exactness
//
// Chances are whole numbers over a common denominator, and sums of pieces are convolutions in
// integers. As long as that takes few enough steps nothing is rounded at all. Otherwise chances are
// held in units of 2^-63, always cut off downwards: every chance is then too small, never too
// great, and what is missing from the whole is counted exactly, so that it bounds the error of any
// chance.
//
// Where amounts spread over more points than can be held (262144 over all combinations of risks),
// each piece is moved to a coarser grid, its mean kept. How far the sum can have moved is the
// lesser of the sum of all moves, and the bound of Hoeffding (Probability inequalities for sums of
// bounded random variables, J. Amer. Statist. Assoc. 58 (1963), theorem 2; from memory), for pieces
// that depend on each other in the form of McDiarmid (On the method of bounded differences, 1989;
// from memory), which fails with a chance of at most 2^-30. That chance counts as an error of
// chances. [Distribution.ErrorBounds] tells both, every [Chance] carries the bounds that follow.
// Mean and variance are always exact.
//
// # Rounding
//
// Amounts are whole minor units of one currency. Mean, standard deviation and tail are rounded to
// the minor unit, half away from zero, where they become an amount.
package odds
