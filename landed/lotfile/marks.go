package lotfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
	"golang.org/x/text/currency"
)

// figureColumns are the columns whose figures may have decimals.
var figureColumns = []string{"weight", "value", "repair", "parts-value", "worth", "hours"}

// eitherWay is a figure with one mark, which may group thousands or be that of
// decimals.
var eitherWay = scrub.Pattern(`^\D*[1-9]\d{0,2}[.,]\d{3}\D*$`)

// guess finds which mark the list has before decimals, where that is not
// declared: the comma, where more figures can be read in no other way than with the
// other one alone, which are then refused. Of a list whose separator shows that its
// commas are not those of a table in English, what may be either is refused.
func (l *itemList) guess() {
	if l.marks.Said {
		return
	}
	var first [3]*source.Origin // of those that are read with a point, a comma, either
	text, count := [3]string{}, [3]int{}
	rows := l.rows
	l.rows = l.table.Rows()
	before, whole := l.report, l.whole
	l.report = &collect.Report{} // what is wrong is reported when it is read
	figures := l.figureColumns()
	for l.next() {
		for _, c := range figures {
			kind := l.marksOf(c)
			if kind < 0 {
				continue
			}
			if count[kind]++; first[kind] == nil {
				at := l.at(c.place)
				first[kind], text[kind] = &at, l.record[c.place].Text
			}
		}
	}
	l.rows, l.report, l.whole = rows, before, whole
	const point, comma, either = 0, 1, 2
	switch {
	case count[comma] > count[point]:
		l.marks.Comma = true
		if l.Decimal != "comma" && count[point] == 0 {
			l.report.Add(&source.Fault{At: *first[comma], Warning: true, What: "all figures of the list are read with decimal commas, as in " + quote(text[comma]), Remedy: "if they are not meant so, write them with points"})
		}
	case first[point] == nil && first[either] != nil && l.Decimal != "":
		l.marks.Comma = l.Decimal == "comma"
	case first[point] == nil && first[either] != nil:
		l.unsure = l.table.Separator == ';' || l.table.Separator == '\t'
	}
}

// figureColumns are those that the list has.
func (l *itemList) figureColumns() []*column {
	var have []*column
	for _, name := range figureColumns {
		if c := l.columnOf(name); c != nil {
			have = append(have, c)
		}
	}
	return have
}

// marksOf tells how the figure in a column can be read: 0 with a decimal point, 1
// with a comma, 2 with either; -1 where it makes no difference. Figures are alike in that but for
// which digits above 0 they have, and a list has few kinds of them.
func (l *itemList) marksOf(c *column) int {
	cell := l.cellIn(c)
	if cell == nil || cell.Exact || strings.IndexByte(cell.Text, '.') < 0 && strings.IndexByte(cell.Text, ',') < 0 {
		return -1
	}
	alike := figureKind{column: c}
	if len(cell.Text) > len(alike.text) {
		return l.marksIn(c, cell)
	}
	for i := range len(cell.Text) {
		if alike.text[i] = cell.Text[i]; '1' <= alike.text[i] && alike.text[i] <= '9' {
			alike.text[i] = '1'
		}
	}
	kind, known := l.kinds[alike]
	if !known {
		if kind = l.marksIn(c, cell); len(l.kinds) < mostKinds {
			l.kinds[alike] = kind
		}
	}
	return kind
}

// figureKind is what figures that can be read alike have in common: their text with each digit from
// 1 to 9 as 1. It is too short for a figure that is too large to be read.
type figureKind struct {
	column *column
	text   [16]byte
}

const mostKinds = 1000

// marksIn is marksOf for a figure with some mark.
func (l *itemList) marksIn(c *column, cell *cells.Cell) int {
	name := c.name
	isAmount := name != "weight" && name != "hours"
	text := input.CloseUp(c.withUnit(l, cell, cell.Text))
	if isAmount && strings.ContainsFunc(text, isSign) { // of several currencies, which says nothing of the figure
		text = strings.TrimFunc(text, func(r rune) bool { return r < '0' || r > '9' })
	}
	other := input.OtherMarks(text)
	if text == other {
		return -1
	}
	point := !(isAmount && ungrouped(text)) && l.reads(name, text)
	comma := !(isAmount && ungrouped(other)) && l.reads(name, other)
	switch {
	case !point && !comma:
		return -1
	case point && comma, name != "weight" && eitherWay().MatchString(text):
		return 2
	case comma:
		return 1
	}
	return 0
}

// ungrouped reports whether a text has a comma that groups no thousands, and so is no amount. That
// is seen at a glance, while to refuse an amount in words takes longer than to read ten.
func ungrouped(text string) bool {
	for {
		comma := strings.IndexByte(text, ',')
		if comma < 0 {
			return false
		}
		text = text[comma+1:]
		digits := 0
		for digits < len(text) && text[digits] >= '0' && text[digits] <= '9' {
			digits++
		}
		if digits != 3 {
			return true
		}
	}
}

// reads reports whether a text is a figure of a column, with decimal points.
func (l *itemList) reads(name, text string) bool {
	switch name {
	case "weight":
		_, err := measure.ParseWeight(text)
		return err == nil
	case "hours":
		_, err := decimal.NewFromString(text)
		return err == nil
	}
	return !slices.ContainsFunc(strings.Split(text, ".."), func(part string) bool {
		_, err := money.ParseIn(strings.TrimSpace(part), l.home)
		return err != nil
	})
}

