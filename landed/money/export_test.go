package money

// The mistakes that only a program makes.
var (
	ErrNegativeWeight = errNegativeWeight
	ErrRoom           = errRoom
)

// UnknownCurrencyError tells that a code is none of ISO 4217.
type UnknownCurrencyError = unknownCurrencyError
