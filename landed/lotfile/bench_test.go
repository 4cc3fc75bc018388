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
