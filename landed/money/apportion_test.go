package money_test

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"pgregory.net/rapid"
)

// sharing is one input of Apportion.
type sharing struct {
	total   int64
	weights []int64
}

// oracle apportions a sharing in the plainest way: exact quotas as fractions,
// rounded down, and the units left over to the largest fractions in a stable
// order. A negative total is the mirror image.
func (s sharing) oracle() []int64 {
	sum := new(big.Int)
	for _, w := range s.weights {
		sum.Add(sum, big.NewInt(w))
	}
	total := new(big.Int).Abs(big.NewInt(s.total))
	left := new(big.Int).Set(total)
	floors := make([]*big.Int, len(s.weights))
	fractions := make([]*big.Rat, len(s.weights))
	order := make([]int, len(s.weights))
	for i, w := range s.weights {
		quota := new(big.Rat).SetFrac(new(big.Int).Mul(total, big.NewInt(w)), sum)
		floors[i] = new(big.Int).Quo(quota.Num(), quota.Denom())
		fractions[i] = new(big.Rat).Sub(quota, new(big.Rat).SetInt(floors[i]))
		left.Sub(left, floors[i])
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return fractions[b].Cmp(fractions[a]) })
	for _, i := range order[:left.Int64()] {
		floors[i].Add(floors[i], big.NewInt(1))
	}
	shares := make([]int64, len(s.weights))
	for i, f := range floors {
		if s.total < 0 {
			f.Neg(f)
		}
		shares[i] = f.Int64()
	}
	return shares
}

// checkLaws checks one sharing against the oracle and against what every
// sharing must obey.
func checkLaws(t rapid.TB, s sharing, got []int64) {
	t.Helper()
	sum, parts := new(big.Int), new(big.Int)
	for i, w := range s.weights {
		sum.Add(sum, big.NewInt(w))
		parts.Add(parts, big.NewInt(got[i]))
	}
	if parts.Cmp(big.NewInt(s.total)) != 0 {
		t.Fatalf("the parts sum to %v, not to %d", parts, s.total)
	}
	total := big.NewInt(s.total)
	for i, w := range s.weights {
		quota := new(big.Int).Mul(total, big.NewInt(w))
		share := new(big.Int).Mul(big.NewInt(got[i]), sum)
		if off := share.Sub(share, quota); off.CmpAbs(sum) >= 0 {
			t.Fatalf("share %d of weight %d is %d: neither floor nor ceiling of its quota", i, w, got[i])
		}
		if w == 0 && got[i] != 0 {
			t.Fatalf("weight %d is zero and gets %d", i, got[i])
		}
	}
	if want := s.oracle(); !slices.Equal(got, want) {
		i := 0
		for got[i] == want[i] {
			i++
		}
		t.Fatalf("total %d over %d weights: share %d is %d, want %d", s.total, len(got), i, got[i], want[i])
	}
}

// weightPatterns make n weights of a kind that is hard on the selection. The
// sum never leaves 64 bits.
var weightPatterns = map[string]func(rng *rand.Rand, n int) []int64{
	"small": func(rng *rand.Rand, n int) []int64 {
		return fill(n, func() int64 { return rng.Int64N(10_000) })
	},
	"all equal": func(rng *rand.Rand, n int) []int64 {
		return slices.Repeat([]int64{1 + rng.Int64N(1<<40)}, n)
	},
	"few values, so many ties": func(rng *rand.Rand, n int) []int64 {
		values := fill(3, func() int64 { return rng.Int64N(1 << 30) })
		return fill(n, func() int64 { return values[rng.IntN(3)] })
	},
	"a dozen values and what is next to them": func(rng *rand.Rand, n int) []int64 {
		values := fill(12, func() int64 { return 1 + rng.Int64N(1<<40) })
		return fill(n, func() int64 { return values[rng.IntN(12)] + rng.Int64N(3) })
	},
	"remainders equal in high bits": func(rng *rand.Rand, n int) []int64 {
		return fill(n, func() int64 { return 1<<40 + rng.Int64N(1_000) })
	},
	"remainders equal but for the last bits": func(rng *rand.Rand, n int) []int64 {
		return fill(n, func() int64 { return 1<<50 + rng.Int64N(3) })
	},
	"one takes nearly all of a sum above a power of two": func(rng *rand.Rand, n int) []int64 {
		weights := fill(n, func() int64 { return rng.Int64N(2) })
		power := int64(1) << (13 + rng.IntN(49))
		weights[rng.IntN(n)] = power + rng.Int64N(power>>rng.IntN(13))
		return weights
	},
	"mostly zero": func(rng *rand.Rand, n int) []int64 {
		return fill(n, func() int64 { return max(0, rng.Int64N(100)-90) })
	},
	"wide": func(rng *rand.Rand, n int) []int64 {
		return fill(n, func() int64 { return rng.Int64N(1<<51) >> rng.IntN(51) })
	},
	"sum is 2^64-1 or next to it": func(rng *rand.Rand, n int) []int64 {
		left := uint64(math.MaxUint64)
		weights := fill(n, func() int64 {
			w := min(uint64(math.MaxUint64)/uint64(n)-rng.Uint64N(3), math.MaxInt64)
			left -= w
			return int64(w)
		})
		last := uint64(weights[n-1]) + left
		weights[n-1] = int64(min(last, math.MaxInt64))
		return weights
	},
}

