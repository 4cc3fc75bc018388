package live

import (
	"math"
	"strconv"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/doubles"
	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

// Columns of the sheet prices: a row for each offer at each venue, the usual one first.
const (
	priceID = iota
	priceWhat
	priceLot
	priceState
	pricePieces
	priceVenue
	priceCost
	priceAt
	priceCharged
	priceFees
	priceTax
	priceSending
	priceNet
	priceProfit
	priceReturn
	priceEven
	priceAsk
	priceVerdict
	priceFound
)

// Columns of the sheet fees: a row for each band of a fee.
const (
	feeVenue = iota
	feeWhat
	feeFrom
	feeUpTo
	feeRate
	feeFixed
	feeFloor
	feeCap
)

// Columns of the sheet search, in minor units: what must be left and what the row of the offer has
// beside, wherever it is sorted to, where a price that would be reached without any rounding is
// found step by step, and the prices around it with what is left of each.
const (
	searchOf = iota
	searchVenue
	searchFor
	searchNeed
	searchCharged
	searchSending
	searchFirst
)

// mostSearched is of how many prices the search is calculated: longer ones hold what was found.
const mostSearched = 1000

// Prices are the sheets of what pieces must bring: what is left of a price that may be changed, and
// the least prices without a loss and for the target.
func Prices(r *doubles.Result) []*sheet.Table {
	p := pricesOf(r)
	return append(p.tables, written(p.inputs(), p.tables))
}

// pricesOf makes the workbook of prices.
func pricesOf(r *doubles.Result) *prices {
	p := &prices{r: r}
	p.prices = newGrid("prices", append([]sheet.Column{{Head: "id"}, {Head: "what", Wrap: true}, {Head: "lot"}, {Head: "state"}, {Head: "pieces", Align: sheet.Right}, {Head: "venue"}},
		figures("cost of one", "price", "postage the buyer pays", "fees", "tax", "postage and packing", "net proceeds", "profit", "return", "break-even", "asking price")...)...)
	p.prices.Columns = append(p.prices.Columns, sheet.Column{Head: "at this price", Min: 16}, sheet.Column{Head: "break-even and asking price", Min: 20})
	p.fees = newGrid("fees", append([]sheet.Column{{Head: "venue"}, {Head: "fee", Wrap: true}}, figures("from", "up to", "rate", "fixed", "at least", "at most")...)...)
	p.search = newGrid("search", append([]sheet.Column{{Head: "item"}, {Head: "venue"}, {Head: "looked for"}}, figures("needed", "postage the buyer pays", "postage and packing")...)...)
	p.bands = make([][]int, len(r.Venues))
	p.order = []int{r.At}
	for v := range r.Venues {
		p.addFees(v)
		if v != r.At {
			p.order = append(p.order, v)
		}
	}
	for _, v := range p.order {
		for i := range r.Offers {
			p.row(&r.Offers[i], v)
		}
	}
	p.prices.sorts()
	for _, g := range []grid{p.prices, p.fees, p.search} {
		g.numbered()
	}
	p.tables = []*sheet.Table{p.prices.Table}
	if len(p.fees.Rows) > 0 {
		p.tables = append(p.tables, p.fees.Table)
	}
	if len(p.search.Rows) > 0 {
		p.tables = append(p.tables, p.search.Table)
	}
	return p
}

// prices is a workbook of prices in the making.
type prices struct {
	r                    *doubles.Result
	prices, fees, search grid
	bands                [][]int // by venue and fee: the row of its first band
	order                []int   // of the venues in the sheet prices
	tables               []*sheet.Table
}

// addFees adds the fees of a venue.
func (p *prices) addFees(venue int) {
	v := &p.r.Venues[venue]
	one := func(a money.Amount) sheet.Cell {
		if a.Currency() == 0 {
			return amount("", plain(v.Currency))
		}
		return amount(a.Decimal().String(), plain(v.Currency))
	}
	for f := range v.Fees {
		fee := &v.Fees[f]
		p.bands[venue] = append(p.bands[venue], len(p.fees.Rows)+2)
		bands := fee.Bands
		if len(bands) == 0 {
			bands = []resale.Band{{}}
		}
		for b := range bands {
			cells := []sheet.Cell{
				feeVenue: text(v.Name), feeWhat: text(fee.What), feeFrom: one(bands[b].From), feeUpTo: one(bands[b].UpTo),
				feeRate: amount(bands[b].Rate.String(), percent), feeCap: {},
			}
			if b == 0 {
				cells[feeFixed], cells[feeFloor], cells[feeCap] = one(fee.Fixed), one(fee.Floor), one(fee.Cap)
			}
			p.fees.add(sheet.Body, cells...)
		}
	}
}

// terms are what a sale at a venue takes of a price, in minor units.
type terms struct {
	*prices
	unit
	sale             *resale.Sale
	venue            int
	charged, sending figure
	smooth           bool // nothing is rounded
}

// to rounds to a minor unit, but where nothing is rounded.
func (t *terms) to(f figure) figure {
	return sheet.Either(t.smooth, f, nearest(f, 0))
}

// amount is a cell of the sheet fees, in minor units; what is empty is 0.
func (t *terms) amount(a money.Amount, column, row int) figure {
	return t.minor(t.fees.of(column, row, a.Decimal().InexactFloat64()))
}

// bound is such a cell that is one above; what is empty is none, until something is typed there.
func (t *terms) bound(a money.Amount, column, row int) figure {
	empty := figure{t.fees.of(column, row, 0).text + `=""`, truth(a.Currency() == 0)}
	return choose(empty, whole(1e14), t.amount(a, column, row))
}

// fees sums what the venue takes of a price.
func (t *terms) feesOf(price figure) figure {
	v := t.sale.Venue
	list := []figure{whole(0)}
	for f := range v.Fees {
		fee := &v.Fees[f]
		if fee.Kind == resale.AdvertisingFee && !t.sale.Advertised {
			continue
		}
		one := t.feeOf(fee, t.bands[t.venue][f], price)
		if n := t.sale.Offered; fee.Kind == resale.ListingFee && n > 1 {
			one = times(whole(n), one)
		}
		list = append(list, one)
	}
	return plus(list...)
}

// feeOf is one fee: the percentages of its bands together, rounded once, and what is fixed, within
// its bounds.
func (t *terms) feeOf(fee *resale.Fee, row int, price figure) figure {
	base := t.base(fee, price)
	parts := []figure{}
	for b := range fee.Bands {
		band := &fee.Bands[b]
		rate := t.fees.of(feeRate, row+b, band.Rate.InexactFloat64())
		from, upTo := t.amount(band.From, feeFrom, row+b), t.bound(band.UpTo, feeUpTo, row+b)
		part, in := minus(least(base, upTo), from), above(base, from)
		if fee.Whole {
			part, in = base, times(in, atLeast(upTo, base))
		}
		parts = append(parts, choose(in, times(rate, part), whole(0)))
	}
	sum := t.amount(fee.Fixed, feeFixed, row)
	if len(parts) > 0 {
		sum = plus(t.to(plus(parts...)), sum)
	}
	return least(most(sum, t.amount(fee.Floor, feeFloor, row)), t.bound(fee.Cap, feeCap, row))
}

// base is what a fee is a percentage of.
func (t *terms) base(fee *resale.Fee, price figure) figure {
	list, taxed := []figure{price}, price
	if fee.WithPostage && t.charged.value != 0 {
		list = append(list, t.charged)
		if t.sale.Venue.TaxOnPostage {
			taxed = plus(price, t.charged)
		}
	}
	if rate := t.sale.Venue.SalesTax; fee.WithTax && !rate.IsZero() {
		list = append(list, t.to(times(number(rate.InexactFloat64()), taxed)))
	}
	return plus(list...)
}

// vat is the tax in what the buyer pays.
func (t *terms) vat(price figure) figure {
	v := &t.sale.VAT
	if v.Scheme == resale.NotRegistered || v.Rate.IsZero() {
		return whole(0)
	}
	paid, bought := plus(price, t.charged), sheet.Either(v.Scheme == resale.MarginScheme, whole(v.Bought.Minor()), whole(0))
	of := minus(paid, bought)
	part := over(times(of, number(v.Rate.InexactFloat64())), number(v.Rate.Add(decimal.NewFromInt(1)).InexactFloat64()))
	return choose(above(paid, bought), t.to(part), whole(0))
}

// net is what is left of a price but for the cost of the goods.
func (t *terms) net(price figure) figure {
	return minus(plus(price, t.charged), t.feesOf(price), t.vat(price), t.sending)
}

// owed is what a price is to leave, the cost included.
func (t *terms) owed(target resale.Target, cost, price figure) figure {
	all := plus(cost, whole(target.Amount.Minor()))
	switch {
	case !target.Margin.IsZero():
		all = plus(cost, times(number(target.Margin.InexactFloat64()), price))
	case !target.Markup.IsZero():
		all = plus(cost, times(number(target.Markup.InexactFloat64()), cost))
	case target.Amount.Currency() == 0:
		return cost
	}
	if t.smooth {
		return all
	}
	return minus(whole(0), floor(minus(whole(0), rounded(all, 6))))
}

// exactly is a cost as it was before it was rounded up, until another is typed.
func (t *terms) exactly(cost figure) figure {
	if t.sale.Exact == nil {
		return cost
	}
	up := whole(t.sale.Cost.Minor())
	exact, _ := t.sale.Exact.Float64()
	spare := number(up.value - exact*math.Pow10(t.digits()))
	return minus(cost, choose(figure{"(" + cost.text + "=" + up.text + ")", truth(cost.value == up.value)}, spare, whole(0)))
}

// row adds an offer at a venue.
func (p *prices) row(o *doubles.Offer, venue int) {
	q, v := &o.Quotes[venue], &p.r.Venues[venue]
	sale := q.Sale()
	r := len(p.prices.Rows) + 2
	format := plain(v.Currency)
	cells := []sheet.Cell{
		priceID: text(o.ID), priceWhat: text(o.What), priceLot: text(o.Lot.ID), priceState: text(o.State.String()),
		pricePieces: fixed(number64(o.Count), count), priceVenue: text(v.Name), priceCost: input(q.Cost.Decimal().String(), coded(v.Currency, 0)),
		priceEven: leastCell(q.BreakEven, format), priceAsk: leastCell(q.Ask, format), priceFound: text(asFound + ": run lotcost again after a change"),
	}
	defer func() { p.prices.add(sheet.Body, cells...) }()
	price := q.Ask.Price
	if q.Expected != nil {
		price = q.Expected.Price
	}
	if price.Currency() == 0 {
		price = money.New(0, v.Currency)
	}
	out, err := sale.At(price)
	if err != nil {
		cells[priceVerdict] = text(resale.Reason(err))
		return
	}
	cells[priceAt] = amount(price.Decimal().String(), format)
	cells[priceCharged], cells[priceSending] = amount(out.Charged.Decimal().String(), format), amount(out.Sending.Decimal().String(), format)
	t := &terms{prices: p, sale: &sale, venue: venue, unit: unit(v.Currency.Digits())}
	cell := func(column int, a money.Amount) figure {
		return t.minor(p.prices.of(column, r, a.Decimal().InexactFloat64()))
	}
	t.charged, t.sending = cell(priceCharged, out.Charged), cell(priceSending, out.Sending)
	at, cost := cell(priceAt, out.Price), cell(priceCost, q.Cost)
	show := func(column int, f figure, a money.Amount) {
		cells[column] = p.prices.live(t.major(f).text, format, a.Number())
		if f.value != float64(a.Minor()) {
			cells[column].Formula = "" // not exact in a spreadsheet
		}
	}
	show(priceFees, t.feesOf(at), out.Fees)
	show(priceTax, t.vat(at), out.VAT)
	fees, tax := cell(priceFees, out.Fees), cell(priceTax, out.VAT)
	net := minus(plus(at, t.charged), fees, tax, t.sending)
	show(priceNet, net, out.Net)
	left := cell(priceNet, out.Net)
	show(priceProfit, minus(left, cost), out.Left)
	profit := cell(priceProfit, out.Left)
	ratio := 0.0
	if q.Cost.Sign() > 0 {
		ratio = profit.value / cost.value
	}
	cells[priceReturn] = p.prices.figured(choose(above(cost, whole(0)), over(profit, cost), figure{"0", ratio}), "0.0%")
	cells[priceVerdict] = p.verdict(t, at, cost, profit)
	p.least(t, o, q, cells)
}

// verdict says what a price makes.
func (p *prices) verdict(t *terms, at, cost, profit figure) sheet.Cell {
	target := minus(t.owed(t.sale.Target, t.exactly(cost), at), cost)
	word := "a loss"
	switch {
	case profit.value >= max(target.value, 0):
		word = "meets the target"
	case profit.value >= 0:
		word = "no loss"
	}
	cell := p.prices.live("IF("+profit.text+">=MAX("+target.text+`,0),"meets the target",IF(`+profit.text+`>=0,"no loss","a loss"))`, "", "")
	cell.Text = word
	return cell
}

func leastCell(l doubles.LeastPrice, format string) sheet.Cell {
	if l.Err != nil {
		return text("none")
	}
	return fixed(l.Price.Number(), format)
}

// least calculates the least prices of an offer, where that can be done step by step.
func (p *prices) least(t *terms, o *doubles.Offer, q *doubles.Quote, cells []sheet.Cell) {
	if len(p.r.Offers)*len(p.r.Venues) > mostSearched {
		return
	}
	cost := t.offered(priceCost, float64(q.Cost.Minor()))
	even := p.find(t, o.ID, "break-even", resale.Target{}, cost, q.BreakEven)
	if even.text != "" {
		cells[priceEven] = p.prices.figured(even, cells[priceEven].Format)
	}
	p.due(t, o, q, cells)
	if p.r.Ending != resale.AnyEnding {
		cells[priceFound] = text("the asking price " + asFound + ": run lotcost again after a change")
		return
	}
	if ask := p.find(t, o.ID, "asking price", t.sale.Target, t.exactly(cost), q.Ask); ask.text != "" {
		cells[priceAsk] = p.prices.figured(ask, cells[priceAsk].Format)
		cells[priceFound] = text("calculated")
	}
}

// due calculates the price that brings what a piece that is not sound should, which is its
// break-even where it costs just that, until another is typed over it.
func (p *prices) due(t *terms, o *doubles.Offer, q *doubles.Quote, cells []sheet.Cell) {
	if q.Due.Currency() == 0 || q.Expected == nil {
		return
	}
	price := figure{}
	if q.Due == q.Cost && cells[priceEven].Formula != "" {
		price = p.prices.of(priceEven, len(p.prices.Rows)+2, 0)
	} else {
		price = p.find(t, o.ID, "price", resale.Target{}, whole(q.Due.Minor()), doubles.LeastPrice{Least: resale.Least{Price: q.Expected.Price}})
	}
	cells[priceAt].Formula = p.prices.live(price.text, "", "").Formula
}

// find adds the search for the least price that leaves so much and returns that price; nothing
// where what a price leaves may fall as the price rises.
func (p *prices) find(t *terms, id, what string, target resale.Target, needed figure, found doubles.LeastPrice) figure {
	slope, ok := t.slope(target)
	if !ok || found.Err != nil {
		return figure{}
	}
	r := len(p.search.Rows) + 2
	steps := 3 + int(math.Ceil(math.Log(1e-9)/math.Log(max(slope, 1e-3))))
	around := int64(math.Ceil((0.5*float64(len(t.sale.Venue.Fees)+4) + 2) / (1 - slope)))
	cells := []sheet.Cell{text(id), text(t.sale.Venue.Name), text(what)}
	put := func(f figure, format string) figure {
		cells = append(cells, p.search.figured(f, format))
		return p.search.of(len(cells)-1, r, f.value)
	}
	need := put(needed, count)
	given := *t
	given.charged, given.sending = put(t.offered(priceCharged, t.charged.value), count), put(t.offered(priceSending, t.sending.value), count)
	t = &given
	smooth := given
	smooth.smooth = true
	price := put(most(need, whole(0)), "0.00")
	for range steps {
		price = put(most(minus(plus(smooth.owed(target, need, price), price), smooth.net(price)), whole(0)), "0.00")
	}
	first := put(most(minus(floor(price), whole(around)), whole(0)), count)
	begin := len(cells)
	enough := int64(-1) // the first of them that is enough
	for n := range 2*around + 2 {
		at := plus(first, whole(n))
		yes := put(atLeast(t.net(at), t.owed(target, need, at)), count)
		cells[len(cells)-1].Formula = "IF(" + cells[len(cells)-1].Formula + ",1,0)"
		if yes.value != 0 && enough < 0 {
			enough = n
		}
	}
	span := p.search.at(begin, r) + ":" + sheet.Ref(len(cells)-1, r)
	least := t.major(figure{"(" + first.text + "+MATCH(1," + span + ",0)-1)", first.value + float64(enough)})
	if enough < 0 || math.Abs(least.value-found.Price.Decimal().InexactFloat64()) > 1e-9 {
		return figure{}
	}
	for len(p.search.Columns) < len(cells) {
		p.search.Columns = append(p.search.Columns, figures(strconv.Itoa(len(p.search.Columns)-searchNeed))...)
	}
	p.search.add(sheet.Body, cells...)
	return least
}

// offered looks a figure of the offer at hand up, which is the row of the sheet prices made last.
func (t *terms) offered(column int, minor float64) figure {
	last, number := len(t.r.Offers)*len(t.r.Venues)+1, len(t.prices.prices.Rows)+2
	name := func(column int) string { return "prices!" + sheet.Locked(column, 2) + ":" + sheet.Locked(column, last) }
	text := "INDEX(" + name(column) + ",MATCH(" + strconv.Itoa(number) + "," + name(len(t.prices.prices.Columns)) + ",0))"
	return t.minor(figure{text, minor / math.Pow10(t.digits())})
}

// slope is how much of one unit more in the price goes away at most; false where more goes away at
// some price than it rose.
func (t *terms) slope(target resale.Target) (float64, bool) {
	v := t.sale.Venue
	taxed := 1 + v.SalesTax.InexactFloat64()
	sum := target.Margin.InexactFloat64()
	for f := range v.Fees {
		fee := &v.Fees[f]
		if fee.Whole && len(fee.Bands) > 1 {
			return 0, false
		}
		highest := 0.0
		for b := range fee.Bands {
			highest = max(highest, fee.Bands[b].Rate.InexactFloat64())
		}
		if fee.WithTax {
			highest *= taxed
		}
		sum += highest * float64(max(t.sale.Offered, 1))
	}
	if vat := t.sale.VAT.Rate.InexactFloat64(); t.sale.VAT.Scheme != resale.NotRegistered {
		sum += vat / (1 + vat)
	}
	return sum, sum < 0.75
}
