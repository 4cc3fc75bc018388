package sales

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/tally"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Proceeds works out what a sale of an item's pieces brought: by the schedule
// of its venue, but for what it says was really paid; a venue without one asks
// nothing, and value added tax is due there too. Bought is what one piece was
// bought for, in home, as the margin scheme asks; no currency is nothing.
// The errors are those of [exchange.Converter.Value] and [resale.Sale.At], and
// [source.Faults] where postage goes by weight and the item has none.
func (s *Seller) Proceeds(item *landed.Item, sold *landed.Sale, bought money.Amount) (resale.Result, error) {
	a, err := s.account(item, sold, bought)
	return a.Result, err
}

// account is Proceeds with what it takes to give some of it back.
func (s *Seller) account(item *landed.Item, sold *landed.Sale, bought money.Amount) (a account, err error) {
	item = Piece(item, sold.Made)
	var sums tally.Tally
	venue := resale.Venue{Currency: sold.Price.Currency(), Sending: resale.Fetched} // one that is not known asks nothing
	order := &resale.Sale{Terms: s.plan.Terms}                                      // the tax is the seller's, wherever a piece sells
	if i, err := s.plan.Venue(sold.Venue); err == nil {
		venue = s.plan.Venues[i]
		if order, err = s.Sale(item, &venue, sold.Count); err != nil {
			return a, err
		}
	}
	order.VAT.Bought = sums.Times(sums.Of(s.rates.Value(bought, venue.Currency)), sold.Count)
	order.Venue = &venue
	if sold.Fees.Currency() != 0 {
		venue.Fees = nil
	}
	if sold.Postage.Currency() != 0 {
		venue.Postage, venue.Packing = resale.Postage{}, money.Amount{}
		order.Postage, order.Packing = resale.Postage{}, money.Amount{}
	}
	if err := CheckWeight(item, order); err != nil {
		return a, source.Faults{{At: sold.At, Field: "item " + item.ID + ": sold", What: "the item has no weight, but postage at " + venue.Name + " goes by weight",
			Remedy: "write what one piece weighs", Or: "the postage paid", Figure: "weight-sold"}}
	}
	price := sums.Of(s.rates.Value(sold.Price, venue.Currency))
	if sums.Err != nil {
		return a, sums.Err
	}
	out, err := new(resale.Desk).At(order, price)
	if err != nil {
		return a, err
	}
	a.sale, a.vat, a.charged, a.kept = sold, order.VAT, out.Charged, cmp.Or(sold.Fees, out.Fees)
	if out.Net.Currency() != s.haul.Home {
		a.charged, _ = s.typed(order)
	}
	a.vat.Bought = sums.Of(s.rates.Value(bought, s.haul.Home))
	if a.Result, err = s.Brought(&out, order, sold); err == nil {
		a.Net = a.Sum() // of the parts that are shown, as the book adds them up
	}
	return a, cmp.Or(err, sums.Err)
}

// Brought brings a result home, and what a sale says was really paid. Each part is that which was
// typed, and so is what is left of them: by way of the venue's currency it would be rounded twice.
func (s *Seller) Brought(out *resale.Result, order *resale.Sale, sold *landed.Sale) (resale.Result, error) {
	home := s.haul.Home
	if !slices.ContainsFunc([]money.Currency{out.Net.Currency(), sold.Fees.Currency(), sold.Postage.Currency()}, func(c money.Currency) bool { return c != home && c != 0 }) {
		var sums tally.Tally
		p := resale.Result{Takings: out.Takings, Net: out.Net}
		p.Price = sums.Of(s.rates.Value(sold.Price, home))
		for _, paid := range [...]struct{ given, part *money.Amount }{{&sold.Fees, &p.Fees}, {&sold.Postage, &p.Sending}} {
			if paid.given.Currency() != 0 {
				*paid.part, p.Net = *paid.given, sums.Sub(p.Net, *paid.given)
			}
		}
		return p, sums.Err // nothing is to be converted
	}
	price, charged, sending := out.Price, out.Charged, []money.Amount{out.Sending}
	if out.Net.Currency() != home {
		price = sold.Price
		charged, sending = s.typed(order)
	}
	if sold.Postage.Currency() != 0 {
		sending = []money.Amount{sold.Postage}
	}
	var p resale.Result
	net := new(big.Rat)
	for _, part := range []struct {
		to    *money.Amount
		sign  int64
		parts []money.Amount
	}{{&p.Price, 1, []money.Amount{price}}, {&p.Charged, 1, []money.Amount{charged}}, {&p.Fees, -1, []money.Amount{cmp.Or(sold.Fees, out.Fees)}},
		{&p.VAT, -1, []money.Amount{out.VAT}}, {&p.Sending, -1, sending}} {
		sum := new(big.Rat)
		for _, a := range part.parts {
			exact, err := s.rates.Exact(a, home)
			if err != nil {
				return p, err
			}
			sum.Add(sum, exact)
		}
		var err error
		if *part.to, err = exchange.Round(sum, money.HalfAway, home); err != nil {
			return p, err
		}
		net.Add(net, sum.Mul(sum, big.NewRat(part.sign, 1)))
	}
	var err error
	p.Net, err = exchange.Round(net, money.HalfAway, home)
	return p, err
}