func fill(n int, f func() int64) []int64 {
	s := make([]int64, n)
	for i := range s {
		s[i] = f()
	}
	return s
}

// sharings draws sharings that have an answer: small ones that shrink well, and
// patterns of up to 5,000 weights, far beyond where selection stops sorting.
func sharings(t *rapid.T) sharing {
	var weights []int64
	if rapid.Bool().Draw(t, "drawn weight by weight") {
		weights = rapid.SliceOfN(rapid.OneOf(rapid.Int64Range(0, 10), rapid.Int64Range(0, 1<<59)), 1, 15).Draw(t, "weights")
	} else {
		name := rapid.SampledFrom(patternNames).Draw(t, "pattern")
		longest := rapid.SampledFrom([]int{130, 5_000}).Draw(t, "longest")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		weights = weightPatterns[name](rng, 1+rng.IntN(longest)) // rapid itself would prefer few
	}
	if slices.Max(weights) == 0 {
		weights[len(weights)/2] = 1
	}
	n := int64(len(weights))
	total := rapid.OneOf(
		rapid.Int64(), rapid.Int64Range(-3*n, 3*n), rapid.Int64Range(math.MaxInt64-1<<50, math.MaxInt64),
		rapid.SampledFrom([]int64{math.MinInt64, math.MaxInt64, 0, 1, -1, n - 1, n / 2, 1_234_567_891}),
	).Draw(t, "total")
	return sharing{total, weights}
}

var patternNames = func() []string {
	var names []string
	for name := range weightPatterns {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}()

func (s sharing) apportion(t rapid.TB) []int64 {
	t.Helper()
	dst := slices.Repeat([]int64{-77}, len(s.weights)) // what was there must not matter
	if err := money.Apportion(dst, s.total, s.weights); err != nil {
		t.Fatalf("%d over %d weights: %v", s.total, len(s.weights), err)
	}
	return dst
}

func TestApportionLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sharings(t)
		checkLaws(t, s, s.apportion(t))
	})
}

// TestApportionPatterns makes sure that each pattern meets each edge at least
// once, whatever rapid draws.
func TestApportionPatterns(t *testing.T) {
	for _, name := range patternNames {
		t.Run(name, func(t *testing.T) {
			for _, n := range []int{1, 2, 3, 23, 24, 25, 26, 64, 500, effort.Cases(3_000, 1_000, 501)} {
				rng := rand.New(rand.NewPCG(7, uint64(n)))
				weights := weightPatterns[name](rng, n)
				if slices.Max(weights) == 0 {
					weights[n-1] = 1
				}
				for _, total := range []int64{math.MinInt64, math.MaxInt64, 0, 1, int64(n) / 2, int64(n) - 1, -100_001} {
					s := sharing{total, weights}
					checkLaws(t, s, s.apportion(t))
				}
			}
		})
	}
}

