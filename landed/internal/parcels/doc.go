// Package parcels packs lots into boxes and says what a carrier's service asks for one, what sets
// that price, and whether the parcel is taken at all.
//
// Most callers need two calls: [Pack] makes the boxes that surely hold some
// lots, and [Quote] prices them and keeps the cheapest. A planner that
// asks millions of times uses [Compile] and [Tariff.Price].
//
// # What is billed
//
// The weight a service starts from is the actual one, the volumetric one or the
// greater of the two. It is raised to the service's minimum, rounded up to its
// billing step, and looked up in the weight steps of the destination's zone: a
// weight of exactly a step's bound is still in that step. Beyond the last step
// each further unit begun costs the same, or the parcel is refused.
//
// # Measures
//
// The length of a parcel is its longest side and its girth is twice the sum of
// the two others, as posts define them (USPS Quick Service Guide 201e, 24
// January 2021; DMM 201.7.0). See [measure.Size].
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
