package live

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Columns of the sheet border: a row for each item of a parcel and one for the parcel. The rates
// and sums of each duty follow, all duties together where there are several, those of each tax, and
// all taxes together.
const (
	borderParcel = iota
	borderItem
	borderCount
	borderGoods
	borderFreight
	borderInsurance
	borderFees
	borderValue
	borderDuties
)

// assessedHead is the head of the column that says whether a parcel is as it was assessed.
const assessedHead = "as assessed"

// border is what customs asks, calculated.
type border struct {
	*model
	grid
	unit    // of the currency of the rules, in which all of it is
	in      money.Currency
	outline *customs.Outline
	slots   [2]int      // of duties and of taxes, a rate and a sum each
	parts   [][4]figure // by item: goods, freight, insurance and fees, in the order of the columns
	parcels map[string]*crossing
	index   map[string]int // of an item, by its id
	worth   []figure       // the goods of an item
	levied  [2][]figure    // duty and tax, by item
	wrong   bool
}

// crossing is a parcel at the border, with a row for each of its lines and one for all.
type crossing struct {
	*border
	p     *customs.ParcelAssessment
	o     *customs.ParcelOutline
	items []int // by line
	first int   // the row of the first line
	rows  [][]sheet.Cell
	cases []figure            // 1 where a case holds
	taken map[string][]figure // of levies by their names, by line
}

// sum is the row of the parcel.
func (c *crossing) sum() int { return c.first + len(c.items) }

// cell is the figure that a line has in a column.
func (c *crossing) cell(k, column int) figure {
	return c.of(column, c.first+k, parsed(c.rows[k][column].Data))
}

// borderSheet calculates the border where that can be done in formulas.
func (m *model) borderSheet() {
	a := m.st.Border
	if a == nil || len(m.st.Unknown) > 0 {
		return
	}
	outline, ok := a.Outline()
	if !ok {
		return
	}
	n := len(m.st.Items)
	b := &border{
		model: m, in: a.Rules.Currency, unit: unit(a.Rules.Currency.Digits()), outline: outline, parts: make([][4]figure, n),
		parcels: map[string]*crossing{}, index: map[string]int{}, worth: make([]figure, n), levied: [2][]figure{make([]figure, n), make([]figure, n)},
	}
	b.slots[0] = 1
	for i := range outline.Parcels {
		var slots [2]int
		for n := range outline.Parcels[i].Levies {
			slots[kindOf(&outline.Parcels[i].Levies[n])]++
		}
		b.slots = [2]int{max(b.slots[0], slots[0]), max(b.slots[1], slots[1])}
	}
	columns := append([]sheet.Column{{Head: "parcel"}, {Head: "item"}}, figures("pieces", "goods", "freight", "insurance", "fees", "value for customs")...)
	for n := range b.slots[0] {
		columns = append(columns, figures(nth("rate of duty", n), nth("duty", n))...)
	}
	if b.slots[0] > 1 {
		columns = append(columns, figures("duties")...)
	}
	for n := range b.slots[1] {
		columns = append(columns, figures(nth("rate of tax", n), nth("tax", n))...)
	}
	columns = append(columns, figures("taxes")...)
	b.grid = newGrid("border", append(columns, sheet.Column{Head: assessedHead, Min: 12})...)
	if before, columns := m.working.mark(), len(m.items.Columns); !b.fill() {
		m.working.drop(before) // and with it the bases of which rows are among those
		m.bases, m.order, m.items.Columns = map[landed.Basis]*basis{}, nil, m.items.Columns[:columns]
		return
	}
	m.border = b
}

// kindOf is the place of a levy's kind in slots.
func kindOf(l *customs.Levy) int {
	return sheet.Either(l.Tax, 1, 0)
}

// slot is the column of a rate; that of the sum is the next.
func (b *border) slot(kind, n int) int {
	return sheet.Either(kind == 0, borderDuties+2*n, b.allDuty()+1+2*n)
}

