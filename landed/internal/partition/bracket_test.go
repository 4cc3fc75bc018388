package partition_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/testdata/effort"
)

// TestBracketsSaveCosts solves the same problems without what is said of brackets: the same cost,
// more sets asked for.
func TestBracketsSaveCosts(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	with, without := 0, 0
	for range effort.Cases(10, 10, 4) {
		p := &partition.Problem{Elements: 12, Modes: 2}
		leviedCosts(r, p, 0)
		known, err := p.Solve(context.Background(), partition.Options{})
		p.Brackets, p.Measure, p.Bearing = nil, nil, nil
		plain, other := p.Solve(context.Background(), partition.Options{})
		if (err == nil) != (other == nil) || known.Cost != plain.Cost || known.Exact != plain.Exact {
			t.Fatalf("%+v, %v with brackets, %+v, %v without", known, err, plain, other)
		}
		with, without = with+known.Evaluated, without+plain.Evaluated
	}
	t.Logf("%d costs asked for, %d without brackets", with, without)
	if with*2 > without {
		t.Errorf("%d costs asked for with brackets, %d without; want half of them at most", with, without)
	}
}

// TestBracketsBelowNothing: where a bracket takes more off a part than the least carriage, what it
// asks of each element is no bound of what several parts cost: a part may come to nothing.
func TestBracketsBelowNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for n := range 60 {
		p := &partition.Problem{Elements: 7, Modes: 1, Weight: make([]int64, 7), Measure: make([]int64, 7)}
		b := partition.Bracket{Levy: partition.Levy{Fixed: -(300 + r.Int64N(900)) << partition.FineBits}}
		for i := range p.Elements {
			p.Weight[i], p.Measure[i] = 1+r.Int64N(900), 1
			b.Each = append(b.Each, (100+r.Int64N(400))<<partition.FineBits)
		}
		p.Brackets = []partition.Bracket{b}
		p.Carriage = func(weight int64) (int64, bool) { return 20 + weight/100*30, true }
		p.Cost = func(s partition.Set, _ int) (int64, bool) {
			carriage, ok := p.Carriage(total(p.Weight, s))
			return carriage + p.Levied(s, carriage) + int64(s)*7919%50, ok
		}
		want, _ := bruteForce(p)
		if got, err := p.Solve(context.Background(), partition.Options{}); err != nil || got.Cost != want || got.Bound > want {
			t.Errorf("problem %d: cost %d, bound %d, %v; want %d", n, got.Cost, got.Bound, err, want)
		}
	}
}
