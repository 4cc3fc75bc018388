package live

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Costs are the sheets of a statement: what was paid, the items with their shares, the pieces, what
// was found, and the working of each sharing.
func Costs(st *landed.Statement) []*sheet.Table {
	m := modelOf(st)
	return append(m.tables, written(m.inputs(), m.tables))
}

// modelOf makes the workbook of a statement.
func modelOf(st *landed.Statement) *model {
	st = st.WithQuietLines()
	m := &model{st: st, unit: unit(st.Home.Digits()), working: newWorking(st.Home.Digits()), rates: map[money.Currency]int{}, bases: map[landed.Basis]*basis{}}
	m.isMixed = m.mixed()
	m.layOut()
	m.findRates()
	m.borderSheet()
	m.paidSheet()
	for n := range st.Lines {
		m.shareLine(n)
	}
	m.tables = []*sheet.Table{m.paid.Table, m.items.Table, m.pieces.Table}
	if m.border != nil {
		m.tables = append(m.tables, m.border.Table)
	}
	if st.WasFound {
		m.foundSheet()
		if !m.held {
			m.tables = append(m.tables, m.found.Table)
		}
	}
	m.itemsSheet()
	m.piecesSheet()
	m.pieces.sorts()
	for _, t := range m.tables {
		if t != m.pieces.Table {
			grid{t}.numbered()
		}
	}
	m.working.finish()
	m.tables = append(m.tables, m.working.Table)
	return m
}

// model is a workbook of costs in the making.
type model struct {
	st *landed.Statement
	unit

	paid, items, pieces, found grid
	working                    *working
	tables                     []*sheet.Table

	border  *border                // nil where it is not calculated here
	opened  *opened                // where something was found
	held    bool                   // what was found comes to other figures in formulas, and stands as it is
	rates   map[money.Currency]int // the row of paid that has the rate
	bases   map[landed.Basis]*basis
	order   []*basis   // that stand in the sheet sharing
	shares  [][]string // by item and kind: the cells that sum to its share
	kinds   []landed.Kind
	isMixed bool // the values are in several currencies
}

// Columns of the sheet paid.
const (
	paidWhat = iota
	paidKind
	paidAsked
	paidRate
	paidHome
	paidPercent
	paidSettled
	paidBy
	paidLot
	paidItem
	paidParcel
	paidEstimated
	paidPieces
	paidOne
)

// Columns of the sheet sharing; those of the kinds of cost follow.
const (
	itemID = iota
	itemWhat
	itemLot
	itemCount
	itemWeight
	itemValue
	itemGrams
	itemValues
	itemKinds
)

func (m *model) layOut() {
	m.paid = newGrid("paid", append([]sheet.Column{{Head: "what", Min: 16}, {Head: "kind"}}, figures("asked", "rate", "home", "of price", "settled")...)...)
	m.paid.Columns = append(m.paid.Columns, sheet.Column{Head: "shared by"}, sheet.Column{Head: "lot"}, sheet.Column{Head: "item"}, sheet.Column{Head: "parcel"}, sheet.Column{Head: "estimated"})
	m.paid.Columns = append(m.paid.Columns, figures("pieces", "for one")...)
	m.pieces = newGrid("pieces", append(append([]sheet.Column{{Head: "id"}, {Head: "state"}}, figures("count", "cost")...),
		append([]sheet.Column{{Head: "what", Wrap: true}, {Head: "model"}, {Head: "lot"}}, figures("the dearest", "so many of them", "the others, each", orderHead)...)...)...)
	m.pieces.Columns[pieceOrder].Unprinted = true
	m.items = newGrid("sharing", append([]sheet.Column{{Head: "id"}, {Head: "what", Wrap: true}, {Head: "lot"}}, figures("count", "weight, g", "value", "g in all", "value in all")...)...)
	m.shares = make([][]string, len(m.st.Items)*landed.Kinds)
	m.kinds = Kinds(m.st)
	for _, k := range m.kinds {
		m.items.Columns = append(m.items.Columns, figures(k.String())...)
	}
	if m.st.WasFound {
		m.items.Columns = append(m.items.Columns, figures("moved from dead pieces")...)
	}
	m.items.Columns = append(m.items.Columns, figures("cost")...)
}

// Kinds lists the kinds of cost that some statements hold; nil is none.
func Kinds(statements ...*landed.Statement) (kinds []landed.Kind) {
	var used [landed.Kinds]bool
	for _, st := range statements {
		for i := 0; st != nil && i < len(st.Lines); i++ {
			used[st.Lines[i].Kind] = true
		}
	}
	for k, is := range used {
		if is {
			kinds = append(kinds, landed.Kind(k))
		}
	}
	return kinds
}

