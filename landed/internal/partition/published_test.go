package partition_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/landed/internal/published"
	"lotcost/testdata/effort"
)

// instance is a published bin packing problem.
type instance struct {
	Name   string
	Source string
	Bin    int64
	Bins   int64
	Items  []int64
}

func instances(t *testing.T) []instance {
	t.Helper()
	var out []instance
	published.Read(t, "division/binpacking.yaml", &out)
	return out
}

// parts casts the instance as elements, mixed by seed, in parts that cost 1.
func (in instance) parts(seed uint64) *partition.Problem {
	p := &partition.Problem{Elements: len(in.Items), Modes: 1, RefusalsGrow: true}
	for _, at := range rand.New(rand.NewPCG(seed, 0)).Perm(len(in.Items)) {
		p.Weight = append(p.Weight, in.Items[at])
	}
	p.Carriage = func(weight int64) (int64, bool) { return 1, weight <= in.Bin }
	p.Cost = func(elements partition.Set, _ int) (int64, bool) {
		var weight int64
		for _, element := range elements.Elements() {
			weight += p.Weight[element]
		}
		return 1, weight <= in.Bin
	}
	return p
}

// TestPublishedBins solves the published instances, their items mixed.
func TestPublishedBins(t *testing.T) {
	for _, in := range instances(t) {
		t.Run(in.Name, func(t *testing.T) {
			for seed := range uint64(effort.Cases(10, 2, 1)) {
				p := in.parts(seed)
				got, err := once(t, p).Solve(context.Background(), partition.Options{})
				if err != nil {
					t.Fatal(err)
				}
				t.Logf("seed %d: cost %d, bound %d, %d costs", seed, got.Cost, got.Bound, got.Evaluated)
				if got.Bound > in.Bins {
					t.Errorf("seed %d: bound %d is above the optimum %d (%s)", seed, got.Bound, in.Bins, in.Source)
				}
				if got.Cost != in.Bins {
					t.Errorf("seed %d: %d bins, want %d (%s)", seed, got.Cost, in.Bins, in.Source)
				}
				checkSolution(t, p, got)
			}
		})
	}
}

// TestBell checks the enumerator behind the brute force: the number of ways to divide 1 to 12
// elements is OEIS A000110 (from memory).
func TestBell(t *testing.T) {
	for n, want := range []int{1, 1, 2, 5, 15, 52, 203, 877, 4140, 21147, 115975, 678570, 4213597} {
		got := 0
		partitions(n, func([]partition.Set) { got++ })
		if got != want {
			t.Errorf("%d elements: %d ways, want %d", n, got, want)
		}
	}
}

// TestThreeTogether is the common case, no source: three elements cost 20 each apart and 7 each
// partition.
func TestThreeTogether(t *testing.T) {
	p := &partition.Problem{Elements: 3, Modes: 1, Cost: func(elements partition.Set, _ int) (int64, bool) {
		return []int64{0, 20_00, 20_50, 21_00}[elements.Len()], true
	}}
	got, err := p.Solve(context.Background(), partition.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Parts) != 1 || got.Cost != 21_00 || !got.Exact {
		t.Errorf("got %+v; want one part at 21.00", got)
	}
}
