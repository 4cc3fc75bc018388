package landed

import (
	"fmt"
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
	At      source.Origin
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
	n, all := map[string]int64{}, map[string]int64{}
	for i := range item.Sold {
		all[item.Sold[i].Made] += item.Sold[i].Count
	}
	for i := range item.Sold {
		s := &item.Sold[i]
		fail := func(key, what, remedy string) *source.Fault {
			return report.Add(&source.Fault{At: s.At.Key(key), Field: "item " + item.ID + ": sold", What: what, Remedy: remedy})
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
		case n[s.Made] > most && item.Count >= 0:
			fail("count", fmt.Sprintf("%d were sold of %d", all[s.Made], most), "write each sale once, with the number of its pieces")
			return
		}
	}
}