// row is that of an item or a line.
func row(n int) int { return n + 2 }

func (m *model) costColumn() int {
	return sheet.Either(m.st.WasFound, itemKinds+len(m.kinds)+1, itemKinds+len(m.kinds))
}

// paidSheet is a row for each amount that was paid.
func (m *model) paidSheet() {
	for n := range m.st.Lines {
		m.paid.add(sheet.Body, m.paidRow(n)...)
	}
	sum := m.paid.live(m.sum(m.paid.column(paidHome, 2, len(m.st.Lines)+1)), plain(m.st.Home), m.st.Total.Number())
	if len(m.st.Lines) == 0 {
		sum.Formula = ""
	}
	m.paid.add(sheet.Sum, []sheet.Cell{paidWhat: text("sum"), paidHome: sum}...)
}

func (m *model) paidRow(n int) []sheet.Cell {
	line := &m.st.Lines[n]
	t := m.st.Terms(line)
	at := func(column int) string { return m.paid.at(column, row(n)) }
	cells := make([]sheet.Cell, paidEstimated+1, paidOne+1)
	cells[paidWhat], cells[paidKind], cells[paidBy] = text(line.What), text(line.Kind.String()), text(line.By.String())
	cells[paidLot], cells[paidItem], cells[paidParcel] = text(line.Lot), text(line.Item), text(line.Parcel)
	if line.Item != "" {
		cells[paidBy] = text("charged to this item only")
	}
	if cells[paidEstimated] = text("no"); line.Estimated {
		cells[paidEstimated] = m.estimatedCell(line)
	}
	if t.PerPiece {
		cells = cells[:paidOne+1]
	}
	bill := slices.Contains(m.st.Bills(), line)
	m.askedCell(n, &t, cells)
	m.rateCell(n, &t, cells)
	home := nearest(figure{text: at(paidAsked) + "*" + at(paidRate)}, m.digits()).text
	if t.PerPiece {
		each := nearest(figure{text: at(paidAsked) + "/" + at(paidPieces) + "*" + at(paidRate)}, m.digits()).text
		home = "IF(" + at(paidPieces) + "=0,0," + at(paidPieces) + "*" + each + ")"
	}
	switch settled := at(paidSettled); {
	case line.Kind == landed.Premium:
		home = "IF(ISNUMBER(" + m.paid.at(paidSettled, row(m.priceOf(n))) + "),0," + home + ")"
	case line.Estimated, bill, line.Kind == landed.Repair && t.Charge == 0: // of which a lot file has one amount
	default:
		cells[paidSettled] = input("", plain(m.st.Home))
		settled += sheet.Either(t.PerPiece, "*"+at(paidPieces), "")
		home = "IF(ISNUMBER(" + at(paidSettled) + ")," + settled + "," + home + ")"
	}
	if t.Settled && line.Kind != landed.Premium {
		one := line.Home.Minor()
		if t.PerPiece && line.Times > 1 {
			one /= line.Times
		}
		cells[paidSettled].Data = m.number(one)
	}
	cells[paidHome] = m.paid.live(home, plain(m.st.Home), line.Home.Number())
	return cells
}

// findRates finds the rows that have the rates: the first of each currency.
func (m *model) findRates() {
	for n := range m.st.Lines {
		t := m.st.Terms(&m.st.Lines[n])
		_, known := m.rates[t.Currency]
		if !known && !t.OfPrice && t.Currency != m.st.Home && !t.Rate().IsZero() {
			m.rates[t.Currency] = n
		}
	}
}

// premiumAt is the cell of what was asked as the premium of the price in line n; "" where there is
// none.
func (m *model) premiumAt(n int) string {
	price := &m.st.Lines[n]
	premium := slices.IndexFunc(m.st.Lines, func(l landed.Line) bool { return l.Kind == landed.Premium && l.Lot == price.Lot })
	if price.Kind != landed.Price || premium < 0 {
		return ""
	}
	return m.paid.at(paidAsked, row(premium))
}

// priceOf is the line of the price of which line n is the premium.
func (m *model) priceOf(n int) int {
	for k := n - 1; k >= 0; k-- {
		if m.st.Lines[k].Kind == landed.Price && m.st.Lines[k].Lot == m.st.Lines[n].Lot {
			return k
		}
	}
	return n
}

