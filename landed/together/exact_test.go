package together_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"lotcost/landed/together"
)

// once makes a second call of Cost for the same set and service fail the test.
func once(t testing.TB, p *together.Problem) *together.Problem {
	type key struct {
		lots    together.Set
		service int
	}
	asked := map[key]bool{}
	out, cost := *p, p.Cost
	out.Cost = func(lots together.Set, service int) (int64, bool) {
		if asked[key{lots, service}] {
			t.Errorf("the cost of lots %v by service %d was asked for twice", lots.Lots(), service)
		}
		asked[key{lots, service}] = true
		return cost(lots, service)
	}
	return &out
}

// checkSolution fails unless the parcels are a plan of the problem and cost what the solution says.
func checkSolution(t testing.TB, p *together.Problem, s together.Solution) {
	t.Helper()
	var seen together.Set
	var sum int64
	lowest := -1
	for _, parcel := range s.Parcels {
		if parcel.Lots == 0 || parcel.Lots&seen != 0 || broken(p, parcel.Lots) {
			t.Fatalf("parcel %v repeats a lot or breaks a constraint: %+v", parcel.Lots.Lots(), s)
		}
		if first := parcel.Lots.Lots()[0]; first < lowest {
			t.Fatalf("parcels out of order: %+v", s)
		} else {
			lowest = first
		}
		cost, ok := p.Cost(parcel.Lots, parcel.Service)
		if !ok || cost != parcel.Cost {
			t.Fatalf("parcel %v by service %d costs %d, %t; want %d", parcel.Lots.Lots(), parcel.Service, cost, ok, parcel.Cost)
		}
		seen |= parcel.Lots
		sum += cost
	}
	if seen.Len() != p.Lots || sum != s.Cost || s.Bound > s.Cost || s.Exact != (s.Bound == s.Cost) {
		t.Fatalf("not a solution of %d lots: %+v", p.Lots, s)
	}
}

// TestBruteForce compares the exact search with every division of the lots.
func TestBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	none := 0
	for n := range 2000 {
		p := randomProblem(r, 1+n%9, 1+r.IntN(4))
		want, ok := bruteForce(p)
		got, err := once(t, p).Solve(context.Background(), together.Options{})
		if !ok {
			none++
			var noPlan *together.NoPlanError
			if !errors.As(err, &noPlan) || !noPlan.Proven {
				t.Fatalf("case %d: got %v; want a proven *NoPlanError", n, err)
			}
			continue
		}
		if err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		if got.Cost != want || !got.Exact {
			t.Fatalf("case %d: %d lots cost %d, exact %t; want %d", n, p.Lots, got.Cost, got.Exact, want)
		}
		checkSolution(t, p, got)
	}
	if none == 0 || none > 1000 {
		t.Errorf("%d of 2000 cases have no plan: the cases test too little", none)
	}
}
