package odds_test

import (
	"errors"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// group draws pieces with one to three outcomes; one in four sets of amounts is spread so wide that
// a dense row is out of the question.
func group(pieces int64) *rapid.Generator[odds.Group] {
	return rapid.Custom(func(t *rapid.T) odds.Group {
		k, left := rapid.IntRange(1, 3).Draw(t, "outcomes"), int64(1000)
		g := odds.Group{Count: rapid.Int64Range(1, pieces).Draw(t, "count"), Alike: rapid.Bool().Draw(t, "alike")}
		wide := rapid.SampledFrom([]int64{1, 1, 1, 1_000_003}).Draw(t, "wide")
		for i := range k {
			chance := left
			if i < k-1 {
				chance = rapid.Int64Range(0, left).Draw(t, "chance")
			}
			left -= chance
			g.Outcomes = append(g.Outcomes, outcome(chance, -3, wide*rapid.Int64Range(-500, 6000).Draw(t, "amount")))
		}
		return g
	})
}

// keeping draws pieces of which some may be kept.
func keeping(pieces int64) *rapid.Generator[odds.Group] {
	return rapid.Custom(func(t *rapid.T) odds.Group {
		g := group(pieces).Draw(t, "group")
		g.Keep = rapid.Int64Range(0, pieces+1).Draw(t, "keep")
		g.Kept = make([]money.Amount, len(g.Outcomes))
		for i := range g.Outcomes {
			switch rapid.IntRange(0, 3).Draw(t, "may be kept") {
			case 0:
			case 1: // as dear kept as sold
				g.Kept[i] = g.Outcomes[i].Value
			default:
				g.Kept[i] = minor(rapid.Int64Range(-500, 8000).Draw(t, "kept"))
			}
		}
		return g
	})
}

// risky draws up to three risks, and groups for each combination of them.
func risky(pieces int64, groups int) *rapid.Generator[shared] {
	return rapid.Custom(func(t *rapid.T) shared {
		var s shared
		for range rapid.IntRange(0, 3).Draw(t, "risks") {
			s.risks = append(s.risks, decimal.New(rapid.Int64Range(0, 100).Draw(t, "chance"), -2))
		}
		for range 1 << len(s.risks) {
			s.when = append(s.when, rapid.SliceOfN(keeping(pieces), 1, groups).Draw(t, "groups"))
		}
		return s
	})
}

func TestEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := risky(3, 3).Draw(t, "shared")
		d, err := s.under(odds.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		sameLaw(t, d, s.enumerate())
	})
}

// Twelve pieces, exactly: 2^12 and 3^12 ways by cents, and 2^12 ways with amounts up to ten
// million, so far apart that a dense row would not do.
func TestTwelvePiecesEqualEnumeration(t *testing.T) {
	sizes := []struct {
		outcomes int
		most     int64
	}{{2, 6000}, {2, 1_000_000_000}, {3, 6000}}
	for _, c := range sizes[:effort.Cases(3, 2, 1)] {
		rng := rand.New(rand.NewPCG(5, uint64(c.most)))
		groups := make([]odds.Group, 12)
		for i := range groups {
			groups[i].Count = 1
			for j := range c.outcomes {
				chance := []int64{17 + int64(i), 40, 43 - int64(i)}[j]
				if c.outcomes == 2 && j == 1 {
					chance = 83 - int64(i)
				}
				groups[i].Outcomes = append(groups[i].Outcomes, outcome(chance, -2, rng.Int64N(c.most)-c.most/10))
			}
		}
		sameLaw(t, of(t, groups, odds.Limits{}), enumerate(groups))
	}
}

// Four outcomes up to 60.00 of each of twelve pieces are too many to list one by one here, but they
// are exact too.
func TestTwelvePiecesOfFourOutcomesAreExact(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for range 5 {
		var groups []odds.Group
		for range 12 {
			g := odds.Group{Count: 1}
			for _, chance := range []int64{7, 13, 27, 53} {
				g.Outcomes = append(g.Outcomes, outcome(chance, -2, rng.Int64N(6001)))
			}
			groups = append(groups, g)
		}
		if d := of(t, groups, odds.Limits{}); !d.Exact() {
			t.Errorf("bound %v, %v", d.ErrorBound(), d.ProbabilityError())
		}
	}
}