// withUnit adds to a bare figure the unit that the head of its column gives, and
// puts the code in place of a currency sign that is of that, or in a workbook can be no other's.
func (c *column) withUnit(l *itemList, cell *cells.Cell, text string) string {
	switch {
	case c.unit != "" && !strings.ContainsFunc(text, isCurrencyMark) && !strings.Contains(text, "%"):
		return text + " " + c.unit
	case c.unit != "" && strings.ContainsFunc(text, isSign):
		if unit, err := currency.ParseISO(c.unit); err == nil { // $12 below value (USD)
			number := strings.TrimSpace(strings.Replace(text, fmt.Sprint(currency.NarrowSymbol(unit)), "", 1))
			if !strings.ContainsFunc(number, isCurrencyMark) {
				return number + " " + c.unit
			}
		}
	case cell.Exact:
		number, sign, ok := strings.Cut(text, " ")
		if ok && strings.ContainsFunc(sign, isSign) {
			return number + " " + l.codeOf(sign)
		}
	}
	return text
}

// codeOf is the currency that a sign stands for: home, where it is its own, or
// else the only one that has it. Where several have it, it stays a sign.
func (l *itemList) codeOf(sign string) string {
	if code, ok := l.signs[sign]; ok {
		return code
	}
	var having []money.Currency
	for _, c := range money.Currencies() {
		if unit, err := currency.ParseISO(c.Code()); err == nil && fmt.Sprint(currency.NarrowSymbol(unit)) == sign {
			having = append(having, c)
		}
	}
	code := sign
	if slices.Contains(having, l.home) {
		code = l.home.Code()
	} else if len(having) == 1 {
		code = having[0].Code()
	}
	l.signs[sign] = code
	return code
}

// look tells of cells of the record that show what cannot be read, and of figures
// that may be either of two. They are then as empty.
func (l *itemList) look() {
	l.spoilt = l.spoilt[:0]
	for i := range l.columns {
		c := &l.columns[i]
		cell := l.cellIn(c)
		isText := c.name == "id" || c.name == "what" || c.name == "class" || c.name == "model"
		switch {
		case cell == nil:
		case cell.Wrong != "":
			l.failCell(c, cell.Wrong, cell.Write)
		case !isText && (cell.Date || isDay(cell.Text)):
			l.failCell(c, "the spreadsheet holds the day "+cell.Text+" here", "write the figure again, into a cell of the format text")
		case c.name == "weight" && isBare(c.withUnit(l, cell, cell.Text)):
			unit := "kg"
			if strings.IndexAny(cell.Text+".", ".,") > len("9") { // few weigh so many kilograms
				unit = "g"
			}
			l.failCell(c, quote(cell.Text)+" has no unit", "write "+cell.Text+" "+unit+", or the unit of all in the head, as in weight ("+unit+")")
		case l.unsure && slices.Contains(figureColumns, c.name) && l.marksOf(c) == 2:
			l.failUnsure(c, cell.Text)
		}
	}
}

// dayMonths are how names of months begin, but for words of which there may be several, as 2 sets;
// none is the code of a currency.
var dayMonths = sync.OnceValue(func() string {
	return strings.Join(slices.DeleteFunc(input.MonthNames(), func(name string) bool { return name == "set" || name == "out" }), "|")
})

// dayIn is a day in figures, or of a month by its short name.
var dayIn = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(\d{1,4}[./-]\d{1,2}[./-]\d{1,4}|(\d{1,2}[. -]{1,2})?(` + dayMonths() + `)[a-z]{0,6}\.?([ -]?\d{1,4})?)$`)
})

// isDay reports whether a text is a day, which spreadsheets make of figures: 03.12.2026, or Mrz 38
// of what was typed as 3.38.
func isDay(text string) bool {
	const longest = 16
	if len(text) < 5 || len(text) > longest {
		return false
	}
	marks, letters, begins := 0, 0, [3]byte{}
	for i := range len(text) {
		switch c := text[i] | 0x20; {
		case c == '.' || c == '/' || c == '-':
			marks++
		case 'a' <= c && c <= 'z':
			if letters < len(begins) {
				begins[letters] = c
			}
			letters++
		}
	}
	return (letters == 0 && marks == 2 || letters >= 3 && strings.Contains(dayMonths(), string(begins[:]))) && dayIn().MatchString(text)
}

// isBare reports whether a text is a figure of digits and marks alone, without a unit.
func isBare(s string) bool {
	if s == "" || s[len(s)-1]|0x20 >= 'a' { // most end in a unit
		return false
	}
	return strings.ContainsAny(s, "0123456789") && strings.Trim(input.CloseUp(s), "0123456789.,") == ""
}

func (l *itemList) failCell(c *column, what, remedy string) {
	at, field := c.where()
	if c.report == l.report { // else its head is wrong, which was said
		l.fail(at, field, what, remedy)
	}
	l.spoilt, l.whole = append(l.spoilt, c.name), false
}

func (l *itemList) failUnsure(c *column, text string) {
	plain := strings.NewReplacer(",", "", ".", "").Replace(text)
	say := "say decimal: comma or decimal: point in the lot file"
	if l.quickList {
		say = "add --decimal comma or --decimal point"
	}
	l.failCell(c, quote(text)+" may be "+plain+" or "+strings.ReplaceAll(text, ",", "."), "write it as "+plain+" if the mark groups thousands, or "+say)
}
