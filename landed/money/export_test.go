package money

// The mistakes that only a program makes.
var (
	ErrNegativeWeight = errNegativeWeight
	ErrRoom           = errRoom
)

// Plain and Slowly read amounts: the first most of them, the second all.
func Plain(s string, home Currency) (Amount, bool)   { return plain(s, home) }
func Slowly(s string, home Currency) (Amount, error) { return parse(s, home) }

// UnknownCurrencyError tells that a code is none of ISO 4217.
type UnknownCurrencyError = unknownCurrencyError
