package odds_test

import (
	"math/big"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// ranged draws pieces of which each comes out at one of five points, evenly spread and equally
// likely, or at one of up to two other outcomes, and of which those at the lesser points are kept
// first.
func ranged(least, most int64) *rapid.Generator[odds.Group] {
	return rapid.Custom(func(t *rapid.T) odds.Group {
		g := odds.Group{Count: rapid.Int64Range(least, most).Draw(t, "count")}
		g.Keep = rapid.Int64Range(1, g.Count).Draw(t, "keep")
		left := rapid.SampledFrom([]int64{0, 0, 20, 50, 90}).Draw(t, "others, per cent")
		low, apart := rapid.Int64Range(0, 3000).Draw(t, "low"), rapid.Int64Range(1, 900).Draw(t, "apart")
		worth := rapid.Int64Range(-300, 8000).Draw(t, "worth")
		own := rapid.Bool().Draw(t, "at its value")
		for i := range int64(5) {
			kept := minor(worth)
			if own {
				kept = minor(low + i*apart)
			}
			g.Outcomes, g.Kept = append(g.Outcomes, outcome((100-left)/5, -2, (low+i*apart)*88/100)), append(g.Kept, kept)
		}
		for left > 0 {
			some := rapid.SampledFrom([]int64{left, 10}).Draw(t, "chance")
			g.Outcomes = append(g.Outcomes, outcome(some, -2, rapid.Int64Range(-100, 900).Draw(t, "amount")))
			left -= some
		}
		return g
	})
}

// What is calculated turn by turn agrees with the same by how many pieces come out at each outcome,
// and that with listing every way.
func TestKeptOfARange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		few := ranged(2, 4).Draw(t, "few")
		d, err := odds.Of([]odds.Group{few}, 0)
		if err != nil {
			t.Fatal(err)
		}
		sameLaw(t, d, enumerate([]odds.Group{few}))
	})
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(ranged(5, 8), 1, 1).Draw(t, "groups")
		truth, err := within(groups[:1], odds.Limits{Steps: 1 << 40})
		if err != nil || !truth.Exact() {
			t.Fatal(err)
		}
		for _, opts := range []odds.Limits{{Steps: 1}, {Steps: 40_000}, {Points: 64}} {
			d, err := within(groups[:1], opts)
			if err != nil || d.MeanRat().Cmp(truth.MeanRat()) != 0 || d.Variance().Cmp(truth.Variance()) != 0 || d.Least() != truth.Least() || d.Most() != truth.Most() {
				t.Fatal(err, d.MeanRat(), truth.MeanRat())
			}
			if e := d.ProbabilityError(); e.Sign() < 0 || e.Cmp(big.NewRat(1, 100_000_000)) > 0 {
				t.Fatalf("chances off by %v", e.FloatString(20))
			}
			for a := range truth.Points() {
				inBounds(t, d, truth, a)
			}
			for a := range d.Points() {
				inBounds(t, d, truth, a)
			}
		}
	})
}

// Of a thousand that work or do not, the first k that work are kept; the binomial law says what
// must come out.
func TestManyKeptAreBinomial(t *testing.T) {
	const n, works = 1000, 37
	for _, keep := range []int64{1, 3, 350, 370, 999} {
		g := odds.Group{Count: n, Keep: keep, Kept: []money.Amount{minor(5000)}, Outcomes: []landed.Outcome{outcome(works, -2, 3411), outcome(100-works, -2, 0)}}
		d := of(t, []odds.Group{g}, odds.Limits{})
		terms, whole := binomials(n, works)
		below, sum := new(big.Int), new(big.Int)
		for i, p := range terms {
			m := int64(i)
			brings := min(m, keep)*5000 + max(m-keep, 0)*3411
			got, err := d.Below(minor(brings))
			low, high := got.Bounds()
			if err != nil || cmpRatio(low, below, whole) > 0 || cmpRatio(high, below, whole) < 0 {
				t.Fatalf("keep %d, below %d: %v to %v", keep, brings, low, high)
			}
			below.Add(below, p)
			sum.Add(sum, p.Mul(p, big.NewInt(brings)))
		}
		if cmpRatio(d.MeanRat(), sum, whole) != 0 {
			t.Errorf("keep %d: mean %v", keep, d.Mean())
		}
	}
}

// Where what is kept does not depend on how the pieces come out, any number of them will do.
func TestKeptForCertain(t *testing.T) {
	sure, half := outcome(1, 0, 300), outcome(5, -1, 300)
	kept := func(n int64) []money.Amount { return []money.Amount{minor(n)} }
	for _, c := range []struct {
		group odds.Group
		want  int64
	}{
		{odds.Group{Count: 900_000, Keep: 7, Kept: kept(500), Outcomes: []landed.Outcome{sure}}, 900_000*300 + 7*200},
		{odds.Group{Count: 5, Keep: 50, Kept: kept(500), Outcomes: []landed.Outcome{sure}}, 2500},
		{odds.Group{Count: 400_000, Keep: 7, Kept: kept(300), Outcomes: []landed.Outcome{half, outcome(5, -1, 0)}}, 400_000 * 150},
		{odds.Group{Count: 9, Keep: 7, Alike: true, Kept: kept(500), Outcomes: []landed.Outcome{sure}}, 2*300 + 7*500},
	} {
		if d := of(t, []odds.Group{c.group}, odds.Limits{}); d.Mean() != minor(c.want) {
			t.Errorf("%v: mean %v, want %d", c.group, d.Mean(), c.want)
		}
	}
	_, err := odds.Of([]odds.Group{{Count: 400_000, Keep: 7, Kept: kept(400), Outcomes: []landed.Outcome{half, outcome(5, -1, 0)}}}, 0)
	const want = "group 1: there can be 1 to 262144 where some are kept, not 400000"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	if _, err := odds.Of([]odds.Group{{Count: 4, Keep: -1, Kept: kept(400), Outcomes: []landed.Outcome{half, outcome(5, -1, 0)}}}, 0); err == nil || err.Error() != "group 1: there can be 1 to 4 where some are kept, not -1" {
		t.Errorf("got %v", err)
	}
}
