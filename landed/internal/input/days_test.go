package input

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestParseDay: a day is what time.Parse reads, and so are its mistakes.
func TestParseDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`(19|20|21|00)[0-9]{2}[-/][0-3][0-9]-[0-3][0-9][ x]?`).Draw(t, "text")
		got, err := parseDay(s)
		want, errWant := time.Parse(time.DateOnly, s)
		if !got.Equal(want) || got != want || (err == nil) != (errWant == nil) || err != nil && err.Error() != errWant.Error() {
			t.Fatalf("%q is %v, %v; want %v, %v", s, got, err, want, errWant)
		}
	})
}
