package bid_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// afterBill is a haul of two lots that came and an open one, which travels in a parcel of its own,
// and the bill for what came.
func afterBill(border *landed.Border) (*haul, landed.Bill) {
	h := crate()
	h.Border = border
	for _, id := range []string{"tray", "box"} {
		h.Lots = append(h.Lots, landed.Lot{ID: id, Price: amount("2700 JPY"), Items: []landed.Item{
			{ID: id + "-rule", Count: 2, Value: amount("9 CAD"), Class: "tool", Weighed: true, Weight: measure.Kilogram}}})
	}
	h.Charges = []landed.Charge{{What: "Handling", Kind: landed.Fee, Amount: amount("1.10 CAD"), Per: landed.PerParcel}}
	bill := landed.Bill{Duty: amount("11.11 CAD"), Tax: amount("22.22 CAD"), Fee: amount("9.95 CAD")}
	h.Parcels = []landed.Parcel{{ID: "first", Lots: []string{"tray", "box"}, Carriage: landed.Carriage{Freight: amount("1900 JPY")}, Bill: bill},
		{ID: "second", Lots: []string{"crate-a"}}}
	return h, bill
}

// TestBilled: a parcel that was billed costs what it did, wherever an open lot is said to travel
// and however the bill stands: without the lot all is what a Split of the haul without it says, and
// with it what one says in which it comes in a parcel of its own.
func TestBilled(t *testing.T) {
	for _, with := range []*landed.Border{nil, border(customs.Post), border(customs.Courier)} {
		told, bill := afterBill(with)
		alone := *told.OnlyBought()
		for name, say := range map[string]func(h *haul){
			"as it is": func(*haul) {},
			"in the parcel that came": func(h *haul) {
				h.Parcels[0].ID, h.Parcels[0].Lots, h.Parcels = "to come", []string{"tray", "crate-a", "box"}, h.Parcels[:1]
			},
			"no parcel but that to come": func(h *haul) {
				h.Border.Bill, h.Parcels[0].Bill = bill, landed.Bill{}
			},
			"two parcels that came": func(h *haul) {
				h.Border.Bill, h.Parcels[0].Bill, h.Parcels[0].Lots = bill, landed.Bill{}, []string{"tray"}
				h.Parcels = append(h.Parcels, landed.Parcel{ID: "to come", Lots: []string{"box"}})
			},
			"no parcels": func(h *haul) {
				h.Border.Bill, h.Parcels = bill, nil
				h.Charges = append(h.Charges, landed.Charge{What: "Parcel", Kind: landed.Freight, Amount: amount("1900 JPY")})
			},
		} {
			h, _ := afterBill(nil)
			if h.Border = with; with != nil {
				own := *with
				h.Border = &own
			}
			if with == nil && !strings.Contains(name, "in the") && !strings.Contains(name, "as it") {
				continue
			}
			say(h)
			if st, err := landed.Split(h.OnlyBought()); name != "two parcels that came" && (err != nil || st.Total != split(t, &alone).Total) {
				t.Fatalf("%s: split says %v, %v", name, st, err)
			}
			a := highest(t, h, bid.Options{})
			if a.Before.Total != split(t, h.OnlyBought()).Total {
				t.Errorf("%s: without the lot %v, split says %v", name, a.Before.Total, split(t, h.OnlyBought()).Total)
			}
			whole := *told
			whole.Lots = slices.Clone(told.Lots)
			whole.Lots[0].Open, whole.Lots[0].Price = false, a.Best.Bid
			want := split(t, &whole.Haul).Total.Minor()
			if name == "two parcels that came" {
				want += 110 // handling of a further parcel
			}
			if a.Statement.Total.Minor() != want || a.Before.Total.Minor()+a.Best.Cost.Minor() != want {
				t.Errorf("%s: with the lot %v, it adds %v to %v; split says %d", name, a.Statement.Total, a.Best.Cost, a.Before.Total, want)
			}
			warned := slices.ContainsFunc(h.Plans.Check(&h.Haul), func(f *source.Fault) bool { return f.Warning && strings.Contains(f.What, "crate-a") })
			if warned != (name == "in the parcel that came" || name == "no parcels") {
				t.Errorf("%s: warned %v", name, warned)
			}
		}
	}
}

