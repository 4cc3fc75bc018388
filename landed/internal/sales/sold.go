package sales

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Proceeds works out what a sale of an item's pieces brought: by the schedule
// of its venue, but for what it says was really paid. Bought is what one piece
// was bought for, in home, as the margin scheme asks; no currency is nothing.
// The errors are those of [exchange.Converter.Value] and [resale.Sale.At], and
// [source.Faults] where postage goes by weight and the item has none.
func (s *Seller) Proceeds(item *landed.Item, sold *landed.Sale, bought money.Amount) (resale.Result, error) {
	item = Piece(item, sold.Made)
	var sums tally.Tally
	venue := resale.Venue{Currency: sold.Price.Currency()}
	order := &resale.Sale{}
	if len(s.plan.Venues) > 0 {
		if i, err := s.plan.Venue(sold.Venue); err == nil {
			venue = s.plan.Venues[i]
			if order, err = s.Sale(item, &venue, sold.Count); err != nil {
				return resale.Result{}, err
			}
			order.VAT.Bought = sums.Times(sums.Of(s.rates.Value(bought, venue.Currency)), sold.Count)
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
		return resale.Result{}, source.Faults{{At: sold.At, Field: "item " + item.ID + ": sold", What: "the item has no weight, but postage at " + venue.Name + " goes by weight",
			Remedy: "write what one piece weighs", Or: "the postage paid", Figure: "weight-sold"}}
	}
	price := sums.Of(s.rates.Value(sold.Price, venue.Currency))
	if sums.Err != nil {
		return resale.Result{}, sums.Err
	}
	out, err := new(resale.Desk).At(order, price)
	if err != nil {
		return resale.Result{}, err
	}
	return s.brought(&out, sold)
}

// brought brings a result home, and what a sale says was really paid. The price
// is that of the sale: by way of the venue's currency it would be rounded twice.
func (s *Seller) brought(out *resale.Result, sold *landed.Sale) (resale.Result, error) {
	var sums tally.Tally
	home := s.haul.Home
	in := func(a money.Amount) money.Amount { return sums.Of(s.rates.Value(a, home)) }
	p := resale.Result{Price: in(sold.Price), Charged: in(out.Charged), Fees: in(out.Fees), VAT: in(out.VAT), Sending: in(out.Sending)}
	if sums.Err != nil {
		return p, sums.Err
	}
	really := [...]struct{ given, part *money.Amount }{{&sold.Fees, &p.Fees}, {&sold.Postage, &p.Sending}}
	if !slices.ContainsFunc([]money.Currency{out.Net.Currency(), sold.Fees.Currency(), sold.Postage.Currency()}, func(c money.Currency) bool { return c != home && c != 0 }) {
		p.Net = out.Net // nothing is to be converted
		for _, paid := range really {
			if paid.given.Currency() != 0 {
				*paid.part, p.Net = *paid.given, sums.Sub(p.Net, *paid.given)
			}
		}
		return p, sums.Err
	}
	net := new(big.Rat)
	var err error
	exact := func(add func(z, x, y *big.Rat) *big.Rat, a money.Amount) {
		var x *big.Rat
		if err == nil {
			if x, err = s.rates.Exact(a, home); err == nil {
				add(net, net, x)
			}
		}
	}
	exact((*big.Rat).Add, out.Net)
	if out.Price.Currency() != home {
		exact((*big.Rat).Sub, out.Price)
		exact((*big.Rat).Add, sold.Price)
	}
	for _, paid := range really {
		if paid.given.Currency() != 0 {
			exact((*big.Rat).Sub, *paid.given)
			*paid.part = in(*paid.given)
		}
	}
	if err = cmp.Or(err, sums.Err); err != nil {
		return p, err
	}
	p.Net, err = exchange.Round(net, money.HalfAway, home)
	return p, err
}

// Sold lists the sales of an item by date, equals in file order, and the pieces
// that are left. The error is [source.Faults]: also where more were sold than are
// sound or for parts.
func (s *Seller) Sold(item *landed.Item, c *landed.ItemCost) (sales []selling.Sold, left []landed.Pieces, err error) {
	left = c.Each()
	for _, k := range s.order(item.Sold) {
		one := selling.Sold{Sale: item.Sold[k]}
		if one.Pieces, left = take(left, &one.Sale); Pieces(one.Pieces) < one.Sale.Count {
			return nil, nil, source.Faults{{At: one.Sale.At, Field: "item " + item.ID + ": sold", What: fmt.Sprintf("more were sold (%d) than are sound or for parts (%d)", CountOf(item.Sold, one.Sale.Made), c.Found.Sound+c.Found.Parts),
				Remedy: "correct what was sold, or what was found"}}
		}
		if err := s.account(&one, item, c); err != nil {
			report := &collect.Report{}
			at, inSelling := PlaceOf(s.plan, err, s.haul.Home)
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
func (s *Seller) account(one *selling.Sold, item *landed.Item, c *landed.ItemCost) error {
	one.Cost = Cost(one.Pieces, s.haul.Home)
	var err error
	bought := money.New(0, s.haul.Home) // what a part was bought for nobody can say
	if one.Sale.Made == "" {
		bought = Bought(s.plan, c)
	}
	if one.Result, err = s.Proceeds(item, &one.Sale, bought); err == nil {
		one.Left, err = one.Net.Sub(one.Cost)
	}
	return err
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

// Bought is the purchase price of one piece for the margin scheme: its part of
// price and premium or, of imported goods, of the value for import tax and that
// tax (Directive 2006/112/EC, articles 312 and 317), taken as all but fees and
// repairs, in home. Odd units make it lower, which never makes the tax too low.
func Bought(p *selling.Plan, c *landed.ItemCost) money.Amount {
	kinds := []landed.Kind{landed.Price, landed.Premium}
	if p.VAT.Imported {
		kinds = append(kinds, landed.Freight, landed.Insurance, landed.Duty, landed.Tax)
	}
	var paid int64
	for _, k := range kinds {
		paid += c.Share(k).Minor()
	}
	large, small, _, err := money.Equal(paid, c.Count+c.Found.Extra)
	if err != nil || paid < 0 {
		return money.New(0, c.Cost.Currency())
	}
	return money.New(min(large, small), c.Cost.Currency())
}

// PlaceOf finds where in the section selling a currency stands for which there
// is no rate. It reports false, and the section, for any other error.
func PlaceOf(p *selling.Plan, err error, home money.Currency) (source.Origin, bool) {
	var none *fx.NoRateError
	if !errors.As(err, &none) {
		return p.At, false
	}
	for _, of := range []struct {
		key    string
		amount money.Amount
	}{{"charged", p.Charged}, {"packing", p.Packing}, {"postage", p.Postage.Fixed}, {"target", p.Target.Amount}} {
		if of.amount.Currency() != 0 && of.amount.Currency().Code() == string(none.From) {
			return p.At.Key(of.key), true
		}
	}
	for i := range p.Venues {
		own, abroad := fx.Code(home.Code()), fx.Code(p.Venues[i].Currency.Code())
		if none.From == own && none.To == abroad || none.From == abroad && none.To == own {
			return p.At.Entry(i, "venues").Key("currency"), true
		}
	}
	return p.At, false
}

// Imported reports whether the goods count as imported by whoever sells
// them: unless both countries are known and the same.
func Imported(h *landed.Haul) bool {
	from, _, _ := strings.Cut(h.From, "-")
	to, _, _ := strings.Cut(h.To, "-")
	return from == "" || from != to
}
