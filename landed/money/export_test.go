package money

// The mistakes that only a program makes.
var (
	ErrNegativeWeight = errNegativeWeight
	ErrRoom           = errRoom
)
