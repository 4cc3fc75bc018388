package resale_test

import (
	"math/big"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// Two plain readings of the rules, neither of which shares code with the
// package: one in exact fractions, one in whole numbers for speed.

// target is how the tests remember a target, which the package keeps to itself.
type target struct {
	kind  int // 0 break even, 1 amount, 2 margin on price, 3 mark-up on cost
	minor int64
	rate  decimal.Decimal
}

func (g target) of(c money.Currency) resale.Target {
	switch g.kind {
	case 1:
		return resale.Target{Amount: money.New(g.minor, c)}
	case 2:
		return resale.Target{Margin: g.rate}
	case 3:
		return resale.Target{Markup: g.rate}
	}
	return resale.Target{}
}

// trial is a sale and the target in it.
type trial struct {
	sale   resale.Sale
	target target
}

func ratOf(minor int64) *big.Rat { return new(big.Rat).SetInt64(minor) }

// halfAway rounds to a whole number.
func halfAway(r *big.Rat) *big.Rat {
	n := new(big.Int).Abs(r.Num())
	n.Mul(n, big.NewInt(2)).Add(n, r.Denom())
	n.Quo(n, new(big.Int).Mul(r.Denom(), big.NewInt(2)))
	if r.Sign() < 0 {
		n.Neg(n)
	}
	return new(big.Rat).SetInt(n)
}

func times(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
func plus(a, b *big.Rat) *big.Rat  { return new(big.Rat).Add(a, b) }
func minus(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }

// fee is one fee at a price, in exact fractions until its one rounding.
func (t *trial) fee(f *resale.Fee, price int64) *big.Rat {
	v, charged := t.sale.Venue, t.sale.Charged.Minor()
	base, taxable := ratOf(price), ratOf(price)
	if f.WithPostage {
		base = ratOf(price + charged)
		if v.TaxOnPostage {
			taxable = base
		}
	}
	if f.WithTax {
		base = plus(base, halfAway(times(taxable, v.SalesTax.Rat())))
	}
	percentage := new(big.Rat)
	for _, band := range f.Bands {
		from, upTo := ratOf(band.From.Minor()), ratOf(band.UpTo.Minor())
		open := band.UpTo == money.Amount{}
		reached := base.Cmp(from) > 0
		within := open || base.Cmp(upTo) <= 0
		switch {
		case f.Whole && reached && within:
			percentage = times(base, band.Rate.Rat())
		case !f.Whole && reached && within:
			percentage = plus(percentage, times(minus(base, from), band.Rate.Rat()))
		case !f.Whole && reached:
			percentage = plus(percentage, times(minus(upTo, from), band.Rate.Rat()))
		}
	}
	fee := plus(halfAway(percentage), ratOf(f.Fixed.Minor()))
	if floor := ratOf(f.Floor.Minor()); fee.Cmp(floor) < 0 {
		fee = floor
	}
	if limit := ratOf(f.Cap.Minor()); f.Cap != (money.Amount{}) && fee.Cmp(limit) > 0 {
		fee = limit
	}
	if f.Kind == resale.ListingFee && t.sale.Offered > 1 {
		fee = times(fee, ratOf(t.sale.Offered))
	}
	return fee
}

// vat is the tax on the sale.
func (t *trial) vat(price int64) *big.Rat {
	v := t.sale.VAT
	taxed := ratOf(price + t.sale.Charged.Minor())
	switch v.Scheme {
	case resale.NotRegistered:
		return new(big.Rat)
	case resale.MarginScheme:
		taxed = minus(taxed, ratOf(v.Bought.Minor()))
	}
	if taxed.Sign() < 0 {
		return new(big.Rat)
	}
	return halfAway(new(big.Rat).Quo(times(taxed, v.Rate.Rat()), plus(ratOf(1), v.Rate.Rat())))
}

// sending is what postage costs, by the venue's table or else the sale's own.
func (t *trial) sending() int64 {
	p := t.sale.Venue.Postage
	if p.Fixed == (money.Amount{}) && p.Steps == nil {
		p = t.sale.Postage
	}
	sum := p.Fixed.Minor()
	for _, s := range p.Steps {
		if t.sale.Weight <= s.UpTo {
			return sum + s.Price.Minor()
		}
	}
	return sum
}

// left is what a price leaves, and met whether the exact target is met.
func (t *trial) left(price int64) (left *big.Rat, met bool) {
	s := &t.sale
	left = ratOf(price + s.Charged.Minor() - s.Cost.Minor() - s.Packing.Minor() - t.sending())
	for i := range s.Venue.Fees {
		if f := &s.Venue.Fees[i]; f.Kind != resale.AdvertisingFee || s.Advertised {
			left = minus(left, t.fee(f, price))
		}
	}
	left = minus(left, t.vat(price))
	wanted := new(big.Rat)
	switch t.target.kind {
	case 1:
		wanted = ratOf(t.target.minor)
	case 2:
		wanted = times(t.target.rate.Rat(), ratOf(price))
	case 3:
		wanted = times(t.target.rate.Rat(), ratOf(s.Cost.Minor()))
	}
	return left, left.Cmp(wanted) >= 0
}

// everyPrice returns, for every price from 0 to most, what is left beyond the target; the target is
// met where that is not below zero. It is plain arithmetic on whole numbers, price by price.
func (t *trial) everyPrice(most int64, surplus []int64) []int64 {
	s := &t.sale
	surplus = surplus[:most+1]
	fixed := s.Charged.Minor() - s.Cost.Minor() - s.Packing.Minor() - t.sending()
	for p := range surplus {
		surplus[p] = int64(p) + fixed
	}
	for i := range s.Venue.Fees {
		if f := &s.Venue.Fees[i]; f.Kind != resale.AdvertisingFee || s.Advertised {
			t.subtractFee(f, surplus)
		}
	}
	t.subtractVAT(surplus)
	t.subtractTarget(surplus)
	return surplus
}

type plainBand struct{ from, upTo, rate int64 }

func (t *trial) subtractFee(f *resale.Fee, surplus []int64) {
	var bands []plainBand
	for _, b := range f.Bands {
		upTo := int64(1) << 60
		if b.UpTo != (money.Amount{}) {
			upTo = b.UpTo.Minor()
		}
		bands = append(bands, plainBand{b.From.Minor(), upTo, millionths(b.Rate)})
	}
	postage, taxedPostage, tax := int64(0), int64(0), int64(0)
	if f.WithPostage {
		postage = t.sale.Charged.Minor()
		if t.sale.Venue.TaxOnPostage {
			taxedPostage = postage
		}
	}
	if f.WithTax {
		tax = millionths(t.sale.Venue.SalesTax)
	}
	floor, limit, fixed := f.Floor.Minor(), int64(1)<<60, f.Fixed.Minor()
	if f.Cap != (money.Amount{}) {
		limit = f.Cap.Minor()
	}
	often := int64(1)
	if f.Kind == resale.ListingFee && t.sale.Offered > 1 {
		often = t.sale.Offered
	}
	whole := f.Whole
	for p := range surplus {
		base := int64(p) + postage
		if tax > 0 {
			base += ((int64(p)+taxedPostage)*tax + 500_000) / 1_000_000
		}
		var percentage int64
		for _, b := range bands {
			if base <= b.from {
				break
			}
			if whole {
				percentage = base * b.rate
			} else if base < b.upTo {
				percentage += (base - b.from) * b.rate
			} else {
				percentage += (b.upTo - b.from) * b.rate
			}
		}
		fee := (percentage+500_000)/1_000_000 + fixed
		if fee < floor {
			fee = floor
		}
		if fee > limit {
			fee = limit
		}
		surplus[p] -= fee * often
	}
}

func (t *trial) subtractVAT(surplus []int64) {
	v := t.sale.VAT
	if v.Scheme == resale.NotRegistered {
		return
	}
	bought := int64(0)
	if v.Scheme == resale.MarginScheme {
		bought = v.Bought.Minor()
	}
	rate := millionths(v.Rate)
	for p := range surplus {
		if margin := int64(p) + t.sale.Charged.Minor() - bought; margin > 0 {
			surplus[p] -= (2*margin*rate + rate + 1_000_000) / (2 * (rate + 1_000_000))
		}
	}
}

func (t *trial) subtractTarget(surplus []int64) {
	switch rate := millionths(t.target.rate); t.target.kind {
	case 1:
		for p := range surplus {
			surplus[p] -= t.target.minor
		}
	case 2:
		for p := range surplus {
			surplus[p] -= (int64(p)*rate + 999_999) / 1_000_000
		}
	case 3:
		markup := (t.sale.Cost.Minor()*rate + 999_999) / 1_000_000
		for p := range surplus {
			surplus[p] -= markup
		}
	}
}

func millionths(d decimal.Decimal) int64 { return d.Shift(6).IntPart() }

// dice draws a whole number from 0 to below n.
type dice func(n int64) int64

func (d dice) between(low, high int64) int64 { return low + d(high-low+1) }
func (d dice) of(n int64) bool               { return d(n) == 0 }

// rate draws a fraction of at most so many hundredths: whole percents as often
// as the odd ones.
func (d dice) rate(hundredths int64) decimal.Decimal {
	switch d(3) {
	case 0:
		return decimal.New(d(hundredths), -2)
	case 1:
		return decimal.New(d(hundredths*100), -4)
	}
	return decimal.New(d(hundredths*10_000), -6)
}

// plan fixes what the trials go through in every combination.
type plan struct {
	postage, withTax, whole bool
	target                  int
	scheme                  resale.Scheme
}

const plans = 2 * 2 * 2 * 4 * 3

func planOf(i int) plan {
	p := plan{postage: i%2 == 1, withTax: i/2%2 == 1, whole: i/4%2 == 1}
	p.target, p.scheme = i/8%4, resale.Scheme(i/32%3)
	return p
}

// trial draws a sale whose amounts go up to about size.
func (d dice) trial(p plan, c money.Currency, size int64) trial {
	a := func(minor int64) money.Amount { return money.New(minor, c) }
	v := &resale.Venue{Name: "gable", Currency: c}
	v.SalesTax, v.TaxOnPostage = d.rate(20), d.of(2)
	v.Postage.Steps = []money.Step[measure.Weight]{
		{UpTo: 500 * measure.Gram, Price: a(d(size / 40))},
		{UpTo: 5 * measure.Kilogram, Price: a(d(size / 20))},
	}
	v.Fees = append(v.Fees, d.fee(p, c, size))
	for range d(4) {
		q := plan{postage: d(2) == 1, withTax: d.of(2), whole: d(2) == 1}
		f := d.fee(q, c, size)
		f.Kind = resale.FeeKind(max(d(4)-1, 0))
		v.Fees = append(v.Fees, f)
	}
	s := resale.Sale{
		Venue: v, Cost: a(d(size / 4)), Dispatch: resale.Dispatch{Charged: a(d(size / 20)), Packing: a(d(size / 100))},
		Weight: measure.Weight(d(6000)) * measure.Gram * 5 / 6, Terms: resale.Terms{Advertised: d.of(2), Offered: d(4),
			VAT: resale.VAT{Scheme: p.scheme, Rate: d.rate(30), Bought: a(d(size / 4))}},
	}
	if d.of(4) {
		s.Postage.Fixed = a(d(size / 30))
	}
	g := target{kind: p.target, minor: d.between(-size/50, size/10), rate: d.rate(35)}
	s.Target = g.of(c)
	return trial{s, g}
}

func (d dice) fee(p plan, c money.Currency, size int64) resale.Fee {
	a := func(minor int64) money.Amount { return money.New(minor, c) }
	f := resale.Fee{What: "fee", WithPostage: p.postage, WithTax: p.withTax, Whole: p.whole}
	most := []int64{10, 25, 25, 60, 100}[d(5)]
	edges := []int64{0}
	for range d(4) {
		edges = append(edges, edges[len(edges)-1]+1+d(size/2))
	}
	for i, from := range edges {
		t := resale.Band{From: a(from), Rate: d.rate(most)}
		if i+1 < len(edges) {
			t.UpTo = a(edges[i+1])
		}
		f.Bands = append(f.Bands, t)
	}
	if d.of(6) {
		f.Bands = nil
	}
	if d.of(2) {
		f.Fixed = a(d(size / 200))
	}
	if d.of(3) {
		f.Floor = a(d(size / 50))
	}
	if d.of(3) {
		f.Cap = a(f.Floor.Minor() + d(size/20))
	}
	return f
}
