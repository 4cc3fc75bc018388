package cells

import (
	"encoding/xml"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/shopspring/decimal"
)

// style is what a number format adds to a number: whether it shows a day or a
// percentage, or the unit or currency behind or before it.
type style struct {
	date, percent bool
	rounds        bool
	places        int // decimals that are shown, if it rounds
	unit          string
}

// dates are the numbers of the built-in formats of days and times (ECMA-376, part
// 1, 18.8.30; those from 27 on are of East Asian languages).
func isDate(format int) bool {
	return format >= 14 && format <= 22 || format >= 27 && format <= 36 || format >= 45 && format <= 47 || format >= 50 && format <= 58
}

// formats reads the number formats that cells point to.
func (b *book) formats(part string) error {
	codes := map[int]string{1: "0", 2: "0.00", 3: "#,##0", 4: "#,##0.00", 9: "0%", 10: "0.00%", 39: "#,##0.00", 40: "#,##0.00"}
	in := false
	return b.walk(part, func(_ *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "numFmt":
			if id, err := strconv.Atoi(attr(e, "numFmtId")); err == nil && len(codes) < mostStyles {
				codes[id] = attr(e, "formatCode")
			}
		case "cellXfs":
			in = true
		case "cellStyles", "dxfs":
			in = false
		case "xf":
			if in && len(b.styles) < mostStyles {
				id, _ := strconv.Atoi(attr(e, "numFmtId"))
				code, own := codes[id]
				s := styleOf(code) // of no code nothing
				s.date = s.date || !own && isDate(id)
				b.styles = append(b.styles, s)
			}
		}
		return nil
	})
}

// units are the words of a format that are read as part of the number.
var units = map[string]bool{"mg": true, "g": true, "kg": true, "oz": true, "lb": true}

// styleOf reads a format code: that of positive numbers.
func styleOf(code string) style {
	code, _, _ = strings.Cut(code, ";")
	var s style
	var words []string
	bare := strings.Builder{}
	for code != "" {
		var part string
		switch c := code[0]; {
		case c == '"':
			part, code, _ = strings.Cut(code[1:], `"`)
			words = append(words, part)
		case c == '[':
			part, code, _ = strings.Cut(code[1:], "]")
			if symbol, ok := strings.CutPrefix(part, "$"); ok {
				symbol, _, _ = strings.Cut(symbol, "-")
				words = append(words, symbol)
			} else if part != "" && strings.Trim(strings.ToLower(part), strings.ToLower(part[:1])) == "" {
				bare.WriteString(part) // hours or minutes that go on beyond a day
			}
		case c == '\\' && len(code) > 1:
			letter := []rune(code[1:])[0]
			words = append(words, string(letter))
			code = code[1+len(string(letter)):]
		case (c == '_' || c == '*') && len(code) > 1: // a gap as wide as the next
			code = code[1+len(string([]rune(code[1:])[0])):]
		default:
			letter := []rune(code)[0]
			bare.WriteRune(letter)
			code = code[len(string(letter)):]
		}
	}
	rest := bare.String()
	s.places, s.rounds = placesOf(rest)
	s.percent = strings.Contains(rest, "%")
	s.date = rest != "General" && strings.ContainsAny(strings.ToLower(rest), "ymdhs年月日時")
	if i := strings.IndexFunc(rest, func(r rune) bool { return unicode.Is(unicode.Sc, r) }); i >= 0 {
		words = append(words, string([]rune(rest[i:])[0]))
	}
	word := strings.TrimSpace(strings.Join(words, ""))
	if units[word] || isCode(word) || len([]rune(word)) == 1 && unicode.Is(unicode.Sc, []rune(word)[0]) {
		s.unit = word
	}
	return s
}

// placesOf counts the decimals that a format shows, and reports whether it says
// how many.
func placesOf(code string) (int, bool) {
	if !strings.ContainsAny(code, "0#?") || strings.ContainsAny(code, "Ee/") {
		return 0, false
	}
	_, decimals, _ := strings.Cut(code, ".")
	return len(decimals) - len(strings.TrimLeft(decimals, "0#?")), true
}

func isCode(word string) bool {
	return len(word) == 3 && strings.Trim(word, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// digits is how many of a number a spreadsheet shows: what it stores behind them
// is left from counting in base two, as in 1.8999999999999999 for 1.9 (IEEE 754).
const digits = 15

// number is what a cell with this format shows of a stored number.
func (s style) number(stored string, from int) Cell {
	wrong := Cell{Text: stored, Wrong: "the number " + strconv.Quote(stored) + " cannot be read", Write: "write a plain number"}
	const longest, largest = 40, 30
	if len(stored) > longest {
		return wrong
	}
	d, err := decimal.NewFromString(stored)
	if err != nil || d.Exponent() < -400 || d.Exponent() > largest || d.NumDigits()+int(d.Exponent()) > largest {
		return wrong
	}
	d = d.Round(int32(digits - d.NumDigits() - int(d.Exponent())))
	if s.date {
		return dayOf(d, from)
	}
	if s.percent {
		return Cell{Text: d.Shift(2).String() + "%", Exact: true}
	}
	cell := Cell{Text: strings.TrimSpace(d.String() + " " + s.unit), Exact: true}
	if shown := d.Round(int32(s.places)); s.rounds && !shown.Equal(d) {
		cell.Shown = strings.TrimSpace(shown.String() + " " + s.unit)
	}
	return cell
}

// dayOf is the day that a number stands for. The first sixty days of 1900 are not
// told right: spreadsheets count one that was not.
func dayOf(d decimal.Decimal, from int) Cell {
	first := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if from == 1904 {
		first = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	const last = 2958465 // 31 December 9999
	if d.Sign() < 0 || d.GreaterThan(decimal.NewFromInt(last)) {
		return Cell{Text: d.String(), Wrong: "the cell is a day, but its number is none", Write: "write the day again"}
	}
	return Cell{Text: first.AddDate(0, 0, int(d.IntPart())).Format(time.DateOnly), Exact: true, Date: true}
}
