package landed

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"time"

	"lotcost/landed/internal/collect"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Sale is one sale of pieces of an item, all in one order. Price, Postage and
// Fees are those of the whole order, in any currency the haul has a rate for.
type Sale struct {
	Price   money.Amount // as the buyer sees it, without postage and sales tax
	Count   int64        // pieces in the order, 1 or more
	Date    time.Time    // at 00:00 UTC; zero is the haul's day
	Made    string       // what was sold of that made from dead pieces (Found.Yields); "" is pieces as they were bought
	Venue   string       // "" is the usual one; one the haul does not list charges nothing
	Postage money.Amount // really paid for sending and packing; no currency: as the venue's schedule has it
	Fees    money.Amount // really paid to the venue; no currency: as its schedule has it

	Returned []Return      // what came back of it
	At       source.Origin // where it was typed
}

// Return is what came back of a sale: pieces and the money for them, or, with a Count of 0, money
// alone, as for pieces that were lost on the way or that the buyer keeps for less. Amounts may be
// in any currency the haul has a rate for, at the rates of the sale.
type Return struct {
	Date     time.Time     // at 00:00 UTC
	Count    int64         // pieces that came back
	Refund   money.Amount  // what the buyer got back; no currency: all that was paid and not given back yet, postage too
	FeesBack money.Amount  // what the venue gave back of its fees; no currency is nothing
	Postage  money.Amount  // what the seller paid for the way back; no currency is nothing
	As       State         // Sound: as they left; else what they are now, ForParts or Dead
	At       source.Origin // where it was typed
}

// turn is a sale of an item, or what came back of one.
type turn struct {
	sale *Sale
	back *Return // nil is the sale itself
	day  time.Time
}

// Turns goes through the sales of an item and what came back, each with its sale and nil of the
// sale itself, in the order in which it is taken to have happened: by day; on one day first what
// came back of sales of earlier days, so that it may be sold again, then the sales in file order,
// each followed by what came back of it that day.
func (h *Haul) Turns(item *Item) iter.Seq2[*Sale, *Return] {
	return func(yield func(*Sale, *Return) bool) {
		for _, t := range h.turns(item) {
			if !yield(t.sale, t.back) {
				return
			}
		}
	}
}

