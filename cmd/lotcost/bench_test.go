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
