package bid_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
	"lotcost/landed/together"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// planned is three lots with something planned for each of them.
func planned() *haul {
	h := &haul{Plans: bid.Plans{
		Risks:   []bid.Risk{{What: "lost"}, {What: "dropped", On: []string{"c", "a-1"}}, {What: "wet", On: []string{"c"}}},
		Sending: &together.Sending{Together: [][]string{{"a", "c"}, {"a", "b", "c"}}, Apart: [][]string{{"b", "c"}}},
		Bidding: &bid.Bidding{Lot: "c"}}}
	for _, id := range []string{"a", "b", "c"} {
		h.Lots = append(h.Lots, landed.Lot{ID: id, Price: amount("10 CAD"), Items: []landed.Item{{ID: id + "-1", Count: 1, Value: amount("10 CAD")}}})
	}
	h.Home = cad
	return h
}

// TestPlansFor: plans for some of the lots name no others, and nothing is left of
// what is about the others alone.
func TestPlansFor(t *testing.T) {
	h := planned()
	ab := h.Plans.For(h.Only(func(l *landed.Lot) bool { return l.ID != "c" }))
	if !reflect.DeepEqual(h, planned()) {
		t.Error("the plans were changed")
	}
	switch {
	case len(ab.Risks) != 2, len(ab.Risks[0].On) != 0, !slices.Equal(ab.Risks[1].On, []string{"a-1"}),
		!reflect.DeepEqual(ab.Sending.Together, [][]string{{"a", "b"}}), ab.Sending.Apart != nil, ab.Bidding.Lot != "":
		t.Errorf("%+v", ab)
	}
	if all := h.Plans.For(&h.Haul); !reflect.DeepEqual(all.Sending, h.Sending) || len(all.Risks) != 3 || all.Bidding.Lot != "c" {
		t.Errorf("all of it is %+v", all)
	}
	none := bid.Plans{}
	if other := none.For(&h.Haul); other.Sending != nil || other.Risks != nil || other.Bidding != nil {
		t.Errorf("of nothing there is %+v", other)
	}
}

// TestPlansOfLostLots: what is planned for a lot that is lost names one that is
// there, and plays no part.
func TestPlansOfLostLots(t *testing.T) {
	h := planned()
	h.Lots[2].Open, h.Lots[2].Lost, h.Lots[2].Price = true, true, money.Amount{}
	h.Lots[1].Open, h.Lots[1].Price = true, money.Amount{}
	h.Bidding.Start = amount("1 CAD")
	if b := bidder(t, h, bid.Options{}); b.Proceeds().Mean() != amount("10 CAD") {
		t.Errorf("brings %v", b.Proceeds().Mean())
	}
	h.Risks[2].On = []string{"oilstone"}
	const want = `risk "wet": no lot or item has the id "oilstone": known here: a, b, c, a-1, b-1, c-1`
	if _, err := bid.New(&h.Haul, h.Plans, bid.Options{}); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// TestArbitraryPlans: nothing panics, whatever plans hold.
func TestArbitraryPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fraction := func() decimal.Decimal {
			return rapid.SampledFrom([]decimal.Decimal{{}, decimal.New(5, -1), decimal.New(-3, 0), decimal.New(1, math.MaxInt32), decimal.New(1, math.MinInt32)}).Draw(t, "fraction")
		}
		asked := func() money.Amount {
			return money.New(rapid.SampledFrom([]int64{0, 7, -7, math.MaxInt64, math.MinInt64}).Draw(t, "minor"), rapid.SampledFrom([]money.Currency{cad, jpy, 0, 250}).Draw(t, "currency"))
		}
		ids := func() []string {
			return rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c-1", "", "d"}), 0, 3).Draw(t, "ids")
		}
		h := planned()
		a, b, c := fraction(), fraction(), fraction()
		h.Plans = bid.Plans{Sending: &together.Sending{Together: [][]string{ids()}, Apart: [][]string{ids()}},
			Risks: []bid.Risk{{Chance: fraction(), Keeps: fraction(), On: ids()}},
			Bidding: &bid.Bidding{Lot: "a", Start: asked(), Steps: []bid.BidStep{{From: asked(), Step: asked()}, {From: asked(), Step: asked()}},
				Goal: bid.Goal{Profit: asked(), Budget: asked(), Return: &a, Margin: &b, Risk: &c}}}
		h.Plans.Check(&h.Haul)
		h.Plans.For(&h.Haul)
		_, _ = look(h, bid.Options{})
		if b, err := bid.New(&h.Haul, h.Plans, bid.Options{}); err == nil {
			_, _ = b.Highest()
		}
	})
}
