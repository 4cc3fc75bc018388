// Package selling holds how the pieces of a haul are to be sold ([Plan]), and what their sales
// brought ([Sold]).
//
// Amounts of a [Plan] and of sales may be in any currency for which the haul has a
// rate. They are values: converted without the card's spread, each rounded once,
// half away from zero.
package selling