func (b *border) allDuty() int {
	return sheet.Either(b.slots[0] == 1, borderDuties+1, borderDuties+2*b.slots[0])
}

func (b *border) allTaxes() int { return b.slot(1, b.slots[1]) }

// mark and drop take sections back.
func (w *working) mark() [2]int { return [2]int{len(w.sections), w.rows} }

func (w *working) drop(to [2]int) { w.sections, w.rows = w.sections[:to[0]], to[1] }

// nth tells further columns of a kind from the first.
func nth(head string, n int) string { return strings.TrimSuffix(head+" "+strconv.Itoa(n+1), " 1") }

// fill makes the rows, and reports whether they come to what was assessed.
func (b *border) fill() bool {
	for i := range b.st.Items {
		b.index[b.st.Items[i].ID] = i
	}
	for n := range b.st.Lines {
		if b.valueLine(&b.st.Lines[n], n); b.wrong {
			return false
		}
	}
	row := 2
	for n := range b.st.Border.Parcels {
		p := &b.st.Border.Parcels[n]
		c := &crossing{border: b, p: p, o: &b.outline.Parcels[n], first: row, taken: map[string][]figure{}}
		for k := range p.Lines {
			c.items = append(c.items, b.index[p.Lines[k].ID])
		}
		b.parcels[p.ID] = c
		row = c.sum() + 1
	}
	for n := range b.st.Border.Parcels {
		if b.parcels[b.st.Border.Parcels[n].ID].fill(); b.wrong {
			return false
		}
	}
	return true
}

// part is the column of what a line adds to the value of its items; -1 is none.
func part(line *landed.Line, t *landed.Terms) int {
	switch {
	case line.Kind == landed.Price, line.Kind == landed.Premium, t.AsGoods:
		return borderGoods
	case t.NotDutiable, line.Estimated:
	case line.Kind == landed.Freight:
		return borderFreight
	case line.Kind == landed.Insurance:
		return borderInsurance
	case line.Kind == landed.Fee && line.Home.Sign() > 0:
		return borderFees
	}
	return -1
}

// valueLine shares what customs sees of a line: what was asked, without the card's part.
func (b *border) valueLine(line *landed.Line, n int) {
	t := b.st.Terms(line)
	items, column := t.Items, part(line, &t)
	if column < 0 || len(items) == 0 || slices.Contains(b.st.Bills(), line) {
		return
	}
	number, rate := figure{b.paid.at(paidAsked, row(n)), t.Number.InexactFloat64()}, b.customsRate(t.Currency)
	if t.OfPrice {
		number, rate = figure{b.paid.at(paidHome, row(n)), line.Home.Decimal().InexactFloat64()}, b.customsRate(b.st.Home)
	}
	if line.Kind == landed.Premium {
		number = choose(figure{"ISNUMBER(" + b.paid.at(paidSettled, row(b.priceOf(n))) + ")", 0}, whole(0), number)
	} else if premium := b.premiumAt(n); premium != "" {
		// What the bank took is for both, and customs sees them as one amount then.
		number = plus(number, choose(figure{"ISNUMBER(" + b.paid.at(paidSettled, row(n)) + ")", 0}, figure{premium, 0}, whole(0)))
	}
	total := b.minor(nearest(times(number, rate), b.digits()))
	if line.Item != "" {
		b.give(items[0], column, b.divided(total))
		return
	}
	by := b.by(line.By)
	weights := make([]int64, len(items))
	given := &sharing{what: line.What + ", for customs", in: b.unit, total: total, shares: make([]int64, len(items))}
	for k, i := range items {
		given.items = append(given.items, b.st.Items[i].ID)
		_, weight, known := by.weighs(b.model, i)
		weights[k], b.wrong = weight, b.wrong || !known
	}
	if b.wrong = b.wrong || money.Apportion(given.shares, int64(total.value), weights) != nil; b.wrong {
		return
	}
	given.weighs = func(k int) (string, int64, bool) { return by.weighs(b.model, items[k]) }
	cell := b.working.share(given)
	for k, i := range items {
		b.give(i, column, figure{cell(k), float64(given.shares[k]) / math.Pow10(b.digits())})
	}
}

