package odds_test

import (
	"math/big"
	"slices"
	"testing"

	"lotcost/landed/internal/odds"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

func rat(t testing.TB, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return r
}

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func minor(n int64) money.Amount { return money.New(n, cad) }

func of(t testing.TB, groups []odds.Group, opts odds.Limits) *odds.Distribution {
	t.Helper()
	d, err := within(groups, opts)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func within(groups []odds.Group, limits odds.Limits) (*odds.Distribution, error) {
	return odds.Within(nil, func([]bool) ([]odds.Group, error) { return groups, nil }, limits)
}

// law is the plain oracle: a chance for each amount.
type law map[int64]*big.Rat

func (l law) add(amount int64, chance *big.Rat) {
	if l[amount] == nil {
		l[amount] = new(big.Rat)
	}
	l[amount].Add(l[amount], chance)
}

// enumerate lists every way the pieces can turn out, one by one.
func enumerate(groups []odds.Group) law {
	out := law{}
	var walk func(i int, sum int64, chance *big.Rat)
	walk = func(i int, sum int64, chance *big.Rat) {
		if i == len(groups) {
			out.add(sum, chance)
			return
		}
		everyWay(&groups[i], func(came []int, p *big.Rat) {
			walk(i+1, sum+brought(&groups[i], came), new(big.Rat).Mul(chance, p))
		})
	}
	walk(0, 0, big.NewRat(1, 1))
	return out
}

// everyWay names, for each piece of a group, the outcome it comes out with.
func everyWay(g *odds.Group, is func(came []int, chance *big.Rat)) {
	if g.Alike {
		for o := range g.Outcomes {
			is(slices.Repeat([]int{o}, int(g.Count)), g.Outcomes[o].Chance.Rat())
		}
		return
	}
	came := make([]int, g.Count)
	var piece func(n int, chance *big.Rat)
	piece = func(n int, chance *big.Rat) {
		if n == len(came) {
			is(came, chance)
			return
		}
		for o := range g.Outcomes {
			came[n] = o
			piece(n+1, new(big.Rat).Mul(chance, g.Outcomes[o].Chance.Rat()))
		}
	}
	piece(0, big.NewRat(1, 1))
}

// brought is what pieces of known outcomes bring, by the words of the comment on Group.
func brought(g *odds.Group, came []int) int64 {
	inOrder := slices.Clone(came)
	slices.Sort(inOrder)
	sum, kept := int64(0), int64(0)
	for _, o := range inOrder {
		if o < len(g.Kept) && g.Kept[o].Currency() != 0 && kept < g.Keep {
			sum += g.Kept[o].Minor()
			kept++
		} else {
			sum += g.Outcomes[o].Value.Minor()
		}
	}
	return sum
}

// shared is some risks, and the groups for each combination of them, in which risk i happens when
// bit i is set.
type shared struct {
	risks []decimal.Decimal
	when  [][]odds.Group
}

func (s shared) under(opts odds.Limits) (*odds.Distribution, error) {
	return odds.Within(s.risks, func(happens []bool) ([]odds.Group, error) {
		which := 0
		for i, yes := range happens {
			if yes {
				which |= 1 << i
			}
		}
		return s.when[which], nil
	}, opts)
}

// enumerate lists every way that the risks and the pieces can turn out.
func (s shared) enumerate() law {
	out := law{}
	for which, groups := range s.when {
		chance := big.NewRat(1, 1)
		for i, r := range s.risks {
			happens := r.Rat()
			if which&(1<<i) == 0 {
				happens.Sub(big.NewRat(1, 1), happens)
			}
			chance.Mul(chance, happens)
		}
		for amount, p := range enumerate(groups) {
			out.add(amount, p.Mul(p, chance))
		}
	}
	return out
}

// times rounds half away from zero, as decimal's Round does.
func times(g odds.Group, factor decimal.Decimal) odds.Group {
	outcomes := slices.Clone(g.Outcomes)
	for i, o := range outcomes {
		outcomes[i].Value = minor(decimal.NewFromInt(o.Value.Minor()).Mul(factor).Round(0).IntPart())
	}
	g.Outcomes = outcomes
	return g
}

// sameLaw checks that a distribution is exact and equal to the oracle.
func sameLaw(t interface{ Fatalf(string, ...any) }, d *odds.Distribution, want law) {
	if !d.Exact() {
		t.Fatalf("not exact: bound %v, %v", d.ErrorBound(), d.ProbabilityError())
	}
	for amount, p := range want {
		if p.Sign() == 0 {
			delete(want, amount)
		}
	}
	last, n := int64(-1<<62), 0
	for a, c := range d.Points() {
		w := want[a.Minor()]
		low, high := c.Bounds()
		if w == nil || c.Rat().Cmp(w) != 0 || low.Cmp(w) != 0 || high.Cmp(w) != 0 {
			t.Fatalf("%v has %v, want %v", a, c.Rat(), w)
		}
		if a.Minor() <= last {
			t.Fatalf("%v after %d", a, last)
		}
		last = a.Minor()
		n++
	}
	if n != len(want) || n != d.Len() {
		t.Fatalf("%d points, Len %d, want %d", n, d.Len(), len(want))
	}
}

func (l law) amounts() []int64 {
	var list []int64
	for a := range l {
		list = append(list, a)
	}
	slices.Sort(list)
	return list
}

// atLeast, moments, quantile and tail say in the plainest way what the methods of a distribution
// are to give.
func (l law) atLeast(x int64) *big.Rat {
	sum := new(big.Rat)
	for a, p := range l {
		if a >= x {
			sum.Add(sum, p)
		}
	}
	return sum
}

func (l law) moments() (mean, variance *big.Rat) {
	mean, variance = new(big.Rat), new(big.Rat)
	for a, p := range l {
		mean.Add(mean, new(big.Rat).Mul(p, big.NewRat(a, 1)))
	}
	for a, p := range l {
		d := new(big.Rat).Sub(big.NewRat(a, 1), mean)
		variance.Add(variance, d.Mul(d, d).Mul(d, p))
	}
	return mean, variance
}

func (l law) quantile(q *big.Rat) int64 {
	sum := new(big.Rat)
	for _, a := range l.amounts() {
		if sum.Add(sum, l[a]).Cmp(q) >= 0 {
			return a
		}
	}
	panic("chances do not come to 1")
}

func (l law) tail(q *big.Rat) *big.Rat {
	left, sum := new(big.Rat).Set(q), new(big.Rat)
	for _, a := range l.amounts() {
		p := l[a]
		if p.Cmp(left) > 0 {
			p = left
		}
		sum.Add(sum, new(big.Rat).Mul(p, big.NewRat(a, 1)))
		if left = new(big.Rat).Sub(left, p); left.Sign() == 0 {
			break
		}
	}
	return sum.Quo(sum, q)
}

// rounded is to a whole number, half away from zero, as FloatString does.
func rounded(t testing.TB, r *big.Rat) int64 {
	n, ok := new(big.Int).SetString(r.FloatString(0), 10)
	if !ok {
		t.Fatalf("%v", r)
	}
	return n.Int64()
}
