// Package freight holds carriers' services and forwarders as data ([Service], [Forwarder]), and
// what they ask for a parcel ([Quote]). A service may be checked by itself ([Service.Check]);
// package together asks for its prices.
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
//
// # Errors
//
// [Service.Check] gives all faults of a service as [source.Faults]. A parcel
// that is not taken is a [RefusedError] with every limit it breaks, and so is a
// service that cannot be had. Other errors say what is wrong with the
// lots, the packing or the days of arrival.
package freight
