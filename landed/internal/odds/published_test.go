package odds_test

import (
	"math/big"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/internal/published"

	"github.com/shopspring/decimal"
)

// chanceOf makes a decimal of a fraction, at 18 decimals where it has more.
func chanceOf(t *testing.T, s string) decimal.Decimal {
	t.Helper()
	return dec(rat(t, s).FloatString(18))
}

func TestPublishedPoissonBinomial(t *testing.T) {
	for _, c := range published.Rows(t, "odds/poisson-binomial.csv", 0)[1:] {
		t.Run(c[0], func(t *testing.T) {
			d := of(t, events(t, c[1]), odds.Limits{})
			for _, w := range strings.Fields(c[3]) {
				k, want, _ := strings.Cut(w, ":")
				n := rat(t, k).Num().Int64()
				got, err := d.Below(minor(n + 1))
				if err != nil {
					t.Fatal(err)
				}
				p := got.Rat()
				if c[2] == "pmf" {
					below, _ := d.Below(minor(n))
					p.Sub(p, below.Rat())
				}
				if !agree(t, p, want, c[4]) {
					t.Errorf("%s of %s: %s, want %s", c[2], k, p.FloatString(20), want)
				}
			}
		})
	}
}

// events are pieces that bring 0.01 or nothing.
func events(t *testing.T, list string) []odds.Group {
	list, isOdds := strings.CutPrefix(list, "odds ")
	var groups []odds.Group
	for _, s := range strings.Fields(list) {
		p := rat(t, s)
		if isOdds {
			p.Quo(p, new(big.Rat).Add(p, big.NewRat(1, 1)))
		}
		yes := dec(p.FloatString(18))
		no := dec("1").Sub(yes)
		groups = append(groups, odds.Group{Count: 1, Outcomes: []landed.Outcome{
			{Chance: yes, Value: minor(1)}, {Chance: no, Value: minor(0)}}})
	}
	return groups
}

func agree(t *testing.T, got *big.Rat, want, how string) bool {
	w := rat(t, want)
	off := new(big.Rat).Sub(got, w)
	off.Abs(off)
	switch how {
	case "exact":
		return off.Sign() == 0
	case "printed":
		_, digits, _ := strings.Cut(want, ".")
		half := rat(t, "0."+strings.Repeat("0", len(digits))+"5")
		return off.Cmp(half) <= 0
	}
	return off.Cmp(new(big.Rat).Mul(rat(t, how), w)) <= 0
}

func TestPublishedValues(t *testing.T) {
	close := rat(t, "1e-15") // sixths and the like are not whole at 18 decimals
	for _, c := range published.Rows(t, "odds/values.csv", 0)[1:] {
		t.Run(c[0], func(t *testing.T) {
			var groups []odds.Group
			for _, piece := range strings.Split(c[1], "|") {
				groups = append(groups, piecesOf(t, piece))
			}
			d := of(t, groups, odds.Limits{})
			got := law{}
			for a, p := range d.Points() {
				got[a.Minor()] = p.Rat()
			}
			for _, w := range strings.Fields(c[2]) {
				value, want, _ := strings.Cut(w, ":")
				p := got[rat(t, value).Num().Int64()]
				if p == nil || !near(p, rat(t, want), close) {
					t.Errorf("chance of %s: %v, want %s", value, p, want)
				}
			}
			if !near(d.MeanRat(), rat(t, c[3]), close) {
				t.Errorf("mean %v, want %s", d.MeanRat(), c[3])
			}
		})
	}
}

func near(a, b, bound *big.Rat) bool {
	off := new(big.Rat).Sub(a, b)
	return off.Abs(off).Cmp(bound) <= 0
}

// piecesOf reads "chance:value ..."; the last chance is what is left, so that the sum is 1 whatever
// was rounded.
func piecesOf(t *testing.T, s string) odds.Group {
	g, left := odds.Group{Count: 1}, dec("1")
	fields := strings.Fields(s)
	for i, f := range fields {
		p, value, _ := strings.Cut(f, ":")
		chance := chanceOf(t, p)
		if i == len(fields)-1 {
			chance = left
		}
		left = left.Sub(chance)
		g.Outcomes = append(g.Outcomes, landed.Outcome{Chance: chance, Value: minor(rat(t, value).Num().Int64())})
	}
	return g
}

