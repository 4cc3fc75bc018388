package input

import (
	"bytes"
	"fmt"
	"math/bits"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// ParseJSON reads one JSON value (RFC 8259), which begins on a line of a file, into the tree that
// [ParseYAML] would make of it, at a small part of the time: JSON is YAML in its flow style. What
// makes it no JSON is returned as [source.Faults]; so is half of a character outside the basic
// plane. No value may be read any more once [Node.Free] was called: its room is then another's.
func ParseJSON(file string, line int, data []byte, report *collect.Report) (Node, error) {
	if len(data) > MaxBytes {
		return Node{}, source.Faults{{At: source.Origin{File: file, Line: line}, What: "it is larger than 16 MiB", Remedy: "put long lists in CSV files"}}
	}
	data = bytes.TrimPrefix(data, utf8BOM)
	if f := CheckText(file, data); f != nil {
		if f.At.Line += line - 1; f.At.Line < line {
			f.At.Line = line
		}
		return Node{}, source.Faults{f}
	}
	d := newDocument(file, string(data), report)
	d.json = line
	parser := jsonParser{text: d.text, line: line, nursery: d.borrow()}
	root := d.root(parser.whole(file))
	f := parser.fault
	if f == nil && !root.Given() {
		f = &source.Fault{At: source.Origin{File: file, Line: line}, What: "there is no haul here, but null", Remedy: "write the lot file's content, as in {\"lotcost\": 1, …}"}
	}
	if f != nil {
		d.free()
		return Node{}, source.Faults{f}
	}
	return root, nil
}

// whole is the tree of the text of a file, or what is made of it before a fault.
func (p *jsonParser) whole(file string) *value {
	p.space()
	p.value(0)
	if p.space(); p.fault == nil && p.at < len(p.text) {
		p.fail("something stands behind the value", "write one value a line, and close it where it ends")
	}
	if p.fault != nil {
		p.fault.At.File = file
	}
	return p.root()
}

// jsonParser reads JSON. After a fault it is at the end of its text.
type jsonParser struct {
	text   string
	at     int
	line   int // of at
	begins int // of the line, as if each of its characters so far were a byte
	fault  *source.Fault

	nursery
}

func (p *jsonParser) fail(what, remedy string) {
	if p.fault == nil {
		p.fault = &source.Fault{At: source.Origin{Line: p.line, Column: p.column()}, What: "this is not JSON: " + what, Remedy: remedy, Err: &ShapeError{Broken: true}}
		p.at = len(p.text)
	}
}

// column is that of the parser's place, in characters.
func (p *jsonParser) column() int { return p.at - p.begins + 1 }

// begin makes a value that begins at the parser's place, on top of what is open.
func (p *jsonParser) begin(kind kind) *value {
	if p.made++; p.made > maxMarks {
		p.fail("it holds more than a million values", "put long lists in CSV files")
	}
	v := p.push()
	v.kind, v.line, v.column, v.flow = kind, p.line, int32(p.column()), true
	return v
}

// space passes over what may stand between values; mostly nothing does.
func (p *jsonParser) space() {
	if p.at < len(p.text) && p.text[p.at] <= ' ' {
		p.spaces()
	}
}

func (p *jsonParser) spaces() {
	for ; p.at < len(p.text); p.at++ {
		switch p.text[p.at] {
		case ' ', '\t', '\r':
		case '\n':
			p.line, p.begins = p.line+1, p.at+1
		default:
			return
		}
	}
}

// take passes over a sign and reports whether it stood there.
func (p *jsonParser) take(sign byte) bool {
	if p.at < len(p.text) && p.text[p.at] == sign {
		p.at++
		return true
	}
	return false
}

// value reads one at the parser's place, on top of what is open.
func (p *jsonParser) value(depth int) {
	if depth > maxDepth {
		p.fail("it is nested too deeply", closeBrackets)
	}
	if p.at == len(p.text) {
		p.fail("it ends before it is whole", "close what is open: quotes, brackets and braces")
		p.push().kind = none
		return
	}
	switch c := p.text[p.at]; {
	case c == '"':
		p.string()
	case c == '{':
		p.group(depth)
	case c == '[':
		p.list(depth)
	case c == '-' || isDigit(c):
		p.number()
	default:
		p.word()
	}
}

// word reads one of the three that are values.
func (p *jsonParser) word() {
	v := p.begin(aText)
	for _, word := range [...]string{"null", "true", "false"} {
		if strings.HasPrefix(p.text[p.at:], word) {
			v.text, v.null, v.plain = word, word == "null", true
		}
	}
	if v.text == "" {
		p.fail("no value begins with "+strconv.QuoteRune(p.rune()), `put text in double quotes, as in "4200 JPY"`)
	}
	p.at += len(v.text)
}

func (p *jsonParser) rune() rune {
	r, _ := utf8.DecodeRuneInString(p.text[p.at:])
	return r
}

func (p *jsonParser) group(depth int) {
	p.begin(aGroup)
	from := len(p.open)
	p.at++
	for p.more('}', from) {
		if p.at < len(p.text) && p.text[p.at] != '"' {
			p.fail("a key belongs here", `put it in double quotes, as in "id": "jack"`)
		}
		p.value(depth + 1)
		if p.space(); !p.take(':') {
			p.fail("a colon is missing behind the key", `write "key": value`)
		}
		p.space()
		p.value(depth + 1)
	}
	p.closed(from)
}

func (p *jsonParser) list(depth int) {
	p.begin(aList)
	from := len(p.open)
	p.at++
	for p.more(']', from) {
		p.value(depth + 1)
	}
	p.closed(from)
}

// more reports whether another entry follows in what is open since so much was open.
func (p *jsonParser) more(end byte, from int) bool {
	p.space()
	switch {
	case p.fault != nil || p.take(end):
		return false
	case p.at == len(p.text):
		p.fail("it ends before it is whole", "close what is open: quotes, brackets and braces")
		return false
	case len(p.open) > from && !p.take(','):
		p.fail("a comma or "+string(end)+" belongs here", "part entries by commas, and close what is open")
		return false
	}
	if p.space(); len(p.open) > from && p.at < len(p.text) && p.text[p.at] == end {
		p.fail("a comma stands behind the last entry", "take it out")
		return false
	}
	return true
}

// number reads one as it is written.
func (p *jsonParser) number() {
	v, from := p.begin(aText), p.at
	v.plain = true
	p.take('-')
	if whole := p.digits(); whole == 0 || whole > 1 && p.text[p.at-whole] == '0' {
		p.fail("a number has no such digits", "write it without zeros before it, as in 0.5 or 12")
	}
	if p.take('.') && p.digits() == 0 {
		p.fail("digits are missing behind the point", "write them, as in 12.5")
	}
	if p.take('e') || p.take('E') {
		if !p.take('-') {
			p.take('+')
		}
		if p.digits() == 0 {
			p.fail("the exponent is missing", "write the number without one, as in 12.5")
		}
	}
	if p.fault == nil {
		v.text = p.text[from:p.at]
	}
}

// digits passes over them and counts them.
func (p *jsonParser) digits() int {
	from := p.at
	for p.at < len(p.text) && isDigit(p.text[p.at]) {
		p.at++
	}
	return p.at - from
}

// string reads text in double quotes.
func (p *jsonParser) string() {
	v := p.begin(aText)
	from := min(p.at+1, len(p.text))
	if p.at = plainASCII(p.text, from); p.at < len(p.text) && p.text[p.at] == '"' {
		v.text = p.text[from:p.at]
		p.at++
		return
	}
	for p.plainText(); p.at < len(p.text); p.plainText() {
		switch c := p.text[p.at]; {
		case c == '"':
			v.text = p.text[from:p.at]
			p.at++
			return
		case c == '\\':
			v.text = p.escaped(p.text[from:p.at])
			return
		default:
			p.fail(fmt.Sprintf("the control character %U stands in a text", c), fmt.Sprintf(`write it as \u%04x, or take it out`, c))
		}
	}
	p.fail("the text is not closed", "put a quote behind it")
}

// plainText passes over what stands for itself in a text.
func (p *jsonParser) plainText() {
	text, at, goOn := p.text, plainASCII(p.text, p.at), 0
	for ; at < len(text) && bytesOfText[text[at]] != 0; at++ {
		goOn += int(bytesOfText[text[at]] >> 1)
	}
	p.at, p.begins = at, p.begins+goOn
}

// plainASCII passes, from a place on, over bytes that stand for themselves in a text, and for a
// character each; of the last seven bytes of all it may leave some. Eight are looked at together:
// as one number from which so much is taken that the highest bit of the first byte that stands for
// something else, and of none before it, is then set.
func plainASCII(text string, at int) int {
	const each, highest = 0x0101010101010101, 0x8080808080808080
	for ; at+8 <= len(text); at += 8 {
		s := text[at : at+8]
		all := uint64(s[0]) | uint64(s[1])<<8 | uint64(s[2])<<16 | uint64(s[3])<<24 | uint64(s[4])<<32 | uint64(s[5])<<40 | uint64(s[6])<<48 | uint64(s[7])<<56
		quotes, backslashes := all^each*'"', all^each*'\\'
		others := (all | (all-each*' ')&^all | (quotes-each)&^quotes | (backslashes-each)&^backslashes) & highest
		if others != 0 {
			return at + bits.TrailingZeros64(others)/8
		}
	}
	return at
}

// bytesOfText are the bytes that stand for themselves in a text: 1, or 2 where one goes on a
// character.
var bytesOfText = func() (all [256]uint8) {
	for c := ' '; c < 256; c++ {
		switch {
		case c == '"' || c == '\\':
		case c&0xc0 == 0x80:
			all[c] = 2
		default:
			all[c] = 1
		}
	}
	return all
}()

// escapes are the characters that a letter behind a backslash stands for.
var escapes = map[byte]byte{'"': '"', '\\': '\\', '/': '/', 'b': '\b', 'f': '\f', 'n': '\n', 'r': '\r', 't': '\t'}

// escaped reads on a text from its first backslash.
func (p *jsonParser) escaped(before string) string {
	var b strings.Builder
	b.WriteString(before)
	for p.at < len(p.text) {
		c := p.text[p.at]
		switch {
		case c == '"':
			p.at++
			return b.String()
		case c < ' ':
			p.fail(fmt.Sprintf("the control character %U stands in a text", c), fmt.Sprintf(`write it as \u%04x, or take it out`, c))
		case c != '\\':
			from := p.at
			p.plainText()
			b.WriteString(p.text[from:p.at])
		case strings.HasPrefix(p.text[p.at:], `\u`):
			b.WriteRune(p.unicode())
		case p.at+1 < len(p.text) && escapes[p.text[p.at+1]] != 0:
			b.WriteByte(escapes[p.text[p.at+1]])
			p.at += 2
		default:
			p.fail("a backslash stands before what it has no meaning for", `write \\ for a backslash`)
		}
	}
	p.fail("the text is not closed", "put a quote behind it")
	return ""
}

// unicode reads a character by its number in hexadecimal digits, or by two that are its halves.
func (p *jsonParser) unicode() rune {
	r, ok := p.unit()
	if ok && utf16.IsSurrogate(r) {
		var low rune
		if low, ok = p.unit(); ok {
			r = utf16.DecodeRune(r, low)
			ok = r != utf8.RuneError
		}
	}
	if !ok {
		p.fail("a character is not whole", `write \u and four hexadecimal digits, and both halves of a character that needs two`)
	}
	return r
}

// unit reads a backslash, a u and four digits.
func (p *jsonParser) unit() (rune, bool) {
	rest := p.text[p.at:]
	if !strings.HasPrefix(rest, `\u`) || len(rest) < len(`\u0000`) {
		return 0, false
	}
	n, err := strconv.ParseUint(rest[2:6], 16, 16)
	if err == nil {
		p.at += len(`\u0000`)
	}
	return rune(n), err == nil
}
