package together_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// TestGiven: the boxes of each way of a plan cost what the plan says of them, and no others cost
// less than the best.
func TestGiven(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 4))
	for n := range effort.Cases(60, 30, 15) {
		h := randomHaul(r, 2+n%4, 2)
		plan, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
		if err != nil {
			continue
		}
		for _, want := range []*together.Way{&plan.Apart, &plan.One, &plan.Best} {
			if want.Statement == nil {
				continue
			}
			var boxes [][]string
			for i := range want.Parcels {
				boxes = append(boxes, want.Parcels[i].Parcel.Lots)
			}
			got, err := together.Given(&h.Haul, h.Sending, boxes)
			if err != nil || got.Total != want.Total {
				t.Errorf("case %d, %s: %+v, %v, want %v", n, want.Name, got, err, want.Total)
			}
		}
		ids := h.LotIDs()
		cut := 1 + r.IntN(len(ids)-1)
		if got, err := together.Given(&h.Haul, h.Sending, [][]string{ids[:cut], ids[cut:]}); err != nil || got.Statement != nil && plan.Exact && got.Total.Cmp(plan.Best.Total) < 0 {
			t.Errorf("case %d: %v, %v, less than the best, %v", n, got, err, plan.Best.Total)
		}
		for _, boxes := range [][][]string{nil, {ids[1:]}, {ids, ids[:1]}, {{"none"}}} {
			if _, err := together.Given(&h.Haul, h.Sending, boxes); err == nil || err.Error() != "the boxes do not hold each lot once" {
				t.Errorf("%v: %v", boxes, err)
			}
		}
	}
}
