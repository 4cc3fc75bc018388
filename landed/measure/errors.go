package measure

import "fmt"

// parseError reports text that is no weight, length or size.
type parseError struct {
	input  string // the text as it was given
	reason string // what is wrong
	remedy string // what would put it right; "write X" promises that X can be read
	kind   string // "weight", "length" or "size"
}

// Error quotes the text and says what is wrong and what to write.
func (e *parseError) Error() string {
	return fmt.Sprintf("%s %q: %s: %s", e.kind, e.input, e.reason, e.remedy)
}

// RangeError reports a result that is beyond every [Weight], or an argument that makes no sense.
type RangeError struct {
	What    string // the computation, such as "2 kg x 9000000000000", or the argument with its value
	Problem string // the limit that is passed, or what the argument must be
}

// Error joins the two.
func (e *RangeError) Error() string { return e.What + ": " + e.Problem }

// passes is the error of a result beyond a limit: the greatest or the least weight.
func passes(what string, limit Weight) error {
	return &RangeError{what, fmt.Sprintf("passes %s, the limit of a weight", limit)}
}

func mustBe(what, got, want string) error {
	return &RangeError{fmt.Sprintf("%s %q", what, got), "must be " + want}
}
