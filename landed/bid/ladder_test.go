package bid_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/money"
	"lotcost/testdata/effort"
)

// TestLadder wants every bid of the ladder to be there, from the first to where a loss is sure, and
// to be what it is when judged by itself.
func TestLadder(t *testing.T) {
	for _, bordered := range []bool{false, true} {
		h := crate()
		h.Bidding.Goal.Return = fraction("0.3")
		if bordered {
			h.Border = border(0)
		}
		b := bidder(t, h, bid.Options{})
		a, err := b.Highest()
		if err != nil {
			t.Fatal(err)
		}
		points, err := b.Ladder(a)
		if err != nil {
			t.Fatal(err)
		}
		last := &points[len(points)-1]
		if points[0].Bid != amount("500 JPY") || len(points) < 150 || last.Loss.Rat().Cmp(number("1").Rat()) != 0 || !a.Beyond(last) {
			t.Errorf("%d bids from %s to %s, where the chance of a loss is %s", len(points), points[0].Bid, last.Bid, last.Loss)
		}
		for i := range points[1:] {
			if points[i].Bid.Cmp(points[i+1].Bid) >= 0 {
				t.Errorf("%s before %s", points[i].Bid, points[i+1].Bid)
			}
		}
		if !slices.ContainsFunc(points, func(p bid.Point) bool { return p.Bid == a.Best.Bid && p.Cost == a.Best.Cost }) {
			t.Errorf("the best, %s, is not in it", a.Best.Bid)
		}
		for i := 0; i < len(points); i += 1 + len(points)/effort.Cases(40, 12, 4) {
			p := &points[i]
			alone, err := bidder(t, h, bid.Options{}).Judge(p.Bid)
			if err != nil {
				t.Fatal(err)
			}
			q := alone.Asked
			if got, want := fmt.Sprint(p.Cost, p.Profit, p.Return, p.Loss, p.Missing), fmt.Sprint(q.Cost, q.Profit, q.Return, q.Loss, q.Missing); got != want {
				t.Errorf("%s: %s, judged alone %s", p.Bid, got, want)
			}
		}
	}
}

// TestCourses wants the limits once the first lots are decided to be those of an evening that is
// written so, and lots to be won at the quarters of their prices, or fewer where all are too many.
func TestCourses(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 7))
	for n := range effort.Cases(60, 1, 1) {
		h := evening(r, 3, effort.Cases(4, 4, 3))
		e, err := bid.Tonight(&h.Haul, h.Plans, bid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		for most, parts := range map[int][]int{100: {1, 2, 3, 4}, 20: {2, 4}, 7: {2}, 4: {2}} {
			courses, err := bid.Courses(&h.Haul, h.Plans, bid.Options{}, e, most)
			if err != nil || len(courses) > most {
				t.Fatal(len(courses), err)
			}
			paid := []money.Amount{{}} // for the first lot
			for _, part := range parts {
				prices := e.Lots[0].Likely.Prices
				at := (part*len(prices) + 3) / 4
				paid = append(paid, slices.SortedFunc(slices.Values(prices), money.Amount.Cmp)[at-1])
			}
			var got []money.Amount
			for _, c := range courses {
				if len(c.Won) == 1 {
					got = append(got, c.Won[0])
				}
				checkCourse(t, h, e, c)
			}
			if want := slices.Compact(paid); most > 4 && !slices.Equal(got, want) {
				t.Errorf("evening %d, %d courses: the first lot is won at %v, want %v", n, most, got, want)
			}
		}
	}
}

// checkCourse compares a course with an evening whose first lots are written as decided.
func checkCourse(t *testing.T, h *haul, e *bid.Evening, c bid.Course) {
	t.Helper()
	after := *h
	after.Lots = slices.Clone(h.Lots)
	for i, won := range c.Won {
		at := slices.IndexFunc(after.Lots, func(l landed.Lot) bool { return l.ID == e.Lots[i].ID })
		if after.Lots[at].Open, after.Lots[at].Price = false, won; won.Currency() == 0 {
			after.Lots[at].Open, after.Lots[at].Lost = true, true
		}
	}
	after.Haul = *after.WithoutLost()
	after.Plans = h.For(&after.Haul)
	want, err := bid.Tonight(&after.Haul, after.Plans, bid.Options{})
	if (err == nil) != (c.Evening != nil) {
		t.Errorf("%v: %v", c.Won, err)
	} else if err == nil && fmt.Sprint(limitsOf(c.Evening)) != fmt.Sprint(limitsOf(want)) {
		t.Errorf("%v: %v, want %v", c.Won, limitsOf(c.Evening), limitsOf(want))
	}
}

func limitsOf(e *bid.Evening) []money.Amount {
	var list []money.Amount
	for i := range e.Lots {
		list = append(list, e.Lots[i].Limit)
	}
	return list
}
