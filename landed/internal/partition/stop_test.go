package partition_test

import (
	"context"
	"errors"
	"testing"

	"lotcost/landed/internal/partition"
	"lotcost/testdata/effort"
)

// TestCancelled stops the search from within Cost after so many calls.
func TestCancelled(t *testing.T) {
	for _, elements := range []int{16, 40} {
		for _, calls := range []int{0, 100, 2000} {
			ctx, cancel := context.WithCancel(context.Background())
			p := weighted(4, elements, 3)
			cost, made := p.Cost, 0
			p.Cost = func(s partition.Set, mode int) (int64, bool) {
				if made++; made >= calls {
					cancel()
				}
				return cost(s, mode)
			}
			got, err := p.Solve(ctx, partition.Options{})
			cancel()
			if err != nil {
				t.Fatalf("%d elements, stopped at %d: %v", elements, calls, err)
			}
			p.Cost = cost
			checkSolution(t, p, got)
			if got.Exact {
				t.Errorf("%d elements, stopped at %d: said to be exact after %d costs", elements, calls, got.Evaluated)
			}
		}
	}
}

// TestCancelledWithoutPlan has elements that go neither apart nor in one part.
func TestCancelledWithoutPlan(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	p := &partition.Problem{Elements: 4, Modes: 1, Cost: func(s partition.Set, _ int) (int64, bool) { return 3, s.Len() == 2 }}
	if _, err := p.Solve(ctx, partition.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v; want %v", err, context.Canceled)
	}
}

// TestWork spends no more than allowed beyond the two plain plans, and more work is never dearer
// where less was too little.
func TestWork(t *testing.T) {
	for _, work := range []int{1, 1000, 5000} {
		p := weighted(4, 16, 3)
		got, err := once(t, p).Solve(context.Background(), partition.Options{Work: work})
		if err != nil {
			t.Fatal(err)
		}
		checkSolution(t, p, got)
		// The last set asked for before the limit is noticed costs a few calls more: 256 sets at most.
		if got.Evaluated > work+(17+256)*p.Modes {
			t.Errorf("%d steps allowed: %d costs", work, got.Evaluated)
		}
		if got.Exact {
			t.Errorf("%d steps: said to be exact", work)
		}
	}
}

func TestProgress(t *testing.T) {
	for _, elements := range []int{16, 40} {
		calls, last := 0, int64(-1)
		o := partition.Options{Work: effort.Cases(400_000, 100_000, 100_000), Progress: func(done, total int, best int64) {
			calls++
			if done < 0 || done > total {
				t.Errorf("%d of %d done", done, total)
			}
			if last >= 0 && best > last {
				t.Errorf("the best went up from %d to %d", last, best)
			}
			last = best
		}}
		got, err := weighted(4, elements, 3).Solve(context.Background(), o)
		if err != nil {
			t.Fatal(err)
		}
		if calls == 0 || last < got.Cost {
			t.Errorf("%d elements: %d calls, last best %d, result %d", elements, calls, last, got.Cost)
		}
	}
}
