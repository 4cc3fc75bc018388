package bid_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
	"lotcost/testdata/effort"
)

// TestBorderBidByBid: every bid of the ladder stands with what the account of
// the haul at that price says of the border, and each relief that is lost is
// told where it is.
func TestBorderBidByBid(t *testing.T) {
	r := rand.New(rand.NewPCG(20261003, 21))
	rungs, lost := 0, 0
	for n := range effort.Cases(120, 20, 8) {
		h := randomHaul(r)
		if h.Border == nil {
			continue
		}
		a, err := bid.Border(&h.Haul, h.Plans, "lot-0")
		if err != nil {
			t.Fatal(n, err)
		}
		price, below := firstBid(h), []string(nil)
		for i := range a.Ladder {
			rung := &a.Ladder[i]
			rungs++
			if rung.Bid != money.New(price, jpy) {
				t.Fatalf("%d: bid %d is %v, want %d", n, i, rung.Bid, price)
			}
			at := *h
			at.Lots = slices.Clone(h.Lots)
			at.Lots[0].Price, at.Lots[0].Open = rung.Bid, false
			st, err := landed.Split(&at.Haul)
			if err != nil {
				t.Fatal(n, err)
			}
			if rung.Border.Duty != st.Sum(landed.Duty) || rung.Border.Tax != st.Sum(landed.Tax) || rung.Border.Sum() != st.Estimate() {
				t.Fatalf("%d: at %v duty %v, tax %v, in all %v, want %v, %v, %v", n, rung.Bid, rung.Border.Duty, rung.Border.Tax, rung.Border.Sum(), st.Sum(landed.Duty), st.Sum(landed.Tax), st.Estimate())
			}
			var relieved []string
			for _, p := range st.Border.Parcels {
				for _, re := range p.Relief {
					if re.Relieved {
						relieved = append(relieved, p.ID+" "+re.What)
					}
				}
			}
			for _, what := range below {
				if slices.Contains(relieved, what) {
					continue
				}
				lost++
				if !slices.ContainsFunc(rung.Turns, func(t string) bool {
					id, text, lost := strings.Cut(strings.TrimPrefix(t, "parcel "), "above the duty-free limit of ")
					_, reliefs, _ := strings.Cut(text, "(")
					reliefs, _, _ = strings.Cut(reliefs, ")")
					for _, relief := range strings.Split(reliefs, " and ") {
						if lost && strings.TrimSuffix(id, ": ")+" "+relief == what {
							return true
						}
					}
					return false
				}) {
					t.Errorf("%d: at %v the relief of %s is lost, told is %v", n, rung.Bid, what, rung.Turns)
				}
			}
			price, below = nextBid(h.Bidding.Steps, price), relieved
		}
		if last := a.Ladder[len(a.Ladder)-1]; a.Statement.Estimate() != last.Border.Sum() {
			t.Errorf("%d: the account says %v, the last bid %v", n, a.Statement.Estimate(), last.Border.Sum())
		}
		if len(h.Lots) > 1 {
			if st, err := landed.Split(&without(h).Haul); err != nil || st.Estimate() != a.Before.Estimate() {
				t.Errorf("%d: without it %v, want %v, %v", n, a.Before.Estimate(), st, err)
			}
		}
	}
	if rungs < 100 || lost == 0 {
		t.Error(rungs, lost)
	}
}

// TestBorderWithoutTerms: bids are in the currency of the other lots, or else of
// home, by the usual steps, up to what the pieces are worth when right.
func TestBorderWithoutTerms(t *testing.T) {
	h := crate()
	h.Border, h.Bidding = border(0), nil
	a, err := bid.Border(&h.Haul, h.Plans, h.Lots[0].ID)
	if err != nil || a.Bids != h.Home {
		t.Fatal(a, err)
	}
	if worth, last := sales.LotWorth(&h.Haul, &h.Lots[0]), a.Ladder[len(a.Ladder)-1].Bid; last.Cmp(worth) < 0 || last.Minor() > 3*worth.Minor() {
		t.Errorf("up to %v, worth are %v", last, worth)
	}
	h.Lots = append(h.Lots, landed.Lot{ID: "tray", Price: amount("700 JPY"), Items: []landed.Item{{ID: "rule", Count: 1, Value: amount("9 CAD"), Class: "tool"}}})
	h.Share = h.Share.WithPrice(landed.ByCount)
	for i := range h.Lots[0].Items {
		h.Lots[0].Items[i].Value, h.Lots[0].Items[i].Chances = money.Amount{}, nil
	}
	h.Charges = nil
	if a, err = bid.Border(&h.Haul, h.Plans, h.Lots[0].ID); err != nil || a.Bids != jpy || len(a.Ladder) < 20 || a.Ladder[0].Bid != amount("100 JPY") {
		t.Errorf("%+v, %v", a, err)
	}
	if _, err := bid.Border(&h.Haul, h.Plans, "none"); err == nil {
		t.Error("a lot that is not there")
	}
	h.Border = nil
	if a, err = bid.Border(&h.Haul, h.Plans, h.Lots[0].ID); err != nil || len(a.Ladder) != 0 {
		t.Errorf("%+v, %v", a, err)
	}
}