// TestApportionCorrectsTheQuotient has quotas whose quotient by the reciprocal is estimated one too
// small, which chance hardly ever finds: one weight is nearly the whole sum, and the total just
// below 2^63. Many weights of one follow, so that the large one is due a leftover unit besides.
func TestApportionCorrectsTheQuotient(t *testing.T) {
	for _, c := range []struct {
		total, weight int64
		ones          int
	}{
		{9223369739993394236, 2235, 0},
		{9223372036854775780, 1088080781, 0},
		{9222809473141726869, 268440376, 1237},
		{8941954030877797007, 268435753, 441},
		{8966675691308000027, 8796093052724, 3216},
	} {
		s := sharing{c.total, append([]int64{c.weight}, slices.Repeat([]int64{1}, c.ones)...)}
		checkLaws(t, s, s.apportion(t))
	}
}

func TestApportionMirrorsRefunds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sharings(t)
		if s.total == math.MinInt64 {
			t.Skip("has no opposite")
		}
		charge, refund := s.apportion(t), sharing{-s.total, s.weights}.apportion(t)
		for i := range charge {
			if charge[i] != -refund[i] {
				t.Fatalf("share %d: %d of the charge, %d of the refund", i, charge[i], refund[i])
			}
		}
	})
}

func TestApportionIgnoresTheScaleOfWeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sharings(t)
		factor := rapid.Int64Range(1, 1<<20).Draw(t, "factor")
		large := make([]*big.Int, len(s.weights))
		scaled := make([]int64, len(s.weights))
		sum, fits := new(big.Int), true
		for i, w := range s.weights {
			large[i] = new(big.Int).Mul(big.NewInt(w), big.NewInt(factor))
			scaled[i] = large[i].Int64()
			fits = fits && large[i].IsInt64()
			sum.Add(sum, large[i])
		}
		want, got := s.apportion(t), make([]int64, len(s.weights))
		if err := money.ApportionBig(got, s.total, large); err != nil || !slices.Equal(got, want) {
			t.Fatalf("times %d, ApportionBig gives %v, %v, want %v", factor, got, err, want)
		}
		if fits && sum.IsUint64() && !slices.Equal(sharing{s.total, scaled}.apportion(t), want) {
			t.Fatalf("weights times %d are shared otherwise", factor)
		}
	})
}

// TestApportionTiesGoToTheEarlier: equal weights differ by one unit at most,
// and the larger shares come first.
func TestApportionTiesGoToTheEarlier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sharings(t)
		got := s.apportion(t)
		last := make(map[int64]int64)
		for i, w := range s.weights {
			size := magnitude(got[i])
			if before, ok := last[w]; ok && magnitude(before) < size {
				t.Fatalf("weight %d gets %d at place %d, but %d before", w, got[i], i, before)
			}
			last[w] = got[i]
		}
	})
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// TestApportionFollowsThePieces: where no two fractions are equal, the order
// of the pieces does not matter.
func TestApportionFollowsThePieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.OneOf(rapid.IntRange(1, 20), rapid.IntRange(60, 400)).Draw(t, "n")
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		total := rng.Int64N(int64(n)) - int64(n)/2
		weights := rng.Perm(4 * n)[:n] // all different, and so are quotas below one
		s := sharing{total, fill(n, func() int64 { w := weights[0]; weights = weights[1:]; return 1<<30 + int64(w) })}
		want, order := s.apportion(t), rng.Perm(n)
		moved := sharing{total, make([]int64, n)}
		for to, from := range order {
			moved.weights[to] = s.weights[from]
		}
		for to, share := range moved.apportion(t) {
			if share != want[order[to]] {
				t.Fatalf("weight %d gets %d at place %d and %d at place %d", moved.weights[to], share, to, want[order[to]], order[to])
			}
		}
	})
}

func TestApportionBigAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sharings(t)
		got := make([]int64, len(s.weights))
		if err := money.ApportionBig(got, s.total, bigWeights(s.weights)); err != nil {
			t.Fatal(err)
		}
		if want := s.apportion(t); !slices.Equal(got, want) {
			t.Fatalf("ApportionBig gives %v, Apportion %v", got, want)
		}
	})
}

