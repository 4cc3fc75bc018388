// Package landed says what each piece of a haul really cost: everything that
// was paid for it, shared over the pieces to the last minor unit.
//
// Most callers need one call: [Split] takes a [Haul] and returns a
// [Statement].
//
// # The promise
//
// The statement's total equals the sum of its charges, the sum of its items'
// costs and the sum of their pieces' costs, exactly, for every haul that Split
// accepts. Where the cost of dead or missing pieces is written off, that loss
// stands beside the items.
//
// # Rounding
//
// A charge is converted to the home currency whole, at the rate times one plus
// the spread, and rounded once, half away from zero, to the minor unit. It is
// then shared by largest remainder, ties to the earlier item. Nothing else is
// rounded. An amount in the home currency bears no spread, and of an amount of
// zero nothing is shared, so that it needs no weights.
//
// # The border
//
// With a [Border] the rules of the country of entry add duty, tax and fees as
// estimates (see package customs), which a [Bill] replaces. They are estimates:
// the authority decides.
//
// # Errors
//
// All that is wrong with a haul is returned at once as [source.Faults], what its
// fields' comments forbid included. Which figure is missing the fault's Figure says, such as
// "weight" or "price". Nothing here panics on what a haul holds.
package landed
