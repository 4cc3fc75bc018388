package together_test

import (
	"fmt"
	"slices"
	"testing"

	"lotcost/landed/internal/partition"
	units "lotcost/landed/measure"
	"lotcost/testdata/effort"
)

// TestImproved: where what a parcel is charged depends on the others (Japan counts
// all of a seller, freight included) and there are too many ways to try them all,
// the way that is found is said not to be proven, and no lot moved to
// another parcel or to one of its own makes it cheaper, by a Split of the whole
// haul each.
func TestImproved(t *testing.T) {
	unproven := 0
	for scale := int64(80); scale <= 320; scale += int64(effort.Cases(10, 80, 240)) {
		h := bordered()
		for i := range 14 {
			h.Lots = append(h.Lots, lot(fmt.Sprint("lot-", i), (900+100*int64(i))*scale/100, 150+int64(i*i)*37%900))
		}
		h.From, h.To, h.Market = "CA", "JP", market("100 JPY = 0.93 CAD")
		h.Lots[5].Seller, h.Lots[9].Seller = "northlight", "northlight"
		h.Sending.Services = append(h.Sending.Services, service("boat", 900, 150))
		for i := range h.Sending.Services {
			h.Sending.Services[i].Limits.Weight = 2 * units.Kilogram
		}
		if !checkMoves(t, h) {
			unproven++
		}
	}
	if unproven == 0 {
		t.Error("all were proven to be the best")
	}
}

// checkMoves moves each lot, and reports whether the way is proven to be the best.
func checkMoves(t *testing.T, h *haul) bool {
	t.Helper()
	r := plan(t, h)
	if r.Exact != (r.Bound == r.Best.Total) || r.Bound.Cmp(r.Best.Total) > 0 {
		t.Errorf("exact: %v, bound %v, best %v", r.Exact, r.Bound, r.Best.Total)
	}
	var parcels []partition.Set
	var services []int
	for i := range r.Best.Parcels {
		p := &r.Best.Parcels[i]
		var set partition.Set
		for n := range h.Lots {
			if slices.Contains(p.Parcel.Lots, h.Lots[n].ID) {
				set |= 1 << n
			}
		}
		parcels = append(parcels, set)
		for n, s := range h.Sending.Services {
			if s == p.Quote.Service {
				services = append(services, n)
			}
		}
	}
	if total, ok := totalOf(h, parcels, services); !ok || total != r.Best.Total.Minor() {
		t.Fatalf("the best way is %v, a Split says %d", r.Best.Total, total)
	}
	for n := range h.Lots {
		for to := range len(parcels) + 1 {
			for by := range h.Sending.Services {
				moved, sent := append(slices.Clone(parcels), 0), append(slices.Clone(services), 0)
				for i := range moved {
					moved[i] &^= 1 << n
				}
				moved[to] |= 1 << n
				sent[to] = by
				for i := len(moved) - 1; i >= 0; i-- {
					if moved[i] == 0 {
						moved, sent = slices.Delete(moved, i, i+1), slices.Delete(sent, i, i+1)
					}
				}
				total, ok := totalOf(h, moved, sent)
				if ok && total < r.Best.Total.Minor() {
					t.Errorf("%s to parcel %d by %s: %d, the best was %v", h.Lots[n].ID, to, h.Sending.Services[by].Name, total, r.Best.Total)
				}
			}
		}
	}
	return r.Exact
}
