package exact

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// A number rounded down is the whole number from which on less than 1 is missing, where an int64
// holds one.
func TestFloor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := big.NewRat(rapid.Int64().Draw(t, "num"), rapid.Int64Range(1, 9).Draw(t, "den"))
		r.Mul(r, big.NewRat(rapid.Int64Range(1, 20).Draw(t, "times"), 1))
		whole, fits := Floor(r)
		rest := new(big.Rat).Sub(r, new(big.Rat).SetInt64(whole))
		switch {
		case fits && (rest.Sign() < 0 || rest.Cmp(big.NewRat(1, 1)) >= 0):
			t.Fatalf("%v rounded down is %d", r, whole)
		case !fits && rest.Sign() < 0 && whole != math.MinInt64, !fits && rest.Sign() > 0 && (whole != math.MaxInt64 || rest.Cmp(big.NewRat(1, 1)) < 0):
			t.Fatalf("%v does not fit, and is held at %d", r, whole)
		}
	})
}
