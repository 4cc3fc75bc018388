package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// BenchmarkSplitList runs the whole command on a list of 100 000 items.
func BenchmarkSplitList(b *testing.B) {
	const items = 100_000
	list := writeItems(b, b.TempDir(), items)
	for _, format := range []string{"json", "csv"} {
		b.Run(format, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				runCommand(b, "split", "--items", list, "--price", "4200000 JPY", "--freight", "7400 JPY",
					"--rate", "100 JPY = 0.93 CAD", "--home", "CAD", "--format", format)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/items, "ns/item")
		})
	}
}

// writeItems writes a list of items into a folder.
func writeItems(b testing.TB, dir string, items int) string {
	list := filepath.Join(dir, "items.csv")
	var text strings.Builder
	text.WriteString("id,what,count,weight,value\n")
	random := rand.New(rand.NewPCG(1, 2))
	for i := range items {
		fmt.Fprintf(&text, "plane-%d,\"Plane, iron, no %d\",%d,%d g,%d.%02d CAD\n", i, i, 1+random.IntN(4), 100+random.IntN(3000), random.IntN(90), random.IntN(100))
	}
	if err := os.WriteFile(list, []byte(text.String()), 0o666); err != nil {
		b.Fatal(err)
	}
	return list
}

// TestListAllocates: a long list goes from CSV to CSV with few allocations for each item, and no
// more for each where there are more of them.
func TestListAllocates(t *testing.T) {
	allocations := func(items int) float64 {
		list := writeItems(t, t.TempDir(), items)
		return testing.AllocsPerRun(1, func() {
			runCommand(t, "split", "--items", list, "--price", "39060 CAD", "--home", "CAD", "--from", "CA", "--to", "CA", "--format", "csv")
		})
	}
	thousand, two, four := allocations(1000), allocations(2000), allocations(4000)
	t.Logf("%.0f, %.0f and %.0f allocations for 1000, 2000 and 4000 items", thousand, two, four)
	if each := (four - two) / 2000; each > 10 {
		t.Errorf("%.1f allocations for each further item", each)
	}
	if exponent := math.Log2((four - two) / (two - thousand)); exponent > 1.05 {
		t.Errorf("allocations grow with the power %.3f of the items", exponent)
	}
}

// BenchmarkPriceList prices 2 000 items at ten venues, with postage in steps.
func BenchmarkPriceList(b *testing.B) {
	const items = 2_000
	file := writePriced(b, items)
	b.ReportAllocs()
	for b.Loop() {
		runCommand(b, "price", file, "--format", "csv")
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/items/venues, "ns/price")
}

// TestPriceAllocates: a further item is priced at ten venues with few allocations, in CSV and JSON.
func TestPriceAllocates(t *testing.T) {
	for format, most := range map[string]float64{"csv": 50, "json": 60} {
		allocations := func(items int) float64 {
			file := writePriced(t, items)
			return testing.AllocsPerRun(1, func() { runCommand(t, "price", file, "--format", format) })
		}
		each := (allocations(600) - allocations(200)) / 400
		t.Logf("%s: %.1f allocations for each further item", format, each)
		if each > most {
			t.Errorf("%s: %.1f allocations for each further item, more than %.0f", format, each, most)
		}
	}
}

const venues = 10

// writePriced writes a haul of a list of items that are for sale at all venues.
func writePriced(b testing.TB, items int) string {
	dir := b.TempDir()
	writeItems(b, dir, items)
	var text strings.Builder
	text.WriteString("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nlots: [{id: crate, price: 39000 CAD, items: items.csv}]\ncharges: [{kind: freight, amount: 740 CAD}]\nselling:\n  target: 25%\n  venues:\n")
	for i := range venues {
		fmt.Fprintf(&text, "    - {name: room-%d, charged: 9 CAD, postage: {steps: [{up-to: 500 g, cost: 6 CAD}, {up-to: 2 kg, cost: 11 CAD}, {up-to: 60 kg, cost: 25 CAD}]}, fees: [{what: commission, tiers: [{up-to: 50 CAD, rate: %d%%}, {rate: 5%%}], floor: 0.50 CAD}, {what: payment, percent: 2.9%%, fixed: 0.30 CAD, of: price and postage}]}\n", i, 10+i)
	}
	file := filepath.Join(dir, "haul.yaml")
	if err := os.WriteFile(file, []byte(text.String()), 0o666); err != nil {
		b.Fatal(err)
	}
	return file
}

// BenchmarkSplitExample runs the whole command on the shipped example, but for
// the start of the process.
func BenchmarkSplitExample(b *testing.B) {
	for b.Loop() {
		runCommand(b, "split", "../../examples/three-crates/haul.yaml")
	}
}

func runCommand(b testing.TB, args ...string) {
	s := streams{in: strings.NewReader(""), out: io.Discard, err: os.Stderr, env: func(string) string { return "" }}
	if code := lotcost(context.Background(), s, args); code != exitFine {
		b.Fatalf("exit %d", code)
	}
}

// BenchmarkStart starts the command beside an empty Go program, each as a process of its own and in
// turn, and tells how many times the processor time of that it takes: by medians, worth something
// from -benchtime 100x on. What is started are copies, as an archive unpacks them: a file that was
// linked a moment ago lies in the system's cache in smaller pieces, each of which a start pays for.
func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	b.Setenv("CGO_ENABLED", "0") // as releases are built
	build := func(name, of string) string {
		program := filepath.Join(dir, name)
		if out, err := exec.Command("go", "build", "-o", program, of).CombinedOutput(); err != nil {
			b.Fatalf("%v: %s", err, out)
		}
		linked, err := os.ReadFile(program)
		if err != nil {
			b.Fatal(err)
		}
		copied := program + "-copied"
		if err := os.WriteFile(copied, linked, 0o700); err != nil {
			b.Fatal(err)
		}
		return copied
	}
	empty := filepath.Join(dir, "main.go")
	if err := os.WriteFile(empty, []byte("package main\n\nfunc main() {}\n"), 0o600); err != nil {
		b.Fatal(err)
	}
	none, ours := build("empty", empty), build("lotcost", ".")
	runs := [][]string{{none}, {ours, "help"}, {ours, "split", "../../examples/three-crates/haul.yaml"}}
	times := make([][]time.Duration, len(runs))
	for b.Loop() {
		for i, c := range runs {
			again := exec.Command(c[0], c[1:]...)
			if err := again.Run(); err != nil {
				b.Fatal(err)
			}
			times[i] = append(times[i], again.ProcessState.UserTime()+again.ProcessState.SystemTime())
		}
	}
	median := func(i int) float64 {
		slices.Sort(times[i])
		return float64(times[i][len(times[i])/2])
	}
	b.ReportMetric(median(1)/median(0), "help/empty")
	b.ReportMetric(median(2)/median(0), "split/empty")
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