// TestApportionBigBeyond64Bits shares by weights that Apportion refuses.
func TestApportionBigBeyond64Bits(t *testing.T) {
	huge := new(big.Int).Lsh(big.NewInt(1), 200)
	weights := []*big.Int{huge, new(big.Int), new(big.Int).Mul(huge, big.NewInt(2)), huge}
	for _, c := range []struct {
		total int64
		want  []int64
	}{
		{10, []int64{3, 0, 5, 2}}, // quotas 2.5, 0, 5, 2.5
		{-10, []int64{-3, 0, -5, -2}},
		{math.MaxInt64, []int64{1 << 61, 0, 1<<62 - 1, 1 << 61}}, // fractions .75, .5, .75
		{math.MinInt64, []int64{-1 << 61, 0, -1 << 62, -1 << 61}},
	} {
		got := make([]int64, len(weights))
		if err := money.ApportionBig(got, c.total, weights); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%d: got %v, %v, want %v", c.total, got, err, c.want)
		}
	}
}

func TestApportionErrors(t *testing.T) {
	const tooLarge = "amount is too large to be held exactly"
	const noWeight = "nothing to share by: every weight is zero"
	top := int64(math.MaxInt64)
	for _, c := range []struct {
		name    string
		weights []int64
		want    string
		is      error
	}{
		{"no weights", nil, noWeight, money.ErrNoWeight},
		{"one zero", []int64{0}, noWeight, money.ErrNoWeight},
		{"all zero", make([]int64, 200), noWeight, money.ErrNoWeight},
		{"sum of 2^64", []int64{top, top, 2}, tooLarge, money.ErrOverflow},
		{"sum that wraps to zero", []int64{top, top, 1, 1}, tooLarge, money.ErrOverflow},
		{"sum that wraps before its end", []int64{top, top, 2, 5}, tooLarge, money.ErrOverflow},
		{"sum that wraps twice", []int64{top, top, top, top, top}, tooLarge, money.ErrOverflow},
		{"a negative weight", []int64{5, -3, 7}, "weight 1 is -3: a weight cannot be negative", nil},
		{"the least weight", []int64{math.MinInt64}, "weight 0 is -9223372036854775808: a weight cannot be negative", nil},
		{"weights that cancel out", []int64{3, -3}, "weight 1 is -3: a weight cannot be negative", nil},
	} {
		for _, total := range []int64{0, 100, -100, top, math.MinInt64} {
			err := money.Apportion(make([]int64, len(c.weights)), total, c.weights)
			if err == nil || err.Error() != c.want || c.is != nil && !errors.Is(err, c.is) {
				t.Errorf("%s, total %d: got %v, want %s", c.name, total, err, c.want)
			}
		}
	}
	if err := money.Apportion(make([]int64, 3), 1, []int64{5, -3, 7}); !errors.Is(err, money.ErrNegativeWeight) {
		t.Errorf("got %#v, want a negative weight", err)
	}
}

func TestApportionBigErrors(t *testing.T) {
	below := new(big.Int).Lsh(big.NewInt(-1), 100)
	for _, c := range []struct {
		weights []*big.Int
		want    string
	}{
		{nil, "nothing to share by: every weight is zero"},
		{bigWeights([]int64{0, 0}), "nothing to share by: every weight is zero"},
		{bigWeights([]int64{5, -3}), "weight 1 is -3: a weight cannot be negative"},
		{[]*big.Int{below}, "weight 0 is -1267650600228229401496703205376: a weight cannot be negative"},
	} {
		if err := money.ApportionBig(make([]int64, len(c.weights)), 10, c.weights); err == nil || err.Error() != c.want {
			t.Errorf("%v: got %v, want %s", c.weights, err, c.want)
		}
	}
}

