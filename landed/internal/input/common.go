package input

import (
	"strings"
	"unicode/utf8"
)

// commonReader reads the part of YAML in which nearly all files are written, many times as fast as
// the library that reads all of it: groups of keys and lists, by indentation or in brackets, texts
// on one line, plain or in quotes without escapes, notes. Wherever it meets anything else, mistakes
// included, it gives up, and the library reads the file; so it never tells what is wrong. What it
// does read it reads as the library does, which a fuzz test holds.
type commonReader struct {
	text   string
	at     int
	line   int // of at, from 1
	begins int // of the line
	flow   int // how many brackets are open
	deep   int
	gaveUp bool

	counted, column int // up to where the characters of the line were counted, and how many
	nursery
}

// common reads a text of the common part of YAML; nil where it may be none.
func common(text string) *value {
	p := &commonReader{text: text, line: 1, nursery: nurseryFor(text)}
	return p.whole()
}

func (p *commonReader) whole() *value {
	if p.next(); !isCommon(p.text) || p.at == len(p.text) || isDocumentMark(p.text) {
		return nil
	}
	if p.block(-1); p.gaveUp || p.at < len(p.text) || p.top().kind == aText {
		return nil
	}
	return p.root()
}

// isCommon reports whether a text in UTF-8 holds no signs that YAML does not allow, or that end
// lines other than a newline does, or tabs.
func isCommon(text string) bool {
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c >= ' ' && c < 0x7f, c == '\n', c > 0xc2 && c != 0xe2 && c != 0xef:
		case c < 0x80:
			return false
		case c >= 0xc2: // C1 controls, other ends of lines, byte order marks and what is no character
			r, size := utf8.DecodeRuneInString(text[i:])
			if r < 0xa0 || r == '\u2028' || r == '\u2029' || r == '\ufeff' || r >= '\ufffe' && r <= '\uffff' {
				return false
			}
			i += size - 1
		}
	}
	return true
}

func isDocumentMark(line string) bool {
	return strings.HasPrefix(line, "---") || strings.HasPrefix(line, "...")
}

func (p *commonReader) giveUp() { p.gaveUp, p.at = true, len(p.text) }

// is reports whether one of some signs stands some places on; at the end of the text a newline
// does.
func (p *commonReader) is(on int, signs string) bool {
	if p.at+on >= len(p.text) {
		return strings.IndexByte(signs, '\n') >= 0
	}
	return strings.IndexByte(signs, p.text[p.at+on]) >= 0
}

// indent is how far in a text stands that only spaces and dashes stand before.
func (p *commonReader) indent() int { return p.at - p.begins }

// here is the line and the column of the place that is read, counted in characters.
func (p *commonReader) here() (line, column int) {
	if p.counted < p.begins {
		p.counted, p.column = p.begins, 0
	}
	p.column += utf8.RuneCountInString(p.text[p.counted:p.at])
	p.counted = p.at
	return p.line, p.column + 1
}

func (p *commonReader) begin(kind kind) value {
	line, column := p.here()
	return value{kind: kind, line: line, column: int32(column), flow: p.flow > 0}
}

// null reads the value of what has none, which has the place of its mark.
func (p *commonReader) null(v value) {
	v.kind, v.null, v.plain = aText, true, true
	p.open = append(p.open, v)
}

const nullTag = "!!null"

// next goes on to the next text, past spaces, notes and the ends of lines. A note that begins as a
// number may is none that this reader may pass over: "#2" may be meant as text.
func (p *commonReader) next() {
	for p.at < len(p.text) {
		switch p.text[p.at] {
		case ' ':
			p.at++
		case '\n':
			p.at++
			p.line, p.begins = p.line+1, p.at
			if isDocumentMark(p.text[p.at:]) {
				p.giveUp()
			}
		case '#':
			if p.at > p.begins && p.text[p.at-1] != ' ' || !p.is(1, " #\n") {
				p.giveUp()
				return
			}
			if end := strings.IndexByte(p.text[p.at:], '\n'); end >= 0 {
				p.at += end
			} else {
				p.at = len(p.text)
			}
		default:
			return
		}
	}
}

// ends goes on behind a value, which must be the last of its line and not go on below.
func (p *commonReader) ends(outer int) {
	line := p.line
	if p.next(); p.at < len(p.text) && (p.line == line || p.indent() > outer) {
		p.giveUp()
	}
}

// block reads a value that stands further in than what it belongs to. As all that read a value it
// leaves it on top of what is open.
func (p *commonReader) block(outer int) {
	if p.deep++; p.deep > maxDepth/2 {
		p.giveUp()
	}
	defer func() { p.deep-- }()
	if p.isDash() {
		p.dashes(p.indent(), false)
		return
	}
	in := p.indent()
	if p.single(); p.isColon() {
		p.keys(in)
		return
	}
	p.ends(outer)
}

func (p *commonReader) isDash() bool { return p.is(0, "-") && p.is(1, " \n") }

