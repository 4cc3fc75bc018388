package live

import (
	"math"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// basis is what each item weighs in a sharing by it, in whole numbers without a common divisor.
type basis struct {
	by      landed.Basis
	all     int     // the column of the sheet sharing with what is counted in units
	column  int     // that of whole units; the next is that of the reduced ones
	at      int     // the row of working with the unit and the divisor
	units   []int64 // by item; nil where a spreadsheet cannot hold them
	divisor int64
	digits  int // of a unit
}

// by returns a basis, made when first asked for.
func (m *model) by(by landed.Basis) *basis {
	if by == landed.ByEqual {
		by = landed.ByLine
	}
	if b := m.bases[by]; b != nil {
		return b
	}
	b := &basis{by: by}
	m.bases[by] = b
	if by != landed.ByWeight && by != landed.ByValue {
		return b
	}
	m.order = append(m.order, b)
	b.column = len(m.items.Columns)
	name, of := "g", m.gramsOf
	if b.all = itemGrams; by == landed.ByValue {
		name, of, b.all = "value", m.valueOf, itemValues
	}
	for _, column := range figures(name+" in whole units", name+" as shared by") {
		column.Unprinted = true
		m.items.Columns = append(m.items.Columns, column)
	}
	if b.fill(m, of); b.units != nil {
		m.working.unit(m, b)
	}
	return b
}

// fill finds the units of all items, of which there is so much of each.
func (b *basis) fill(m *model, of func(item int) float64) {
	units := make([]int64, len(m.st.Items))
	if b.by == landed.ByWeight {
		for b.digits = 0; b.digits < 9 && !m.weightsHave(b.digits); b.digits += 3 {
		}
	} else {
		b.digits = m.valueDigits()
	}
	for i := range units {
		all := round(of(i)*math.Pow10(b.digits), 0)
		if units[i] = int64(all); all >= 1<<53 {
			return
		}
		b.divisor = divisor(b.divisor, units[i])
	}
	b.divisor = max(b.divisor, 1)
	b.units = units
}

func divisor(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// weightsHave reports whether the weights of all items have no more than so many decimals in grams.
func (m *model) weightsHave(decimals int) bool {
	unit := measure.Gram / measure.Weight(math.Pow10(decimals))
	for i := range m.st.Items {
		if all, _ := m.st.Items[i].Weight.Mul(m.st.Items[i].Count); m.st.Items[i].Weighed && all%unit != 0 {
			return false
		}
	}
	return true
}

// unit adds the row of a basis with its unit and its divisor, which follow what is typed.
func (w *working) unit(m *model, b *basis) {
	last := len(m.st.Items) + 1
	all, by := m.items.column(itemGrams, 2, last), m.items.column(b.column, 2, last)
	scale := number64(int64(math.Pow10(b.digits)))
	formula := ""
	if b.by == landed.ByWeight {
		finer := func(decimals string) string {
			return "SUMPRODUCT(--(ABS(" + all + "-ROUND(" + all + "," + decimals + "))>0.0000000004))=0"
		}
		formula = "IF(" + finer("0") + ",1,IF(" + finer("3") + ",1000,IF(" + finer("6") + ",1000000,1000000000)))"
	}
	b.at = w.section(1, func(at int, yield func(sheet.Row) bool) bool {
		return yield(headRow(at, []sheet.Cell{
			workWhat:  text("whole units of " + b.by.String() + ", and what divides them all"),
			workTotal: w.live(formula, count, scale), workSum: w.live("MAX(1,GCD("+by+"))", count, number64(b.divisor)),
		}...))
	})
}

// cells are the two columns of an item.
func (m *model) basisCells(b *basis, i int, cells []sheet.Cell) {
	if b.units == nil {
		return
	}
	unit, divides := "working!"+sheet.Locked(workTotal, b.at), "working!"+sheet.Locked(workSum, b.at)
	cells[b.column] = m.items.live("ROUND("+m.items.at(b.all, row(i))+"*"+unit+",0)", count, number64(b.units[i]))
	cells[b.column+1] = m.items.live(m.items.at(b.column, row(i))+"/"+divides, count, number64(b.units[i]/b.divisor))
}

// weighs is what an item weighs; false where a spreadsheet cannot hold it.
func (b *basis) weighs(m *model, i int) (formula string, weight int64, known bool) {
	pieces, r := m.st.Items[i].Count, row(i)
	switch b.by {
	case landed.ByCount:
		return m.items.at(itemCount, r), pieces, true
	case landed.ByLine:
		return "SIGN(" + m.items.at(itemCount, r) + ")", min(pieces, 1), true
	}
	if b.units == nil {
		return "", 0, false
	}
	return m.items.at(b.column+1, r), b.units[i] / b.divisor, true
}

// gramsOf is what all pieces of an item weigh.
func (m *model) gramsOf(i int) float64 {
	item := m.st.Items[i].Item
	return float64(item.Weight) * float64(item.Count) / float64(measure.Gram)
}

func (m *model) weightCells(i int, cells []sheet.Cell) {
	item := m.st.Items[i].Item
	data := ""
	if item.Weighed {
		data = unit(9).number(int64(item.Weight))
		data = strings.TrimSuffix(strings.TrimRight(data, "0"), ".")
	}
	cells[itemWeight] = amount(data, "General") // with as many decimals as are typed
	cells[itemGrams] = m.items.figured(figure{m.items.at(itemWeight, row(i)) + "*" + m.items.at(itemCount, row(i)), m.gramsOf(i)}, "General")
}

// mixed reports whether the values are in more than one currency: they then count in home, without
// the card's part of the rate.
func (m *model) mixed() bool {
	first := money.Currency(0)
	for i := range m.st.Items {
		item := m.st.Items[i].Item
		c := m.st.Haul.ValueOf(item).Currency()
		if c == 0 || item.Count == 0 {
			continue
		}
		if first != 0 && c != first {
			return true
		}
		first = c
	}
	return false
}

// valueDigits is how many decimals of values count.
func (m *model) valueDigits() int {
	if m.isMixed {
		return 6
	}
	for i := range m.st.Items {
		if c := m.st.Haul.ValueOf(m.st.Items[i].Item).Currency(); c != 0 {
			return c.Digits()
		}
	}
	return 0
}

// valueOf is what all pieces of an item are worth: in their currency, or where there are several in
// home.
func (m *model) valueOf(i int) float64 {
	item := m.st.Items[i].Item
	one := m.st.Haul.ValueOf(item)
	if one.Currency() == 0 || item.Count == 0 {
		return 0
	}
	sum := 0.0
	for _, run := range m.st.Haul.Values(item, item.Count) {
		sum += run.Each.Decimal().InexactFloat64() * float64(run.Count)
	}
	if m.isMixed {
		sum *= m.plainRate(one.Currency()).value
	}
	return sum
}

// valueCells are the value of one piece, and of all.
func (m *model) valueCells(i int, cells []sheet.Cell) {
	item := m.st.Items[i].Item
	one := m.st.Haul.ValueOf(item)
	c := one.Currency()
	if c == 0 {
		cells[itemValue] = amount("", sheet.Decimals(m.digits()))
		c = m.st.Home
	} else {
		cells[itemValue] = amount(one.Decimal().String(), coded(c, 0))
	}
	all := figure{m.items.at(itemValue, row(i)) + "*" + m.items.at(itemCount, row(i)), m.valueOf(i)}
	if m.isMixed {
		if all.text += "*" + m.plainRate(c).text; c == m.st.Home {
			all.text = strings.TrimSuffix(all.text, "*1")
		}
		c = m.st.Home
	}
	if len(item.Further) > 0 { // each piece has a value of its own
		cells[itemValue].Input = false
		cells[itemValues] = amount(strconv.FormatFloat(all.value, 'f', -1, 64), plain(c))
		return
	}
	cells[itemValues] = m.items.figured(all, plain(c))
}

// plainRate is the rate of a currency to home without what the card adds.
func (m *model) plainRate(c money.Currency) figure {
	if c == m.st.Home {
		return figure{"1", 1}
	}
	rate, err := m.st.Haul.Exchange().Rate(c, m.st.Home)
	if err != nil {
		return figure{"0", 0}
	}
	f := quotient(rate)
	if first, known := m.rates[c]; known {
		f.text = m.paid.at(paidRate, row(first))
		if spread := m.st.Haul.Spread; !spread.IsZero() {
			f.text = "(" + f.text + "/(1+" + spread.String() + "))"
		}
	}
	return f
}

// cardRate is that with what the card adds; no number where the file has none.
func (m *model) cardRate(c money.Currency) string {
	if first, known := m.rates[c]; known {
		return m.paid.at(paidRate, row(first))
	}
	if _, err := m.st.Haul.Exchange().Rate(c, m.st.Home); err != nil {
		return "NA()"
	}
	return m.plainRate(c).text + "*(1+" + m.st.Haul.Spread.String() + ")"
}
