package odds_test

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/odds"
	"lotcost/landed/internal/published"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// digit is what a piece of a kind brings, so that the sum tells the counts.
func digit(kind int) money.Amount {
	return minor(int64([]int{1, 100, 10_000, 1_000_000}[kind]))
}

// part is the chance of an outcome of a group with a whole.
func part(g odds.Group, outcome int) *big.Rat {
	return new(big.Rat).SetFrac(new(big.Int).SetUint64(g.PartOf(outcome)), new(big.Int).SetUint64(g.WholeOf()))
}

// urnDraws makes one draw of each number of pieces, one outcome a kind.
func urnDraws(kinds int, pieces ...int64) []odds.Draw {
	var draws []odds.Draw
	for _, n := range pieces {
		d := odds.Draw{Group: odds.Group{Count: n}}
		left := decimal.NewFromInt(1)
		for k := range kinds { // chances within a kind count for nothing where it has one outcome
			part := left.Div(decimal.NewFromInt(2)).Truncate(6)
			if k == kinds-1 {
				part = left
			}
			left = left.Sub(part)
			d.Kinds, d.Outcomes = append(d.Kinds, k), append(d.Outcomes, landed.Outcome{Chance: part, Value: digit(k)})
		}
		draws = append(draws, d)
	}
	return draws
}

func TestPublishedUrn(t *testing.T) {
	for _, c := range published.Rows(t, "odds/urn.csv", 0)[1:] {
		t.Run(c[0], func(t *testing.T) {
			var weights []decimal.Decimal
			for _, w := range strings.Fields(c[1]) {
				weights = append(weights, dec(w))
			}
			var pieces []int64
			for _, n := range strings.Split(c[2], "|") {
				pieces = append(pieces, rat(t, n).Num().Int64())
			}
			g, err := odds.Joint(weights, urnDraws(len(weights), pieces...))
			if err != nil {
				t.Fatal(err)
			}
			got := new(big.Rat)
			for i, o := range g.Outcomes {
				counts, least := o.Value.Minor(), o.Value.Minor()%100
				var n []string
				for range weights {
					n = append(n, fmt.Sprint(counts%100))
					counts /= 100
				}
				switch {
				case c[3] == "mean":
					got.Add(got, new(big.Rat).Mul(part(g, i), big.NewRat(least, 1)))
				case strings.HasPrefix(c[3], "0..") && least <= rat(t, c[3][3:]).Num().Int64(), strings.Join(n, " ") == c[3]:
					got.Add(got, part(g, i))
				}
			}
			if off := got.Sub(got, rat(t, c[4])); off.Abs(off).Cmp(big.NewRat(1, 1_000_000_000_000_000)) > 0 {
				t.Errorf("off by %s", off.FloatString(20))
			}
		})
	}
}

