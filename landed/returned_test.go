package landed_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
)

// back is a return of so many pieces, a number of days after the haul.
func back(days int, count int64) landed.Return {
	return landed.Return{Date: day.AddDate(0, 0, days), Count: count}
}

// TestTurns: by day; what came back of an earlier day may be sold again the same day, and what came
// back of the same day follows its sale.
func TestTurns(t *testing.T) {
	h := &landed.Haul{Date: day}
	item := &landed.Item{Sold: []landed.Sale{
		{Venue: "again", Date: day.AddDate(0, 0, 9)},
		{Venue: "first", Returned: []landed.Return{back(9, 1)}},
		{Venue: "second", Date: day.AddDate(0, 0, 9), Returned: []landed.Return{back(9, 1), back(12, 0)}},
	}}
	var got []string
	for sale, back := range h.Turns(item) {
		text := sale.Venue
		if back != nil {
			text = fmt.Sprint(text, " back ", int(back.Date.Sub(day).Hours()/24))
		}
		got = append(got, text)
	}
	if want := []string{"first", "first back 9", "again", "second", "second back 9", "second back 12"}; !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// TestReturnFaults: what cannot have come back is told once, whatever else is right.
func TestReturnFaults(t *testing.T) {
	sold := func(count int64, returned ...landed.Return) landed.Sale {
		return landed.Sale{Price: amount("40 CAD"), Count: count, Date: day.AddDate(0, 0, 9), Returned: returned}
	}
	part, negative, yield := back(12, 1), back(12, 1), back(12, 1)
	part.Refund, negative.Postage, yield.As = amount("9 CAD"), amount("-1 CAD"), landed.ForParts
	unknown := back(12, 1)
	unknown.As = landed.Made
	iron := sold(1, yield)
	iron.Made = "iron"
	soon := sold(1)
	soon.Date = day.AddDate(0, 0, 11)
	late := soon
	late.Date = day.AddDate(0, 0, 12)
	for _, c := range []struct {
		sold []landed.Sale
		want string
	}{
		{[]landed.Sale{sold(1, back(12, 1))}, ""},
		{[]landed.Sale{sold(3, back(12, 3)), sold(0)}, "item jack: sold: a sale of 0 pieces makes no sense: write how many were sold together"},
		{[]landed.Sale{sold(1, landed.Return{Count: 1})}, "item jack: returned: the day on which it came back is missing: write it"},
		{[]landed.Sale{sold(1, back(8, 1))}, "item jack: returned: came back on 2026-10-11, before it was sold on 2026-10-12: correct one of the two dates"},
		{[]landed.Sale{sold(2, part, back(13, 2))}, "item jack: returned: 3 came back of 2 sold: write how many pieces came back each time, of those of this sale"},
		{[]landed.Sale{sold(2, back(12, -1))}, "item jack: returned: 0 came back of 2 sold: write how many pieces came back each time, of those of this sale"},
		{[]landed.Sale{sold(1, back(12, 0))}, "item jack: returned: it is not said what came back: write what the buyer got back"},
		{[]landed.Sale{sold(3, back(12, 2))}, "item jack: returned: 2 came back of 3 sold, and it is not said for what part of the price: write what the buyer got back"},
		{[]landed.Sale{sold(3, part, back(13, 2))}, ""},
		{[]landed.Sale{sold(1, negative)}, "item jack: returned: a refund, fees given back or postage are negative: write what was paid, as amounts of 0 or more"},
		{[]landed.Sale{sold(1, unknown)}, "item jack: returned: what came back is sound, for parts or dead: say which"},
		{[]landed.Sale{iron}, "item jack: returned: what was made from dead pieces comes back as it was, or dead: write dead, or leave it out"},
		{[]landed.Sale{sold(3, back(12, 3)), soon}, "item jack: sold: 1 piece sold on 2026-10-14, with 0 on hand: correct the day of this sale or of what came back, or the number of pieces"},
		{[]landed.Sale{sold(3, back(12, 3)), late}, ""},
	} {
		h := haul()
		item := &h.Lots[0].Items[0]
		item.Count, item.Sold = 3, c.sold
		if slices.ContainsFunc(c.sold, func(s landed.Sale) bool { return s.Made != "" }) {
			item.Found = &landed.Found{Sound: 2, Dead: 1, Yields: []landed.Yield{{What: "iron", Count: 1, Value: amount("4 CAD")}}}
		}
		_, err := landed.Split(h)
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != c.want || strings.Contains(got, "\n") {
			t.Errorf("%+v:\ngot  %s\nwant %s", c.sold, got, c.want)
		}
	}
}