func TestMethodsEqualTheirDefinitions(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := risky(3, 2).Draw(rt, "shared")
		d, err := s.under(odds.Limits{})
		if err != nil {
			rt.Fatal(err)
		}
		want := s.enumerate()
		for a, p := range want {
			if p.Sign() == 0 {
				delete(want, a)
			}
		}
		shift := rapid.Int64Range(-1_000_000, 1_000_000).Draw(rt, "shift")
		moved := law{}
		for a, p := range want {
			moved[a+shift] = p
		}
		if d, err = d.Shift(minor(shift)); err != nil {
			rt.Fatal(err)
		}
		checkMethods(rt, t, d, moved)
	})
}

func checkMethods(rt *rapid.T, t *testing.T, d *odds.Distribution, want law) {
	amounts := want.amounts()
	mean, variance := want.moments()
	if d.MeanRat().Cmp(mean) != 0 || d.Mean() != minor(rounded(t, mean)) {
		rt.Fatalf("mean %v, %v; want %v", d.MeanRat(), d.Mean(), mean)
	}
	if d.Variance().Cmp(variance) != 0 {
		rt.Fatalf("variance %v, want %v", d.Variance(), variance)
	}
	// s is the root rounded when (s - 1/2)^2 <= v < (s + 1/2)^2.
	s := new(big.Rat).SetInt64(d.StdDev().Minor())
	low, high := new(big.Rat).Sub(s, big.NewRat(1, 2)), new(big.Rat).Add(s, big.NewRat(1, 2))
	if s.Sign() != 0 && low.Mul(low, low).Cmp(variance) > 0 || high.Mul(high, high).Cmp(variance) <= 0 {
		rt.Fatalf("deviation %v, variance %v", s, variance)
	}
	if d.Least() != minor(amounts[0]) || d.Most() != minor(amounts[len(amounts)-1]) {
		rt.Fatalf("from %v to %v, want %d to %d", d.Least(), d.Most(), amounts[0], amounts[len(amounts)-1])
	}
	x := rapid.SampledFrom(amounts).Draw(rt, "x") + rapid.Int64Range(-1, 1).Draw(rt, "beside")
	below, err := d.Below(minor(x))
	p := want.atLeast(x)
	if p.Sub(big.NewRat(1, 1), p); err != nil || below.Rat().Cmp(p) != 0 {
		rt.Fatalf("below %d: %v, %v; want %v", x, below.Rat(), err, p)
	}
	q := decimal.New(rapid.Int64Range(1, 999).Draw(rt, "q"), -3)
	if got := d.Quantile(q); got != minor(want.quantile(q.Rat())) {
		rt.Fatalf("quantile %v: %v, want %v", q, got, want.quantile(q.Rat()))
	}
	if got := d.WorstTail(q); got != minor(rounded(t, want.tail(q.Rat()))) {
		rt.Fatalf("worst %v: %v, want %v", q, got, want.tail(q.Rat()))
	}
	if d.WorstTail(dec("0")) != d.Least() || d.WorstTail(dec("1")) != d.Mean() {
		rt.Fatalf("worst none %v, worst all %v", d.WorstTail(dec("0")), d.WorstTail(dec("1")))
	}
	checkBins(rt, d, want, rapid.IntRange(1, 40).Draw(rt, "bins"))
}

// checkBins: bins touch, or there is one for each amount; they cover all, and each holds the chance
// of its amounts.
func checkBins(t *rapid.T, d *odds.Distribution, want law, n int) {
	bins := d.Histogram(n)
	if len(bins) < 1 || len(bins) > n || d.Len() <= n && len(bins) < d.Len() {
		t.Fatalf("%d bins of %d", len(bins), n)
	}
	for i, b := range bins {
		in := want.atLeast(b.From.Minor())
		in.Sub(in, want.atLeast(b.To.Minor()+1))
		if b.Chance.Rat().Cmp(in) != 0 {
			t.Fatalf("bin %v to %v: %v, want %v", b.From, b.To, b.Chance.Rat(), in)
		}
		if d.Len() <= n && b.From != b.To || d.Len() > n && i > 0 && b.From.Minor() != bins[i-1].To.Minor()+1 {
			t.Fatalf("bin %v to %v, %d of %d amounts", b.From, b.To, i, d.Len())
		}
	}
	if bins[0].From.Cmp(d.Least()) > 0 || bins[len(bins)-1].To.Cmp(d.Most()) < 0 {
		t.Fatalf("bins from %v to %v leave out some of %v to %v", bins[0].From, bins[len(bins)-1].To, d.Least(), d.Most())
	}
}

