package bid_test

import (
	"math/big"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/internal/odds"

	"github.com/shopspring/decimal"
)

// learnt is a crate of jacks known from a record: weights 4 and 2, sound and dead.
func learnt(counts ...int64) *haul {
	h := crate()
	h.Charges, h.Market, h.Bidding = nil, nil, &bid.Bidding{Start: amount("5 CAD")}
	item := h.Lots[0].Items[0]
	item.Chances = []landed.Outcome{{What: "works", Chance: decimal.New(666_666_666_666_666_667, -18), Value: amount("45 CAD"), State: landed.Sound, Stated: true},
		{What: "dead", Chance: decimal.New(333_333_333_333_333_333, -18), Value: amount("0 CAD"), State: landed.Dead, Stated: true}}
	item.Known = &landed.Known{Asked: true, Class: "plane", Weights: []decimal.Decimal{number("4"), number("0"), number("2")}}
	h.Lots[0].Items = nil
	for i, n := range counts {
		one := item
		one.ID, one.Count = string(rune('a'+i)), n
		h.Lots[0].Items = append(h.Lots[0].Items, one)
	}
	return h
}

func brings(t *testing.T, h *haul) *odds.Distribution {
	t.Helper()
	b, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return b.Proceeds()
}

// Pieces of one record hang together, whether they stand in one item or in several:
// all three are dead with 2/6 x 3/7 x 4/8 = 1/14, and not with 1/27.
func TestOneRecord(t *testing.T) {
	for _, counts := range [][]int64{{3}, {1, 2}, {1, 1, 1}} {
		d := brings(t, learnt(counts...))
		none, err := d.Below(amount("0.01 CAD"))
		if err != nil || none.Rat().Cmp(big.NewRat(1, 14)) != 0 {
			t.Errorf("%v: nothing comes with %s, %v", counts, none.Rat(), err)
		}
		if d.Mean() != amount("90 CAD") {
			t.Errorf("%v: mean %s", counts, d.Mean())
		}
	}
}

// Another record, or other weights, tell nothing of it; and where the ways are too many
// each item is taken by itself.
func TestRecordsApart(t *testing.T) {
	h := learnt(1, 1)
	other := *h.Lots[0].Items[1].Known
	other.Seller = "gable-rooms"
	h.Lots[0].Items[1].Known = &other
	if none, err := brings(t, h).Below(amount("0.01 CAD")); err != nil || none.Rat().Cmp(big.NewRat(1, 9)) != 0 {
		t.Errorf("nothing comes with %s, %v", none.Rat(), err)
	}
	many := learnt(slices.Repeat([]int64{12}, 6)...)
	for i := range many.Lots[0].Items {
		it := &many.Lots[0].Items[i]
		it.Chances = slices.Clone(it.Chances)
		it.Chances[0].Value = amount([]string{"1 CAD", "13 CAD", "169 CAD", "2197 CAD", "28561 CAD", "371293 CAD"}[i])
	}
	none, err := brings(t, many).Below(amount("0.01 CAD"))
	all := new(big.Rat).SetInt64(1)
	for range 6 {
		for k := range int64(12) {
			all.Mul(all, big.NewRat(2+k, 6+k))
		}
	}
	low, high := none.Bounds()
	if err != nil || low.Cmp(all) > 0 || high.Cmp(all) < 0 {
		t.Errorf("nothing comes with %s, want %s, %v", none.Rat().FloatString(20), all.FloatString(20), err)
	}
}
