package together_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// arrive lets some lots of a haul come, in one parcel or two: with a bill that is whole or holds
// some of what the border asks, with freight that is settled, or opened, so that something was
// found or sold. What else has been said of parcels is said of the others.
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
			switch p.Bill = (landed.Bill{Duty: line(), Tax: line(), Fee: line()}); below(6) {
			case 0:
				p.Bill.Tax = money.Amount{}
			case 1, 2:
				p.Bill = landed.Bill{}
				open(h, held[below(len(held))], below(2) == 0)
			case 3:
				p.Bill, p.Settled.Freight = landed.Bill{}, money.New(int64(below(4000)), cad)
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

// open lets a piece of a lot be found, or sold.
func open(h *haul, lot string, found bool) {
	l := &h.Lots[h.LotAt(lot)]
	l.Items = slices.Clone(l.Items)
	if it := &l.Items[0]; found {
		it.Found = &landed.Found{Sound: it.Count}
	} else {
		it.Sold = []landed.Sale{{Price: money.New(100, cad), Count: 1}}
	}
}

// stood reports whether a parcel has come, as the help of together has it.
func stood(h *haul, p *landed.Parcel) bool {
	return p.Bill != (landed.Bill{}) || p.Settled.Freight.Currency() != 0 || slices.ContainsFunc(h.Lots, func(l landed.Lot) bool {
		return slices.Contains(p.Lots, l.ID) && (l.Items[0].Found != nil || len(l.Items[0].Sold) > 0)
	})
}

// hasCome reports whether a lot is in a parcel that has.
func hasCome(h *haul, id string) bool {
	return slices.ContainsFunc(h.Parcels, func(p landed.Parcel) bool { return stood(h, &p) && slices.Contains(p.Lots, id) })
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
			if stood(h, &p) && !slices.ContainsFunc(r.Best.Statement.Haul.Parcels, func(o landed.Parcel) bool { return o.ID == p.ID && slices.Equal(o.Lots, p.Lots) && o.Bill == p.Bill }) {
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
	for seed := range uint64(effort.Cases(400, 12, 6)) {
		r := rand.New(rand.NewPCG(seed, 48))
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
	if answered < effort.Cases(200, 20, 3) || all.compared < effort.Cases(200, 20, 3) || all.near == 0 {
		t.Errorf("%d totals were compared; %d bounds, %d of them within half a dollar", answered, all.compared, all.near)
	}
}

// TestNextBesideWhatCame: one more lot adds what a plan with it comes to more than one without it,
// however it is said that all that was bought has come: it is in none of that.
func TestNextBesideWhatCame(t *testing.T) {
	compared := 0
	for seed := range uint64(effort.Cases(120, 40, 20)) {
		r := rand.New(rand.NewPCG(seed, 47))
		h := randomHaul(r, 1+r.IntN(3), 1+r.IntN(2))
		anyBorder(r, h, bordersOfAll[r.IntN(len(bordersOfAll))])
		told := *h
		bill := landed.Bill{Duty: money.New(11, cad), Tax: money.New(22, cad), Fee: money.New(33, cad)}
		came := landed.Parcel{ID: "that came", Lots: h.LotIDs()}
		switch r.IntN(3) {
		case 0:
			border := *h.Border
			border.Bill, told.Border, told.Parcels, came.Bill = bill, &border, nil, bill
		case 1:
			told.Parcels = nil
			open(h, h.Lots[r.IntN(len(h.Lots))].ID, r.IntN(2) == 0) // told has the same lots
		default:
			came.Bill = bill
			told.Parcels = []landed.Parcel{came}
		}
		next := landed.Lot{Packed: measure.Weight(1+r.IntN(900)) * measure.Gram, Price: money.New(int64(r.IntN(9000)), jpy)}
		h.Parcels = []landed.Parcel{came}
		before, _, _ := wayTotals(h)
		h.Lots = append(h.Lots, together.Added(&told.Haul, next))
		best, _, _ := wayTotals(h)
		a, err := together.Next(context.Background(), &told.Haul, told.Sending, next, together.Options{})
		if best < 0 {
			if err == nil {
				t.Fatalf("seed %d: there is no way, but it adds %v", seed, a.Total)
			}
			continue
		}
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		compared++
		if want := best - before - a.Price.Minor(); a.Total.Minor() != want {
			t.Fatalf("seed %d: it adds %v (%+v), want %d", seed, a.Total, a.Costs, want)
		}
	}
	if compared < effort.Cases(60, 20, 10) {
		t.Errorf("%d were compared", compared)
	}
}