func TestOrderMakesNoDifference(t *testing.T) {
	for _, opts := range []odds.Limits{{}, {Points: 400, Steps: 1000}} {
		rapid.Check(t, func(t *rapid.T) {
			groups := rapid.SliceOfN(keeping(3), 1, 8).Draw(t, "groups")
			other := rapid.Permutation(groups).Draw(t, "other order")
			a, err1 := within(groups, opts)
			b, err2 := within(other, opts)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			if a.ErrorBound() != b.ErrorBound() || a.Len() != b.Len() || a.MeanRat().Cmp(b.MeanRat()) != 0 {
				t.Fatalf("%d points, bound %v; %d points, bound %v", a.Len(), a.ErrorBound(), b.Len(), b.ErrorBound())
			}
			points := slices.Collect(func(yield func(string) bool) {
				for x, c := range a.Points() {
					if !yield(x.String() + c.Rat().String()) {
						return
					}
				}
			})
			i := 0
			for x, c := range b.Points() {
				if points[i] != x.String()+c.Rat().String() {
					t.Fatalf("point %d: %s and %v %v", i, points[i], x, c.Rat())
				}
				i++
			}
		})
	}
}

// The same pieces are the same, as one group or as several.
func TestLikeGroupsAreOne(t *testing.T) {
	four := odds.Group{Count: 4, Outcomes: []landed.Outcome{outcome(3, -1, 7), outcome(7, -1, -2)}}
	two := four
	two.Count = 2
	sameLaw(t, of(t, []odds.Group{two, two}, odds.Limits{}), enumerate([]odds.Group{four}))
}

// The mean of the sum is the sum of means, whatever the precision.
func TestMeanIsLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(group(1000), 1, 6).Draw(t, "groups")
		sum := new(big.Rat)
		for _, g := range groups {
			for _, o := range g.Outcomes {
				part := new(big.Rat).Mul(o.Chance.Rat(), big.NewRat(o.Value.Minor(), 1))
				sum.Add(sum, part.Mul(part, big.NewRat(g.Count, 1)))
			}
		}
		d, err := within(groups, odds.Limits{Points: 100, Steps: 1000})
		if err != nil {
			t.Fatal(err)
		}
		if d.MeanRat().Cmp(sum) != 0 {
			t.Fatalf("%v, want %v", d.MeanRat(), sum)
		}
	})
}

// What is coarsened keeps its promises against the same pieces calculated exactly: every chance
// lies in the bounds it carries, and no more points than allowed.
func TestCoarseIsWithinItsBounds(t *testing.T) {
	coarse := 0
	rapid.Check(t, func(t *rapid.T) {
		s := risky(8, 3).Draw(t, "shared")
		truth, err := s.under(odds.Limits{Steps: 1 << 40})
		if err != nil {
			t.Fatal(err)
		}
		opts := odds.Limits{Points: rapid.IntRange(64, 300).Draw(t, "points"), Steps: rapid.Int64Range(1, 3000).Draw(t, "steps")}
		d, err := s.under(opts)
		if err != nil {
			t.Fatal(err)
		}
		if !truth.Exact() || d.Len() > opts.Points {
			t.Fatalf("exact %v, %d points", truth.Exact(), d.Len())
		}
		if d.ErrorBound().Sign() > 0 {
			coarse++
		}
		for a := range truth.Points() {
			inBounds(t, d, truth, a)
		}
		for a := range d.Points() {
			inBounds(t, d, truth, a)
		}
	})
	if coarse == 0 {
		t.Error("nothing was coarsened")
	}
}

