package together_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// arrive lets some lots of a haul come, in one parcel or two, with a bill that is whole or holds
// some of what the border asks; what else has been said of parcels is said of the others.
func arrive(h *haul, below func(n int) int) {
	var lots [3][]string
	for i := range h.Lots {
		n := min(below(5), 2)
		lots[n] = append(lots[n], h.Lots[i].ID)
	}
	h.Parcels = nil
	for n, held := range lots {
		if len(held) == 0 {
			continue
		}
		p := landed.Parcel{ID: fmt.Sprint("box-", n+1), Lots: held}
		if n < 2 {
			p.Freight = money.New(int64(900+below(4000)), jpy)
			line := func() money.Amount { return money.New(int64(below(1500)), cad) }
			if p.Bill = (landed.Bill{Duty: line(), Tax: line(), Fee: line()}); below(4) == 0 {
				p.Bill.Tax = money.Amount{}
			}
			if below(3) == 0 {
				p.Settled.Freight = money.New(int64(below(4000)), cad)
			}
			if below(3) == 0 {
				p.Fees = money.New(int64(below(400)), jpy)
			}
		}
		h.Parcels = append(h.Parcels, p)
	}
}

// hasCome reports whether a lot is in a parcel that was billed.
func hasCome(h *haul, id string) bool {
	return slices.ContainsFunc(h.Parcels, func(p landed.Parcel) bool { return p.Bill != (landed.Bill{}) && slices.Contains(p.Lots, id) })
}

// TestStays: what has come stays as it came, whatever else it is planned beside: the best way, all
// apart and all in one box cost what the least of all ways for the others does, each by a Split of
// the whole haul.
func TestStays(t *testing.T) {
	nothing, beside, none := 0, 0, 0
	check := func(of string, h *haul) {
		best, apart, one := wayTotals(h)
		r, err := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
		if best < 0 {
			if none++; err == nil {
				t.Fatalf("%s: there is no way, but %v", of, r.Best.Total)
			}
			return
		}
		if err != nil {
			t.Fatalf("%s: %v", of, err)
		}
		if r.Best.Parcels == nil {
			nothing++
			apart, one = best, best
		} else if len(h.Parcels) > 1 {
			beside++
		}
		if r.Best.Total.Minor() != best || totalOrNone(&r.Apart) != apart || totalOrNone(&r.One) != one || !r.Exact || r.Bound != r.Best.Total {
			t.Fatalf("%s to %s: best %v (bound %v), apart %d, one %d; want %d, %d, %d", of, h.To, r.Best.Total, r.Bound, totalOrNone(&r.Apart), totalOrNone(&r.One), best, apart, one)
		}
		for _, p := range h.Parcels {
			if p.Bill != (landed.Bill{}) && !slices.ContainsFunc(r.Best.Statement.Haul.Parcels, func(o landed.Parcel) bool { return o.ID == p.ID && slices.Equal(o.Lots, p.Lots) && o.Bill == p.Bill }) {
				t.Fatalf("%s: parcel %s does not stay", of, p.ID)
			}
		}
	}
	for seed := range uint64(effort.Cases(300, 60, 30)) {
		r := rand.New(rand.NewPCG(seed, 41))
		h := randomHaul(r, 1+r.IntN(5), 1+r.IntN(3))
		if r.IntN(2) == 0 {
			anyBorder(r, h, bordersOfAll[r.IntN(len(bordersOfAll))])
		}
		arrive(h, r.IntN)
		check(fmt.Sprint("seed ", seed), h)
	}
	if nothing == 0 || none == 0 || beside < effort.Cases(120, 25, 10) { // the seeds are always the same
		t.Errorf("%d hauls with nothing to plan, %d beside what came, %d without a way", nothing, beside, none)
	}
}

// TestStaysAtPrices: beside what has come, what is told at other prices is what a plan comes to
// then, and bounds hold.
func TestStaysAtPrices(t *testing.T) {
	answered, refused, all := 0, 0, bounded{}
	for seed := range uint64(effort.Cases(400, 60, 10)) {
		r := rand.New(rand.NewPCG(seed, 43))
		h := boundable(r, 2+r.IntN(4), 1+r.IntN(2))
		if r.IntN(4) > 0 {
			anyBorder(r, h, bordersOfAll[r.IntN(len(bordersOfAll))])
		}
		if arrive(h, r.IntN); r.IntN(2) == 0 {
			h.Charges = nil
		}
		var some []int
		for i := range h.Lots {
			if !hasCome(h, h.Lots[i].ID) && r.IntN(3) > 0 {
				some = append(some, i)
			}
		}
		compareReplanned(t, seed, r, h, some, &answered, &refused)
		all.compare(t, seed, r, h)
	}
	if answered < effort.Cases(200, 30, 4) || all.compared < effort.Cases(200, 30, 4) || all.near == 0 {
		t.Errorf("%d totals were compared; %d bounds, %d of them within half a dollar", answered, all.compared, all.near)
	}
}
