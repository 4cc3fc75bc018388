package input

import (
	"errors"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"lotcost/landed/internal/scrub"
	"lotcost/landed/source"
)

// Marks are how the figures of a document are written.
type Marks struct {
	Comma bool   // the comma is the decimal mark and a point groups thousands, as in 1.250,50
	Said  bool   // whether the document says so itself
	Apart bool   // spaces and apostrophes may group thousands even where the comma is not
	Hint  string // what to write where the comma is meant to be, but is not declared; may be empty
}

// Marked has the figures of the mapping, and of all below it, written so.
func (m *Map) Marked(marks *Marks) { m.content.marked(marks) }

// Marked returns the value, and all below it, with its figures written so.
func (n Node) Marked(marks *Marks) Node {
	if n.in != nil {
		in := *n.in
		in.marked(marks)
		n.in = &in
	}
	return n
}

// Figure returns a value that is a figure: where commas are decimal marks, its
// text is as one with points has it, thousands not grouped by spaces or
// apostrophes, and what is said of it is said as the document writes figures.
func (n Node) Figure() Node {
	if n.at &^= asFigure; n.in != nil && n.in.marks != nil && (n.in.marks.Comma || n.in.marks.Apart) {
		n.at |= asFigure
	}
	return n
}

func (m Marks) figureText(s string) string {
	if s = CloseUp(s); m.Comma {
		return OtherMarks(withoutDash(s))
	}
	return s
}

// withoutDash takes out the dash for no hundredths, as in 28,- or 28,-- EUR, in Sweden 28:-.
func withoutDash(s string) string {
	at := strings.LastIndexAny(s, ",:")
	if at < 1 || !isDigit(s[at-1]) {
		return s
	}
	rest := strings.TrimLeft(s[at+1:], "-–")
	if len(rest) == len(s[at+1:]) || rest != "" && isDigit(rest[0]) {
		return s
	}
	return s[:at] + rest
}

// Marks returns how the figures of the document are written.
func (n Node) Marks() Marks {
	if n.in == nil || n.in.marks == nil {
		return Marks{}
	}
	return *n.in.marks
}

// said puts what is wrong with a value, and what to write, as its document has
// figures. Of what is no figure only the advice holds some.
func (n Node) said(what, remedy string) (string, string) {
	if !n.Marks().Comma {
		return what, remedy
	}
	if n.isFigure() {
		what = otherWords.Replace(OtherMarks(what))
		remedy = otherWords.Replace(remedy)
	}
	// of a part of a text the text is put in quotes, and not the part
	if remedy = WithCommas(remedy); n.InBrackets() && (n.v.kind != aText || n.v.plain && strings.Contains(what, n.v.text)) {
		const write = ": write " // which some errors say themselves
		wrong, right, _ := strings.Cut(what, write)
		what, remedy = strings.TrimSuffix(wrong+write+InQuotes(right), write), InQuotes(remedy)
	}
	return what, remedy
}

// InBrackets reports whether the value stands in brackets, or is a list or a group in them.
func (n Node) InBrackets() bool { return n.v != nil && n.v.flow }

// InQuotes is advice in which figures with a comma stand in quotes, so that it holds in brackets
// too.
func InQuotes(advice string) string {
	return alone().ReplaceAllStringFunc(advice, func(figure string) string { return Quote(strings.Trim(figure, `"`)) })
}

// WithCommas is advice on what to write as a document with decimal commas has it: within brackets a
// figure with a comma stands in quotes.
func WithCommas(advice string) string {
	advice = OtherMarks(advice)
	if !strings.ContainsAny(advice, "[{") {
		return advice
	}
	return inBrackets().ReplaceAllStringFunc(advice, func(group string) string {
		return commaFigure().ReplaceAllString(group, `$1"$2"`)
	})
}

var (
	inBrackets  = scrub.Pattern(`[\[{][^"“”]*[\]}]`)
	alone       = scrub.Pattern(`"?(?:[0-9.]+ [A-Z]{3} = )?-?[0-9][0-9.x]*,[0-9][0-9.,x]*(?:%(?: o[fn] \pL+)?| ?(?:[A-Z]{3}|[mk]?g|oz|lb|[cm]?m|in)\b(?: ?(?:per |/)\pL+)?)?"?`)
	commaFigure = scrub.Pattern(`([:\[,] ?)([^][{}:, ][^][{}:,]*,[0-9][^][{},]*)`)
)

