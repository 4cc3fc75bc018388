package input

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// TestParseDay: a day is what time.Parse reads of one alone, in the years that are taken.
func TestParseDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`(19|20|21|00)[0-9]{2}[-/][0-3][0-9]-[0-3][0-9][ x]?`).Draw(t, "text")
		got, err := ParseDate(s)
		want, errWant := time.Parse(time.DateOnly, s)
		if got != want || (err == nil) != (errWant == nil && want.Year() >= 1900 && want.Year() < 2200) {
			t.Fatalf("%q is %v, %v; want %v, %v", s, got, err, want, errWant)
		}
	})
}
