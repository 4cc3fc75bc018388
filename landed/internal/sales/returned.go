package sales

import (
	"cmp"
	"errors"
	"fmt"
	"math/big"
	"slices"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/exchange"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// account is a sale with what it came to, and what of that still stands as something comes back.
type account struct {
	resale.Result              // in home
	charged, kept money.Amount // of it, postage paid by the buyer and fees, as they were typed
	vat           resale.VAT   // Bought is that of one piece, in home
	sale          *landed.Sale
	paid, fees    standing
	tax           money.Amount
	count         int64 // pieces that did not come back
}

// standing is an amount that may be given back in parts: exactly, and as the sale rounded it.
type standing struct {
	exact *big.Rat
	home  money.Amount
}

// add adds an amount to what stands exactly.
func (x *standing) add(a money.Amount, rates *exchange.Converter) error {
	exact, err := rates.Exact(a, x.home.Currency())
	if err == nil && x.exact != nil {
		exact.Add(exact, x.exact)
	}
	x.exact = exact
	return err
}

// take takes an amount off, all of it where what is given has no currency, and returns it in home.
// It reports false where there is less.
func (x *standing) take(a money.Amount, rates *exchange.Converter) (took money.Amount, fits bool, err error) {
	exact, err := rates.Exact(a, x.home.Currency())
	if err == nil {
		took, err = rates.Value(a, x.home.Currency())
	}
	if err != nil {
		return took, false, err
	}
	above := exact.Cmp(x.exact)
	if above > 0 && took.Cmp(x.home) > 0 {
		return took, false, nil
	}
	if a.Currency() == 0 || above >= 0 || took.Cmp(x.home) > 0 {
		took, exact = x.home, x.exact
	}
	x.exact = new(big.Rat).Sub(x.exact, exact)
	x.home = money.New(x.home.Minor()-took.Minor(), took.Currency())
	return took, true, nil
}

// open readies the account of a sale for what comes back of it.
func (s *Seller) open(a *account) (err error) {
	a.count, a.tax, a.fees.home = a.sale.Count, a.VAT, a.Fees
	if a.paid.home, err = a.Price.Add(a.Charged); err != nil {
		return err
	}
	for _, part := range []struct {
		of     *standing
		amount money.Amount
	}{{&a.paid, a.sale.Price}, {&a.paid, a.charged}, {&a.fees, a.kept}} {
		if err := part.of.add(part.amount, s.rates); err != nil {
			return err
		}
	}
	return nil
}

// back works out what a return takes from what a sale brought, but for its pieces; those of a sale
// come by day. A fault says that more was given back than was paid.
func (s *Seller) back(a *account, item *landed.Item, r *landed.Return) (selling.Returned, error) {
	var sums tally.Tally
	// of is what an error is about: the amount under a key.
	of := func(key string, err error) error {
		return collect.Fault(r.At.Key(key), "item "+item.ID+": returned: "+key, err)
	}
	given := func(from *standing, amount money.Amount, key, what string) money.Amount {
		most := from.home
		took, fits, err := from.take(amount, s.rates)
		if err = of(key, err); err == nil && !fits {
			err = source.Faults{{At: r.At.Key(key), Field: "item " + item.ID + ": returned: " + key, What: fmt.Sprintf(what, amount, most), Remedy: "write no more than that", Figure: "most-" + key + " " + most.String()}}
		}
		return sums.Of(took, err)
	}
	home := func(minor int64) money.Amount { return money.New(minor, s.haul.Home) }
	postage := func() int64 { return min(a.paid.home.Minor(), a.Charged.Minor()) } // paid by the buyer
	before := postage()
	b := selling.Returned{Return: r, Earnings: selling.Earnings{Cost: home(0), WrittenOff: home(0)}}
	sending, err := s.rates.Value(r.Postage, s.haul.Home)
	b.Fees, b.Sending = home(0), sums.Of(sending, of("postage", err))
	refund := given(&a.paid, r.Refund, "refund", "%s went back to the buyer, who had paid %s")
	if r.FeesBack.Currency() != 0 {
		b.Fees = minus(given(&a.fees, r.FeesBack, "fees-back", "%s of fees came back, and %s were paid"))
	}
	if a.count -= r.Count; sums.Err != nil {
		return b, sums.Err
	}
	b.Charged = home(postage() - before)
	b.Price = home(-refund.Minor() - b.Charged.Minor())
	tax := sums.Of(s.taxOn(a))
	b.VAT, a.tax = sums.Sub(tax, a.tax), tax
	return b, cmp.Or(sums.Err, Fits(&b.Earnings))
}

// Fits returns [money.ErrOverflow] where what earnings come to does not fit.
func Fits(e *selling.Earnings) error {
	var sums tally.Tally
	sums.Sub(sums.Add(e.Price, e.Charged), sums.Add(e.Fees, e.VAT, e.Sending, e.Cost, e.WrittenOff))
	return sums.Err
}

func minus(a money.Amount) money.Amount { return money.New(-a.Minor(), a.Currency()) }

// taxOn is the value added tax on what a buyer has paid in the end for the pieces that did not come
// back (Directive 2006/112/EC, article 90, read in a copy: the taxable amount falls as the price
// does, and with a sale that is undone).
func (s *Seller) taxOn(a *account) (money.Amount, error) {
	order := resale.Sale{Venue: &resale.Venue{Currency: s.haul.Home}, Terms: resale.Terms{VAT: a.vat}}
	var err error
	if order.VAT.Bought, err = a.vat.Bought.Times(a.count); err != nil {
		return money.Amount{}, err
	}
	out, err := new(resale.Desk).At(&order, a.paid.home)
	return out.VAT, err
}

// Returned works out what came back of a sale, by day, without its pieces and their cost. The
// errors are those of [Seller.Proceeds], and [source.Faults] where more was given back than was
// paid, or a rate is missing.
func (s *Seller) Returned(item *landed.Item, sold *landed.Sale, bought money.Amount) ([]selling.Returned, error) {
	if len(sold.Returned) == 0 {
		return nil, nil
	}
	a, err := s.account(item, sold, bought)
	if err == nil {
		err = s.open(&a)
	}
	if err != nil {
		return nil, err
	}
	var list []selling.Returned
	for _, back := range s.haul.Turns(&landed.Item{Sold: []landed.Sale{*sold}}) {
		if back != nil {
			b, err := s.back(&a, item, back)
			if err != nil {
				return nil, collect.Fault(back.At, "item "+item.ID+": returned", err)
			}
			list = append(list, b)
		}
	}
	return list, nil
}

// CheckReturned lists, of a haul that is right in all else, where more was given back than was
// paid; what cannot be worked out is passed over.
func (s *Seller) CheckReturned() (all source.Faults) {
	for _, item := range s.haul.Items() {
		for i := range item.Sold {
			sold := &item.Sold[i]
			if len(sold.Returned) == 0 {
				continue
			}
			if _, err := s.Proceeds(item, sold, money.Amount{}); err != nil {
				continue
			}
			_, err := s.Returned(item, sold, money.Amount{})
			if faults, is := errors.AsType[source.Faults](err); is {
				all = append(all, faults...)
			}
		}
	}
	return all
}

// cameBack puts back what came back of one of some sales of an item.
func (s *Seller) cameBack(x *shelf, sales []selling.Sold, sold *landed.Sale, back *landed.Return) error {
	for i := range sales {
		for k := range sales[i].Returned {
			b := &sales[i].Returned[k]
			if b.Return != back {
				continue
			}
			worth, err := s.forParts(x.item, back)
			if err != nil {
				return err
			}
			var lost int64
			b.Worth = worth
			b.Pieces, lost = x.back(sold, back, worth)
			b.Cost, b.WrittenOff = minus(Cost(b.Pieces, s.haul.Home)), money.New(lost, s.haul.Home)
			return Fits(&b.Earnings)
		}
	}
	return nil
}

// forParts is what pieces that came back for parts are worth, in home, rounded once, half away from
// zero; 0 of others.
func (s *Seller) forParts(item *landed.Item, r *landed.Return) (money.Amount, error) {
	if r.As != landed.ForParts {
		return money.New(0, s.haul.Home), nil
	}
	worth, err := s.rates.Exact(item.PartsValue, s.haul.Home)
	if err != nil {
		return money.Amount{}, err
	}
	return exchange.Round(worth.Mul(worth, new(big.Rat).SetInt64(r.Count)), money.HalfAway, s.haul.Home)
}

// shelf is the pieces of an item, as they are sold and come back.
type shelf struct {
	item *landed.Item
	left []landed.Pieces
	out  map[*landed.Sale][]landed.Pieces // of sales of which something came back
}

func (x *shelf) sell(s *landed.Sale) (taken []landed.Pieces) {
	if taken, x.left = take(x.left, s); len(s.Returned) > 0 {
		if x.out == nil {
			x.out = map[*landed.Sale][]landed.Pieces{}
		}
		x.out[s] = taken
	}
	return taken
}

// back puts back what came back of a sale, the sound pieces first and the cheaper, as it took them.
// As what they are now they bear no more than a piece is worth so, worth being that of all of them
// (IAS 2, paragraph 9: the lower of cost and net realisable value); the rest is written off.
func (x *shelf) back(s *landed.Sale, r *landed.Return, worth money.Amount) (came []landed.Pieces, lost int64) {
	came, rest := take(x.out[s], &landed.Sale{Count: r.Count, Made: s.Made})
	if x.out != nil { // else nothing was sold yet, which is refused
		x.out[s] = rest
	}
	cost := Cost(came, worth.Currency()).Minor()
	switch r.As {
	case landed.Dead:
		return came, cost
	case landed.ForParts:
		lost = max(0, cost-worth.Minor())
		x.put(Divide(money.New(cost-lost, worth.Currency()), landed.Pieces{State: landed.ForParts, Count: Pieces(came)}))
	default:
		x.put(came)
	}
	return came, lost
}

// put puts pieces where those in their state stand, the dearer first.
func (x *shelf) put(pieces []landed.Pieces) {
	made := func(p *landed.Pieces) int {
		if p.State != landed.Made {
			return 0
		}
		return slices.IndexFunc(x.item.Found.Yields, func(y landed.Yield) bool { return y.What == p.What })
	}
	x.left = append(x.left, pieces...)
	slices.SortStableFunc(x.left, func(a, b landed.Pieces) int {
		return cmp.Or(cmp.Compare(a.State, b.State), made(&a)-made(&b), b.Each.Cmp(a.Each))
	})
	merged := x.left[:0]
	for _, p := range x.left {
		if n := len(merged); n > 0 && merged[n-1].State == p.State && merged[n-1].What == p.What && merged[n-1].Each == p.Each {
			merged[n-1].Count += p.Count
		} else {
			merged = append(merged, p)
		}
	}
	x.left = merged
}

// Left counts the pieces of an item that are left after all its sales and what came back, by what
// they are; they have no cost.
func (s *Seller) Left(item *landed.Item) []landed.Pieces {
	found, free := landed.Found{Sound: item.Count}, money.New(0, s.haul.Home)
	if item.Found != nil {
		found = *item.Found
	}
	x := shelf{item: item, left: []landed.Pieces{{Count: found.Sound, Each: free}, {State: landed.ForParts, Count: found.Parts, Each: free}}}
	for _, y := range found.Yields {
		x.left = append(x.left, landed.Pieces{State: landed.Made, What: y.What, Count: y.Count, Each: free})
	}
	for sold, back := range s.haul.Turns(item) {
		if back == nil {
			x.sell(sold)
		} else {
			x.back(sold, back, free)
		}
	}
	return x.left
}
