package together

import "lotcost/landed"

// SentWeight is what a lot weighs as it goes into a box.
var SentWeight = sentWeight

// Asked is for how many parcels a cost was worked out.
func (r *Report) Asked() int { return r.asked }

// Lot is the lot as it was added.
func (a *Addition) Lot() landed.Lot { return a.lot }
