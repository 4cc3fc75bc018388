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
	rows    map[int]int // of an item
	parcels map[string]int
	index   map[string]int // of an item, by its id
	duty    map[int]figure // by item
	tax     map[int]figure
	cases   map[string][]figure // by parcel
	amounts map[string][]figure // of the taxes of the parcel at hand, by line
	next    int
	wrong   bool
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
	b := &border{model: m, in: a.Rules.Currency, unit: unit(a.Rules.Currency.Digits()), outline: outline, rows: map[int]int{}, parcels: map[string]int{}, cases: map[string][]figure{}, amounts: map[string][]figure{}, index: map[string]int{}, duty: map[int]figure{}, tax: map[int]figure{}, parts: make([][4]figure, len(m.st.Items)), next: 2}
	b.slots[0] = 1
	for i := range outline.Parcels {
		var slots [2]int
		for n := range outline.Parcels[i].Levies {
			slots[kindOf(&outline.Parcels[i].Levies[n])]++
		}
		b.slots = [2]int{max(b.slots[0], slots[0]), max(b.slots[1], slots[1])}
	}
	columns := append([]sheet.Column{{Head: "parcel"}, {Head: "item"}}, figures("pieces", "goods", "freight", "insurance", "fees", "value for customs")...)
	for range b.slots[0] {
		columns = append(columns, figures("rate of duty", "duty")...)
	}
	if b.slots[0] > 1 {
		columns = append(columns, figures("duties")...)
	}
	for range b.slots[1] {
		columns = append(columns, figures("rate of tax", "tax")...)
	}
	columns = append(columns, figures("taxes")...)
	b.grid = newGrid("border", append(columns, sheet.Column{Head: assessedHead, Min: 12})...)
	if before := m.working.mark(); !b.fill() {
		m.working.drop(before)
		return
	}
	m.border = b
}

// kindOf is the place of a levy's kind in slots.
func kindOf(l *customs.Levy) int {
	if l.Tax {
		return 1
	}
	return 0
}

// slot is the column of a rate; that of the sum is the next.
func (b *border) slot(kind, n int) int {
	if kind == 0 {
		return borderDuties + 2*n
	}
	return b.allDuty() + 1 + 2*n
}

func (b *border) allDuty() int {
	if b.slots[0] == 1 {
		return borderDuties + 1
	}
	return borderDuties + 2*b.slots[0]
}

func (b *border) allTaxes() int { return b.slot(1, b.slots[1]) }

// mark and drop take sections back.
func (w *working) mark() [2]int { return [2]int{len(w.sections), w.rows} }

