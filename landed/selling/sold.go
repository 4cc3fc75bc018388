package selling

import (
	"cmp"
	"math/big"
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/exchange"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"
)

// Proceeds is what a sale brought, in home. The parts are rounded each by
// itself, half away from zero; Net is the exact sum, rounded once.
type Proceeds struct {
	Price, Charged          money.Amount // what the buyer paid for the goods, and for postage
	Fees, ValueTax, Postage money.Amount // what was paid, above zero; Postage with packing
	Net                     money.Amount // Price and Charged less Fees, ValueTax and Postage
}

// Proceeds works out what a sale of an item's pieces brought: by the schedule
// of its venue, but for what it says was really paid. Bought is what one piece
// was bought for, in home, as the margin scheme asks; no currency is nothing.
// The errors are those of [exchange.Converter.Value] and [resale.Sale.At], and
// [source.Faults] where postage goes by weight and the item has none.
func (s *Seller) Proceeds(item *landed.Item, sold *landed.Sale, bought money.Amount) (Proceeds, error) {
	venue := resale.Venue{Currency: sold.Price.Currency()}
	order := &resale.Sale{}
	if i, err := s.plan.Venue(sold.Venue); err == nil {
		venue = s.plan.Venues[i]
		if order, err = s.Sale(item, &venue, sold.Count); err != nil {
			return Proceeds{}, err
		}
		if order.VAT.Bought, err = s.rates.Value(bought, venue.Currency); err == nil {
			order.VAT.Bought, err = order.VAT.Bought.Times(sold.Count)
		}
		if err != nil {
			return Proceeds{}, err
		}
	}
	order.Venue = &venue
	if sold.Fees.Currency() != 0 {
		venue.Fees = nil
	}
	if sold.Postage.Currency() != 0 {
		venue.Postage, venue.Packing = resale.Postage{}, money.Amount{}
		order.Postage, order.Packing = resale.Postage{}, money.Amount{}
	}
	if err := CheckWeight(item, order); err != nil {
		return Proceeds{}, source.Faults{{At: sold.At, Field: "item " + item.ID + ": sold", What: "the item has no weight, but postage at " + venue.Name + " goes by weight",
			Remedy: "write what one piece weighs, as in weight: 1.9 kg, or the postage paid, as in postage: 14.95", Err: err}}
	}
	price, err := s.rates.Value(sold.Price, venue.Currency)
	if err != nil {
		return Proceeds{}, err
	}
	out, err := order.At(price)
	if err != nil {
		return Proceeds{}, err
	}
	return s.brought(&out, sold)
}

// brought brings a result home, and what a sale says was really paid.
func (s *Seller) brought(out *resale.Result, sold *landed.Sale) (Proceeds, error) {
	var p Proceeds
	home := s.haul.Home
	for _, part := range [...]struct {
		to *money.Amount
		of money.Amount
	}{{&p.Price, out.Price}, {&p.Charged, out.Charged}, {&p.Fees, out.Fees}, {&p.ValueTax, out.VAT}, {&p.Postage, out.Sending}} {
		var err error
		if *part.to, err = s.rates.Value(part.of, home); err != nil {
			return p, err
		}
	}
	net, err := s.rates.Exact(out.Net, home)
	for _, paid := range []struct{ given, part *money.Amount }{{&sold.Fees, &p.Fees}, {&sold.Postage, &p.Postage}} {
		if err != nil || paid.given.Currency() == 0 {
			continue
		}
		var exact *big.Rat
		if exact, err = s.rates.Exact(*paid.given, home); err == nil {
			net.Sub(net, exact)
			*paid.part, err = s.rates.Value(*paid.given, home)
		}
	}
	if err != nil {
		return p, err
	}
	p.Net, err = exchange.Round(net, money.HalfAway, home)
	return p, err
}

// Count returns how many pieces were sold.
func Count(sales []landed.Sale) int64 {
	var n int64
	for i := range sales {
		n += sales[i].Count
	}
	return n
}

// Order returns the indices of an item's sales by date, equals in file order.
func (s *Seller) Order(sales []landed.Sale) []int {
	day := func(i int) time.Time {
		if sales[i].Date.IsZero() {
			return s.haul.Date
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
// The pieces left keep the order of [landed.ItemCost.Each], and so does what was taken;
// fewer than n are taken only where there are no more.
func Take(pieces []landed.Pieces, n int64) (taken, left []landed.Pieces) {
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
		if pieces[i].State <= landed.ForParts {
			some[i] = min(n, pieces[i].Count)
			n -= some[i]
		}
	}
	part := func(list []landed.Pieces, p landed.Pieces, count int64) []landed.Pieces {
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
