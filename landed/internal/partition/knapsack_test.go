package partition_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
)

// TestRowOf compares rows of measures with whole quotients of any length, up to the ends of int64.
func TestRowOf(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	figures := []int64{math.MinInt64, -1, 0, 1, 63, 64, math.MaxInt64 - 1, math.MaxInt64}
	for range 40 {
		figures = append(figures, r.Int64()>>r.IntN(60))
	}
	for _, measure := range figures {
		for _, unit := range figures {
			each := big.NewInt(max(unit, 0))
			want := new(big.Int).Div(big.NewInt(measure), each.Add(each, big.NewInt(1))) // towards minus infinity
			if want.Sign() < 0 {
				want.SetInt64(-1)
			}
			if want.IsInt64() && want.Int64() > math.MaxInt32 {
				continue // no bracket has so many rows
			}
			if got := partition.RowOf(measure, unit); int64(got) != want.Int64() {
				t.Errorf("%d by %d: row %d, want %s", measure, unit, got, want)
			}
		}
	}
}