func (w *working) drop(to [2]int) { w.sections, w.rows = w.sections[:to[0]], to[1] }

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
	next := b.next
	for n := range b.st.Border.Parcels {
		p := &b.st.Border.Parcels[n]
		next += len(p.Lines) + 1
		b.parcels[p.ID] = next - 1
	}
	for n := range b.st.Border.Parcels {
		p := &b.st.Border.Parcels[n]
		items := make([]int, len(p.Lines))
		for k := range p.Lines {
			items[k] = b.index[p.Lines[k].ID]
		}
		if b.parcel(p, &b.outline.Parcels[n], items); b.wrong {
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
	items, shares, _ := line.Sharing()
	column := part(line, &t)
	if column < 0 || len(shares) == 0 || slices.Contains(b.st.Bills(), line) {
		return
	}
	number, rate := figure{b.paid.at(paidAsked, row(n)), t.Number.InexactFloat64()}, b.customsRate(t.Currency)
	if t.OfPrice {
		number, rate = figure{b.paid.at(paidHome, row(n)), line.Home.Decimal().InexactFloat64()}, whole(1)
	}
	if line.Kind == landed.Premium {
		number = choose(figure{"ISNUMBER(" + b.paid.at(paidSettled, row(b.priceOf(n))) + ")", 0}, whole(0), number)
	} else if line.Kind == landed.Price && n+1 < len(b.st.Lines) && b.st.Lines[n+1].Kind == landed.Premium {
		// What the bank took is for both, and customs sees them as one amount then.
		number = plus(number, choose(figure{"ISNUMBER(" + b.paid.at(paidSettled, row(n)) + ")", 0}, figure{b.paid.at(paidAsked, row(n+1)), 0}, whole(0)))
	}
	total := b.minor(figure{"ROUND(" + times(number, rate).text + "," + number64(int64(b.digits())) + ")", round(number.value*rate.value, b.digits())})
	if line.Item != "" {
		b.give(items[0], column, figure{total.text + b.cents(), total.value / math.Pow10(b.digits())})
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
	if b.in == b.st.Home {
		return plain(b.in)
	}
	return coded(b.in, 0)
}

// parcel adds the rows of a parcel.
func (b *border) parcel(p *customs.ParcelAssessment, o *customs.ParcelOutline, items []int) {
	first, last := b.next, b.next+len(items)-1
	rows := make([][]sheet.Cell, len(items))
	for k, i := range items {
		b.rows[i] = first + k
		rows[k] = b.itemCells(p, i, first+k)
	}
	b.next = last + 2
	b.findCases(p, o)
	for kind, least := range [...]money.Amount{o.LeastDuty, o.LeastTax} {
		b.levies(p, o, kind, least, items, rows)
		of, column := b.duty, b.allDuty()
		if kind == 1 {
			of, column = b.tax, b.allTaxes()
		}
		for k, i := range items {
			var sums []figure
			for n := range b.slots[kind] {
				if at := b.slot(kind, n) + 1; rows[k][at].Formula != "" {
					sums = append(sums, b.of(at, first+k, parsed(rows[k][at].Data)))
				}
			}
			all := rounded(plus(sums...), b.digits())
			if column == borderDuties+1 { // the only one
				all = plus(sums...)
			} else {
				rows[k][column] = b.figured(all, b.format())
			}
			if rows[k][column].Formula != "" {
				of[i] = b.of(column, first+k, all.value)
			}
		}
	}
	for k, i := range items {
		b.check(p.Lines[k].CustomsValue, parsed(rows[k][borderValue].Data))
		b.check(p.Lines[k].Duty, b.duty[i].value)
		b.check(p.Lines[k].Tax, b.tax[i].value)
		b.add(sheet.Body, rows[k]...)
	}
	b.add(sheet.Sum, b.sumCells(p, o, first, last)...)
}

// findCases adds a row of working for each case of a parcel: 1 where it is the one that holds.
func (b *border) findCases(p *customs.ParcelAssessment, o *customs.ParcelOutline) {
	list := make([]figure, len(o.Cases))
	for n := range o.Cases {
		holds := whole(1)
		for _, side := range o.Cases[n].Sides {
			at := figure{side.At.Decimal().String(), side.At.Decimal().InexactFloat64()}
			if side.Weight != 0 {
				grams := unit(9).number(int64(side.Weight))
				at = figure{grams, parsed(grams)}
			}
			over := above(b.measured(p, &side), at)
			if side.Strict {
				over = atLeast(b.measured(p, &side), at)
			}
			if !side.Above {
				over = call("NOT", 1-over.value, over)
			}
			holds = choose(over, holds, whole(0))
		}
		if list[n] = holds; holds.text != "1" {
			list[n] = b.cell("case "+strconv.Itoa(n+1)+" of the limits of the parcel: 1 where it holds", holds)
		}
	}
	b.cases[p.ID] = list
}

// measured is the figure of a parcel, or of several together, that a bound is of.
func (b *border) measured(p *customs.ParcelAssessment, bound *customs.Bound) figure {
	if bound.Weight != 0 {
		grams := []figure{}
		for k := range p.Lines {
			i := b.index[p.Lines[k].ID]
			grams = append(grams, figure{b.items.at(itemGrams, row(i)), b.gramsOf(i)})
		}
		return b.working.sum("part of the weight, g", grams)
	}
	var list []figure
	for n := range b.st.Border.Parcels {
		other := &b.st.Border.Parcels[n]
		if other.ID != p.ID && bound.Over&(1<<n) == 0 {
			continue
		}
		column, value := borderGoods, 0.0
		for k := range other.Lines {
			value += b.parts[b.index[other.Lines[k].ID]][0].value
		}
		if bound.OfValue {
			column, value = borderValue, other.CustomsValue.Decimal().InexactFloat64()
		}
		list = append(list, b.of(column, b.parcels[other.ID], round(value, b.digits())))
	}
	return rounded(plus(list...), b.digits())
}

// asks is 1 where one of the cases holds.
func (b *border) asks(parcel string, cases []int) figure {
	var list []figure
	if len(cases) == len(b.cases[parcel]) {
		return whole(1)
	}
	for _, n := range cases {
		list = append(list, b.cases[parcel][n])
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

func (b *border) itemCells(p *customs.ParcelAssessment, i, r int) []sheet.Cell {
	cells := make([]sheet.Cell, len(b.Columns))
	cells[borderParcel], cells[borderItem] = text(p.ID), text(b.st.Items[i].ID)
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
func (b *border) levies(p *customs.ParcelAssessment, o *customs.ParcelOutline, kind int, least money.Amount, items []int, rows [][]sheet.Cell) {
	var groups []levied
	name, slot := [...]string{"duty", "tax"}[kind], 0
	for n := range o.Levies {
		if levy := &o.Levies[n]; kindOf(levy) == kind {
			on := b.asks(p.ID, levy.Cases)
			for g := range levy.Rates {
				group := b.group(levy, g, b.slot(kind, slot), items, rows)
				if on.text != "1" {
					group.sum = choose(on, group.sum, whole(0))
				}
				if group.sum = b.cell(name+": the sum", group.sum); least.Sign() > 0 {
					groups = append(groups, group)
				} else {
					b.shareLevy(&group, name, items, rows)
				}
			}
			b.keep(levy, b.slot(kind, slot)+1, items, rows)
			slot++
		}
	}
	if len(groups) == 0 {
		return
	}
	var sums []figure
	for _, g := range groups {
		sums = append(sums, g.sum)
	}
	collected := b.cell("1 where that is collected, 0 where it is too little", choose(atLeast(plus(sums...), whole(least.Minor())), whole(1), whole(0)))
	for _, g := range groups {
		g.sum = times(g.sum, collected)
		b.shareLevy(&g, name, items, rows)
	}
}

// keep notes what a tax is of each line, for one that is on it.
func (b *border) keep(levy *customs.Levy, column int, items []int, rows [][]sheet.Cell) {
	list := make([]figure, len(items))
	for k, i := range items {
		if list[k] = whole(0); rows[k][column].Formula != "" {
			list[k] = b.of(column, b.rows[i], parsed(rows[k][column].Data))
		}
	}
	b.amounts[levy.Name] = list
}

// group finds what the lines of a group of a levy come to.
func (b *border) group(levy *customs.Levy, g, column int, items []int, rows [][]sheet.Cell) levied {
	const rateFormat = "0.0####%"
	group, lead, ratio := levied{column: column}, -1, levy.Rates[g]
	rate, exact := rateOf(ratio)
	var values []figure
	for k := range items {
		if levy.Groups[k] != g {
			continue
		}
		switch r := b.rows[items[k]]; {
		case levy.Flat.Sign() != 0:
		case lead < 0:
			lead = r
			rows[k][column] = amount(rate.String(), rateFormat)
			rows[k][column].Input = exact
		default:
			rows[k][column] = b.live(b.at(column, lead), rateFormat, rate.String())
		}
		group.in = append(group.in, k)
		add := b.adds(levy, rows[k], b.rows[items[k]])
		if levy.Of != "" {
			add = b.amounts[levy.Of][k]
		}
		value := b.minor(b.of(borderValue, b.rows[items[k]], parsed(rows[k][borderValue].Data)))
		values, group.adds = append(values, value), append(group.adds, add)
	}
	name := [...]string{"duty", "tax"}[kindOf(levy)]
	whence, of := b.minor(plus(group.adds...)), whole(1)
	if p := levy.Plus; p.Den > 0 {
		whence, of = plus(times(whole(p.Den), whence), times(whole(p.Num), plus(values...))), whole(p.Den)
		for n, value := range values {
			more := b.multiple(value, whole(p.Num), of, customs.Rounding{Step: 1})
			group.adds[n] = plus(group.adds[n], b.major(more))
		}
	}
	base := b.multiple(b.cell(name+": what it is on", whence), whole(1), of, customs.Rounding{Step: max(levy.Base.Step, 1), Mode: levy.Base.Mode})
	group.base = b.cell(name+": that rounded", base)
	switch group.sum = whole(levy.Flat.Minor()); {
	case levy.Flat.Sign() != 0:
	case !exact:
		group.sum = b.multiple(group.base, whole(ratio.Num), whole(ratio.Den), levy.Amount)
	default:
		scale := scaleOf(levy.Rates)
		group.sum = b.multiple(group.base, rounded(times(b.of(column, lead, rate.InexactFloat64()), whole(scale)), 0), whole(scale), levy.Amount)
	}
	return group
}

// rateOf is a rate as a decimal, and whether it is that exactly.
func rateOf(r customs.Ratio) (decimal.Decimal, bool) {
	return decimal.New(r.Num, 0).DivRound(decimal.New(r.Den, 0), 15), 1_000_000_000%r.Den == 0
}

// shareLevy shares the sum of a group over its lines.
func (b *border) shareLevy(g *levied, name string, items []int, rows [][]sheet.Cell) {
	weights := make([]figure, len(g.in))
	some := above(g.base, whole(0))
	for n, k := range g.in {
		weights[n] = choose(some, b.minor(g.adds[n]), b.of(borderCount, b.rows[items[k]], float64(b.st.Items[items[k]].Count)))
	}
	share := b.carried(name, b.unit, g.sum, weights, func(n int) string { return b.st.Items[items[g.in[n]]].ID })
	for n, k := range g.in {
		f := share(n)
		rows[k][g.column+1] = b.figured(figure{f.text + b.cents(), f.value / math.Pow10(b.digits())}, b.format())
	}
}

// adds is what a line adds to the base of a levy.
func (b *border) adds(levy *customs.Levy, cells []sheet.Cell, r int) figure {
	list := []figure{b.of(borderValue, r, parsed(cells[borderValue].Data))}
	add := func(is bool, column int) {
		if is && cells[column].Format != "" {
			list = append(list, b.of(column, r, parsed(cells[column].Data)))
		}
	}
	add(levy.OnDuty, b.allDuty())
	add(levy.Freight, borderFreight)
	add(levy.Insurance, borderInsurance)
	add(levy.Fees, borderFees)
	return plus(list...)
}

// scaleOf is the whole number that makes whole numbers of those rates that are decimals, with room
// for one finer.
func scaleOf(rates []customs.Ratio) int64 {
	scale := int64(100_000)
	for _, r := range rates {
		for _, exact := rateOf(r); exact && scale%r.Den != 0; {
			scale *= 10
		}
	}
	return scale
}

// multiple is amount x by / of, rounded to a multiple of a step.
func (b *border) multiple(amount, by, of figure, r customs.Rounding) figure {
	product := times(amount, by)
	if by.text == "1" {
		product = amount
	}
	step := times(of, whole(r.Step))
	if of.text == "1" {
		step = whole(r.Step)
	}
	if 2*product.value >= exactBelow {
		b.wrong = true
	}
	var steps figure
	switch r.Mode {
	case money.Down:
		steps = floor(over(product, step))
	case money.Up:
		steps = minus(whole(0), floor(over(minus(whole(0), product), step)))
	default:
		steps = floor(over(plus(times(whole(2), product), step), times(whole(2), step)))
	}
	if r.Step == 1 {
		return steps
	}
	return times(steps, whole(r.Step))
}

// cell puts a figure in a row of working of its own.
func (b *border) cell(what string, f figure) figure { return b.working.fact(what, f) }

// sumCells is the row of a parcel, which says whether it is still on the same side of all bounds.
func (b *border) sumCells(p *customs.ParcelAssessment, o *customs.ParcelOutline, first, last int) []sheet.Cell {
	cells := make([]sheet.Cell, len(b.Columns))
	cells[borderParcel] = text(p.ID)
	sum := func(column int, data string) {
		if last >= first {
			cells[column] = b.live(b.sum(b.column(column, first, last)), b.format(), data)
		}
	}
	parts := [4]float64{}
	for r := first; r <= last; r++ {
		for k := range parts {
			if cell := b.Rows[r-2].Cells[borderGoods+k]; cell.Format != "" {
				parts[k] += parsed(cell.Data)
			}
		}
	}
	for k, value := range parts {
		sum(borderGoods+k, decimal.NewFromFloat(value).StringFixed(int32(b.digits())))
	}
	sum(borderValue, p.CustomsValue.Number())
	sum(b.allDuty(), p.Duty.Number())
	sum(b.allTaxes(), p.Tax.Number())
	holds := whole(1)
	for n := range o.Cases {
		if o.Cases[n].Unknown {
			holds = minus(holds, b.cases[p.ID][n])
		}
	}
	b.wrong = b.wrong || holds.value == 0
	cells[len(cells)-1] = b.live("IF("+holds.text+`=1,"yes","no: it is on the other side of a limit, run lotcost again")`, "", "")
	cells[len(cells)-1].Text = "yes"
	return cells
}

// asked is what names the amount of a line of the border.
func (b *border) asked(line *landed.Line) string {
	r := b.parcels[line.Parcel]
	switch line.Kind {
	case landed.Duty:
		return b.at(b.allDuty(), r)
	case landed.Tax:
		return b.at(b.allTaxes(), r)
	}
	var parts []string
	for n := range b.st.Border.Parcels {
		if b.st.Border.Parcels[n].ID != line.Parcel {
			continue
		}
		for k := range b.outline.Parcels[n].Fees {
			if fee := &b.outline.Parcels[n].Fees[k]; fee.What == line.What {
				parts = append(parts, b.fee(line.Parcel, fee))
			}
		}
	}
	if len(parts) == 0 {
		return b.st.Terms(line).Number.String()
	}
	return strings.Join(parts, "+")
}

// fee is what a fee comes to.
func (b *border) fee(parcel string, fee *customs.OutlineFee) string {
	r, number := b.parcels[parcel], fee.Amount.Decimal().String()
	if !fee.Percent.IsZero() {
		number = "MAX(ROUND(" + b.at(borderValue, r) + "*" + fee.Percent.String() + "," + strconv.Itoa(b.digits()) + ")," + fee.Least.Decimal().String() + ")"
		if fee.Most.Sign() > 0 {
			number = "MIN(" + number + "," + fee.Most.Decimal().String() + ")"
		}
	}
	if on := b.asks(parcel, fee.Cases); on.text != "1" {
		number = "(" + number + ")*" + on.text
	}
	if !fee.Always {
		number = "IF(" + b.at(b.allDuty(), r) + "+" + b.at(b.allTaxes(), r) + ">0," + number + ",0)"
	}
	return number
}

// assessed names what was assessed on an item, where a line is shared by that; "" is a number.
func (m *model) assessed(line *landed.Line, item int, weight int64) string {
	if m.border == nil {
		return ""
	}
	of := m.border.duty[item]
	if line.Kind == landed.Tax {
		of = m.border.tax[item]
	}
	if line.Kind != landed.Duty && line.Kind != landed.Tax || of.text == "" || m.border.minor(of).value != float64(weight) {
		return ""
	}
	return m.border.minor(of).text
}

// estimatedCell says of an estimate whether it follows what is changed.
func (m *model) estimatedCell(line *landed.Line) sheet.Cell {
	if m.border == nil {
		return text("yes, of this day: " + notHere + ", run lotcost again after a change")
	}
	cell := m.paid.live("IF(LEFT("+m.border.at(m.border.columnOf(assessedHead), m.border.parcels[line.Parcel])+`,3)="yes","yes","no longer right: run lotcost again")`, "", "")
	cell.Text = "yes"
	return cell
}