func (h *Haul) turns(item *Item) []turn {
	var turns []turn
	for i := range item.Sold {
		s := &item.Sold[i]
		turns = append(turns, turn{s, nil, cmp.Or(s.Date, h.Date)})
		for k := range s.Returned {
			turns = append(turns, turn{s, &s.Returned[k], s.Returned[k].Date})
		}
	}
	earlier := func(t turn) int { // back of an earlier day
		if t.back != nil && t.day.After(cmp.Or(t.sale.Date, h.Date)) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(turns, func(a, b turn) int { return cmp.Or(a.day.Compare(b.day), earlier(a)-earlier(b)) })
	return turns
}

// checkSold records sales that cannot be: before the haul, or of more pieces
// than there are.
func (x *index) checkSold(report *collect.Report, item *Item) {
	if len(item.Sold) == 0 {
		return
	}
	there := map[string]int64{"": item.Count}
	if item.Found != nil {
		there[""] += item.Found.Extra
		for _, y := range item.Found.Yields {
			there[y.What] = y.Count
		}
	}
	n, all, back, before := map[string]int64{}, map[string]int64{}, false, report.Len()
	for i := range item.Sold {
		all[item.Sold[i].Made] += item.Sold[i].Count
		back = back || len(item.Sold[i].Returned) > 0
	}
	for i := range item.Sold {
		s := &item.Sold[i]
		fail := func(key, what, remedy string) *source.Fault {
			return report.Fail(s.At.Key(key), "item "+item.ID+": sold", what, remedy)
		}
		n[s.Made] += min(max(s.Count, 0), maxCount)
		most, known := there[s.Made]
		switch {
		case !known:
			fail("made", fmt.Sprintf("nothing called %q was made from dead pieces", s.Made), "name it as found: yields: what has it, or leave made out for a piece as it was bought")
		case s.Count < 1:
			fail("count", fmt.Sprintf("a sale of %d pieces makes no sense", s.Count), "write how many were sold together").Figure = "sale-count"
		case s.Price.Currency() == 0:
			fail("price", "the price is missing", "write what the buyer paid").Figure = "sale-price"
		case s.Price.Sign() < 0 || s.Postage.Sign() < 0 || s.Fees.Sign() < 0:
			fail("price", "a price, postage or fees are negative", "write what was paid, as amounts of 0 or more")
		case !x.haul.Date.IsZero() && !s.Date.IsZero() && s.Date.Before(x.haul.Date):
			fail("date", fmt.Sprintf("sold on %s, before the haul was bought on %s", s.Date.Format(time.DateOnly), x.haul.Date.Format(time.DateOnly)), "correct one of the two dates")
		case n[s.Made] > most && item.Count >= 0 && !back:
			fail("count", fmt.Sprintf("%d were sold of %d", all[s.Made], most), "write each sale once, with the number of its pieces")
			return
		}
	}
	if back && report.Len() == before {
		x.checkTurns(report, item, there)
	}
}

// checkTurns records what cannot have come back, and sales of pieces that had not come back yet.
func (x *index) checkTurns(report *collect.Report, item *Item, there map[string]int64) {
	came := map[*Sale]int64{}
	for s, back := range x.haul.Turns(item) {
		if back != nil {
			came[s] += min(max(back.Count, 0), maxCount)
			x.checkReturn(report, item, s, back, came[s])
			if back.As != Dead {
				there[s.Made] += back.Count
			}
			continue
		}
		if there[s.Made] < s.Count && item.Count >= 0 {
			report.Fail(s.At.Key("count"), "item "+item.ID+": sold", fmt.Sprintf("%s sold%s, with %d on hand", pieces(s.Count), on(cmp.Or(s.Date, x.haul.Date)), max(there[s.Made], 0)), "correct the day of this sale or of what came back, or the number of pieces")
			return
		}
		there[s.Made] -= s.Count
	}
}

// on names a day, where it is known.
func on(day time.Time) string {
	if day.IsZero() {
		return ""
	}
	return " on " + day.Format(time.DateOnly)
}

// checkReturn records what is wrong with a return, with which so many pieces of the sale came back.
func (x *index) checkReturn(report *collect.Report, item *Item, s *Sale, r *Return, came int64) {
	fail := func(key, what, remedy string) *source.Fault {
		return report.Fail(r.At.Key(key), "item "+item.ID+": returned", what, remedy)
	}
	sold := cmp.Or(s.Date, x.haul.Date)
	switch {
	case r.Date.IsZero():
		fail("date", "the day on which it came back is missing", "write it").Figure = "return-date"
	case r.Date.Before(sold):
		fail("date", fmt.Sprintf("came back on %s, before it was sold on %s", r.Date.Format(time.DateOnly), sold.Format(time.DateOnly)), "correct one of the two dates")
	case r.Count < 0 || came > s.Count:
		fail("count", fmt.Sprintf("%d came back of %d sold", came, s.Count), "write how many pieces came back each time, of those of this sale")
	case r.Refund.Sign() < 0 || r.FeesBack.Sign() < 0 || r.Postage.Sign() < 0:
		fail("refund", "a refund, fees given back or postage are negative", "write what was paid, as amounts of 0 or more")
	case r.As != Sound && r.As != ForParts && r.As != Dead:
		fail("as", "what came back is sound, for parts or dead", "say which")
	case r.As == ForParts && s.Made != "":
		fail("as", "what was made from dead pieces comes back as it was, or dead", "write dead, or leave it out").Figure = "return-as"
	case r.Refund.Currency() == 0 && r.Count == 0:
		fail("refund", "it is not said what came back", "write what the buyer got back").Figure = "refund"
	case r.Refund.Currency() == 0 && came < s.Count:
		fail("refund", fmt.Sprintf("%d came back of %d sold, and it is not said for what part of the price", came, s.Count), "write what the buyer got back").Figure = "refund"
	}
}