var otherWords = strings.NewReplacer("comma", "point", "point", "comma")

// OtherMarks changes points and commas between digits for each other: 1.250,50
// for 1,250.50 and back.
func OtherMarks(s string) string {
	if !strings.ContainsAny(s, ".,") {
		return s
	}
	b := []byte(s)
	for i := 1; i+1 < len(s); i++ {
		if !isDigit(s[i-1]) || !isDigit(s[i+1]) {
			continue
		}
		switch s[i] {
		case '.':
			b[i] = ','
		case ',':
			b[i] = '.'
		}
	}
	return string(b)
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// apart are the marks, of whichever width, that group thousands in a country or
// another and are the decimal mark of none.
const apart = " '’\u00a0\u202f\u2009"

// CloseUp takes spaces and apostrophes that group thousands out of a text.
func CloseUp(s string) string {
	if !parted(s) {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); {
		end, closed := grouped(s, i)
		if end == i {
			out.WriteByte(s[i])
			i++
			continue
		}
		out.WriteString(closed)
		i = end
	}
	return out.String()
}

// parted reports whether a mark of those that group thousands stands between digits.
func parted(s string) bool {
	for i := 0; i+2 < len(s); i++ {
		if !isDigit(s[i]) || isDigit(s[i+1]) {
			continue
		}
		mark, size := utf8.DecodeRuneInString(s[i+1:])
		if next := i + 1 + size; next < len(s) && isDigit(s[next]) && strings.ContainsRune(apart, mark) {
			return true
		}
	}
	return false
}

// grouped returns where a number that begins at a place, with its thousands apart,
// ends, and its digits; the place itself where there is none.
func grouped(s string, at int) (end int, closed string) {
	if !isDigit(s[at]) || s[at] == '0' || !begins(s[:at]) {
		return at, ""
	}
	end = at
	for end < len(s) && isDigit(s[end]) {
		end++
	}
	closed = s[at:end]
	if len(closed) > 3 {
		return at, ""
	}
	first := end
	for {
		mark, size := utf8.DecodeRuneInString(s[end:])
		group := s[min(end+size, len(s)):]
		digits := 0
		for digits < len(group) && isDigit(group[digits]) {
			digits++
		}
		if !strings.ContainsRune(apart, mark) || size == 0 || digits == 0 {
			break
		}
		if digits != 3 {
			return at, ""
		}
		closed += group[:digits]
		end += size + digits
	}
	if end == first {
		return at, ""
	}
	return end, closed
}

// begins reports whether a number may begin behind a text: not within another one,
// a word or a day.
func begins(before string) bool {
	last, size := utf8.DecodeLastRuneInString(before)
	other, _ := utf8.DecodeLastRuneInString(before[:len(before)-size])
	switch {
	case last == '.' && other == '.': // a range
		return true
	case unicode.IsLetter(last) || unicode.IsDigit(last) || last == '.' || last == ',':
		return false
	case last == '-' || strings.ContainsRune(apart, last):
		return !unicode.IsDigit(other)
	}
	return true
}

// withHint adds to what is wrong with a figure that it can be read with a
// decimal comma.
func (n Node) withHint(err error, text string, reads func(string) bool) error {
	marks, other := n.Marks(), OtherMarks(text)
	var fault *source.Fault
	if marks.Comma || marks.Hint == "" || other == text || !strings.Contains(text, ",") || errors.As(err, &fault) || !reads(other) {
		return err
	}
	return &hinted{err, marks.Hint, text}
}

// hinted is an error of a figure with one more thing that would put it right.
type hinted struct {
	error
	hint, figure string
}

// CommaFigure is the figure that an error tells of, where it can be read with a
// decimal comma alone.
func CommaFigure(err error) (figure string, ok bool) {
	var h *hinted
	if ok = errors.As(err, &h); ok {
		figure = h.figure
	}
	return figure, ok
}

func (h *hinted) Error() string { return h.error.Error() + ", or " + h.hint }

// Parts are what is wrong and what would put it right, as far as they are apart.
func (h *hinted) Parts() (what, remedy string) {
	if parted, ok := h.error.(interface{ Parts() (what, remedy string) }); ok {
		what, remedy = parted.Parts()
		return what, remedy + ", or " + h.hint
	}
	return h.Error(), ""
}

func (h *hinted) Unwrap() error { return h.error }

// partsFigure reports whether a comma within braces or brackets has parted a
// figure in two, as in {price: 46,50 EUR}: digits stand on both sides of it.
func partsFigure(a, b *value) bool {
	if a.text == "" || b.text == "" || !a.plain || !b.plain || a.line != b.line {
		return false
	}
	return int(b.column) == int(a.column)+utf8.RuneCountInString(a.text)+1 && isDigit(a.text[len(a.text)-1]) && isDigit(b.text[0])
}

// continues reports whether the second of two values reads as the cents of the first and a
// currency, as in [41,00 EUR], or as what stands behind its thousands, as in [1,250.50 EUR].
func continues(before, after *value) bool {
	return strings.Trim(before.text, "0123456789") == "" &&
		(centsPattern().MatchString(after.text) || len(before.text) <= 3 && thousandsPattern().MatchString(after.text))
}

var (
	centsPattern     = scrub.Pattern(`^[0-9]{2} ?[\p{L}\p{Sc}]`)
	thousandsPattern = scrub.Pattern(`^[0-9]{3}(\.[0-9]+)? ?[\p{L}\p{Sc}]`)
)

// parted tells of a value of a group of keys, at a place, that a comma has parted
// in two. Neither half is then looked at.
func (m *Map) parted(i int) bool {
	kids := m.v.kids
	if i+3 >= len(kids) || !kids[i+1].plain || !kids[i+2].plain || !kids[i+3].null || !partsFigure(&kids[i+1], &kids[i+2]) {
		return false
	}
	key := kids[i].text
	m.value(&kids[i].text, &kids[i+1]).failParted(key+": ", &kids[i+2])
	if slices.Contains(m.known, key) {
		m.means(key, false)
	}
	return true
}

// wordKeys are the keys of words that are free to be chosen, in which a comma may stand.
var wordKeys = []string{"id", "what", "title", "name", "seller", "model"}

// partedText tells of a text at a place of a group of keys that commas have parted, as in {what:
// Draw knife, old}, and returns how many of the keys behind it belong to it. Where all of them are
// known keys they may be meant as such, and it only warns.
func (m *Map) partedText(i int) int {
	kids := m.v.kids
	if !isBare(kids, i+2) {
		return 0
	}
	key, of := kids[i].text, &kids[i+1]
	if of.kind != aText || of.text == "" || !slices.Contains(wordKeys, key) {
		return 0
	}
	whole, parts, meant := of.text, 0, true
	if !of.plain { // quotes around its beginning are meant as part of it
		whole = `"` + whole + `"`
	}
	for j := i + 2; isBare(kids, j); j += 2 {
		whole += ", " + kids[j].text
		parts++
		meant = meant && slices.Contains(m.known, kids[j].text)
	}
	at := m.value(&kids[i].text, of)
	fault := source.Fault{At: at.Origin(), Field: at.Field(), What: "in brackets the comma of " + Quote(whole) + " parts two values", Remedy: "put the text in quotes, as in " + key + ": " + Quote(whole)}
	if meant {
		fault.Warning, parts = true, 0
		fault.Remedy += ", or give " + kids[i+2].text + " a value"
	}
	m.in.report.Add(&fault)
	return parts
}

// isBare reports whether a key stands at a place of a group in brackets without even a colon behind
// it.
func isBare(kids []value, i int) bool {
	if i+1 >= len(kids) || kids[i+1].kind != aText || kids[i+1].text != "" {
		return false
	}
	key, of := &kids[i], &kids[i+1]
	return key.kind == aText && key.plain && of.line == key.line && int(of.column) == int(key.column)+utf8.RuneCountInString(key.text)
}

// failParted tells of a figure that a comma has parted, and of which the value is the first half.
func (n Node) failParted(key string, half *value) {
	figure := n.v.text + "," + half.text
	quoted := key + Quote(strings.ReplaceAll(figure, `"`, "")) // some may stand round a part of it
	remedy := "put the figure in quotes, as in " + quoted
	if marks := n.Marks(); !marks.Comma {
		point := "."
		if len(n.v.text) <= 3 && thousandsPattern().MatchString(half.text) {
			point = "" // as it is read where nothing is parted
		}
		remedy = "write " + key + n.v.text + point + half.text
		if marks.Hint != "" {
			remedy += ", or " + marks.Hint + ", and here " + quoted
		}
	}
	n.in.report.Fail(n.Origin(), n.Field(), "in brackets the comma of "+figure+" parts two values", remedy)
}