func inBounds(t interface{ Fatalf(string, ...any) }, d, truth *odds.Distribution, x money.Amount) {
	got, err1 := d.Below(x)
	want, err2 := truth.Below(x)
	low, high := got.Bounds()
	if w := want.Rat(); err1 != nil || err2 != nil || low.Cmp(w) > 0 || high.Cmp(w) < 0 || low.Cmp(got.Rat()) > 0 || high.Cmp(got.Rat()) < 0 {
		t.Fatalf("below %v: %v in %v to %v, truly %v", x, got.Rat(), low, high, w)
	}
}

// Large hauls keep theirs against the same to whole cents, whose only error is what is cut off
// beyond 2^-63.
func TestThousandPiecesAreWithinTheirBounds(t *testing.T) {
	groups := lots(rand.New(rand.NewPCG(1, 2)), effort.Cases(1000, 300, 200))
	d := of(t, groups, odds.Limits{})
	if d.ErrorBound().Sign() == 0 {
		t.Fatal("nothing was moved")
	}
	truth := of(t, groups, odds.Limits{Points: 1 << 23, Steps: 1 << 34})
	if truth.ErrorBound().Sign() != 0 || truth.ProbabilityError().Cmp(rat(t, "1e-9")) > 0 {
		t.Fatalf("truth is off by %v, %v", truth.ErrorBound(), truth.ProbabilityError())
	}
	if d.ErrorBound().Cmp(minor(5000)) > 0 || d.ProbabilityError().Cmp(rat(t, "1e-8")) > 0 {
		t.Errorf("off by %v, %v", d.ErrorBound(), d.ProbabilityError())
	}
	for i := int64(1); i < 100; i++ {
		q := decimal.New(i, -2)
		got, want := d.Quantile(q), truth.Quantile(q)
		if off := got.Minor() - want.Minor(); off > d.ErrorBound().Minor() || -off > d.ErrorBound().Minor() {
			t.Errorf("quantile %v: %v, truly %v", q, got, want)
		}
		if off := d.WorstTail(q).Minor() - truth.WorstTail(q).Minor(); off > d.ErrorBound().Minor() || -off > d.ErrorBound().Minor() {
			t.Errorf("worst %v: %v, truly %v", q, d.WorstTail(q), truth.WorstTail(q))
		}
		c, _ := truth.Below(want)
		mine, _ := d.Below(want)
		low, high := mine.Bounds()
		tlow, thigh := c.Bounds()
		if low.Cmp(thigh) > 0 || high.Cmp(tlow) < 0 {
			t.Errorf("below %v: %v, truly %v", want, mine, c)
		}
	}
}

