package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// BenchmarkSplitList runs the whole command on a list of 100 000 items, to JSON.
func BenchmarkSplitList(b *testing.B) {
	const items = 100_000
	list := filepath.Join(b.TempDir(), "items.csv")
	var text strings.Builder
	text.WriteString("id,what,count,weight,value\n")
	random := rand.New(rand.NewPCG(1, 2))
	for i := range items {
		fmt.Fprintf(&text, "plane-%d,\"Plane, iron, no %d\",%d,%d g,%d.%02d CAD\n", i, i, 1+random.IntN(4), 100+random.IntN(3000), random.IntN(90), random.IntN(100))
	}
	if err := os.WriteFile(list, []byte(text.String()), 0o666); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		runCommand(b, "split", "--items", list, "--price", "4200000 JPY", "--freight", "7400 JPY",
			"--rate", "100 JPY = 0.93 CAD", "--home", "CAD", "--format", "json")
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/items, "ns/item")
}

// BenchmarkSplitExample runs the whole command on the shipped example, but for
// the start of the process.
func BenchmarkSplitExample(b *testing.B) {
	for b.Loop() {
		runCommand(b, "split", "../../examples/three-crates/haul.yaml")
	}
}

func runCommand(b *testing.B, args ...string) {
	s := streams{in: strings.NewReader(""), out: io.Discard, err: os.Stderr, env: func(string) string { return "" }}
	if code := lotcost(context.Background(), s, args); code != exitFine {
		b.Fatalf("exit %d", code)
	}
}

// BenchmarkBook opens books of many hauls of 20 items to their overview.
func BenchmarkBook(b *testing.B) {
	for _, hauls := range []int{1_000, 10_000} {
		b.Run(fmt.Sprint(hauls), func(b *testing.B) {
			if hauls > 1_000 && testing.Short() {
				b.Skip("it writes many files")
			}
			dir := b.TempDir()
			for i := range hauls {
				if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("haul-%05d.yaml", i)), []byte(bookHaul(i)), 0o600); err != nil {
					b.Fatal(err)
				}
			}
			for b.Loop() {
				runCommand(b, "book", dir)
			}
		})
	}
}

// bookHaul is one of many hauls: half of its pieces are sold.
func bookHaul(i int) string {
	var text strings.Builder
	fmt.Fprintf(&text, "lotcost: 1\nhome: CAD\ndate: %d-%02d-15\nexchange: {rates: [100 JPY = 0.93 CAD]}\nlots:\n  - id: crate\n    seller: seller-%d\n    price: %d JPY\n    premium: 10%%\n    items:\n", 2016+i%10, 1+i%12, i%17, 3000+i%700)
	for k := range 20 {
		fmt.Fprintf(&text, "      - id: item-%d\n        model: model-%d\n        count: 2\n        weight: 900 g\n        chances: [{chance: 60%%, value: 40 CAD}, {chance: rest, value: 9 CAD}]\n        found: {sound: 1, parts: 1}\n        sold: [{price: 38 CAD, date: 2026-10-03, fees: 3 CAD}]\n", k, (7*i+k)%300)
	}
	text.WriteString("charges:\n  - {kind: freight, amount: 7400 JPY}\n")
	return text.String()
}
