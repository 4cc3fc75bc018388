package partition_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/testdata/effort"
)

// once makes a second call of Cost for the same set and mode fail the test.
func once(t testing.TB, p *partition.Problem) *partition.Problem {
	type key struct {
		elements partition.Set
		mode     int
	}
	asked := map[key]bool{}
	out, cost := *p, p.Cost
	out.Cost = func(elements partition.Set, mode int) (int64, bool) {
		if asked[key{elements, mode}] {
			t.Errorf("the cost of elements %v by mode %d was asked for twice", elements.Elements(), mode)
		}
		asked[key{elements, mode}] = true
		return cost(elements, mode)
	}
	return &out
}

// checkSolution fails unless the parts are a plan of the problem and cost what the solution says.
func checkSolution(t testing.TB, p *partition.Problem, s partition.Solution) {
	t.Helper()
	var seen partition.Set
	var sum int64
	lowest := -1
	for _, part := range s.Parts {
		if part.Elements == 0 || part.Elements&seen != 0 || broken(p, part.Elements) {
			t.Fatalf("part %v repeats an element or breaks a constraint: %+v", part.Elements.Elements(), s)
		}
		if first := part.Elements.Elements()[0]; first < lowest {
			t.Fatalf("parts out of order: %+v", s)
		} else {
			lowest = first
		}
		cost, ok := p.Cost(part.Elements, part.Mode)
		if !ok || cost != part.Cost {
			t.Fatalf("part %v by mode %d costs %d, %t; want %d", part.Elements.Elements(), part.Mode, cost, ok, part.Cost)
		}
		seen |= part.Elements
		sum += cost
	}
	if seen.Len() != p.Elements || sum != s.Cost || s.Bound > s.Cost || s.Exact != (s.Bound == s.Cost) {
		t.Fatalf("not a solution of %d elements: %+v", p.Elements, s)
	}
}

// TestBruteForce compares the exact search with every division of the elements.
func TestBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	none, cases := 0, effort.Cases(2000, 500, 200)
	for n := range cases {
		p := randomProblem(r, 1+n%9, 1+r.IntN(4))
		want, ok := bruteForce(p)
		got, err := once(t, p).Solve(context.Background(), partition.Options{})
		if !ok {
			none++
			var noPlan *partition.NoPlanError
			if !errors.As(err, &noPlan) || !noPlan.Proven() {
				t.Fatalf("case %d: got %v; want a proven *NoPlanError", n, err)
			}
			continue
		}
		if err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		if got.Cost != want || !got.Exact {
			t.Fatalf("case %d: %d elements cost %d, exact %t; want %d", n, p.Elements, got.Cost, got.Exact, want)
		}
		checkSolution(t, p, got)
	}
	if none == 0 || none > cases/2 {
		t.Errorf("%d of %d cases have no plan: the cases test too little", none, cases)
	}
}