// TestBilledEvening: a budget holds what was billed, so that the highest bid of a lot alone spends
// it to the cent.
func TestBilledEvening(t *testing.T) {
	h, _ := afterBill(nil)
	h.Parcels[0].Lots, h.Parcels = append(h.Parcels[0].Lots, "crate-a", "crate-b"), h.Parcels[:1]
	other := h.Lots[0]
	other.ID, other.Items = "crate-b", slices.Clone(other.Items)
	other.Items[0].ID = "jack-b"
	h.Lots = append(h.Lots, other)
	h.Bidding = &bid.Bidding{Steps: []bid.BidStep{{From: amount("0 JPY"), Step: amount("100 JPY")}}}
	before := split(t, h.OnlyBought()).Total.Minor()
	h.Bidding.Goal.Budget = money.New(before+110+9*93, cad) // handling of one more parcel, and 900 JPY
	for i := range h.Lots {
		if h.Lots[i].Open {
			h.Lots[i].Likely = &landed.Likely{From: amount("500 JPY"), To: amount("3000 JPY")}
		}
	}
	e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
	if err != nil || e.Lots[0].Alone != amount("900 JPY") || e.Lots[1].Alone != amount("900 JPY") || e.Before.Total.Minor() != before {
		t.Errorf("%+v, %v", e, err)
	}
}

// TestBilledAndSent: where services are named they carry what is still to come; freight that was
// paid for what came stands, and so does that of each lot.
func TestBilledAndSent(t *testing.T) {
	h, _ := afterBill(border(customs.Post))
	h.Charges = append(h.Charges, landed.Charge{What: "Postage", Kind: landed.Freight, Amount: amount("700 JPY"), Per: landed.PerLot}, landed.Charge{What: "Quoted", Kind: landed.Freight, Amount: amount("5000 JPY"), On: []string{"crate-a"}})
	h.Parcels[0].ID, h.Parcels[1].ID = "box-1", "box-2"
	h.Sending = &together.Sending{Services: []*freight.Service{{Name: "sea", Currency: jpy, Zones: []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: 20 * measure.Kilogram, Price: amount("4500 JPY")}}}}}}}
	a := highest(t, h, bid.Options{})
	if before := split(t, h.OnlyBought()).Total; a.Before.Total != before {
		t.Errorf("without the lot %v, split says %v", a.Before.Total, before)
	}
	whole := *h
	whole.Lots, whole.Charges, whole.Parcels = slices.Clone(h.Lots), slices.Clone(h.Charges[:2]), slices.Clone(h.Parcels)
	whole.Lots[0].Open, whole.Lots[0].Price = false, a.Best.Bid
	whole.Parcels[1].Freight = amount("4500 JPY")
	if want := split(t, &whole.Haul).Total; a.Statement.Total != want || a.Before.Total.Minor()+a.Best.Cost.Minor() != want.Minor() {
		t.Errorf("with the lot %v, it adds %v to %v; split says %v", a.Statement.Total, a.Best.Cost, a.Before.Total, want)
	}
	moves, err := bidder(t, h, bid.Options{}).Moves()
	if err != nil || len(moves) == 0 {
		t.Error(moves, err)
	}
	h.Lots[0].Likely = &landed.Likely{From: amount("500 JPY"), To: amount("900 JPY")}
	if e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{}); err != nil || e.Lots[0].Alone != a.Best.Bid || e.Plan == nil {
		t.Errorf("%+v, %v; bid alone %v", e, err, a.Best.Bid)
	}
}

// come has two lots bought that came in two parcels, each with a bill, of which one may be in part;
// or else opened, without one.
func come(r *rand.Rand, h *haul) {
	h.Parcels = nil
	rest := landed.Parcel{ID: "rest"}
	for i := range h.Lots {
		rest.Lots = append(rest.Lots, h.Lots[i].ID)
	}
	for i := range 2 {
		l := landed.Lot{ID: fmt.Sprint("came-", i), Price: money.New(300+r.Int64N(3000), jpy), Items: []landed.Item{
			{ID: fmt.Sprint("old-", i), Count: 2, Value: amount("9 CAD"), Weighed: true, Weight: measure.Kilogram, Class: "tool"}}}
		h.Lots = slices.Insert(slices.Clone(h.Lots), r.IntN(len(h.Lots)+1), l)
		h.Parcels = append(h.Parcels, landed.Parcel{ID: fmt.Sprint("box-", i+1), Lots: []string{l.ID}, Carriage: landed.Carriage{Freight: money.New(900+r.Int64N(900), jpy)},
			Bill: landed.Bill{Duty: money.New(r.Int64N(300), cad), Tax: money.New(r.Int64N(900), cad), Fee: money.New(r.Int64N(995), cad)}})
	}
	switch r.IntN(3) {
	case 0:
		h.Parcels[0].Bill.Duty = money.Amount{}
	case 1:
		h.Parcels[0].Bill = landed.Bill{}
		came := &h.Lots[h.LotAt("came-0")].Items[0]
		came.Found = &landed.Found{Sound: came.Count}
	}
	h.Parcels = append(h.Parcels, rest)
}