// TestApportionLeavesTheRestAlone: only as much of dst is written as there are
// weights, and the weights stay.
func TestApportionLeavesTheRestAlone(t *testing.T) {
	weights := []int64{1, 1, 1}
	for _, apportion := range []func(dst []int64, total int64) error{
		func(dst []int64, total int64) error { return money.Apportion(dst, total, weights) },
		func(dst []int64, total int64) error { return money.ApportionBig(dst, total, bigWeights(weights)) },
	} {
		dst := []int64{9, 9, 9, 9, 9}
		if err := apportion(dst, -10); err != nil || !slices.Equal(dst, []int64{-4, -3, -3, 9, 9}) {
			t.Errorf("got %v, %v", dst, err)
		}
	}
	if !slices.Equal(weights, []int64{1, 1, 1}) {
		t.Errorf("the weights became %v", weights)
	}
}

// TestEqual checks the equal parts against a sharing over equal weights.
func TestEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 300).Draw(t, "n")
		total := rapid.OneOf(rapid.Int64(), rapid.Int64Range(-700, 700), rapid.SampledFrom([]int64{math.MinInt64, math.MaxInt64})).Draw(t, "total")
		large, small, larger, err := money.Equal(total, n)
		if err != nil || larger < 1 || larger > n {
			t.Fatalf("Equal(%d, %d) = %d, %d, %d, %v", total, n, large, small, larger, err)
		}
		got := append(slices.Repeat([]int64{large}, int(larger)), slices.Repeat([]int64{small}, int(n-larger))...)
		if want := (sharing{total, slices.Repeat([]int64{1}, int(n))}).oracle(); !slices.Equal(got, want) {
			t.Fatalf("Equal(%d, %d) = %v, want %v", total, n, got, want)
		}
	})
}

func TestEqualErrors(t *testing.T) {
	for _, n := range []int64{0, -1, math.MinInt64} {
		if large, small, larger, err := money.Equal(100, n); !errors.Is(err, money.ErrNoWeight) || large != 0 || small != 0 || larger != 0 {
			t.Errorf("Equal(100, %d) = %d, %d, %d, %v, want ErrNoWeight", n, large, small, larger, err)
		}
	}
}

// FuzzApportion reads weights from bytes, repeats them so that few bytes make
// many equal remainders, and checks every law, or that there is an error to
// be had.
func FuzzApportion(f *testing.F) {
	pack := func(weights ...int64) []byte {
		var b []byte
		for _, w := range weights {
			b = binary.LittleEndian.AppendUint64(b, uint64(w))
		}
		return b
	}
	f.Add(int64(1), uint16(1), pack(0, 1, 1))
	f.Add(int64(10), uint16(1), pack(1, 99))
	f.Add(int64(-100), uint16(1), pack(1, 1, 1))
	f.Add(int64(100), uint16(1), pack(0, 0))
	f.Add(int64(50), uint16(100), pack(1<<40, 1<<40+1))
	f.Add(int64(math.MinInt64), uint16(70), pack(3, 7, 90))
	f.Add(int64(math.MaxInt64), uint16(1), pack(math.MaxInt64, math.MaxInt64, 1))
	f.Add(int64(5), uint16(1), pack(-3, 7))
	f.Fuzz(func(t *testing.T, total int64, times uint16, packed []byte) {
		var weights []int64
		for ; len(packed) >= 8 && len(weights) < 64; packed = packed[8:] {
			weights = append(weights, int64(binary.LittleEndian.Uint64(packed)))
		}
		weights = slices.Repeat(weights, int(times%100))
		s := sharing{total, weights}
		dst := make([]int64, len(weights))
		err := money.Apportion(dst, total, weights)
		if want := s.wantError(); want != nil {
			if err == nil || err.Error() != want.Error() {
				t.Fatalf("%d over %v: got error %v, want %v", total, weights, err, want)
			}
			return
		}
		if err != nil {
			t.Fatalf("%d over %v: %v", total, weights, err)
		}
		checkLaws(t, s, dst)
	})
}

// wantError says which error a sharing has to give, if any.
func (s sharing) wantError() error {
	sum := new(big.Int)
	for i, w := range s.weights {
		if w < 0 {
			return fmt.Errorf("weight %d is %d: %w", i, w, money.ErrNegativeWeight)
		}
		sum.Add(sum, big.NewInt(w))
	}
	switch {
	case sum.Sign() == 0:
		return money.ErrNoWeight
	case !sum.IsUint64():
		return money.ErrOverflow
	}
	return nil
}
