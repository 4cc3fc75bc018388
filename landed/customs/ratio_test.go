package customs

import (
	"math/big"
	"testing"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// TestRound compares the rounding of 128-bit numbers with big.Rat, worked from
// what each way of rounding says.
func TestRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Uint64().Draw(t, "a"), rapid.Uint64Range(0, 1<<40).Draw(t, "b")
		den := rapid.SampledFrom([]uint64{1, 2, 78, perUnit, scaleOfDuty}).Draw(t, "den")
		step := rapid.SampledFrom([]int64{0, 1, 5, 100, 1000}).Draw(t, "step")
		mode := money.Mode(rapid.IntRange(0, 3).Draw(t, "mode"))
		got, ok := round(exact.Product(a, b), den, step, mode)
		want := roundBig(new(big.Int).Mul(new(big.Int).SetUint64(a), new(big.Int).SetUint64(b)), den, max(step, 1), mode)
		if fits := want.IsInt64() && want.Int64() <= maxMoney; ok != fits || ok && got != want.Int64() {
			t.Fatalf("got %d, %v, want %s", got, ok, want)
		}
	})
}

func roundBig(n *big.Int, den uint64, step int64, mode money.Mode) *big.Int {
	exact := new(big.Rat).SetFrac(n, new(big.Int).Mul(new(big.Int).SetUint64(den), big.NewInt(step)))
	steps := new(big.Int).Quo(exact.Num(), exact.Denom())
	rest := new(big.Rat).Sub(exact, new(big.Rat).SetInt(steps))
	half := rest.Cmp(big.NewRat(1, 2))
	if mode == money.Up && rest.Sign() > 0 || mode == money.HalfAway && half >= 0 ||
		mode == money.HalfEven && (half > 0 || half == 0 && steps.Bit(0) == 1) {
		steps.Add(steps, big.NewInt(1))
	}
	return steps.Mul(steps, big.NewInt(step))
}
