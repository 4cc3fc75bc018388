package together

// SentWeight is what a lot weighs as it goes into a box.
var SentWeight = sentWeight
