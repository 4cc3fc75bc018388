package together_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// TestReplannerIsLeast: at any prices of some lots the answer is the total of the least of all
// ways, and no services take the lots where none takes them by a plan.
func TestReplannerIsLeast(t *testing.T) {
	answered, refused := 0, 0
	for seed := uint64(300); seed < uint64(300+effort.Cases(2000, 100, 40)); seed++ { // in 310 two alike lots differ by a cent of a fee
		r := rand.New(rand.NewPCG(seed, 7))
		h := randomHaul(r, 1+r.IntN(5), 1+r.IntN(3))
		if r.IntN(4) > 0 { // what takes a plan for each price comes seldom
			h.Sending.Insure = false
			for _, s := range h.Sending.Services {
				s.Limits.Value, s.Rolls = money.Amount{}, nil
			}
			h.Charges = slices.DeleteFunc(h.Charges, func(c landed.Charge) bool { return c.Per == landed.PerParcel })
		}
		if r.IntN(10) == 0 {
			h.Lots[0].Packed = 60 * units.Kilogram
		}
		var some []int
		for i := range h.Lots {
			if r.IntN(3) > 0 {
				some = append(some, i)
			}
		}
		compareReplanned(t, seed, r, h, some, &answered, &refused)
	}
	if answered < 30 || refused == 0 { // the seeds are always the same
		t.Errorf("%d totals were compared, and %d refusals", answered, refused)
	}
}

// TestReplannerOfAll: so too into each territory, with prices on both sides of its limits.
func TestReplannerOfAll(t *testing.T) {
	for _, to := range bordersOfAll {
		answered, refused := 0, 0
		for seed := range uint64(effort.Cases(150, 6, 3)) {
			r := rand.New(rand.NewPCG(seed, 29))
			h := randomHaul(r, 2+r.IntN(3), 1+r.IntN(2))
			h.Sending.Insure, h.Sending.Together = false, nil
			for _, s := range h.Sending.Services {
				s.Limits.Value, s.Rolls = money.Amount{}, nil
			}
			anyBorder(r, h, to)
			compareReplanned(t, seed, r, h, []int{0, 1}, &answered, &refused)
		}
		if answered == 0 {
			t.Errorf("%s: no total was compared", to)
		}
	}
}

// compareReplanned compares totals at some prices with those of plans.
func compareReplanned(t *testing.T, seed uint64, r *rand.Rand, h *haul, some []int, answered, refused *int) {
	replanner, err := together.NewReplanner(&h.Haul, h.Sending, some)
	if err != nil {
		if _, other := together.Least(context.Background(), &h.Haul, h.Sending, together.Options{}); other == nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		return
	}
	if replanner == nil {
		return
	}
	for range 3 {
		at := *h
		at.Lots = slices.Clone(h.Lots)
		var prices []money.Amount
		for _, i := range some {
			prices = append(prices, money.New(r.Int64N(20_000), jpy))
			at.Lots[i].Price = prices[len(prices)-1]
		}
		got, ok, err := replanner.Total(prices)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		plan, err := together.Least(context.Background(), &at.Haul, at.Sending, together.Options{})
		var none *together.NoPlanError
		switch {
		case errors.As(err, &none):
			*refused++
			if ok {
				t.Fatalf("seed %d: services take the lots, and by a plan %v", seed, err)
			}
		case err != nil:
			t.Fatalf("seed %d: %v", seed, err)
		case !ok || got != plan.Best.Total:
			t.Fatalf("seed %d, %s: at %v %v (%t), by a plan %v", seed, h.To, prices, got, ok, plan.Best.Total)
		default:
			*answered++
		}
	}
}
