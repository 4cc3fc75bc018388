package partition_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
)

// TestBracketsSaveCosts solves the same problems without what is said of brackets: the same cost,
// more sets asked for.
func TestBracketsSaveCosts(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	with, without := 0, 0
	for range 10 {
		p := &partition.Problem{Elements: 12, Modes: 2}
		leviedCosts(r, p, 0)
		known, err := p.Solve(context.Background(), partition.Options{})
		p.Brackets, p.Measure = nil, nil
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
