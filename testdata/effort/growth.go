package effort

import (
	"math"
	"testing"
)

// Allocations is how many a call makes, a count that no other work on the machine changes.
func Allocations(call func()) float64 { return testing.AllocsPerRun(Cases(3, 3, 1), call) }

// Grows holds a count at a small and a large size: no more than most at the small one, and between
// them it grows with no more than that power of the size. The race detector adds to what is
// counted.
func Grows(t testing.TB, small, large int, most, power float64, count func(size int) float64) {
	t.Helper()
	if underRace {
		t.Skip("not counted under the race detector")
	}
	few, many := count(small), count(large)
	got := math.Log(many/few) / math.Log(float64(large)/float64(small))
	t.Logf("%.0f at %d, %.0f at %d: the power %.3f", few, small, many, large, got)
	if few > most {
		t.Errorf("%.0f at %d, more than %.0f", few, small, most)
	}
	if got > power {
		t.Errorf("%.0f at %d, %.0f at %d: grows with the power %.3f, more than %.2f", few, small, many, large, got, power)
	}
}
