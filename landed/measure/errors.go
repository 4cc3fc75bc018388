package measure

import "fmt"

// ParseError reports text that is no weight, length or size.
type ParseError struct {
	Input  string // the text as it was given
	Kind   string // "weight", "length" or "size"
	Reason string // what is wrong
	Remedy string // what would put it right; "write X" promises that X can be read
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *ParseError) Error() string {
	return fmt.Sprintf("%s %q: %s: %s", e.Kind, e.Input, e.Reason, e.Remedy)
}

// OverflowError reports a result outside the range of a [Weight].
type OverflowError struct {
	Op    string // the computation, such as "2 kg x 9000000000000"
	Limit Weight // the bound it passed: the greatest or the least Weight
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *OverflowError) Error() string {
	return fmt.Sprintf("%s: passes %s, the limit of a weight", e.Op, e.Limit)
}

// RangeError reports an argument outside the values a computation is defined for.
type RangeError struct {
	What string // the argument, such as "billing step"
	Got  string // its value as text
	Want string // what it must be
}

// Error says what is wrong and, where it can be said, what would put it right.
func (e *RangeError) Error() string {
	return fmt.Sprintf("%s %q: must be %s", e.What, e.Got, e.Want)
}
