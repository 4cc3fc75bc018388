package together_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/money"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// TestOpen: a plan with open prices is that of lots that came free, and what it
// tells of prices at what the pieces are worth is the plan at those prices.
func TestOpen(t *testing.T) {
	r := rand.New(rand.NewPCG(20261003, 11))
	other, same := 0, 0
	for range effort.Cases(120, 60, 40) {
		h := randomHaul(r, 2+r.IntN(2), 1+r.IntN(2))
		free, dear := *h, *h
		h.Lots, free.Lots, dear.Lots = slices.Clone(h.Lots), slices.Clone(h.Lots), slices.Clone(h.Lots)
		var ids []string
		for i := range h.Lots {
			if i > 0 && r.IntN(2) == 0 {
				continue
			}
			ids = append(ids, h.Lots[i].ID)
			worth := money.New(0, h.Home)
			for _, it := range h.Lots[i].Items {
				one, err := h.Exchange().Value(it.Value, h.Home)
				if err != nil {
					t.Fatal(err)
				}
				worth = money.New(worth.Minor()+one.Minor()*it.Count, h.Home)
			}
			h.Lots[i].Open, h.Lots[i].Price = true, money.Amount{}
			free.Lots[i].Price, dear.Lots[i].Price = money.New(0, h.Home), worth
		}
		want, err := together.Plan(context.Background(), &free.Haul, free.Sending, together.Options{})
		got, openErr := together.Plan(context.Background(), &h.Haul, h.Sending, together.Options{})
		if (err == nil) != (openErr == nil) {
			t.Fatalf("open: %v, free: %v", openErr, err)
		}
		if err != nil {
			continue
		}
		if got.Best.Total != want.Best.Total || totalOrNone(&got.Apart) != totalOrNone(&want.Apart) || !slices.Equal(got.Best.Statement.Haul.Open(), ids) {
			t.Fatalf("%v without %v, want %v without %v", got.Best.Total, got.Best.Statement.Haul.Open(), want.Best.Total, ids)
		}
		at, err := together.Least(context.Background(), &dear.Haul, dear.Sending, together.Options{})
		o := got.Opened
		switch {
		case want.Opened != nil || !slices.Equal(o.Lots, ids):
			t.Fatal("open are", o.Lots, "and of lots that are bought", want.Opened)
		case !o.Bear && (h.Border != nil || at != nil && slices.ContainsFunc(at.Best.Parcels, func(s together.Sent) bool { return s.Parcel.Insurance.Sign() != 0 })):
			t.Fatal("no price bears on the plan")
		case !o.Bear:
		case err != nil || o.Best.Why != nil:
			if (err == nil) != (o.Best.Why == nil) {
				t.Fatalf("dear: %v, and told %v", err, o.Best.Why)
			}
		case o.Best.Total != at.Best.Total:
			t.Fatalf("at worth %v, want %v", o.Best.Total, at.Best.Total)
		case o.Same:
			same++
		default:
			other++
		}
	}
	if other == 0 || same == 0 {
		t.Error(other, same)
	}
}

// TestNoPriceBears: without a border, insurance or a limit on value it does not
// matter what an open lot costs; a limit may leave no way at all.
func TestNoPriceBears(t *testing.T) {
	h := haulOf([]landed.Lot{lot("a", 100, 900), lot("b", 100, 900)}, service("post", 900, 100))
	h.Lots[1].Open, h.Lots[1].Price = true, money.Amount{}
	if o := plan(t, h).Opened; o == nil || o.Bear || o.Worth != nil {
		t.Errorf("got %+v", o)
	}
	h.Sending.Services[0].Limits.Value = money.New(150, jpy)
	h.Lots[1].Items[0].Value = money.New(900, jpy)
	if o := plan(t, h).Opened; !o.Bear || o.Best.Why == nil || o.Worth[0] != amount("8.37 CAD") {
		t.Errorf("got %+v", o)
	}
}
