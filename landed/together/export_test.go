package together

// SentWeight is what a lot weighs as it goes into a box.
var SentWeight = sentWeight

// Asked is for how many parcels a cost was worked out.
func (r *Report) Asked() int { return r.asked }

// Added is a lot as it is added to a haul.
var Added = added
