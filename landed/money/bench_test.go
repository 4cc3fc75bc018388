package money_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// benchTotal is shared in every benchmark, over weights of 1 to 10,000 unless
// the benchmark says otherwise.
const benchTotal = 1_234_567_891

var benchSizes = []int{10, 1_000, 100_000, 1_000_000}

// perItem reports the time per weight, the figure that compares sizes.
func perItem(b *testing.B, n int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/item")
}

// coldInputs makes so many different weight lists of length n that no branch
// predictor can learn them.
func coldInputs(n int) [][]int64 {
	const items = 1 << 20
	rng := rand.New(rand.NewPCG(1, uint64(n)))
	lists := make([][]int64, max(4, items/n))
	for i := range lists {
		lists[i] = make([]int64, n)
		for j := range lists[i] {
			lists[i][j] = 1 + rng.Int64N(10_000)
		}
	}
	return lists
}

func benchmarkApportion(b *testing.B, n int, total int64, lists [][]int64) {
	dst := make([]int64, n)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		if err := money.Apportion(dst, total, lists[i]); err != nil {
			b.Fatal(err)
		}
		if i++; i == len(lists) {
			i = 0
		}
	}
	perItem(b, n)
}

func BenchmarkApportion(b *testing.B) {
	for _, n := range benchSizes {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			benchmarkApportion(b, n, benchTotal, coldInputs(n))
		})
	}
}

// BenchmarkApportionHostile shares over weights that are hard on the selection.
func BenchmarkApportionHostile(b *testing.B) {
	for _, name := range patternNames {
		for _, n := range []int{10, 100, 1_000, 5_000} {
			b.Run(fmt.Sprintf("%s/n=%d", name, n), func(b *testing.B) {
				rng := rand.New(rand.NewPCG(2, uint64(n)))
				lists := make([][]int64, max(1, 1<<16/n))
				for i := range lists {
					lists[i] = weightPatterns[name](rng, n)
					lists[i][0] = max(1, lists[i][0]) // not all of them may be zero
				}
				benchmarkApportion(b, n, int64(n)*123+int64(n)/2, lists)
			})
		}
	}
}

// BenchmarkSum is the floor under every sharing: each weight is read once.
func BenchmarkSum(b *testing.B) {
	for _, n := range benchSizes {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			lists := coldInputs(n)
			i := 0
			var sink int64
			for b.Loop() {
				for _, w := range lists[i] {
					sink += w
				}
				if i++; i == len(lists) {
					i = 0
				}
			}
			if sink == 0 {
				b.Fatal("nothing was summed")
			}
			perItem(b, n)
		})
	}
}

// BenchmarkApportionDecimalSort is what Apportion is measured against.
func BenchmarkApportionDecimalSort(b *testing.B) {
	for _, n := range benchSizes[:3] {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			lists := coldInputs(n)
			dst := make([]int64, n)
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				decimalSort(dst, benchTotal, lists[i])
				if i++; i == len(lists) {
					i = 0
				}
			}
			perItem(b, n)
		})
	}
}

func BenchmarkApportionBig(b *testing.B) {
	for _, n := range benchSizes[:3] {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			weights := bigWeights(coldInputs(n)[0])
			dst := make([]int64, n)
			b.ReportAllocs()
			for b.Loop() {
				if err := money.ApportionBig(dst, benchTotal, weights); err != nil {
					b.Fatal(err)
				}
			}
			perItem(b, n)
		})
	}
}

// decimalSort is the plain way to apportion: decimals and a stable sort. It
// knows only positive totals.
func decimalSort(dst []int64, total int64, weights []int64) {
	type part struct {
		index     int
		remainder decimal.Decimal
	}
	amount, sum := decimal.NewFromInt(total), decimal.Decimal{}
	for _, w := range weights {
		sum = sum.Add(decimal.NewFromInt(w))
	}
	parts := make([]part, len(weights))
	left := total
	for i, w := range weights {
		q, r := amount.Mul(decimal.NewFromInt(w)).QuoRem(sum, 0)
		dst[i] = q.IntPart()
		left -= dst[i]
		parts[i] = part{i, r}
	}
	slices.SortStableFunc(parts, func(a, b part) int { return b.remainder.Cmp(a.remainder) })
	for _, p := range parts[:left] {
		dst[p.index]++
	}
}

// TestDecimalSortIsRight keeps the benchmark fair: both ways give the same.
func TestDecimalSortIsRight(t *testing.T) {
	for _, n := range benchSizes[:2] {
		for _, weights := range coldInputs(n)[:20] {
			got, want := make([]int64, n), make([]int64, n)
			decimalSort(want, benchTotal, weights)
			if err := money.Apportion(got, benchTotal, weights); err != nil || !slices.Equal(got, want) {
				t.Fatalf("%d weights: got %v, %v; by decimals %v", n, got, err, want)
			}
		}
	}
}

// TestApportionAllocatesNothing proves what the doc comment promises.
func TestApportionAllocatesNothing(t *testing.T) {
	for _, n := range []int{1, 10, 24, 25, 5_000} {
		dst := make([]int64, n)
		for _, name := range patternNames {
			weights := weightPatterns[name](rand.New(rand.NewPCG(2, uint64(n))), n)
			weights[0] = max(1, weights[0])
			for _, total := range []int64{benchTotal, -benchTotal, int64(n) / 2} {
				if got := testing.AllocsPerRun(10, func() {
					if err := money.Apportion(dst, total, weights); err != nil {
						t.Fatal(err)
					}
				}); got != 0 {
					t.Errorf("%s, n=%d, total %d: %v allocations, want 0", name, n, total, got)
				}
			}
		}
	}
}

func bigWeights(weights []int64) []*big.Int {
	out := make([]*big.Int, len(weights))
	for i, w := range weights {
		out[i] = big.NewInt(w)
	}
	return out
}
