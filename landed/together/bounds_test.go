package together_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/internal/effort"
	units "lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
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
	compared, refused, near := 0, 0, 0
	for seed := range uint64(effort.Cases(1000, 60, 30)) {
		r := rand.New(rand.NewPCG(seed, 23))
		h := randomHaul(r, 1+r.IntN(5), 1+r.IntN(3))
		h.Sending.Insure, h.Sending.Together = false, nil
		for _, s := range h.Sending.Services {
			s.Limits.Value, s.Rolls = money.Amount{}, nil
		}
		h.Charges = slices.DeleteFunc(h.Charges, func(c landed.Charge) bool {
			return c.Per == landed.PerParcel || c.OfPrice || c.Dutiable == landed.AsGoods
		})
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
		var some []int
		var prices [][]money.Amount
		for i := range h.Lots {
			if r.IntN(3) == 0 {
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
			continue
		}
		for range 4 {
			var left []string
			at, adds, set, cells := *h, int64(0), 0, make([]int, len(some))
			at.Lots = slices.Clone(h.Lots)
			for n, i := range some {
				price := r.IntN(len(prices[n]))
				if at.Lots[i].Price = prices[n][price]; r.IntN(4) == 0 {
					left = append(left, h.Lots[i].ID)
					continue
				}
				cells[n], adds, set = bounds.Cell(n, price), adds+bounds.Adds(n, price), set|1<<n
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
				refused++
			case cost < least+adds || cost > most+adds || floor > least:
				t.Errorf("seed %d, %s: from %d (%d) to %d, by a plan %d", seed, h.To, least+adds, floor+adds, most+adds, cost)
			default:
				compared++
				if most-least < 50 {
					near++
				}
			}
		}
	}
	if compared < 30 || refused == 0 || near == 0 { // the seeds are always the same
		t.Errorf("%d sets were compared, %d of them within half a dollar, and %d refused", compared, near, refused)
	}
}