// isColon goes on to the colon behind a key, where one stands on its line.
func (p *commonReader) isColon() bool {
	at := p.at
	for p.at < len(p.text) && p.text[p.at] == ' ' {
		p.at++
	}
	if p.at < len(p.text) && p.is(0, ":") && p.is(1, " \n") {
		return true
	}
	p.at = at
	return false
}

// dashes reads a list. One that belongs to a key may stand no further in than that.
func (p *commonReader) dashes(in int, ofKey bool) {
	p.open = append(p.open, p.begin(aList))
	since := len(p.open)
	for !p.gaveUp {
		p.at++
		dash := p.begin(aText)
		if p.next(); p.at == len(p.text) || p.line != dash.line && p.indent() <= in {
			p.null(dash)
		} else {
			p.block(in)
		}
		if p.at == len(p.text) || p.indent() < in || p.indent() == in && ofKey && !p.isDash() {
			break
		}
		if p.indent() > in || !p.isDash() {
			p.giveUp()
		}
	}
	p.closed(since)
}

// keys reads a group of keys from the colon behind its first one, the top, on.
func (p *commonReader) keys(in int) {
	first, since := *p.top(), len(p.open)
	p.open = append(p.open, first)
	p.open[since-1] = value{kind: aGroup, line: first.line, column: first.column}
	for !p.gaveUp {
		if key := p.top(); key.kind != aText || len(key.text) > MaxText || !p.isColon() {
			break
		}
		if p.valueOf(in); p.at == len(p.text) || p.indent() < in {
			p.closed(since)
			return
		}
		if p.indent() > in {
			break
		}
		p.single()
	}
	p.giveUp()
}

// valueOf reads the value of a key, from its colon on.
func (p *commonReader) valueOf(in int) {
	p.at++
	colon := p.begin(aText)
	p.next()
	switch {
	case p.at < len(p.text) && p.line == colon.line:
		p.single()
		p.ends(in)
	case p.at < len(p.text) && p.indent() > in:
		p.block(in)
	case p.at < len(p.text) && p.indent() == in && p.isDash():
		p.dashes(in, true)
	default:
		p.null(colon)
	}
}

// single reads a value that is written on from where it begins: a text, or brackets.
func (p *commonReader) single() {
	switch {
	case p.is(0, "[{"):
		p.brackets()
	case p.is(0, "'\""):
		p.quoted()
	default:
		p.plain()
	}
}

// brackets reads a list or a group of keys in brackets.
func (p *commonReader) brackets() {
	kind, end := aList, "]"
	if p.text[p.at] == '{' {
		kind, end = aGroup, "}"
	}
	p.flow++
	p.open = append(p.open, p.begin(kind))
	since := len(p.open)
	if p.flow+p.deep > maxDepth/2 {
		p.giveUp()
	}
	for p.at++; ; p.at++ { // past the bracket, and then the commas
		if p.next(); p.gaveUp || p.is(0, end) {
			break
		}
		p.single()
		if key := p.top(); kind == aGroup {
			if key.kind != aText || len(key.text) > MaxText || !p.isColon() {
				p.giveUp()
				break
			}
			p.at++
			p.next()
			p.single()
		}
		if p.next(); p.is(0, end) {
			break
		}
		if !p.is(0, ",") {
			p.giveUp()
			break
		}
	}
	p.at, p.flow = min(p.at+1, len(p.text)), p.flow-1
	p.closed(since)
}

// quoted reads a text in quotes that stands for what it is.
func (p *commonReader) quoted() {
	v, quote := p.begin(aText), p.text[p.at]
	rest := p.text[p.at+1:]
	length := strings.IndexByte(rest, quote)
	if length < 0 || strings.ContainsAny(rest[:length], "\\\n") || length+1 < len(rest) && rest[length+1] == quote {
		p.giveUp()
	} else {
		v.text = rest[:length]
		p.at += length + len("''")
	}
	p.open = append(p.open, v)
}

// plain reads a text without quotes.
func (p *commonReader) plain() {
	v, end := p.begin(aText), p.at
	if p.is(0, "-?:,[]{}#&*!|>'\"%@`\n") && !(p.is(0, "-") && p.at+1 < len(p.text) && isDigit(p.text[p.at+1])) {
		p.giveUp()
		end = p.at
	}
	for ; end < len(p.text); end++ {
		c := p.text[end]
		if c == '\n' || c == ':' && (end+1 == len(p.text) || p.text[end+1] == ' ' || p.text[end+1] == '\n') || c == '#' && p.text[end-1] == ' ' {
			break
		}
		if p.flow > 0 && (c == ',' || c == '[' || c == ']' || c == '{' || c == '}' || c == '?') {
			break
		}
	}
	v.text, v.plain = strings.TrimRight(p.text[p.at:end], " "), true
	switch v.text {
	case "~", "null", "Null", "NULL":
		v.null = true
	}
	p.at += len(v.text)
	p.open = append(p.open, v)
}