// Up to 10^6 draws of 60 pieces and a shared risk lie within five standard errors of the
// distribution. A draw is one of 32 random bits against limits rounded to 2^-32, which is far below
// the error looked for.
func TestSimulationAgrees(t *testing.T) {
	draws := effort.Cases(1_000_000, 100_000, 30_000)
	rng := rand.New(rand.NewPCG(7, 8))
	groups := lots(rng, 40)
	groups = append(groups, odds.Group{Count: 20, Outcomes: []landed.Outcome{outcome(6, -1, 4500), outcome(4, -1, 800)}})
	hit := slices.Clone(groups)
	hit[40] = times(hit[40], dec("0.5"))
	d, err := shared{[]decimal.Decimal{dec("0.1")}, [][]odds.Group{groups, hit}}.under(odds.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	sums := append(simulate(rng, groups, draws*9/10), simulate(rng, hit, draws/10)...)
	slices.Sort(sums)
	for _, q := range []string{"0.01", "0.1", "0.25", "0.5", "0.75", "0.9", "0.99"} {
		x := d.Quantile(dec(q))
		below, _ := slices.BinarySearch(sums, x.Minor())
		want, _ := d.Below(x)
		p, _ := want.Rat().Float64()
		// (below/n - p)^2 <= 25 p (1-p) / n; the strata only make it less.
		off := float64(below)/float64(draws) - p
		if off*off > 25*p*(1-p)/float64(draws) {
			t.Errorf("below %v: %d of %d, want %v", x, below, draws, want)
		}
	}
	var sum int64
	for _, s := range sums {
		sum += s
	}
	mean, _ := d.MeanRat().Float64()
	variance, _ := d.Variance().Float64()
	if off := float64(sum)/float64(draws) - mean; off*off > 25*variance/float64(draws) {
		t.Errorf("mean %v, simulated %v", mean, float64(sum)/float64(draws))
	}
}

// Groups of many alike, some wide and some narrow, are within their bounds of the exact sums.
func TestManyOfSeveralKinds(t *testing.T) {
	n := int64(effort.Cases(100, 70, 50))
	groups := []odds.Group{
		{Count: 1, Outcomes: []landed.Outcome{outcome(5, -1, 3), outcome(5, -1, 0)}},
		{Count: 3 * n, Outcomes: []landed.Outcome{outcome(4, -1, 5), outcome(6, -1, 0)}},
		{Count: 2 * n, Outcomes: []landed.Outcome{outcome(2, -1, 7), outcome(8, -1, -1)}},
	}
	truth := of(t, groups, odds.Limits{Steps: 1 << 40})
	for _, steps := range []int64{0, 20_000} {
		d := of(t, groups, odds.Limits{Steps: steps})
		if !truth.Exact() || d.Exact() || d.ProbabilityError().Cmp(rat(t, "1e-8")) > 0 {
			t.Errorf("truth is exact: %v; chances off by %v", truth.Exact(), d.ProbabilityError().FloatString(12))
		}
		for a := range truth.Points() {
			inBounds(t, d, truth, a)
		}
	}
}

// A great number of like pieces goes by repeated squaring; the binomial law says what must come
// out.
func TestManyAlikeAreBinomial(t *testing.T) {
	const n = 3000
	groups := []odds.Group{{Count: n, Outcomes: []landed.Outcome{outcome(37, -2, 5), outcome(63, -2, 0)}}}
	d := of(t, groups, odds.Limits{})
	if d.ErrorBound().Sign() != 0 || d.Exact() {
		t.Fatalf("bound %v, exact %v", d.ErrorBound(), d.Exact())
	}
	if d.ProbabilityError().Cmp(rat(t, "1e-9")) > 0 {
		t.Errorf("chances off by %v", d.ProbabilityError().FloatString(20))
	}
	terms, whole := binomials(n, 37)
	below := new(big.Int) // below/whole: not reduced, which would take long
	for k, p := range terms {
		got, _ := d.Below(minor(5 * int64(k)))
		low, high := got.Bounds()
		if cmpRatio(low, below, whole) > 0 || cmpRatio(high, below, whole) < 0 {
			t.Fatalf("below %d: %v to %v", k, low, high)
		}
		below.Add(below, p)
	}
	if below.Cmp(whole) != 0 {
		t.Error("the binomial law does not come to 1")
	}
}

// cmpRatio compares r with num/den.
func cmpRatio(r *big.Rat, num, den *big.Int) int {
	return new(big.Int).Mul(r.Num(), den).Cmp(new(big.Int).Mul(r.Denom(), num))
}

func TestChance(t *testing.T) {
	for _, c := range []struct{ chance, want string }{
		{"0", "0.0%"}, {"1", "100.0%"}, {"0.124", "12.4%"}, {"0.1245", "12.5%"}, {"0.0004", "<0.1%"}, {"0.0005", "0.1%"},
		{"0.9996", ">99.9%"}, {"0.9994", "99.9%"}, {"0.9995", ">99.9%"},
	} {
		p := dec(c.chance)
		d := of(t, []odds.Group{{Count: 1, Outcomes: []landed.Outcome{
			{Chance: p, Value: minor(0)}, {Chance: dec("1").Sub(p), Value: minor(1)}}}}, odds.Limits{})
		got, err := d.Below(minor(1))
		if err != nil || got.String() != c.want || got.Rat().Cmp(p.Rat()) != 0 {
			t.Errorf("%s: %v, %v; want %s", c.chance, got, err, c.want)
		}
	}
	var zero odds.Chance
	if low, high := zero.Bounds(); zero.String() != "0.0%" || low.Sign() != 0 || high.Sign() != 0 || zero.Rat().Sign() != 0 {
		t.Errorf("zero value is %v", zero)
	}
}

func TestErrors(t *testing.T) {
	jpy := money.MustCurrency("JPY")
	g := func(outcomes ...landed.Outcome) odds.Group { return odds.Group{Outcomes: outcomes, Count: 1} }
	o := func(chance string, amount money.Amount, what string) landed.Outcome {
		return landed.Outcome{Chance: dec(chance), Value: amount, What: what}
	}
	sure := g(o("1", minor(100), "sells"))
	for _, c := range []struct {
		name   string
		groups []odds.Group
		risks  []decimal.Decimal
		want   string
	}{
		{"nothing", nil, nil, `there can be 1 to 1000000, not 0`},
		{"no outcomes", []odds.Group{g()}, nil, `group 1: chances come to 0%, not 100%: name what happens in the other 100%`},
		{"too little", []odds.Group{sure, g(o("0.6", minor(1), "works"), o("0.3", minor(0), "parts"))}, nil,
			`group 2: chances come to 90%, not 100%: name what happens in the other 10%`},
		{"too much", []odds.Group{g(o("0.6", minor(1), "works"), o("0.525", minor(0), "parts"))}, nil,
			`group 1: chances come to 112.5%, not 100%: take away 12.5%`},
		{"far too much", []odds.Group{g(slices.Repeat([]landed.Outcome{o("1", minor(1), "")}, 40)...)}, nil,
			`group 1: chances come to 4000%, not 100%: take away 3900%`},
		{"negative", []odds.Group{g(o("1.5", minor(1), "works"), o("-0.5", minor(0), "parts"))}, nil,
			`group 1, outcome 1: "works": a chance of 150%: write one from 0% to 100%`},
		{"below zero", []odds.Group{g(o("-0.5", minor(0), "parts"))}, nil,
			`group 1, outcome 1: "parts": a chance of -50%: write one from 0% to 100%`},
		{"huge", []odds.Group{g(landed.Outcome{Chance: decimal.New(1, 1_000_000_000), What: "parts"})}, nil,
			`group 1, outcome 1: "parts": a chance of that many digits: write one from 0% to 100%`},
		{"too fine", []odds.Group{g(o("0.1234567890123456789", minor(0), "parts"))}, nil,
			`group 1, outcome 1: "parts": a chance of 12.34567890123456789%: write it with at most 16 decimals`},
		{"a range", []odds.Group{g(landed.Outcome{Chance: dec("1"), Value: minor(1), UpTo: minor(2)})}, nil,
			`group 1, outcome 1: a piece brings a range, or is repaired: give its net proceeds`},
		{"a repair", []odds.Group{g(landed.Outcome{Chance: dec("1"), Value: minor(1), Repair: minor(1)})}, nil,
			`group 1, outcome 1: a piece brings a range, or is repaired: give its net proceeds`},
		{"count", []odds.Group{{Outcomes: sure.Outcomes}}, nil, `group 1: there can be 1 to 1000000, not 0`},
		{"pieces", []odds.Group{sure, {Outcomes: sure.Outcomes, Count: 1_000_000}}, nil,
			`group 2: there can be 1 to 1000000, not 1000001`},
		{"currency", []odds.Group{sure, g(o("1", money.New(1, jpy), "sells"))}, nil,
			`group 2, outcome 1: ` + money.MismatchError{cad, jpy}.Error()},
		{"overflow", []odds.Group{{Outcomes: []landed.Outcome{o("1", minor(1<<59), "")}, Count: 3}}, nil, "group 1: " + money.ErrOverflow.Error()},
		{"least int", []odds.Group{g(o("1", minor(-1<<63), ""))}, nil, "group 1: " + money.ErrOverflow.Error()},
		{"risk", []odds.Group{sure}, []decimal.Decimal{dec("1.2")},
			`risk 1: a chance of 120%: write one from 0% to 100%`},
		{"risks", []odds.Group{sure}, make([]decimal.Decimal, 7), `risk 7: there can be 1 to 6, not 7`},
	} {
		if d, err := odds.Under(c.risks, func([]bool) ([]odds.Group, error) { return c.groups, nil }, 0); err == nil || err.Error() != c.want || d != nil {
			t.Errorf("%s: %v\nwant %s", c.name, err, c.want)
		}
	}
}

func TestErrorsCarryTheirData(t *testing.T) {
	half, kept := outcome(5, -1, 1), []money.Amount{minor(2)}
	fine, rest := landed.Outcome{Chance: dec("0.123456789012345677"), Value: minor(1)}, landed.Outcome{Chance: dec("0.876543210987654323"), Value: minor(0)}
	sure, dead, mixed := outcome(1, 0, 1), outcome(5, -1, 0), landed.Outcome{Chance: dec("1"), Value: money.New(1, money.MustCurrency("JPY"))}
	for _, c := range []struct {
		groups []odds.Group
		at     odds.Error
		want   error
	}{
		{[]odds.Group{{Count: 1, Outcomes: []landed.Outcome{outcome(9, -1, 1)}}}, odds.Error{Group: 1}, errors.New("chances come to 90%, not 100%: name what happens in the other 10%")},
		{[]odds.Group{{Count: 1, Outcomes: []landed.Outcome{dead, outcome(15, -1, 1)}}}, odds.Error{Group: 1, Outcome: 2}, errors.New("a chance of 150%: write one from 0% to 100%")},
		{[]odds.Group{{Count: 400_000, Keep: 7, Kept: kept, Outcomes: []landed.Outcome{half, dead}}}, odds.Error{Group: 1}, &odds.LimitError{Kept: true, Given: 400_000, Most: 262_144}},
		{slices.Repeat([]odds.Group{{Count: 4300, Keep: 7, Kept: kept, Outcomes: []landed.Outcome{fine, rest}}}, 17), odds.Error{Group: 17}, &odds.LimitError{Kept: true, Given: 4300, Most: 1105}},
		{[]odds.Group{{Count: 600_000, Outcomes: []landed.Outcome{sure}}, {Count: 600_000, Outcomes: []landed.Outcome{sure}}}, odds.Error{Group: 2}, &odds.LimitError{Given: 1_200_000, Most: 1_000_000}},
		{[]odds.Group{{Count: 1, Outcomes: []landed.Outcome{sure}}, {Count: 1, Outcomes: []landed.Outcome{mixed}}}, odds.Error{Group: 2, Outcome: 1}, money.MismatchError{cad, mixed.Value.Currency()}},
		{[]odds.Group{{Count: 3, Outcomes: []landed.Outcome{outcome(1, 0, 1<<59)}}}, odds.Error{Group: 1}, money.ErrOverflow},
	} {
		if testing.Short() && len(c.groups) > 2 {
			continue // as many pieces as there may be
		}
		_, err := odds.Of(c.groups, 0)
		var at *odds.Error
		if !errors.As(err, &at) || at.Risk != c.at.Risk || at.Group != c.at.Group || at.Outcome != c.at.Outcome || !sameError(err, c.want) {
			t.Errorf("%#v, want %#v: %#v", at, c.at, c.want)
		}
	}
}

func sameError(err, want error) bool {
	if want, ok := want.(*odds.LimitError); ok {
		var got *odds.LimitError
		return errors.As(err, &got) && *got == *want
	}
	return errors.Is(err, want) || strings.HasSuffix(err.Error(), want.Error())
}

func TestMethodErrors(t *testing.T) {
	d := of(t, []odds.Group{{Count: 1, Outcomes: []landed.Outcome{outcome(1, 0, 1)}}}, odds.Limits{})
	yen := money.New(1, money.MustCurrency("JPY"))
	want := money.MismatchError{cad, yen.Currency()}.Error()
	_, err1 := d.Below(yen)
	_, err2 := d.Shift(yen)
	for i, err := range []error{err1, err2} {
		if err == nil || err.Error() != want {
			t.Errorf("%d: %v, want %s", i, err, want)
		}
	}
	if _, err := d.Shift(minor(1<<63 - 1)); !errors.Is(err, money.ErrOverflow) {
		t.Errorf("shift too far: %v", err)
	}
	for _, c := range []struct {
		x    int64
		want string
	}{{-1 << 63, "0.0%"}, {1<<63 - 1, "100.0%"}} {
		if p, err := d.Below(minor(c.x)); err != nil || p.String() != c.want {
			t.Errorf("below %d: %v, %v", c.x, p, err)
		}
	}
	if d.Histogram(0) != nil {
		t.Error("no bins asked for, some given")
	}
}
