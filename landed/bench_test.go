package landed_test

import (
	"fmt"
	"runtime"
	"testing"

	"lotcost/landed"
	"lotcost/landed/measure"
)

// BenchmarkSplit splits one lot of n items with a premium and four charges.
func BenchmarkSplit(b *testing.B) {
	for _, n := range []int{20, 100_000} {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) { benchmarkSplit(b, manyItems(n), n) })
	}
}

// BenchmarkSplitLots splits 20 items in five lots, as planners do.
func BenchmarkSplitLots(b *testing.B) {
	h := manyItems(20)
	lot := h.Lots[0]
	h.Lots = nil
	for i := range 5 {
		part := lot
		part.ID, part.Items = fmt.Sprintf("crate-%d", i), lot.Items[4*i:4*i+4]
		h.Lots = append(h.Lots, part)
	}
	benchmarkSplit(b, h, 20)
}

// BenchmarkSplitBig shares by weights whose sum leaves 64 bits.
func BenchmarkSplitBig(b *testing.B) {
	h := manyItems(100_000)
	for i := range h.Lots[0].Items {
		h.Lots[0].Items[i].Weight = 9_000_000 * measure.Kilogram
	}
	benchmarkSplit(b, h, 100_000)
}

// BenchmarkSplitPerPiece makes a line for each item.
func BenchmarkSplitPerPiece(b *testing.B) {
	h := manyItems(10_000)
	h.Charges = h.Charges[3:]
	h.Charges[0].Per = landed.PerPiece
	benchmarkSplit(b, h, 10_000)
}

func benchmarkSplit(b *testing.B, h *landed.Haul, n int) {
	b.ReportAllocs()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for b.Loop() {
		if _, err := landed.Split(h); err != nil {
			b.Fatal(err)
		}
	}
	runtime.ReadMemStats(&after)
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/item")
	b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/float64(b.N)/float64(n), "B/item")
}