// TestJoint sets the joint distribution beside every sequence of pieces, one after
// the other, the urn growing by what was drawn; kept ones and falling values as by hand.
func TestJoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var weights []decimal.Decimal
		kinds := rapid.IntRange(1, 3).Draw(t, "kinds")
		for range kinds {
			weights = append(weights, decimal.New(rapid.Int64Range(1, 40).Draw(t, "weight"), -1))
		}
		var draws []odds.Draw
		for range rapid.IntRange(1, 2).Draw(t, "draws") {
			d := odds.Draw{Group: odds.Group{Count: rapid.Int64Range(1, 3).Draw(t, "pieces"), Keep: rapid.Int64Range(0, 2).Draw(t, "keep"), Alike: rapid.Bool().Draw(t, "alike")}}
			left := int64(100)
			n := rapid.IntRange(kinds, 4).Draw(t, "outcomes")
			for i := range n {
				part := rapid.Int64Range(1, left-int64(n-1-i)).Draw(t, "part")
				if i == n-1 {
					part = left
				}
				left -= part
				o := landed.Outcome{Chance: decimal.New(part, -2), Value: minor(rapid.Int64Range(0, 9).Draw(t, "amount"))}
				if i == 0 && rapid.Bool().Draw(t, "may be kept") {
					d.Kept = append(d.Kept, minor(50))
				}
				then := []money.Amount(nil)
				if !o.Value.Decimal().IsZero() && rapid.Bool().Draw(t, "falls") {
					then = []money.Amount{minor(7), minor(3)}[:rapid.IntRange(1, 2).Draw(t, "steps")]
				}
				d.Outcomes, d.Then, d.Kinds = append(d.Outcomes, o), append(d.Then, then), append(d.Kinds, i%kinds)
			}
			draws = append(draws, d)
		}
		g, err := odds.Joint(weights, draws)
		if err != nil {
			t.Fatal(err)
		}
		dist, err := odds.Of([]odds.Group{g}, 0)
		if err != nil {
			t.Fatal(err)
		}
		want, mean := map[int64]*big.Rat{}, new(big.Rat)
		oneByOne(weights, draws, 0, nil, make([]int64, kinds), 0, big.NewRat(1, 1), want)
		sum := uint64(0)
		for i, o := range g.Outcomes {
			sum += g.PartOf(i)
			off := new(big.Rat).Sub(part(g, i), want[o.Value.Minor()])
			if off.Abs(off).Cmp(big.NewRat(1, 1_000_000_000_000_000)) > 0 {
				t.Errorf("%s: %s, want %s", o.Value, part(g, i), want[o.Value.Minor()].FloatString(18))
			}
		}
		for amount, chance := range want {
			mean.Add(mean, new(big.Rat).Mul(chance, big.NewRat(amount, 1)))
		}
		if g.WholeOf() < 1<<62 && dist.MeanRat().Cmp(mean) != 0 {
			t.Errorf("mean %s, want %s", dist.MeanRat(), mean)
		}
		if len(g.Outcomes) != len(want) || sum != g.WholeOf() {
			t.Errorf("%d amounts, want %d; chances sum to %d", len(g.Outcomes), len(want), sum)
		}
	})
}

// oneByOne draws piece after piece.
func oneByOne(weights []decimal.Decimal, draws []odds.Draw, at int, came []int, kinds []int64, sum int64, chance *big.Rat, to map[int64]*big.Rat) {
	if at == len(draws) {
		if to[sum] == nil {
			to[sum] = new(big.Rat)
		}
		to[sum].Add(to[sum], chance)
		return
	}
	d := &draws[at]
	pieces := int(d.Count)
	if d.Alike {
		pieces = 1
	}
	if len(came) == pieces {
		for len(came) < int(d.Count) {
			came = append(came, came[0])
		}
		oneByOne(weights, draws, at+1, nil, kinds, sum+handed(d, came), chance, to)
		return
	}
	all := new(big.Rat)
	for k, w := range weights {
		all.Add(all, w.Rat())
		all.Add(all, big.NewRat(kinds[k], 1))
	}
	for i, o := range d.Outcomes {
		k, of := d.Kinds[i], new(big.Rat)
		for j := range d.Outcomes {
			if d.Kinds[j] == k {
				of.Add(of, d.Outcomes[j].Chance.Rat())
			}
		}
		p := new(big.Rat).Add(weights[k].Rat(), big.NewRat(kinds[k], 1))
		p.Mul(p.Quo(p, all), new(big.Rat).Quo(o.Chance.Rat(), of))
		kinds[k]++
		oneByOne(weights, draws, at, append(came[:len(came):len(came)], i), kinds, sum, p.Mul(p, chance), to)
		kinds[k]--
	}
}

// handed is what pieces bring that came out so.
func handed(d *odds.Draw, came []int) int64 {
	sum, keep := int64(0), d.Keep
	for i, o := range d.Outcomes {
		sold := 0
		for _, c := range came {
			switch {
			case c != i:
			case i < len(d.Kept) && keep > 0:
				keep, sum = keep-1, sum+d.Kept[i].Minor()
			default:
				each := append([]money.Amount{o.Value}, d.Then[i]...)
				sum += each[min(sold, len(each)-1)].Minor()
				sold++
			}
		}
	}
	return sum
}

func TestTooManyWays(t *testing.T) {
	if testing.Short() {
		t.Skip("as many ways as there may be")
	}
	var draws []odds.Draw
	for range 3 {
		draws = append(draws, urnDraws(3, 90)...)
	}
	if _, err := odds.Joint([]decimal.Decimal{dec("1"), dec("2"), dec("3")}, draws); !errors.Is(err, odds.ErrTooManyWays) {
		t.Errorf("got %v", err)
	}
}
