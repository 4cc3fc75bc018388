package input

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"lotcost/landed/source"

	"go.yaml.in/yaml/v3"
)

// ParseJSON reads one JSON value (RFC 8259), which begins on a line of a file, into the tree that
// [ParseYAML] would make of it, at a small part of the time: JSON is YAML in its flow style. What
// makes it no JSON is returned as [source.Faults]; so is half of a character outside the basic
// plane. No value may be read any more once free was called: its room is then another's.
func ParseJSON(file string, line int, data []byte, report *source.Report) (root Node, free func(), err error) {
	if len(data) > MaxBytes {
		return root, nil, source.Faults{{At: source.Origin{File: file, Line: line}, What: "it is larger than 16 MiB", Remedy: "put long lists in CSV files"}}
	}
	data = bytes.TrimPrefix(data, utf8BOM)
	if f := CheckText(file, data); f != nil {
		if f.At.Line += line - 1; f.At.Line < line {
			f.At.Line = line
		}
		return root, nil, source.Faults{f}
	}
	text := string(data)
	parser := &jsonParser{text: text, line: line, nursery: borrow()}
	tree := parser.whole(file)
	free = func() {
		tree = nil
		parser.giveBack()
	}
	at := source.Origin{File: file}
	in := at.In(placesIn(func() *yaml.Node { return tree }, func() *yaml.Node {
		return (&jsonParser{text: text, line: line, nursery: nurseryFor(text)}).whole(file)
	}))
	root = Node{yaml: tree, report: report, file: &in}
	switch {
	case parser.fault != nil:
		free()
		return Node{}, nil, source.Faults{parser.fault}
	case !root.Given():
		free()
		at.Line = line
		return Node{}, nil, source.Faults{{At: at, What: "there is no haul here, but null", Remedy: "write the lot file's content, as in {\"lotcost\": 1, …}"}}
	}
	return root, free, nil
}

// whole is the tree of the text of a file, or what is made of it before a fault.
func (p *jsonParser) whole(file string) *yaml.Node {
	p.space()
	root := p.value(0)
	if p.space(); p.fault == nil && p.at < len(p.text) {
		p.fail("something stands behind the value", "write one value a line, and close it where it ends")
	}
	if p.fault != nil {
		p.fault.At.File = file
	}
	return root
}

// jsonParser reads JSON. After a fault it is at the end of its text.
type jsonParser struct {
	text   string
	at     int
	line   int // of at
	begins int // of the line, in bytes from which the columns are counted,
	column int // that of begins, less one
	fault  *source.Fault

	nursery
}

func (p *jsonParser) fail(what, remedy string) {
	if p.fault == nil {
		p.fault = &source.Fault{At: source.Origin{Line: p.line, Column: p.here()}, What: "this is not JSON: " + what, Remedy: remedy, Err: &ShapeError{Broken: true}}
		p.at = len(p.text)
	}
}

// here is the column at which the parser is, in characters. It counts on from where it last was.
func (p *jsonParser) here() int {
	p.column += utf8.RuneCountInString(p.text[p.begins:p.at])
	p.begins = p.at
	return p.column + 1
}

// node makes one that begins at the parser's place.
func (p *jsonParser) node(kind yaml.Kind, style yaml.Style, tag string) *yaml.Node {
	if p.made == maxMarks {
		p.fail("it holds more than a million values", "put long lists in CSV files")
	}
	n := p.nursery.node(kind, p.line, p.here())
	n.Style, n.Tag = style, tag
	return n
}

// space passes over what may stand between values.
func (p *jsonParser) space() {
	for ; p.at < len(p.text); p.at++ {
		switch p.text[p.at] {
		case ' ', '\t', '\r':
		case '\n':
			p.line, p.begins, p.column = p.line+1, p.at+1, 0
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

// value reads one at the parser's place.
func (p *jsonParser) value(depth int) *yaml.Node {
	if depth > maxDepth {
		p.fail("it is nested too deeply", closeBrackets)
	}
	if p.at == len(p.text) {
		p.fail("it ends before it is whole", "close what is open: quotes, brackets and braces")
		return &yaml.Node{}
	}
	switch c := p.text[p.at]; {
	case c == '{':
		return p.group(depth)
	case c == '[':
		return p.list(depth)
	case c == '"':
		return p.string()
	case c == '-' || isDigit(c):
		return p.number()
	}
	for word, tag := range map[string]string{"null": "!!null", "true": "!!bool", "false": "!!bool"} {
		if strings.HasPrefix(p.text[p.at:], word) {
			n := p.node(yaml.ScalarNode, 0, tag)
			n.Value = word
			p.at += len(word)
			return n
		}
	}
	p.fail("no value begins with "+strconv.QuoteRune(p.rune()), `put text in double quotes, as in "4200 JPY"`)
	return &yaml.Node{}
}

func (p *jsonParser) rune() rune {
	r, _ := utf8.DecodeRuneInString(p.text[p.at:])
	return r
}

func (p *jsonParser) group(depth int) *yaml.Node {
	n, from := p.node(yaml.MappingNode, yaml.FlowStyle, "!!map"), len(p.open)
	p.at++
	for p.more('}', from) {
		if p.at < len(p.text) && p.text[p.at] != '"' {
			p.fail("a key belongs here", `put it in double quotes, as in "id": "jack"`)
		}
		p.open = append(p.open, p.value(depth+1))
		if p.space(); !p.take(':') {
			p.fail("a colon is missing behind the key", `write "key": value`)
		}
		p.space()
		p.open = append(p.open, p.value(depth+1))
	}
	return p.fill(n, from)
}

func (p *jsonParser) list(depth int) *yaml.Node {
	n, from := p.node(yaml.SequenceNode, yaml.FlowStyle, "!!seq"), len(p.open)
	p.at++
	for p.more(']', from) {
		p.open = append(p.open, p.value(depth+1))
	}
	return p.fill(n, from)
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
	p.space()
	return true
}

// number reads one as it is written.
func (p *jsonParser) number() *yaml.Node {
	n, from := p.node(yaml.ScalarNode, 0, "!!float"), p.at
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
		n.Value = p.text[from:p.at]
	}
	return n
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
func (p *jsonParser) string() *yaml.Node {
	n := p.node(yaml.ScalarNode, yaml.DoubleQuotedStyle, "!!str")
	p.at++
	from := p.at
	for ; p.at < len(p.text); p.at++ {
		switch c := p.text[p.at]; {
		case c == '"':
			n.Value = p.text[from:p.at]
			p.at++
			return n
		case c == '\\':
			n.Value = p.escaped(p.text[from:p.at])
			return n
		case c < ' ':
			p.fail(fmt.Sprintf("the control character %U stands in a text", c), fmt.Sprintf(`write it as \u%04x, or take it out`, c))
			return n
		}
	}
	p.fail("the text is not closed", "put a quote behind it")
	return n
}

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
			b.WriteByte(c)
			p.at++
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