// typed is what the buyer of an order pays for postage, and what sending costs, as it was typed.
func (s *Seller) typed(order *resale.Sale) (charged money.Amount, sending []money.Amount) {
	d := asTyped(s.plan, order.Venue)
	sending = []money.Amount{d.Packing, d.Postage.Fixed}
	if i := slices.IndexFunc(d.Postage.Steps, func(step money.Step[measure.Weight]) bool { return order.Weight <= step.UpTo }); i >= 0 {
		sending = append(sending, d.Postage.Steps[i].Price)
	}
	return d.Charged, sending
}

// Sold lists the sales of an item by date, equals in file order, with what came back of each, and
// the pieces that are left. The error is [source.Faults]: also where more were sold than are sound
// or for parts at the time, or more was given back than was paid.
func (s *Seller) Sold(item *landed.Item, c *landed.ItemCost) (sales []selling.Sold, left []landed.Pieces, err error) {
	x := shelf{item: item, left: c.Each()}
	for sold, back := range s.haul.Turns(item) {
		if back != nil {
			if err := s.cameBack(&x, sales, sold, back); err != nil {
				return nil, nil, s.faultsOf(err, item, back.At)
			}
			continue
		}
		one := selling.Sold{Sale: *sold}
		one.Pieces = x.sell(sold)
		if short, there := one.Sale.Count-Pieces(one.Pieces), c.Found.Sound+c.Found.Parts; short > 0 {
			return nil, nil, source.Faults{{At: one.Sale.At, Field: "item " + item.ID + ": sold", What: fmt.Sprintf("more were sold (%d) than are sound or for parts (%d)", max(countOf(item.Sold, one.Sale.Made), there+short), there),
				Remedy: "correct what was sold, or what was found"}}
		}
		if err := s.accountFor(&one, item, c); err != nil {
			return nil, nil, s.faultsOf(err, item, one.Sale.At)
		}
		sales = append(sales, one)
	}
	return sales, x.left, nil
}

// faultsOf are the faults of an error about a sale of an item, or what came back of it.
func (s *Seller) faultsOf(err error, item *landed.Item, sold source.Origin) error {
	if at, inSelling := PlaceOf(s.plan, err, s.haul.Home); inSelling {
		return collect.Fault(at, "selling", err)
	}
	return collect.Fault(sold, "item "+item.ID+": sold", err)
}

// accountFor sets what a sale brought, and what was given back, beside what its pieces cost.
func (s *Seller) accountFor(one *selling.Sold, item *landed.Item, c *landed.ItemCost) error {
	one.Cost = Cost(one.Pieces, s.haul.Home)
	var err error
	bought := money.New(0, s.haul.Home) // what a part was bought for nobody can say
	if one.Sale.Made == "" {
		bought = Bought(s.plan, c)
	}
	if one.Result, err = s.Proceeds(item, &one.Sale, bought); err == nil {
		one.Left, err = one.Net.Sub(one.Cost)
	}
	if err == nil {
		one.Returned, err = s.Returned(item, &one.Sale, bought)
	}
	return err
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
