package together_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// parcelsOf is what the parcels of the least-cost way come to; false where no services take the
// lots.
func parcelsOf(t *testing.T, h *haul) (int64, bool) {
	plan, err := together.Least(context.Background(), &h.Haul, h.Sending, together.Options{})
	var none *together.NoPlanError
	if errors.As(err, &none) {
		return 0, false
	}
	if err != nil {
		t.Fatal(err)
	}
	bare := together.SentAs(&h.Haul, nil)
	bare.Border = nil
	st, err := landed.Split(bare)
	if err != nil {
		t.Fatal(err)
	}
	return plan.Best.Total.Minor() - st.Total.Minor(), true
}

// TestBoundsHold: whichever lots are bought beside those that are, at any of their prices, the
// parcels of the best plan come to no less and no more than the bounds say.
func TestBoundsHold(t *testing.T) {
	var all bounded
	for seed := range uint64(effort.Cases(400, 16, 10)) {
		r := rand.New(rand.NewPCG(seed, 29))
		h := boundable(r, 1+r.IntN(5), 1+r.IntN(3))
		if r.IntN(2) == 0 && h.Border != nil {
			duty := customs.Rate{Fraction: number("0.03")}
			h.Border.Classes["drawing"] = customs.Class{Code: "9017.20", Duty: &duty}
			for i := range h.Lots {
				h.Lots[i].Items[0].Class = []string{"", "drawing"}[r.IntN(2)]
			}
		}
		if r.IntN(3) == 0 {
			h.Lots[0].Packed = 60 * units.Kilogram
		}
		all.compare(t, seed, r, h)
	}
	if all.compared < effort.Cases(30, 20, 10) || all.refused == 0 || all.near == 0 { // the seeds are always the same
		t.Errorf("%d sets were compared, %d of them within half a dollar, and %d refused", all.compared, all.near, all.refused)
	}
}

// TestBoundsOfAll: so too into each territory, with prices on both sides of its limits.
func TestBoundsOfAll(t *testing.T) {
	for _, to := range bordersOfAll {
		var all bounded
		for seed := range uint64(effort.Cases(40, 2, 1)) {
			r := rand.New(rand.NewPCG(seed, 31))
			h := boundable(r, 2+r.IntN(3), 1+r.IntN(2))
			anyBorder(r, h, to)
			all.compare(t, seed, r, h)
		}
		if all.compared == 0 {
			t.Errorf("%s: no bounds were compared", to)
		}
	}
}

// boundable is a haul of which bounds may be told.
func boundable(r *rand.Rand, lots, services int) *haul {
	h := randomHaul(r, lots, services)
	h.Sending.Insure, h.Sending.Together = false, nil
	for _, s := range h.Sending.Services {
		s.Limits.Value, s.Rolls = money.Amount{}, nil
	}
	h.Charges = slices.DeleteFunc(h.Charges, func(c landed.Charge) bool {
		return c.Per == landed.PerParcel || c.OfPrice || c.Dutiable == landed.AsGoods
	})
	return h
}

// bounded counts what was compared.
type bounded struct{ compared, refused, near int }

// compare sets the bounds of a haul beside plans.
func (all *bounded) compare(t *testing.T, seed uint64, r *rand.Rand, h *haul) {
	var some []int
	var prices [][]money.Amount
	for i := range h.Lots {
		if hasCome(h, h.Lots[i].ID) || r.IntN(3) == 0 {
			continue
		}
		some = append(some, i)
		var list []money.Amount
		for at, n := r.Int64N(4000), 1+r.IntN(30); n > 0; n-- {
			list = append(list, money.New(at, jpy))
			at += 1 + r.Int64N(1500)
		}
		prices = append(prices, list)
	}
	bounds, err := together.NewBounds(&h.Haul, h.Sending, some, prices, 1+r.IntN(2000))
	if err != nil || bounds == nil || len(some) == 0 {
		return
	}
	for range 4 {
		var left []string
		at, adds, set, cells := *h, int64(0), 0, make([]int64, len(some))
		at.Lots = slices.Clone(h.Lots)
		for n, i := range some {
			price := r.IntN(len(prices[n]))
			if at.Lots[i].Price = prices[n][price]; r.IntN(4) == 0 {
				left = append(left, h.Lots[i].ID)
				continue
			}
			cells[n], adds, set = int64(bounds.Cell(n, price)), adds+bounds.Adds(n, price), set|1<<n
		}
		only := at.Only(func(l *landed.Lot) bool { return !slices.Contains(left, l.ID) })
		if len(only.Lots) == 0 {
			continue
		}
		cost, ok := parcelsOf(t, &haul{Haul: *only, Sending: at.Sending.For(only)})
		least, most, taken := bounds.Rest(cells)
		floor, _ := bounds.Least(set)
		switch {
		case ok != taken:
			t.Fatalf("seed %d: services take the lots: %t, by a plan %t", seed, taken, ok)
		case !ok:
			all.refused++
		case cost < least+adds || cost > most+adds || set > 0 && floor > least:
			t.Errorf("seed %d, %s: from %d (%d) to %d, by a plan %d", seed, h.To, least+adds, floor+adds, most+adds, cost)
		default:
			all.compared++
			if most-least < 50 {
				all.near++
			}
		}
	}
}
