package landed_test

import (
	"fmt"
	"runtime"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/measure"

	"github.com/shopspring/decimal"
)

// BenchmarkSplit splits one lot of n items with a premium and four charges.
func BenchmarkSplit(b *testing.B) {
	for _, n := range []int{20, 100_000} {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) { benchmarkSplit(b, manyItems(n), n) })
	}
}

// tenItems is a haul of two lots of five items, as batches hold thousands of.
func tenItems() *landed.Haul {
	h := manyItems(10)
	lot := h.Lots[0]
	h.Lots = nil
	for i, id := range []string{"crate-a", "box-b"} {
		part := lot
		part.ID, part.Seller, part.Items = id, "tidemark", lot.Items[5*i:5*i+5]
		h.Lots = append(h.Lots, part)
	}
	h.Charges = []landed.Charge{
		{What: "Surface parcel", Kind: landed.Freight, Amount: amount("7400 JPY")},
		{What: "Transfer", Kind: landed.Fee, Amount: amount("4.50 CAD")},
	}
	return h
}

// tenAt is that haul at the border of a place.
func tenAt(t testing.TB, to string) *landed.Haul {
	h := tenItems()
	h.To = to
	rules, err := customs.NewBook().For(to, h.Date)
	if err != nil {
		t.Fatal(err)
	}
	if h.From = "JP"; to == "JP" {
		h.From = "CA"
	}
	h.Border = &landed.Border{Book: customs.NewBook(), Class: "tool", Classes: map[string]customs.Class{
		"tool": {Code: "8205.59", Duty: &customs.Rate{Fraction: number("0.065")}, Surcharges: map[string]decimal.Decimal{"CA": {}, "JP": {}}}}}
	if there := rules.Currency; there != cad && there != jpy {
		h.Market = market("100 JPY = 0.93 CAD", "1 "+there.Code()+" = 1.25 CAD")
	}
	return h
}

// places are one in each territory whose rules are shipped.
func places() []string {
	var all []string
	for _, e := range customs.NewBook().Entries() {
		place, within := e.Territory, map[string]string{"CA": "CA-ON", "EU": "DE"}
		if to := within[place]; to != "" {
			place = to
		}
		if !slices.Contains(all, place) {
			all = append(all, place)
		}
	}
	return all
}

// BenchmarkSplitTen splits a haul of ten items.
func BenchmarkSplitTen(b *testing.B) { benchmarkSplit(b, tenItems(), 10) }

// BenchmarkSplitBorder splits it at the border of each territory.
func BenchmarkSplitBorder(b *testing.B) {
	for _, to := range places() {
		b.Run(to, func(b *testing.B) { benchmarkSplit(b, tenAt(b, to), 10) })
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

// TestSplitAllocates: what a split allocates stays within what it was when this was written, in
// every territory, and grows as the items do: counts, which no other work on the machine changes.
func TestSplitAllocates(t *testing.T) {
	allocations := func(h *landed.Haul) float64 {
		return testing.AllocsPerRun(20, func() { split(t, h) })
	}
	if got, most := allocations(tenItems()), 38.0; got > most {
		t.Errorf("%.0f allocations for ten items, more than %.0f", got, most)
	}
	for _, to := range places() {
		if got, most := allocations(tenAt(t, to)), 88.0; got > most {
			t.Errorf("%s: %.0f allocations for ten items, more than %.0f", to, got, most)
		}
	}
	if ten, many := allocations(manyItems(10)), allocations(manyItems(1000)); many > ten+16 {
		t.Errorf("%.0f allocations for ten items, and %.0f for a thousand", ten, many)
	}
}
