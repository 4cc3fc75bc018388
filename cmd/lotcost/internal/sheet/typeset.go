package sheet

import (
	"bufio"
	"html"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A page sets figures as a printer does: a minus sign that is as wide as a plus, and thin spaces
// between thousands. What a figure is for programs stands beside it where that differs.
const (
	minus = "−"
	thin  = "\u2009"
)

// piece is a part of a text: as it is shown, and, where that differs or a currency belongs to it,
// the figure it is.
type piece struct{ shown, plain string }

// pieces parts a text into its figures and what is between. In prose a figure is what has a
// currency behind it or cents; with all, each number but a day is one.
func pieces(s string, all bool) []piece {
	var out []piece
	done := 0
	for i := 0; i < len(s); {
		if !isDigit(s[i]) {
			i++
			continue
		}
		end := numberEnd(s, i)
		begin, ok := isSet(s, i, end, all)
		number := s[begin:end]
		shown := set(number)
		if !all && ok && hasCurrency(s[end:]) { // which no line parts from its figure
			end += len(" EUR")
			shown += s[end-len(" EUR") : end]
		}
		if ok && shown != number {
			out = append(out, piece{shown: s[done:begin]}, piece{shown, strings.ReplaceAll(number, ",", ".")})
			done = end
		}
		i = end
	}
	return append(out, piece{shown: s[done:]})
}

// isSet reports whether the number in a text is set as a figure, and where it begins with its sign.
func isSet(s string, i, end int, all bool) (begin int, ok bool) {
	begin = i
	if i > 0 && s[i-1] == '-' {
		begin--
	}
	before, _ := utf8.DecodeLastRuneInString(s[:begin])
	if begin > 0 && (unicode.IsLetter(before) || unicode.IsDigit(before) || strings.ContainsRune("-._/#:", before)) {
		return begin, false
	}
	if strings.HasPrefix(s[end:], "-") && len(s) > end+1 && isDigit(s[end+1]) { // a day
		return begin, false
	}
	number := s[i:end]
	if strings.Count(number, ".")+strings.Count(number, ",") > 1 || len(number) > 1 && number[0] == '0' && isDigit(number[1]) {
		return begin, false
	}
	_, decimals, _ := strings.Cut(strings.ReplaceAll(number, ",", "."), ".")
	return begin, all || hasCurrency(s[end:]) || begin < i && strings.HasPrefix(s[end:], "%") || len(decimals) == 2 && isFigure(s[:begin], strings.ReplaceAll(number, ",", "."), s[end:])
}

// hasCurrency reports whether a text begins with the code of a currency.
func hasCurrency(s string) bool {
	if len(s) < 4 || s[0] != ' ' || len(s) > 4 && (unicode.IsLetter(rune(s[4])) || isDigit(s[4])) {
		return false
	}
	return strings.Trim(s[1:4], "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// set sets a number, which may have a minus sign and decimals.
func set(number string) string {
	whole, sign := strings.CutPrefix(number, "-")
	lead, rest := "", ""
	if sign {
		lead = minus
	}
	if point := strings.IndexAny(whole, ".,"); point >= 0 {
		whole, rest = whole[:point], whole[point:]
	}
	for n := len(whole) - 3; n > 0; n -= 3 {
		whole = whole[:n] + thin + whole[n:]
	}
	return lead + whole + rest
}

// Typeset is a text as a page shows it: with a minus sign before and thin spaces in what has a
// currency behind it or cents. No line ends in a figure, or before its currency.
func Typeset(s string) string {
	var b strings.Builder
	for _, p := range pieces(Visible(s), false) {
		if p.plain != "" {
			p.shown = strings.NewReplacer(thin, "\u202f", " ", "\u00a0").Replace(p.shown)
		}
		b.WriteString(p.shown)
	}
	return b.String()
}

// typeset is a text as a page shows it, without marks.
func typeset(s string, all bool) string {
	var b strings.Builder
	for _, p := range pieces(Visible(s), all) {
		b.WriteString(p.shown)
	}
	return b.String()
}

// prose writes a text from outside as HTML: nothing in it is obeyed, its lines stay lines, and an
// address of the web in it may be followed.
func prose(out *bufio.Writer, s string, all bool) {
	for i, line := range lines(s) {
		if i > 0 {
			out.WriteString("<br>")
		}
		for line != "" {
			before, address, after := cutAddress(line)
			for _, p := range pieces(before, all) {
				if p.plain == "" {
					plain(out, p.shown)
					continue
				}
				out.WriteString(`<data value="` + p.plain + `">` + p.shown + `</data>`)
			}
			if address != "" {
				out.WriteString(`<a href="` + html.EscapeString(address) + `" rel="noreferrer">` + html.EscapeString(address) + `</a>`)
			}
			line = after
		}
	}
}

// cutAddress cuts a line around the first address of the web in it.
func cutAddress(line string) (before, address, after string) {
	at := strings.Index(line, "https://")
	if plain := strings.Index(line, "http://"); plain >= 0 && (at < 0 || plain < at) {
		at = plain
	}
	if at < 0 {
		return line, "", ""
	}
	end := len(line)
	if n := strings.IndexFunc(line[at:], func(r rune) bool { return r <= ' ' || r > '~' || strings.ContainsRune(`"<>()[]{}|\^`+"`", r) }); n >= 0 {
		end = at + n
	}
	end = at + len(strings.TrimRight(line[at:end], ".,;:!?'"))
	return line[:at], line[at:end], line[end:]
}

// plain writes a text, and says of Japanese in it that it is, for the right shapes of its signs.
// Other languages that are written with kanji are taken for it.
func plain(out *bufio.Writer, s string) {
	japanese := func(r rune) bool { return r > 0x2e7f && unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana) }
	from := strings.IndexFunc(s, japanese)
	if from < 0 {
		out.WriteString(html.EscapeString(s))
		return
	}
	to := strings.LastIndexFunc(s, japanese)
	_, size := utf8.DecodeRuneInString(s[to:])
	out.WriteString(html.EscapeString(s[:from]) + `<span lang="ja">` + html.EscapeString(s[from:to+size]) + `</span>` + html.EscapeString(s[to+size:]))
}

// slug makes a name fit for an address inside a page.
func slug(name string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' || r == '.' {
			return r
		}
		return '-'
	}, name), "-")
}

// attr is a text from outside as the value of an attribute.
func attr(s string) string { return html.EscapeString(Visible(s)) }
