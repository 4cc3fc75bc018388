// Package freight holds carriers' services and forwarders as data: [Service] and [Forwarder].
// Package together asks for their prices, and checks them first.
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
// January 2021; DMM 201.7.0).
//
// # Money
//
// Everything a service asks is in its own currency.
package freight