// give adds a figure to what an item is worth for customs.
func (b *border) give(i, column int, f figure) {
	part := &b.parts[i][column-borderGoods]
	if part.text == "" {
		*part = f
		return
	}
	*part = figure{part.text + "+" + f.text, part.value + f.value}
}

// customsRate is the rate by which customs converts: its own, or that of the haul without what the
// card adds.
func (b *border) customsRate(c money.Currency) figure {
	if c == b.in {
		return whole(1)
	}
	if b.st.Haul.Border.Market != nil {
		for _, r := range b.st.BorderRates() {
			if string(r.From) == c.Code() {
				return quotient(&r)
			}
		}
	}
	if b.in == b.st.Home {
		return b.plainRate(c)
	}
	rate, err := b.st.Haul.Exchange().Rate(c, b.in)
	if err != nil {
		b.wrong = true
		return whole(0)
	}
	if given := b.st.Haul.Market; given != nil && c != b.st.Home {
		if _, err := given.Rate(fx.Code(c.Code()), fx.Code(b.in.Code())); err == nil {
			return quotient(rate) // whatever those of home are
		}
	}
	by := over(b.plainRate(c), b.plainRate(b.in)) // by way of home
	by.value = quotient(rate).value
	return by
}

func quotient(r *fx.Rate) figure {
	rate := r.Num.DivRound(r.Den, 20)
	return figure{rate.String(), rate.InexactFloat64()}
}

// format is how amounts of the border are shown: with the code where it is not home's.
func (b *border) format() string {
	return sheet.Either(b.in == b.st.Home, plain(b.in), coded(b.in, 0))
}

// fill adds the rows of a parcel.
func (c *crossing) fill() {
	for k, i := range c.items {
		c.rows = append(c.rows, c.itemCells(i, c.first+k))
		c.worth[i] = c.cell(k, borderGoods)
	}
	c.findCases()
	for kind, least := range c.o.Least {
		c.levies(kind, least)
		column := [...]int{c.allDuty(), c.allTaxes()}[kind]
		for k, i := range c.items {
			var sums []figure
			for n := range c.slots[kind] {
				if at := c.slot(kind, n) + 1; c.rows[k][at].Formula != "" {
					sums = append(sums, c.cell(k, at))
				}
			}
			if column != borderDuties+1 { // there are several
				c.rows[k][column] = c.figured(rounded(plus(sums...), c.digits()), c.format())
			}
			if c.rows[k][column].Formula != "" {
				c.levied[kind][i] = c.cell(k, column)
			}
		}
	}
	for k, i := range c.items {
		c.check(c.p.Lines[k].CustomsValue, c.cell(k, borderValue).value)
		c.check(c.p.Lines[k].Duty, c.levied[0][i].value)
		c.check(c.p.Lines[k].Tax, c.levied[1][i].value)
		c.add(sheet.Body, c.rows[k]...)
	}
	c.add(sheet.Sum, c.sumCells()...)
}

// findCases adds a row of working for each case of a parcel: 1 where it is the one that holds.
func (c *crossing) findCases() {
	for n := range c.o.Cases {
		holds := whole(1)
		for k := range c.o.Cases[n].Sides {
			side := &c.o.Cases[n].Sides[k]
			at := figure{side.At.Decimal().String(), side.At.Decimal().InexactFloat64()}
			measured := c.together(side.Over, side.OfValue)
			if side.Weight != 0 {
				grams := unit(9).number(int64(side.Weight))
				at, measured = figure{grams, parsed(grams)}, c.weight()
			}
			over := sheet.Either(side.Strict, atLeast(measured, at), above(measured, at))
			if !side.Above {
				over = call("NOT", 1-over.value, over)
			}
			holds = choose(over, holds, whole(0))
		}
		if holds.text != "1" {
			holds = c.working.fact("case "+strconv.Itoa(n+1)+" of the limits of the parcel: 1 where it holds", holds)
		}
		c.cases = append(c.cases, holds)
	}
}

