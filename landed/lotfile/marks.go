package lotfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"

	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/input"
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
var eitherWay = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^\D*[1-9]\d{0,2}[.,]\d{3}\D*$`) })

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
	l.report = &source.Report{} // what is wrong is reported when it is read
	for l.next() {
		for _, name := range figureColumns {
			kind := l.marksOf(name)
			if kind < 0 {
				continue
			}
			if count[kind]++; first[kind] == nil {
				at := l.at(l.columns[name].place)
				first[kind], text[kind] = &at, l.of(name)
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

// marksOf tells how the figure in a column can be read: 0 with a decimal point, 1
// with a comma, 2 with either; -1 where it makes no difference.
func (l *itemList) marksOf(name string) int {
	cell := l.cell(name)
	if !strings.ContainsAny(cell.Text, ".,") {
		return -1
	}
	text := input.CloseUp(l.withUnit(name, cell.Text))
	other := input.OtherMarks(text)
	if cell.Exact || text == other {
		return -1
	}
	isAmount := name != "weight" && name != "hours"
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
// puts the code in place of a currency sign of a workbook that can be no other's.
func (l *itemList) withUnit(name, text string) string {
	c := l.columns[name]
	switch {
	case c.unit != "" && !strings.ContainsFunc(text, isCurrencyMark):
		return text + " " + c.unit
	case l.cell(name).Exact:
		number, sign, ok := strings.Cut(text, " ")
		if ok && strings.ContainsFunc(sign, func(r rune) bool { return unicode.Is(unicode.Sc, r) }) {
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
	code, several := sign, false
	for _, c := range money.Currencies() {
		if unit, err := currency.ParseISO(c.Code()); err != nil || fmt.Sprint(currency.NarrowSymbol(unit)) != sign {
			continue
		}
		if c == l.home {
			code, several = c.Code(), false
			break
		}
		code, several = c.Code(), code != sign
	}
	if several {
		code = sign
	}
	l.signs[sign] = code
	return code
}

// look tells of cells of the record that show what cannot be read, and of figures
// that may be either of two. They are then as empty.
func (l *itemList) look() {
	l.spoilt = l.spoilt[:0]
	for _, name := range l.known {
		cell := l.cell(name)
		isText := name == "id" || name == "what" || name == "class" || name == "model"
		switch {
		case cell == cells.Cell{}:
		case cell.Wrong != "":
			l.failCell(name, cell.Wrong, cell.Write)
		case cell.Date && !isText:
			l.failCell(name, "the spreadsheet holds the day "+cell.Text+" here", "write the figure again, into a cell of the format text")
		case name == "weight" && bareFigure(l.withUnit(name, cell.Text)):
			l.failCell(name, quote(cell.Text)+" has no unit", "write "+cell.Text+" kg, or the unit of all in the head, as in weight (kg)")
		case l.unsure && slices.Contains(figureColumns, name) && l.marksOf(name) == 2:
			l.failUnsure(name, cell.Text)
		}
	}
}

// bareFigure reports whether a text is digits and marks alone.
func bareFigure(s string) bool {
	return strings.ContainsAny(s, "0123456789") && strings.Trim(input.CloseUp(s), "0123456789.,") == ""
}

func (l *itemList) failCell(name, what, remedy string) {
	c := l.columns[name]
	at, field := c.where()
	if c.report == l.report { // else its head is wrong, which was said
		l.fail(at, field, what, remedy)
	}
	l.spoilt, l.whole = append(l.spoilt, name), false
}

func (l *itemList) failUnsure(name, text string) {
	plain := strings.NewReplacer(",", "", ".", "").Replace(text)
	say := "say decimal: comma or decimal: point in the lot file"
	if l.quickList {
		say = "add --decimal comma or --decimal point"
	}
	l.failCell(name, quote(text)+" may be "+plain+" or "+strings.ReplaceAll(text, ",", "."), "write it as "+plain+" if the mark groups thousands, or "+say)
}
