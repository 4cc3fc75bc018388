package odds_test

import (
	"math/big"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// FuzzOf feeds any chances and amounts: nothing panics, chances of all points come to 1, the
// moments agree with the input, and a coarse result keeps its limits.
func FuzzOf(f *testing.F) {
	f.Add(int64(6), int32(-1), int64(4500), int64(4), int64(800), int64(11), false, 0, int64(0), int64(0), int64(0))
	f.Add(int64(1), int32(0), int64(-1<<62), int64(0), int64(1<<62), int64(1), true, 64, int64(1), int64(3), int64(5))
	f.Add(int64(333), int32(-3), int64(1<<50), int64(667), int64(-7), int64(1000), false, 100, int64(5000), int64(7), int64(-300))
	f.Add(int64(1), int32(-18), int64(1<<40), int64(999_999_999_999_999_999), int64(0), int64(7), false, 70, int64(100), int64(2), int64(1<<39))
	f.Add(int64(5), int32(2_000_000_000), int64(1), int64(5), int64(0), int64(1), false, 0, int64(0), int64(0), int64(0))
	f.Fuzz(func(t *testing.T, p int64, exp int32, a int64, q int64, b int64, count int64, alike bool, points int, steps, keep, kept int64) {
		outcomes := []landed.Outcome{outcome(p, exp, a), outcome(q, exp, b)}
		points, steps = min(points, 1<<12), min(steps, 1<<20)
		var own []money.Amount
		if keep > 0 {
			own = append(own, minor(kept))
		}
		groups := []odds.Group{{Outcomes: outcomes, Kept: own, Count: min(count, 20_000), Keep: keep, Alike: alike}, {Outcomes: outcomes, Count: 1}}
		d, err := within(groups, odds.Limits{Points: points, Steps: steps})
		if err != nil {
			return
		}
		sum, n := new(big.Rat), 0
		for _, c := range d.Points() {
			sum.Add(sum, c.Rat())
			n++
		}
		if sum.Cmp(big.NewRat(1, 1)) != 0 || d.ProbabilityError().Cmp(big.NewRat(1, 1)) > 0 || n != d.Len() || points > 0 && n > points {
			t.Errorf("%d points sum to %v", n, sum)
		}
		mean := new(big.Rat)
		for _, o := range outcomes {
			mean.Add(mean, new(big.Rat).Mul(o.Chance.Rat(), big.NewRat(o.Value.Minor(), 1)))
		}
		if mean.Mul(mean, big.NewRat(groups[0].Count+1, 1)).Cmp(d.MeanRat()) != 0 && keep == 0 {
			t.Errorf("mean %v, want %v", d.MeanRat(), mean)
		}
		if d.Quantile(dec("0.3")).Cmp(d.Quantile(dec("0.7"))) > 0 || d.WorstTail(decimal.New(1, -1)).Cmp(d.WorstTail(decimal.New(2, -1))) > 0 {
			t.Error("a higher quantile or a wider tail is worse")
		}
	})
}