// weight is what the goods of a parcel weigh, in grams.
func (c *crossing) weight() figure {
	var grams []figure
	for _, i := range c.items {
		grams = append(grams, figure{c.model.items.at(itemGrams, row(i)), c.gramsOf(i)})
	}
	return c.working.sum("part of the weight, g", grams)
}

// together is what the goods of a parcel, and of others as bits, cost, or their value for customs.
func (c *crossing) together(others uint64, ofValue bool) figure {
	var list []figure
	for n := range c.st.Border.Parcels {
		other := c.parcels[c.st.Border.Parcels[n].ID]
		if other != c && others&(1<<n) == 0 {
			continue
		}
		column, value := borderGoods, 0.0
		for _, i := range other.items {
			value += c.parts[i][0].value
		}
		if ofValue {
			column, value = borderValue, other.p.CustomsValue.Decimal().InexactFloat64()
		}
		list = append(list, c.of(column, other.sum(), round(value, c.digits())))
	}
	return rounded(plus(list...), c.digits())
}

// asks is 1 where one of the cases holds.
func (c *crossing) asks(cases []int) figure {
	var list []figure
	if len(cases) == len(c.cases) {
		return whole(1)
	}
	for _, n := range cases {
		list = append(list, c.cases[n])
	}
	return plus(list...)
}

func parsed(data string) float64 {
	d, _ := decimal.NewFromString(data)
	return d.InexactFloat64()
}

// check notes where a figure is not what was assessed.
func (b *border) check(want money.Amount, got float64) {
	b.wrong = b.wrong || math.Abs(want.Decimal().InexactFloat64()-got) > 1e-9
}

func (c *crossing) itemCells(i, r int) []sheet.Cell {
	b := c.border
	cells := make([]sheet.Cell, len(b.Columns))
	cells[borderParcel], cells[borderItem] = text(c.p.ID), text(b.st.Items[i].ID)
	cells[borderCount] = b.live(b.items.at(itemCount, row(i)), count, number64(b.st.Items[i].Count))
	value := []figure{}
	for k, part := range b.parts[i] {
		if part.text == "" {
			continue
		}
		column := borderGoods + k
		cells[column] = b.figured(rounded(part, b.digits()), b.format())
		if column == borderGoods || column == borderFreight && b.outline.Freight || column == borderInsurance && b.outline.Insurance || column == borderFees && b.outline.Fees {
			value = append(value, b.of(column, r, part.value))
		}
	}
	cells[borderValue] = b.figured(rounded(plus(value...), b.digits()), b.format())
	return cells
}

// levied is a group of a levy: the lines in it, what each adds to the base, that base, and the sum.
type levied struct {
	column    int
	in        []int // of the lines of the parcel
	adds      []figure
	base, sum figure
}

// levies adds the columns of the duties or of the taxes of a parcel. What comes to less than is
// collected is dropped.
func (c *crossing) levies(kind int, least money.Amount) {
	var groups []levied
	var sums []figure
	name, slot := levyNames[kind], 0
	for n := range c.o.Levies {
		levy := &c.o.Levies[n]
		if kindOf(levy) != kind {
			continue
		}
		on := c.asks(levy.Cases)
		for g := range levy.Rates {
			group := c.group(levy, g, c.slot(kind, slot))
			if on.text != "1" {
				group.sum = choose(on, group.sum, whole(0))
			}
			if group.sum = c.working.fact(name+": the sum", group.sum); least.Sign() > 0 {
				groups, sums = append(groups, group), append(sums, group.sum)
			} else {
				c.shareLevy(&group, name)
			}
		}
		c.keep(levy, c.slot(kind, slot)+1)
		slot++
	}
	if len(groups) == 0 {
		return
	}
	collected := c.working.fact("1 where that is collected, 0 where it is too little", choose(atLeast(plus(sums...), whole(least.Minor())), whole(1), whole(0)))
	for _, g := range groups {
		g.sum = times(g.sum, collected)
		c.shareLevy(&g, name)
	}
}