// askedCell is what was asked: a number, or what calculates it.
func (m *model) askedCell(n int, t *landed.Terms, cells []sheet.Cell) {
	line := &m.st.Lines[n]
	at := func(column int) string { return m.paid.at(column, row(n)) }
	format := coded(t.Currency, places(t.Number))
	switch {
	case t.OfPrice:
		cells[paidPercent] = input(t.Percent.String(), percent)
		of := m.pricesOf(line)
		cells[paidAsked] = m.paid.live(at(paidPercent)+"*"+of, coded(t.Currency, 4), t.Number.Mul(t.Percent).String())
	case line.Kind == landed.Premium:
		cells[paidPercent] = amount(t.Percent.String(), percent)
		price := m.priceOf(n)
		asked, _ := decimal.NewFromString(m.paid.Rows[price].Cell(paidAsked).Data)
		asked = asked.Mul(t.Percent)
		cells[paidAsked] = m.paid.live(m.paid.at(paidAsked, row(price))+"*"+at(paidPercent), coded(t.Currency, places(asked)), asked.String())
	case t.PerPiece:
		item := m.itemOf(line)
		one := "0"
		if line.Times != 0 {
			one = t.Number.DivRound(decimal.NewFromInt(line.Times), 12).String()
		}
		cells[paidPieces] = m.paid.live(m.items.at(itemCount, row(item)), count, number64(line.Times))
		cells[paidOne] = input(one, format)
		cells[paidAsked] = m.paid.live(at(paidOne)+"*"+at(paidPieces), format, t.Number.String())
	case line.Estimated && m.border != nil:
		cells[paidAsked] = m.paid.live(m.border.asked(line), format, t.Number.String())
	case line.Estimated, t.WithPremium && m.premiumAt(n) == "":
		cells[paidAsked] = fixed(t.Number.String(), format)
	default:
		asked := t.Number
		if t.WithPremium {
			asked = m.st.Items[t.Items[0]].Lot.Price.Decimal()
		}
		cells[paidAsked] = input(asked.String(), coded(t.Currency, places(asked)))
		cells[paidAsked].FromZero = line.Kind == landed.Price
	}
}

// places are the decimals of a number.
func places(d decimal.Decimal) int {
	_, after, _ := strings.Cut(d.String(), ".")
	return len(after)
}

// rateCell is the rate with the card's part, where its currency comes first, and else that one.
func (m *model) rateCell(n int, t *landed.Terms, cells []sheet.Cell) {
	line := &m.st.Lines[n]
	const format = "0.0#########"
	rate := t.Rate()
	first := m.rates[t.Currency]
	switch {
	case t.OfPrice || t.Currency == m.st.Home:
		cells[paidRate] = fixed("1", format)
	case rate.IsZero() && line.Kind == landed.Premium: // in what the bank took
		price := m.priceOf(n)
		cells[paidRate] = m.paid.live(m.paid.at(paidRate, row(price)), format, m.paid.Rows[price].Cell(paidRate).Data)
	case rate.IsZero():
		asked, settled := m.paid.at(paidAsked, row(n)), m.paid.at(paidSettled, row(n))
		if premium := m.premiumAt(n); premium != "" {
			asked = "(" + asked + "+" + premium + ")"
		}
		settled += sheet.Either(t.PerPiece, "*"+m.paid.at(paidPieces, row(n)), "")
		effective := "0"
		if !t.Number.IsZero() {
			effective = line.Home.Decimal().DivRound(t.Number, 15).String()
		}
		taken := "ISNUMBER(" + m.paid.at(paidSettled, row(n)) + ")"
		cells[paidRate] = m.paid.live("IF("+taken+",IF("+asked+"=0,0,"+settled+"/"+asked+"),"+m.cardRate(t.Currency)+")", format, effective)
	case first != n:
		cells[paidRate] = m.paid.live(m.paid.at(paidRate, row(first)), format, rate.String())
		cells[paidRate].Input = true // another card may have another rate
	default:
		cells[paidRate] = amount(rate.String(), format)
	}
}

// pricesOf sums what the prices and premiums of the lots that a line covers cost in home.
func (m *model) pricesOf(line *landed.Line) string {
	lots := map[string]bool{}
	for _, i := range m.st.Terms(line).Items {
		lots[m.st.Items[i].Lot.ID] = true
	}
	var runs []figure
	first, sum := -1, int64(0)
	flush := func(end int) {
		if first >= 0 {
			runs = append(runs, figure{"SUM(" + m.paid.column(paidHome, row(first), row(end-1)) + ")", float64(sum) / math.Pow10(m.digits())})
		}
		first, sum = -1, 0
	}
	for n := range m.st.Lines {
		switch line := &m.st.Lines[n]; {
		case line.Kind > landed.Premium || !lots[line.Lot]:
			flush(n)
			continue
		case first < 0:
			first = n
		}
		sum += m.st.Lines[n].Home.Minor()
	}
	flush(len(m.st.Lines))
	return m.working.sum("part of the prices that a percentage is of", runs).text
}

func (m *model) itemOf(line *landed.Line) int {
	if items := m.st.Terms(line).Items; len(items) > 0 {
		return items[0]
	}
	return 0
}

