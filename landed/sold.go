package landed

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"time"

	"lotcost/landed/exchange"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// Sale is one sale of pieces of an item, all in one order. Price, Postage and
// Fees are those of the whole order, in any currency the haul has a rate for.
type Sale struct {
	Price   money.Amount // as the buyer sees it, without postage and sales tax
	Count   int64        // pieces in the order, 1 or more
	Date    time.Time    // at 00:00 UTC; zero is the haul's day
	Venue   string       // "" is the usual one; one the haul does not list charges nothing
	Postage money.Amount // really paid for sending and packing; no currency: as the venue's schedule has it
	Fees    money.Amount // really paid to the venue; no currency: as its schedule has it
	At      source.Origin
}

// Proceeds is what a sale brought, in home. The parts are rounded each by
// itself, half away from zero; Net is the exact sum, rounded once.
type Proceeds struct {
	Price, Charged          money.Amount // what the buyer paid for the goods, and for postage
	Fees, ValueTax, Postage money.Amount // what was paid, above zero; Postage with packing
	Net                     money.Amount // Price and Charged less Fees, ValueTax and Postage
}

// SoldPieces returns how many pieces of the item were sold.
func (i *Item) SoldPieces() int64 {
	var n int64
	for k := range i.Sold {
		n += i.Sold[k].Count
	}
	return n
}

// Proceeds works out what a sale of an item's pieces brought: by the schedule
// of its venue, but for what it says was really paid. Bought is what one piece
// was bought for, in home, as the margin scheme asks; no currency is nothing.
// The errors are those of [exchange.Converter.Value] and [resale.Sale.At], and
// [source.Faults] where postage goes by weight and the item has none.
func (h *Haul) Proceeds(item *Item, s *Sale, bought money.Amount) (Proceeds, error) {
	venue := resale.Venue{Currency: s.Price.Currency()}
	order, rates := &resale.Sale{}, h.Exchange()
	if i, listed := h.venueOf(s); listed {
		venue = h.Selling.Venues[i]
		var err error
		if order, err = h.Sale(item, &venue, s.Count); err != nil {
			return Proceeds{}, err
		}
		if order.VAT.Bought, err = rates.Value(bought, venue.Currency); err == nil {
			order.VAT.Bought, err = order.VAT.Bought.Times(s.Count)
		}
		if err != nil {
			return Proceeds{}, err
		}
	}
	order.Venue = &venue
	if s.Fees.Currency() != 0 {
		venue.Fees = nil
	}
	if s.Postage.Currency() != 0 {
		venue.Postage, order.Postage, order.Packing = resale.Postage{}, resale.Postage{}, money.Amount{}
	}
	if Unweighed(item, order) {
		return Proceeds{}, source.Faults{{At: s.At, Field: "item " + item.ID + ": sold", What: "the item has no weight, but postage at " + venue.Name + " goes by weight",
			Remedy: "write what one piece weighs, as in weight: 1.9 kg, or the postage paid, as in postage: 14.95"}}
	}
	price, err := rates.Value(s.Price, venue.Currency)
	if err != nil {
		return Proceeds{}, err
	}
	out, err := order.At(price)
	if err != nil {
		return Proceeds{}, err
	}
	return h.brought(rates, &out, s)
}

// venueOf finds the venue of a sale.
func (h *Haul) venueOf(s *Sale) (int, bool) {
	if h.Selling == nil {
		return 0, false
	}
	return h.Selling.Venue(s.Venue)
}

// brought brings a result home, and what a sale says was really paid.
func (h *Haul) brought(rates *exchange.Converter, out *resale.Result, s *Sale) (Proceeds, error) {
	var p Proceeds
	for _, part := range [...]struct {
		to *money.Amount
		of money.Amount
	}{{&p.Price, out.Price}, {&p.Charged, out.Charged}, {&p.Fees, out.Fees}, {&p.ValueTax, out.VAT}, {&p.Postage, out.Sending}} {
		var err error
		if *part.to, err = rates.Value(part.of, h.Home); err != nil {
			return p, err
		}
	}
	net, err := rates.Exact(out.Net, h.Home)
	for _, paid := range []struct{ given, part *money.Amount }{{&s.Fees, &p.Fees}, {&s.Postage, &p.Postage}} {
		if err != nil || paid.given.Currency() == 0 {
			continue
		}
		var exact *big.Rat
		if exact, err = rates.Exact(*paid.given, h.Home); err == nil {
			net.Sub(net, exact)
			*paid.part, err = rates.Value(*paid.given, h.Home)
		}
	}
	if err != nil {
		return p, err
	}
	p.Net, err = exchange.Round(net, money.HalfAway, h.Home)
	return p, err
}