var levyNames = [...]string{"duty", "tax"}

// keep notes what a tax is of each line, for one that is on it.
func (c *crossing) keep(levy *customs.Levy, column int) {
	list := make([]figure, len(c.items))
	for k := range c.items {
		if list[k] = whole(0); c.rows[k][column].Formula != "" {
			list[k] = c.cell(k, column)
		}
	}
	c.taken[levy.Name] = list
}

// group finds what the lines of a group of a levy come to.
func (c *crossing) group(levy *customs.Levy, g, column int) levied {
	const rateFormat = "0.0####%"
	b, group, lead, ratio := c.border, levied{column: column}, -1, levy.Rates[g]
	rate, exact := decimal.New(ratio.Num, 0).DivRound(decimal.New(ratio.Den, 0), 15), decimals%ratio.Den == 0
	var values []figure
	for k := range c.items {
		if levy.Groups[k] != g {
			continue
		}
		switch cell := &c.rows[k][column]; {
		case levy.Flat.Sign() != 0:
		case lead < 0:
			lead = c.first + k
			*cell = amount(rate.String(), rateFormat)
			cell.Input = exact
		default:
			*cell = b.live(b.at(column, lead), rateFormat, rate.String())
		}
		add := c.adds(levy, k)
		if levy.Of != "" {
			add = c.taken[levy.Of][k]
		}
		group.in, group.adds = append(group.in, k), append(group.adds, add)
		values = append(values, b.minor(c.cell(k, borderValue)))
	}
	name := levyNames[kindOf(levy)]
	whence, of := b.minor(plus(group.adds...)), whole(1)
	if p := levy.Plus; p.Den > 0 {
		whence, of = plus(times(whole(p.Den), whence), times(whole(p.Num), plus(values...))), whole(p.Den)
		for n, value := range values {
			more := b.multiple(value, whole(p.Num), of, 1, money.HalfAway)
			group.adds[n] = plus(group.adds[n], b.major(more))
		}
	}
	base := b.multiple(c.working.fact(name+": what it is on", whence), whole(1), of, max(levy.Base.Step, 1), levy.Base.Mode)
	group.base = c.working.fact(name+": that rounded", base)
	switch group.sum = whole(levy.Flat.Minor()); {
	case levy.Flat.Sign() != 0:
	case !exact:
		group.sum = b.multiple(group.base, whole(ratio.Num), whole(ratio.Den), levy.Amount.Step, levy.Amount.Mode)
	default:
		scale := scaleOf(levy)
		group.sum = b.multiple(group.base, rounded(times(b.of(column, lead, rate.InexactFloat64()), whole(scale)), 0), whole(scale), levy.Amount.Step, levy.Amount.Mode)
	}
	return group
}

// decimals is the number of which any that is no more finely written than rates are is a part.
const decimals = 1_000_000_000

// shareLevy shares the sum of a group over its lines.
func (c *crossing) shareLevy(g *levied, name string) {
	weights := make([]figure, len(g.in))
	some := above(g.base, whole(0))
	for n, k := range g.in {
		pieces := c.of(borderCount, c.first+k, float64(c.st.Items[c.items[k]].Count))
		weights[n] = choose(some, c.minor(g.adds[n]), pieces)
	}
	share := c.carried(name, c.unit, g.sum, weights, func(n int) string { return c.st.Items[c.items[g.in[n]]].ID })
	for n, k := range g.in {
		c.rows[k][g.column+1] = c.figured(c.divided(share(n)), c.format())
	}
}