// TestOpenedBefore: of a lot that was bought, and opened since, the highest bid is what it was
// before: the box is taken as one to come, with all that was found in it or paid for it.
func TestOpenedBefore(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 53))
	for n := range effort.Cases(40, 6, 3) {
		h := evening(r, 1, 2)
		h.Lots[0].Open, h.Lots[0].Price = false, amount("1200 JPY")
		withServices(r, h)
		come(r, h)
		h.Parcels, h.Bidding.Lot = nil, h.Lots[r.IntN(len(h.Lots))].ID
		if r.IntN(2) == 0 {
			h.Parcels = []landed.Parcel{{ID: "all", Lots: h.LotIDs(), Carriage: landed.Carriage{Freight: amount("900 JPY")}}}
		}
		for i := range h.Lots {
			h.Lots[i].Items[0].Found = nil
		}
		ask := func() (money.Amount, string) {
			b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
			if err != nil {
				return money.Amount{}, err.Error()
			}
			a, err := b.Highest()
			if err != nil {
				return money.Amount{}, err.Error()
			}
			return a.Best.Cost, a.Best.Bid.String()
		}
		cost, of := ask()
		it := &h.Lots[0].Items[0]
		it.Found = &landed.Found{Dead: it.Count}
		if h.Parcels != nil {
			h.Parcels[0].Settled.Freight = amount("12 CAD")
		}
		if after, then := ask(); after != cost || then != of {
			t.Errorf("%d: %s costs %v, opened %s costs %v", n, of, cost, then, after)
		}
	}
}

// TestBilledEveningSent: what the plan of an evening says beside two billed boxes, with services,
// is what every way of it comes to.
func TestBilledEveningSent(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 51))
	for n := range effort.Cases(14, 2, 1) {
		h := evening(r, 2+r.IntN(2), effort.Cases(3, 3, 2))
		withServices(r, h)
		come(r, h)
		if h.Bidding.Goal.Budget.Currency() != 0 {
			h.Bidding.Goal.Budget = money.New(h.Bidding.Goal.Budget.Minor()+6000, cad)
		}
		compare(t, fmt.Sprint("evening ", n), h)
	}
}

// TestBilledEveningOfMany: of eight open lots, or fewer, and five services an evening beside two
// billed boxes is that without them, where nothing is shared with what has come: the same limits
// and marks, and it adds the same.
func TestBilledEveningOfMany(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 52))
	h := evening(r, effort.Cases(8, 4, 3), effort.Cases(3, 2, 2))
	h.Lots = slices.DeleteFunc(h.Lots, func(l landed.Lot) bool { return !l.Open })
	h.Charges, h.Border, h.From, h.To = nil, border(customs.Post), "JP", "CA-ON"
	withServices(r, h)
	h.Sending.Insure = false
	for n := range 5 {
		s := *h.Sending.Services[0]
		s.Name, s.Limits = fmt.Sprint("service-", n), freight.Limits{Weight: measure.Weight(2+2*n) * measure.Kilogram}
		s.Zones = []freight.Zone{{Steps: []money.Step[measure.Weight]{{UpTo: measure.Kilogram, Price: money.New(500+150*int64(n), jpy)}}, Further: money.Step[measure.Weight]{UpTo: measure.Kilogram, Price: money.New(400-60*int64(n), jpy)}}}
		h.Sending.Services = append(h.Sending.Services[:n:n], &s)
	}
	h.Bidding.Goal.Budget = money.Amount{}
	tonight := func() *bid.Evening {
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil || e.Plan == nil {
			t.Fatalf("%+v, %v", e, err)
		}
		return e
	}
	want := tonight()
	come(r, h)
	h.Parcels[0].Bill.Duty = amount("1 CAD")
	got := tonight()
	for _, pair := range [][2]*big.Rat{{got.Plan.Value, want.Plan.Value}, {got.Plan.Cost, want.Plan.Cost}, {got.Plan.Proceeds, want.Plan.Proceeds}} {
		if pair[0].Cmp(pair[1]) != 0 {
			t.Errorf("%s, without what came %s", pair[0].FloatString(4), pair[1].FloatString(4))
		}
	}
	if (got.Plan.Most == nil) != (want.Plan.Most == nil) || want.Plan.Value.Sign() <= 0 || got.Before.Total != split(t, h.OnlyBought()).Total {
		t.Errorf("exact: %t, without what came %t; worth %s; before %v", got.Plan.Most == nil, want.Plan.Most == nil, want.Plan.Value.FloatString(2), got.Before.Total)
	}
	for i := range got.Lots {
		g, w := &got.Lots[i], &want.Lots[i]
		if g.ID != w.ID || g.Limit != w.Limit || g.Alone != w.Alone || g.BesideAll != w.BesideAll || g.Won.Cmp(w.Won) != 0 {
			t.Errorf("%s: %v, %v, %v; without what came %v, %v, %v", g.ID, g.Limit, g.Alone, g.BesideAll, w.Limit, w.Alone, w.BesideAll)
		}
	}
}

func split(t testing.TB, h *landed.Haul) *landed.Statement {
	t.Helper()
	st, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	return st
}