// Order returns the indices of an item's sales by date, equals in file order.
func (h *Haul) Order(sales []Sale) []int {
	day := func(i int) time.Time {
		if sales[i].Date.IsZero() {
			return h.Date
		}
		return sales[i].Date
	}
	order := make([]int, len(sales))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return day(a).Compare(day(b)) })
	return order
}

// Take takes n pieces out of those of an item, as a sale does: the sound ones
// first, then those for parts, in each state the cheaper first, and no others.
// The pieces left keep the order of [ItemCost.Each], and so does what was taken;
// fewer than n are taken only where there are no more.
func Take(pieces []Pieces, n int64) (taken, left []Pieces) {
	order := make([]int, len(pieces))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(pieces[a].State, pieces[b].State), pieces[a].Each.Cmp(pieces[b].Each))
	})
	some := make([]int64, len(pieces))
	n = max(n, 0)
	for _, i := range order {
		if pieces[i].State <= ForParts {
			some[i] = min(n, pieces[i].Count)
			n -= some[i]
		}
	}
	part := func(list []Pieces, p Pieces, count int64) []Pieces {
		if p.Count = count; count > 0 {
			list = append(list, p)
		}
		return list
	}
	for i, p := range pieces {
		taken, left = part(taken, p, some[i]), part(left, p, p.Count-some[i])
	}
	return taken, left
}

// checkSold records sales that cannot be: before the haul, or of more pieces
// than there are.
func (x *index) checkSold(report *source.Report, item *Item) {
	there := item.Count
	if item.Found != nil {
		there += item.Found.Extra
	}
	var n int64
	for i := range item.Sold {
		s := &item.Sold[i]
		if meant := x.venueLike(s.Venue); meant != "" {
			report.Add(&source.Fault{At: s.At.Key("venue"), Field: "item " + item.ID + ": sold: venue", What: fmt.Sprintf("no venue is called %q, so it charges nothing", s.Venue), Remedy: "if that is not meant, write " + meant, Warning: true})
		}
		fail := func(what, remedy string) {
			report.Add(&source.Fault{At: s.At, Field: "item " + item.ID + ": sold", What: what, Remedy: remedy})
		}
		n += min(max(s.Count, 0), MaxCount)
		switch {
		case s.Count < 1:
			fail(fmt.Sprintf("a sale of %d pieces makes no sense", s.Count), "write how many were sold together, as in count: 2")
		case s.Price.Currency() == 0:
			fail("the price is missing", "write what the buyer paid, as in price: 46 CAD")
		case s.Price.Sign() < 0 || s.Postage.Sign() < 0 || s.Fees.Sign() < 0:
			fail("a price, postage or fees are negative", "write what was paid, as amounts of 0 or more")
		case !x.haul.Date.IsZero() && !s.Date.IsZero() && s.Date.Before(x.haul.Date):
			fail(fmt.Sprintf("sold on %s, before the haul was bought on %s", s.Date.Format(time.DateOnly), x.haul.Date.Format(time.DateOnly)), "correct one of the two dates")
		case n > there && item.Count >= 0:
			fail(fmt.Sprintf("%d were sold of %d", item.SoldPieces(), there), "write each sale once, with the number of its pieces")
			return
		}
	}
}

// venueLike returns the listed venue that a name may be a slip for; "" where it
// is listed itself, or like none.
func (x *index) venueLike(name string) string {
	if x.haul.Selling == nil || name == "" {
		return ""
	}
	if _, listed := x.haul.Selling.Venue(name); listed {
		return ""
	}
	return source.Nearest(name, x.haul.Selling.VenueNames())
}