// The order that has the greatest expected profit, 5.13 of the same collection: cost 15, price 25,
// salvage 10; demand 1 to 6 with chances of .2 .1 .1 .2 .3 .1. Inputs from a practice paper
// (BUAD311, practice 9, second-hand); the ratio (25-15)/(25-10) = 2/3 and the profits by order are
// worked out: 10, 17, 22.5, 26.5, 27.5, 24.
func TestSalvageOrder(t *testing.T) {
	chances := []string{".2", ".1", ".1", ".2", ".3", ".1"}
	for order, want := range map[int64]string{1: "10", 2: "17", 3: "45/2", 4: "53/2", 5: "55/2", 6: "24"} {
		var demand, profit odds.Group
		for i, p := range chances {
			n := int64(i + 1)
			sold := min(n, order)
			demand.Outcomes = append(demand.Outcomes, landed.Outcome{Chance: dec(p), Value: minor(n)})
			profit.Outcomes = append(profit.Outcomes, landed.Outcome{Chance: dec(p), Value: minor(25*sold + 10*(order-sold) - 15*order)})
		}
		demand.Count, profit.Count = 1, 1
		if got := of(t, []odds.Group{profit}, odds.Limits{}).MeanRat(); got.Cmp(rat(t, want)) != 0 {
			t.Errorf("order %d: %v, want %s", order, got, want)
		}
		best := of(t, []odds.Group{demand}, odds.Limits{}).Quantile(dec("0.666666666666666667"))
		if best != minor(5) {
			t.Errorf("the order at 2/3 is %v, want 5", best.Minor())
		}
	}
}

// Cross-checks of Distributions.jl (5.9): events of one chance are binomial, and groups of them are
// the convolution.
func TestEqualChancesAreBinomial(t *testing.T) {
	for _, c := range []struct {
		n   int64
		per int64 // chance in per cent
	}{{6, 80}, {10, 50}, {20, 4}, {200, 37}} {
		g := odds.Group{Count: c.n, Outcomes: []landed.Outcome{outcome(c.per, -2, 1), outcome(100-c.per, -2, 0)}}
		got := of(t, []odds.Group{g}, odds.Limits{})
		sameLaw(t, got, binomial(c.n, c.per))
	}
}

func TestMixedChancesAreConvolvedBinomials(t *testing.T) {
	want := law{0: big.NewRat(1, 1)}
	var groups []odds.Group
	for _, per := range []int64{10, 50, 90} {
		groups = append(groups, odds.Group{Count: 10, Outcomes: []landed.Outcome{outcome(per, -2, 1), outcome(100-per, -2, 0)}})
		sum := law{}
		for a, p := range want {
			for b, q := range binomial(10, per) {
				sum.add(a+b, new(big.Rat).Mul(p, q))
			}
		}
		want = sum
	}
	sameLaw(t, of(t, groups, odds.Limits{}), want)
}

func binomial(n, per int64) law {
	out := law{}
	terms, whole := binomials(n, per)
	for k, p := range terms {
		out[int64(k)] = new(big.Rat).SetFrac(p, whole)
	}
	return out
}

// binomials lists the chances of 0 to n hits of so many per cent, over whole: each from the one
// before, since big.Int's coefficients take long.
func binomials(n, per int64) (terms []*big.Int, whole *big.Int) {
	power := func(base int64) *big.Int { return new(big.Int).Exp(big.NewInt(base), big.NewInt(n), nil) }
	terms = append(terms, power(100-per))
	for k := range n {
		p := new(big.Int).Mul(terms[k], big.NewInt((n-k)*per))
		terms = append(terms, p.Quo(p, big.NewInt((k+1)*(100-per))))
	}
	return terms, power(100)
}
