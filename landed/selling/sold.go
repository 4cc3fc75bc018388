package selling

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/exchange"
	"lotcost/landed/internal/tally"
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
	item = Piece(item, sold.Made)
	var sums tally.Tally
	venue := resale.Venue{Currency: sold.Price.Currency()}
	order := &resale.Sale{}
	if i, err := s.plan.Venue(sold.Venue); err == nil {
		venue = s.plan.Venues[i]
		if order, err = s.Sale(item, &venue, sold.Count); err != nil {
			return Proceeds{}, err
		}
		order.VAT.Bought = sums.Times(sums.Of(s.rates.Value(bought, venue.Currency)), sold.Count)
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
			Remedy: "write what one piece weighs", Or: "the postage paid", Figure: "weight-sold"}}
	}
	price := sums.Of(s.rates.Value(sold.Price, venue.Currency))
	if sums.Err != nil {
		return Proceeds{}, sums.Err
	}
	out, err := order.At(price)
	if err != nil {
		return Proceeds{}, err
	}
	return s.brought(&out, sold)
}

// brought brings a result home, and what a sale says was really paid.
func (s *Seller) brought(out *resale.Result, sold *landed.Sale) (Proceeds, error) {
	var sums tally.Tally
	home := s.haul.Home
	in := func(a money.Amount) money.Amount { return sums.Of(s.rates.Value(a, home)) }
	p := Proceeds{Price: in(out.Price), Charged: in(out.Charged), Fees: in(out.Fees), ValueTax: in(out.VAT), Postage: in(out.Sending)}
	if sums.Err != nil {
		return p, sums.Err
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

// Sold is a sale of pieces of an item. Amounts are in home.
type Sold struct {
	Sale landed.Sale
	Proceeds
	Pieces []landed.Pieces // those that were sold
	Cost   money.Amount    // of them, their own
	Left   money.Amount    // Net less Cost
}

// Sold lists the sales of an item by date, equals in file order, and the pieces
// that are left. The error is [source.Faults]: also where more were sold than are
// sound or for parts.
func (s *Seller) Sold(item *landed.Item, c *landed.ItemCost) (sales []Sold, left []landed.Pieces, err error) {
	left = c.Each()
	for _, k := range s.order(item.Sold) {
		one := Sold{Sale: item.Sold[k]}
		if one.Pieces, left = take(left, &one.Sale); Pieces(one.Pieces) < one.Sale.Count {
			return nil, nil, source.Faults{{At: one.Sale.At, Field: "item " + item.ID + ": sold", What: fmt.Sprintf("more were sold (%d) than are sound or for parts (%d)", CountOf(item.Sold, one.Sale.Made), c.Found.Sound+c.Found.Parts),
				Remedy: "correct what was sold, or what was found"}}
		}
		if err := s.account(&one, item, c); err != nil {
			report := &source.Report{}
			at, inSelling := s.plan.PlaceOf(err, s.haul.Home)
			field := "selling"
			if !inSelling {
				at, field = one.Sale.At, "item "+item.ID+": sold"
			}
			report.AddErr(at, field, err)
			return nil, nil, report.Err()
		}
		sales = append(sales, one)
	}
	return sales, left, nil
}

// account sets what a sale brought beside what its pieces cost.
func (s *Seller) account(one *Sold, item *landed.Item, c *landed.ItemCost) error {
	one.Cost = Cost(one.Pieces, s.haul.Home)
	var err error
	bought := money.New(0, s.haul.Home) // what a part was bought for nobody can say
	if one.Sale.Made == "" {
		bought = s.plan.Bought(c)
	}
	if one.Proceeds, err = s.Proceeds(item, &one.Sale, bought); err == nil {
		one.Left, err = one.Net.Sub(one.Cost)
	}
	return err
}

// Cost adds up what pieces of one item cost, in home; it is a part of the item's.
func Cost(groups []landed.Pieces, home money.Currency) money.Amount {
	var minor int64
	for _, g := range groups {
		minor += g.Count * g.Each.Minor()
	}
	return money.New(minor, home)
}

// Pieces counts those of some groups.
func Pieces(groups []landed.Pieces) int64 {
	var n int64
	for _, g := range groups {
		n += g.Count
	}
	return n
}

// Count returns how many pieces were sold.
func Count(sales []landed.Sale) int64 {
	var n int64
	for i := range sales {
		n += sales[i].Count
	}
	return n
}

// CountOf returns how many pieces were sold of those made from dead ones that
// are called so, or with "" of those as they were bought.
func CountOf(sales []landed.Sale, made string) int64 {
	return Count(slices.DeleteFunc(slices.Clone(sales), func(s landed.Sale) bool { return s.Made != made }))
}

// Piece is an item as one of its pieces is sold: what was made from dead ones,
// which is called so, or with "" the item itself.
func Piece(item *landed.Item, made string) *landed.Item {
	if item.Found == nil || made == "" {
		return item
	}
	for _, y := range item.Found.Yields {
		if y.What == made {
			return &landed.Item{ID: item.ID, What: y.What, Weight: y.Weight, Weighed: y.Weighed, At: item.At}
		}
	}
	return item
}

// take takes the pieces of a sale.
func take(pieces []landed.Pieces, s *landed.Sale) (taken, left []landed.Pieces) {
	if s.Made == "" {
		return Take(pieces, s.Count)
	}
	n := s.Count
	for _, p := range pieces {
		some := min(n, p.Count)
		if p.What != s.Made || some == 0 {
			left = append(left, p)
			continue
		}
		n, p.Count = n-some, p.Count-some
		if p.Count > 0 {
			left = append(left, p)
		}
		p.Count = some
		taken = append(taken, p)
	}
	return taken, left
}

// order returns the indices of an item's sales by date, equals in file order.
func (s *Seller) order(sales []landed.Sale) []int {
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