// adds is what a line adds to the base of a levy.
func (c *crossing) adds(levy *customs.Levy, k int) figure {
	list := []figure{c.cell(k, borderValue)}
	add := func(is bool, column int) {
		if is && c.rows[k][column].Format != "" {
			list = append(list, c.cell(k, column))
		}
	}
	add(levy.OnDuty, c.allDuty())
	add(levy.Freight, borderFreight)
	add(levy.Insurance, borderInsurance)
	add(levy.Fees, borderFees)
	return plus(list...)
}

// scaleOf is the whole number that makes whole numbers of those rates that are decimals, with room
// for one finer.
func scaleOf(levy *customs.Levy) int64 {
	scale := int64(100_000)
	for _, r := range levy.Rates {
		for decimals%r.Den == 0 && scale%r.Den != 0 {
			scale *= 10
		}
	}
	return scale
}

// multiple is amount x by / of, rounded to a multiple of so much.
func (b *border) multiple(amount, by, of figure, to int64, mode money.Mode) figure {
	product := sheet.Either(by.text == "1", amount, times(amount, by))
	step := sheet.Either(of.text == "1", whole(to), times(of, whole(to)))
	if 2*product.value >= exactBelow {
		b.wrong = true
	}
	var steps figure
	switch mode {
	case money.Down:
		steps = floor(over(product, step))
	case money.Up:
		steps = minus(whole(0), floor(over(minus(whole(0), product), step)))
	default:
		steps = floor(over(plus(times(whole(2), product), step), times(whole(2), step)))
	}
	if to == 1 {
		return steps
	}
	return times(steps, whole(to))
}

// sumCells is the row of a parcel, which says whether it is still on the same side of all bounds.
func (c *crossing) sumCells() []sheet.Cell {
	b, p, cells := c.border, c.p, make([]sheet.Cell, len(c.Columns))
	cells[borderParcel] = text(p.ID)
	sum := func(column int, data string) {
		if len(c.items) > 0 {
			cells[column] = b.live(b.sum(b.column(column, c.first, c.sum()-1)), b.format(), data)
		}
	}
	parts := [4]float64{}
	for _, row := range c.rows {
		for k := range parts {
			parts[k] += parsed(row[borderGoods+k].Data)
		}
	}
	for k, value := range parts {
		sum(borderGoods+k, decimal.NewFromFloat(value).StringFixed(int32(b.digits())))
	}
	sum(borderValue, p.CustomsValue.Number())
	sum(b.allDuty(), p.Duty.Number())
	sum(b.allTaxes(), p.Tax.Number())
	holds := whole(1)
	for n := range c.cases {
		if c.o.Cases[n].Unknown {
			holds = minus(holds, c.cases[n])
		}
	}
	b.wrong = b.wrong || holds.value == 0
	cells[len(cells)-1] = b.live("IF("+holds.text+`=1,"yes","no: it is on the other side of a limit, run lotcost again")`, "", "")
	cells[len(cells)-1].Text = "yes"
	return cells
}

// asked is what names the amount of a line of the border.
func (b *border) asked(line *landed.Line) string {
	c := b.parcels[line.Parcel]
	switch line.Kind {
	case landed.Duty:
		return b.at(b.allDuty(), c.sum())
	case landed.Tax:
		return b.at(b.allTaxes(), c.sum())
	}
	var parts []string
	for n := range c.o.Fees {
		if c.o.Fees[n].What == line.What {
			parts = append(parts, c.fee(n))
		}
	}
	if len(parts) == 0 {
		return b.st.Terms(line).Number.String()
	}
	return strings.Join(parts, "+")
}

