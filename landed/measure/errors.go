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

// passes is the error of a result beyond a limit: the greatest or the least weight.
func passes(what string, limit Weight) error {
	return fmt.Errorf("%s: passes %s, the limit of a weight", what, limit)
}
