// Package parcels packs lots into boxes and says what a carrier's service asks for one, what sets
// that price, and whether the parcel is taken at all. Package freight holds the terms.
//
// Most callers need two calls: [Pack] makes the boxes that surely hold some
// lots, and [Ask] prices them and keeps the cheapest. A planner that
// asks millions of times uses [Compile] and [Tariff.Price].
//
// # The box is an upper bound
//
// The box of several lots is one that can be filled by stacking them,
// without tilting any. It surely holds them. A smaller box may do: finding the
// smallest is left to the packer's hands.
//
// # Money and rounding
//
// Everything a service asks is in its own currency, and so must be the value of
// a box wherever insurance or a limit looks at it; converting is the caller's.
// Each line of a quote is rounded once, half away from zero, to the minor unit.
package parcels
