package lotfile_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
)

// manyItems is a list of n items as a dealer's inventory would hold them.
func manyItems(n int) string {
	var b strings.Builder
	b.WriteString("id,what,count,weight,value,class\n")
	for i := range n {
		fmt.Fprintf(&b, "item-%d,\"Plane, no. %d\",%d,%d g,%d.50 CAD,hand-tool\n", i, i%9, i%3+1, 300+i%2000, i%90)
	}
	return b.String()
}

// The target is 100 000 items in 350 ms and 150 MB.
func BenchmarkItems100000(b *testing.B) {
	folder := b.TempDir()
	data := manyItems(100_000)
	if err := os.WriteFile(filepath.Join(folder, "items.csv"), []byte(data), 0o600); err != nil {
		b.Fatal(err)
	}
	lots := []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 1, items: items.csv}]\n")
	b.ReportAllocs()
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := lotfile.Parse("haul.yaml", lots, folder, lotfile.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// A list whose every line is wrong is answered as fast as a right one.
func BenchmarkItemsAllWrong(b *testing.B) {
	folder := b.TempDir()
	data := strings.ReplaceAll(manyItems(100_000), " g,", " stone,")
	if err := os.WriteFile(filepath.Join(folder, "items.csv"), []byte(data), 0o600); err != nil {
		b.Fatal(err)
	}
	lots := []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 1, items: items.csv}]\n")
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		if _, err := lotfile.Parse("haul.yaml", lots, folder, lotfile.Options{}); err == nil {
			b.Fatal("no fault")
		}
	}
}

// A haul of twenty items, as a book has thousands of them, is read in little room.
func TestReadAllocates(t *testing.T) {
	var text strings.Builder
	text.WriteString("lotcost: 1\nhome: CAD\ndate: 2024-03-15\nexchange: {rates: [100 JPY = 0.93 CAD]}\nlots:\n  - id: crate\n    price: 3000 JPY\n    items:\n")
	for i := range 20 {
		fmt.Fprintf(&text, "      - id: item-%d\n        count: 2\n        weight: 900 g\n        chances: [{chance: 60%%, value: 40 CAD}, {chance: rest, value: 9 CAD}]\n        found: {sound: 1, parts: 1}\n        sold: [{price: 38 CAD, date: 2026-10-03, fees: 3 CAD}]\n", i)
	}
	data := []byte(text.String())
	const most = 40 // an item
	if n := testing.AllocsPerRun(10, func() {
		if _, err := lotfile.Parse("haul.yaml", data, ".", lotfile.Options{}); err != nil {
			t.Fatal(err)
		}
	}); n > 20*most {
		t.Errorf("%.0f allocations, want %d at most", n, 20*most)
	}
}
