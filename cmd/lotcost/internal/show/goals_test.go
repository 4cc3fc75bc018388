package show

import (
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// TestRoundedNeverContradicts: a figure in print meets its goal where the exact
// one does, and nowhere else, and is off by less than a last place.
func TestRoundedNeverContradicts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		goal := big.NewRat(rapid.Int64Range(-3000, 3000).Draw(t, "goal"), []int64{1, 10, 1000, 100_000}[rapid.IntRange(0, 3).Draw(t, "places")])
		near := big.NewRat(rapid.Int64Range(-1000, 1000).Draw(t, "off"), rapid.Int64Range(1, 1_000_000).Draw(t, "by"))
		n, way := new(big.Rat).Add(goal, near), []int{-1, 1}[rapid.IntRange(0, 1).Draw(t, "way")]
		digits := rapid.IntRange(0, 6).Draw(t, "digits")
		missed := n.Cmp(goal) == way
		text := rounded(n, digits, goal, missed, way)
		r, ok := new(big.Rat).SetString(text)
		if !ok || (r.Cmp(goal) == way) != missed {
			t.Fatalf("%v of a goal of %v prints as %s", n, goal, text)
		}
		places, _ := goal.FloatPrec()
		unit := new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(digits, places))), nil))
		if off := r.Sub(r, n); off.Abs(off).Cmp(unit) >= 0 {
			t.Fatalf("%v prints as %s", n, text)
		}
	})
	if plain := rounded(big.NewRat(5, 100), 1, nil, false, -1); plain != "0.1" {
		t.Errorf("without a goal 0.05 is %s", plain)
	}
}