// shareLine adds the sharing of a line.
func (m *model) shareLine(n int) {
	line := &m.st.Lines[n]
	home := m.paid.at(paidHome, row(n))
	t := m.st.Terms(line)
	items, shares, assessed := t.Items, t.Shares, t.Assessed
	if line.Item != "" {
		m.bear(items[0], line.Kind, home)
		return
	}
	total := figure{"ROUND(" + home + m.times() + ",0)", float64(line.Home.Minor())}
	ids := make([]string, len(items))
	for k, i := range items {
		ids[k] = m.st.Items[i].ID
	}
	sharing := &sharing{what: cmp.Or(line.What, line.Kind.String()), in: m.unit, total: total, items: ids, shares: shares}
	if line.What != line.Kind.String() {
		sharing.what += ", " + line.Kind.String()
	}
	fixed := false
	if assessed != nil {
		var follows bool
		sharing.weighs, follows = m.bearing(line, &t)
		fixed = !follows && len(items) > 1 && !line.Estimated // an estimate says so itself
	} else {
		by := m.by(line.By)
		sharing.weighs = func(k int) (string, int64, bool) { return by.weighs(m, items[k]) }
	}
	cell := m.working.share(sharing)
	if m.working.held || fixed {
		m.paid.Rows[n].Cells[paidBy].Text += ", " + notHere + ": run lotcost again after a change"
	}
	for k, i := range items {
		m.bear(i, line.Kind, cell(k))
	}
}

// bear adds a cell to what an item bears.
func (m *model) bear(item int, kind landed.Kind, cell string) {
	at := item*landed.Kinds + int(kind)
	m.shares[at] = append(m.shares[at], cell)
}

// itemsSheet is a row for each item: what it weighs in a sharing, and its shares.
func (m *model) itemsSheet() {
	for i := range m.st.Items {
		m.items.add(sheet.Body, m.itemRow(i)...)
	}
	last := len(m.st.Items) + 1
	cells := make([]sheet.Cell, m.costColumn()+1)
	cells[itemWhat] = text("sum")
	sum := func(column int, data string) {
		cells[column] = m.items.live(m.sum(m.items.column(column, 2, last)), plain(m.st.Home), data)
	}
	cells[itemCount] = m.items.live("SUM("+m.items.column(itemCount, 2, last)+")", count, number64(m.st.Pieces()))
	moved := int64(0)
	for i := range m.st.Items {
		moved += m.st.Items[i].Moved().Minor()
	}
	for k, kind := range m.kinds {
		sum(itemKinds+k, m.st.Sum(kind).Number())
	}
	if m.st.WasFound {
		sum(itemKinds+len(m.kinds), m.number(moved))
	}
	sum(m.costColumn(), m.number(m.st.Total.Minor()-m.st.Loss.Minor()))
	want := m.paid.at(paidHome, len(m.st.Lines)+2)
	if m.st.WasFound && m.mayLose() {
		want += "-" + cmp.Or(m.lossOf(), m.st.Loss.Number())
	}
	cells[itemWhat] = m.items.counted(sheet.Ref(m.costColumn(), last+1), want)
	if last == 1 {
		cells = []sheet.Cell{itemWhat: text("sum")}
	}
	m.items.add(sheet.Sum, cells...)
}

func (m *model) itemRow(i int) []sheet.Cell {
	item := &m.st.Items[i]
	r := row(i)
	cells := make([]sheet.Cell, len(m.items.Columns))
	cells[itemID], cells[itemWhat], cells[itemLot] = text(item.ID), text(item.What), text(item.Lot.ID)
	if cells[itemCount] = amount(number64(item.Count), count); item.Item.Found != nil || item.Count == 0 {
		cells[itemCount].Input = false // what was found is of that count
	}
	m.weightCells(i, cells)
	m.valueCells(i, cells)
	for k, kind := range m.kinds {
		if of := m.shares[i*landed.Kinds+int(kind)]; len(of) > 0 {
			cells[itemKinds+k] = m.items.live("ROUND("+strings.Join(of, "+")+","+strconv.Itoa(m.digits())+")", plain(m.st.Home), item.Share(kind).Number())
		}
	}
	formula := sheet.Either(len(m.kinds) > 0, m.sum(m.items.at(itemKinds, r)+":"+sheet.Ref(m.costColumn()-1, r)), "0")
	if m.st.WasFound {
		cells[itemKinds+len(m.kinds)] = m.movedCell(i)
	}
	cells[m.costColumn()] = m.items.live(formula, plain(m.st.Home), item.Cost.Number())
	cells[m.costColumn()].Tone = sheet.Strong
	for _, b := range m.order {
		m.basisCells(b, i, cells)
	}
	return cells
}
