package bid_test

import (
	"errors"
	"fmt"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/testdata/effort"
)

// bordered is a crate at a border, every bid for which is priced, in small steps.
func bordered() *haul {
	h := crate()
	h.Border = border(customs.Post)
	h.Bidding.Steps = []bid.BidStep{{From: amount("0 JPY"), Step: amount("50 JPY")}}
	h.Bidding.Goal.Risk = fraction("0.5")
	return h
}

// A search that is ended has the highest bid once it was found, and tells how far
// it came; before that it has no answer.
func TestStopped(t *testing.T) {
	whole := highest(t, bordered(), bid.Options{})
	if whole.Stopped || whole.Last.Currency() != 0 || len(whole.Ranges) == 0 {
		t.Fatalf("%+v", whole)
	}
	found, none := 0, 0
	for most := 0; most < 200; most += effort.Cases(1, 2, 3) {
		asked := 0
		h := bordered()
		b, err := bid.New(&h.Haul, h.Plans, bid.Options{Goes: func(int) bool { asked++; return asked <= most }})
		var a *bid.Answer
		if err == nil {
			a, err = b.Highest()
		}
		switch {
		case errors.Is(err, bid.ErrStopped):
			none++
			continue
		case err != nil:
			t.Fatal(err)
		case !a.Stopped:
			continue
		}
		found++
		if (len(a.Ranges) > 0) != (a.Last.Cmp(whole.Best.Bid) <= 0) {
			t.Errorf("after %d: reached %v, last %v", most, len(a.Ranges) > 0, a.Last)
		}
		if n := len(a.Ranges); len(a.Ranges) > 0 && (a.Best.Bid != whole.Best.Bid || a.Ranges[n-1][1] != whole.Ranges[len(whole.Ranges)-1][1] || a.Ranges[0][0].Cmp(a.Last) < 0) {
			t.Errorf("after %d: best %v of %v, ranges %v, last %v", most, a.Best.Bid, whole.Best.Bid, a.Ranges, a.Last)
		}
		if _, err := b.Moves(); !errors.Is(err, bid.ErrStopped) {
			t.Errorf("after %d: moves: %v", most, err)
		}
	}
	if found < 16 || none < 1 {
		t.Errorf("%d answers and %d without: the search is not what it was", found, none)
	}
}

// Every outcome is priced for every way in which risks may happen, up to a number
// of cases.
func TestTooManyCases(t *testing.T) {
	h := crate()
	it := &h.Lots[0].Items[0]
	it.Count = 1
	for i := range 6 {
		h.Risks = append(h.Risks, bid.Risk{What: fmt.Sprint("risk ", i+1), Chance: number("0.1"), Keeps: number("0.5")})
	}
	items := make([]landed.Item, 40_000)
	for i := range items {
		items[i] = *it
		items[i].ID = fmt.Sprint("jack-", i)
	}
	h.Lots[0].Items = items
	_, err := bid.New(&h.Haul, h.Plans, bid.Options{})
	const want = `risk "risk 6": with it there are 5120000 cases to price, every outcome of every item with and without each risk, and 4000000 is the most: make one risk of several, or one item of several that are alike`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// A chance changed by a tenth may be too fine to be counted where the given one
// is not; that is no fault of the haul.
func TestMovesTooFine(t *testing.T) {
	h := crate()
	it := &h.Lots[0].Items[0]
	it.Count, it.Keep, it.Worth = 10_000, 1, amount("60 CAD")
	it.Chances[0].Chance = number("0.3")
	it.Chances = append(it.Chances, landed.Outcome{What: "dead", Chance: number("0.3"), Value: amount("0 CAD")})
	moves, err := bidder(t, h, bid.Options{}).Moves()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range moves {
		if m.Factor == "chances" {
			t.Errorf("chances were counted: %v", m)
		}
	}
	if len(moves) == 0 {
		t.Error("nothing was counted")
	}
}