// fee is what a fee comes to.
func (c *crossing) fee(n int) string {
	fee, r := &c.o.Fees[n], c.sum()
	number := fee.Amount.Decimal().String()
	if !fee.Percent.IsZero() {
		number = "MAX(" + nearest(figure{text: c.at(borderValue, r) + "*" + fee.Percent.String()}, c.digits()).text + "," + fee.Least.Decimal().String() + ")"
		if fee.Most.Sign() > 0 {
			number = "MIN(" + number + "," + fee.Most.Decimal().String() + ")"
		}
	}
	if on := c.asks(fee.Cases); on.text != "1" {
		number = "(" + number + ")*" + on.text
	}
	if !fee.Always {
		number = "IF(" + c.at(c.allDuty(), r) + "+" + c.at(c.allTaxes(), r) + ">0," + number + ",0)"
	}
	return number
}

// bearing is what an item weighs where a line of the border is shared as assessed, in minor units:
// what is estimated of it, and, of a bill where that is nothing, what it is worth for customs, or
// what was paid for it where there are no rules, or else its pieces. It reports whether formulas
// come to that.
func (m *model) bearing(line *landed.Line, t *landed.Terms) (weighs func(k int) (string, int64, bool), follows bool) {
	before, of := m.working.mark(), make([]figure, len(t.Items))
	follows = m.border != nil || m.st.Border == nil
	if follows {
		estimated, worth := m.bornePart(line, t.Items)
		for k := range of {
			of[k] = estimated[k]
		}
		if slices.Contains(m.st.Bills(), line) {
			any := above(m.working.fact("estimate by which a bill is shared", m.working.sum("part of an estimate", estimated)), whole(0))
			some := above(m.working.fact("worth by which a bill is shared where nothing is estimated", m.working.sum("part of a worth", worth)), whole(0))
			for k, i := range t.Items {
				pieces := figure{m.items.at(itemCount, row(i)), float64(m.st.Items[i].Count)}
				of[k] = choose(any, estimated[k], choose(some, worth[k], pieces))
			}
		}
	}
	for k := range of {
		follows = follows && of[k].value == float64(t.Assessed[k])
	}
	if !follows {
		m.working.drop(before)
	}
	return func(k int) (string, int64, bool) {
		if !follows || of[k].text == "0" {
			return "", t.Assessed[k], true
		}
		return of[k].text, t.Assessed[k], true
	}, follows
}

// bornePart is what is estimated of items for a line of the border, and what they are worth.
func (m *model) bornePart(line *landed.Line, items []int) (estimated, worth []figure) {
	estimated, worth = make([]figure, len(items)), make([]figure, len(items))
	for k, i := range items {
		if estimated[k] = whole(0); m.border == nil {
			paid := slices.Concat(m.shares[i*landed.Kinds+int(landed.Price)], m.shares[i*landed.Kinds+int(landed.Premium)])
			sum := m.st.Items[i].Share(landed.Price).Minor() + m.st.Items[i].Share(landed.Premium).Minor()
			worth[k] = m.minor(figure{"(" + strings.Join(append(paid, "0"), "+") + ")", float64(sum) / math.Pow10(m.digits())})
			continue
		}
		if worth[k] = whole(0); m.border.worth[i].text != "" {
			worth[k] = m.border.minor(m.border.worth[i])
		}
		levied := figure{}
		switch line.Kind {
		case landed.Duty:
			levied = m.border.levied[0][i]
		case landed.Tax:
			levied = m.border.levied[1][i]
		}
		if levied.text != "" {
			estimated[k] = m.border.minor(levied)
		}
	}
	return estimated, worth
}

// estimatedCell says of an estimate whether it follows what is changed.
func (m *model) estimatedCell(line *landed.Line) sheet.Cell {
	if m.border == nil {
		return text("yes, of this day: " + notHere + ", run lotcost again after a change")
	}
	cell := m.paid.live("IF(LEFT("+m.border.at(m.border.columnOf(assessedHead), m.border.parcels[line.Parcel].sum())+`,3)="yes","yes","no longer right: run lotcost again")`, "", "")
	cell.Text = "yes"
	return cell
}
