package odds_test

import (
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

var cad = money.MustCurrency("CAD")

// lots makes n groups of one piece with two to four outcomes of 0.00 to 60.00 and chances of whole
// per cents.
func lots(rng *rand.Rand, n int) []odds.Group {
	groups := make([]odds.Group, n)
	for i := range groups {
		k, left := 2+rng.IntN(3), 100
		g := odds.Group{Count: 1}
		for j := range k {
			chance := left
			if j < k-1 {
				chance = 1 + rng.IntN(left-(k-1-j))
			}
			left -= chance
			g.Outcomes = append(g.Outcomes, outcome(int64(chance), -2, rng.Int64N(6001)))
		}
		groups[i] = g
	}
	return groups
}

func outcome(chance int64, exp int32, minor int64) landed.Outcome {
	return landed.Outcome{Chance: decimal.New(chance, exp), Value: money.New(minor, cad)}
}

// simulate draws what the groups bring, so many times, and gives the draws in rising order. Each
// outcome is chosen by a threshold on 32 random bits.
func simulate(rng *rand.Rand, groups []odds.Group, draws int) []int64 {
	type choice struct {
		limits  []uint64
		amounts []int64
	}
	var choices []choice
	for _, g := range groups {
		var c choice
		sum := new(big.Rat)
		for _, o := range g.Outcomes {
			sum.Add(sum, o.Chance.Rat())
			limit, _ := new(big.Rat).Mul(sum, big.NewRat(1<<32, 1)).Float64()
			c.limits, c.amounts = append(c.limits, uint64(limit)), append(c.amounts, o.Value.Minor())
		}
		for range g.Count {
			choices = append(choices, c)
		}
	}
	out := make([]int64, draws)
	for i := range out {
		for _, c := range choices {
			r, j := uint64(rng.Uint32()), 0
			for r >= c.limits[j] {
				j++
			}
			out[i] += c.amounts[j]
		}
	}
	slices.Sort(out)
	return out
}

func benchmarkOf(b *testing.B, n int, opts odds.Limits) {
	groups := lots(rand.New(rand.NewPCG(1, 2)), n)
	var d *odds.Distribution
	b.ReportAllocs()
	for b.Loop() {
		d = of(b, groups, opts)
		d.Len() // chances are worked out once they are asked for
	}
	b.ReportMetric(float64(d.Len()), "points")
	b.ReportMetric(float64(d.ErrorBound().Minor()), "bound-cents")
	p, _ := d.ProbabilityError().Float64()
	b.ReportMetric(p, "bound-chance")
}

func BenchmarkOf12(b *testing.B)    { benchmarkOf(b, 12, odds.Limits{}) }
func BenchmarkOf20(b *testing.B)    { benchmarkOf(b, 20, odds.Limits{}) }
func BenchmarkOf100(b *testing.B)   { benchmarkOf(b, 100, odds.Limits{}) }
func BenchmarkOf1000(b *testing.B)  { benchmarkOf(b, 1_000, odds.Limits{}) }
func BenchmarkOf10000(b *testing.B) { benchmarkOf(b, 10_000, odds.Limits{}) }

// The same pieces as BenchmarkOf1000, to whole cents however long it takes.
func BenchmarkOf1000WholeCents(b *testing.B) {
	benchmarkOf(b, 1_000, odds.Limits{Points: 1 << 23, Steps: 1 << 40})
}

func BenchmarkOfAlike(b *testing.B) {
	benchmarkGroups(b, []odds.Group{{Count: 100_000, Outcomes: []landed.Outcome{outcome(4, -1, 0), outcome(6, -1, 123)}}})
}

// A thousand of which some are kept, and sixty of which some are kept at one of five points.
func BenchmarkOfKept(b *testing.B) {
	works := outcome(37, -2, 3411)
	many := odds.Group{Count: 1000, Keep: 350, Kept: []money.Amount{minor(5000)}, Outcomes: []landed.Outcome{works, outcome(63, -2, 0)}}
	few := odds.Group{Count: 60, Keep: 4}
	for i := range int64(5) {
		o := outcome(16, -2, 3000+i*250)
		few.Outcomes, few.Kept = append(few.Outcomes, o), append(few.Kept, minor(6000))
	}
	few.Outcomes = append(few.Outcomes, outcome(20, -2, 100))
	for name, groups := range map[string][]odds.Group{"many": {many}, "few": {few}} {
		b.Run(name, func(b *testing.B) { benchmarkGroups(b, groups) })
	}
}

// Twelve pieces whose amounts have nothing in common.
func BenchmarkOfApart(b *testing.B) {
	var groups []odds.Group
	for i := range int64(12) {
		groups = append(groups, odds.Group{Count: 1, Outcomes: []landed.Outcome{outcome(4, -1, 0), outcome(6, -1, 1_000_003*(i+1)*(i+1))}})
	}
	benchmarkGroups(b, groups)
}

func benchmarkGroups(b *testing.B, groups []odds.Group) {
	for b.Loop() {
		d, err := odds.Of(groups, 0)
		if err != nil {
			b.Fatal(err)
		}
		d.Len()
	}
}

// The distribution of 1,000 pieces against a simulation of them. The draws are 10,000 and their
// time is multiplied by 100, for 10^6 draws.
func BenchmarkAgainstSimulation(b *testing.B) {
	groups := lots(rand.New(rand.NewPCG(1, 2)), 1_000)
	rng := rand.New(rand.NewPCG(3, 4))
	var ours, theirs time.Duration
	for b.Loop() {
		start := time.Now()
		of(b, groups, odds.Limits{}).Len()
		middle := time.Now()
		simulate(rng, groups, 10_000)
		ours, theirs = ours+middle.Sub(start), theirs+100*time.Since(middle)
	}
	b.ReportMetric(float64(theirs)/float64(ours), "times-faster")
}

// TestOfAllocates: what a distribution allocates grows no more than n log n, since the pieces are
// put together by halves.
func TestOfAllocates(t *testing.T) {
	effort.Grows(t, 100, 1000, 11_000, 1.18, func(pieces int) float64 {
		groups := lots(rand.New(rand.NewPCG(1, 2)), pieces)
		return effort.Allocations(func() { of(t, groups, odds.Limits{}).Len() })
	})
}
