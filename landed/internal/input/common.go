package input

import (
	"strings"
	"sync"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
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

// nursery makes the nodes of a tree side by side.
type nursery struct {
	nodes []yaml.Node  // room for the next ones
	lists []*yaml.Node // room for the next contents
	open  []*yaml.Node // contents of what is not whole
	size  int          // for how many nodes room is made at a time
	made  int
	room  *room // that was borrowed; nil where none was
}

func nurseryFor(text string) nursery { return nursery{size: min(max(16, len(text)/16), 512)} }

// room is that of the trees of most hauls.
type room struct {
	nodes [1024]yaml.Node
	lists [1024]*yaml.Node
}

var rooms = sync.Pool{New: func() any { return &room{} }}

// borrow makes a nursery with room that goes back once the tree is no longer read.
func borrow() nursery {
	r := rooms.Get().(*room)
	return nursery{nodes: r.nodes[:], lists: r.lists[:], size: len(r.nodes), room: r}
}

func (s *nursery) giveBack() {
	clear(s.room.nodes[:min(s.made, len(s.room.nodes))])
	rooms.Put(s.room)
}

func (s *nursery) node(kind yaml.Kind, line, column int) *yaml.Node {
	if len(s.nodes) == 0 {
		s.nodes = make([]yaml.Node, s.size)
	}
	s.made++
	n := &s.nodes[0]
	s.nodes = s.nodes[1:]
	n.Kind, n.Line, n.Column = kind, line, column
	return n
}

// fill gives a node what was opened since so much was, and returns it.
func (s *nursery) fill(n *yaml.Node, since int) *yaml.Node {
	content := s.open[since:]
	if len(s.lists) < len(content) {
		s.lists = make([]*yaml.Node, max(s.size, len(content)))
	}
	n.Content = s.lists[:len(content):len(content)]
	s.lists = s.lists[copy(n.Content, content):]
	s.open = s.open[:since]
	return n
}

// common reads a text of the common part of YAML; nil where it may be none.
func common(text string) *yaml.Node {
	p := &commonReader{text: text, line: 1, nursery: nurseryFor(text)}
	return p.whole()
}

func (p *commonReader) whole() *yaml.Node {
	if p.next(); !isCommon(p.text) || p.at == len(p.text) || isDocumentMark(p.text) {
		return nil
	}
	root := p.block(-1)
	if p.gaveUp || p.at < len(p.text) || root.Kind == yaml.ScalarNode {
		return nil
	}
	return root
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

// make makes a node that begins here.
func (p *commonReader) make(kind yaml.Kind) *yaml.Node {
	line, column := p.here()
	return p.node(kind, line, column)
}

// null makes the value of what has none.
func (s *nursery) null(line, column int) *yaml.Node {
	n := s.node(yaml.ScalarNode, line, column)
	n.Tag = nullTag
	return n
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

// block reads a value that stands further in than what it belongs to.
func (p *commonReader) block(outer int) *yaml.Node {
	if p.deep++; p.deep > maxDepth/2 {
		p.giveUp()
	}
	defer func() { p.deep-- }()
	if p.isDash() {
		return p.dashes(p.indent(), false)
	}
	in := p.indent()
	n := p.single()
	if p.isColon() {
		return p.keys(in, n)
	}
	p.ends(outer)
	return n
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
func (p *commonReader) dashes(in int, ofKey bool) *yaml.Node {
	n, since := p.make(yaml.SequenceNode), len(p.open)
	for !p.gaveUp {
		p.at++
		line, column := p.here()
		if p.next(); p.at == len(p.text) || p.line != line && p.indent() <= in {
			p.open = append(p.open, p.null(line, column))
		} else {
			p.open = append(p.open, p.block(in))
		}
		if p.at == len(p.text) || p.indent() < in || p.indent() == in && ofKey && !p.isDash() {
			break
		}
		if p.indent() > in || !p.isDash() {
			p.giveUp()
		}
	}
	return p.fill(n, since)
}

// keys reads a group of keys from the colon behind its first one on.
func (p *commonReader) keys(in int, key *yaml.Node) *yaml.Node {
	n, since := p.node(yaml.MappingNode, key.Line, key.Column), len(p.open)
	for key.Kind == yaml.ScalarNode && p.isColon() && len(key.Value) <= MaxText {
		value := p.valueOf(in)
		p.open = append(p.open, key, value)
		if p.at == len(p.text) || p.indent() < in {
			return p.fill(n, since)
		}
		if p.indent() > in {
			break
		}
		key = p.single()
	}
	p.giveUp()
	return n
}

// valueOf reads the value of a key, from its colon on.
func (p *commonReader) valueOf(in int) *yaml.Node {
	p.at++
	line, column := p.here()
	p.next()
	switch {
	case p.at < len(p.text) && p.line == line:
		n := p.single()
		p.ends(in)
		return n
	case p.at < len(p.text) && p.indent() > in:
		return p.block(in)
	case p.at < len(p.text) && p.indent() == in && p.isDash():
		return p.dashes(in, true)
	}
	return p.null(line, column)
}

// single reads a value that is written on from where it begins: a text, or brackets.
func (p *commonReader) single() *yaml.Node {
	switch {
	case p.is(0, "[{"):
		return p.brackets()
	case p.is(0, "'\""):
		return p.quoted()
	}
	return p.plain()
}

// brackets reads a list or a group of keys in brackets.
func (p *commonReader) brackets() *yaml.Node {
	kind, end := yaml.SequenceNode, byte(']')
	if p.text[p.at] == '{' {
		kind, end = yaml.MappingNode, '}'
	}
	n, since := p.make(kind), len(p.open)
	if p.flow++; p.flow+p.deep > maxDepth/2 {
		p.giveUp()
		return n
	}
	for p.at++; ; p.at++ { // past the bracket, and then the commas
		if p.next(); p.is(0, string(end)) {
			break
		}
		entry := p.single()
		if kind == yaml.MappingNode {
			if entry.Kind != yaml.ScalarNode || len(entry.Value) > MaxText || !p.isColon() {
				p.giveUp()
				break
			}
			p.open = append(p.open, entry)
			p.at++
			p.next()
			entry = p.single()
		}
		p.open = append(p.open, entry)
		if p.next(); p.is(0, string(end)) {
			break
		}
		if !p.is(0, ",") {
			p.giveUp()
			break
		}
	}
	p.at, p.flow = min(p.at+1, len(p.text)), p.flow-1
	return p.fill(n, since)
}

// quoted reads a text in quotes that stands for what it is.
func (p *commonReader) quoted() *yaml.Node {
	n, quote := p.make(yaml.ScalarNode), p.text[p.at]
	rest := p.text[p.at+1:]
	length := strings.IndexByte(rest, quote)
	if length < 0 || strings.ContainsAny(rest[:length], "\\\n") || length+1 < len(rest) && rest[length+1] == quote {
		p.giveUp()
		return n
	}
	n.Style = yaml.DoubleQuotedStyle
	if quote == '\'' {
		n.Style = yaml.SingleQuotedStyle
	}
	n.Tag, n.Value = "!!str", rest[:length]
	p.at += length + len("''")
	return n
}

// plain reads a text without quotes.
func (p *commonReader) plain() *yaml.Node {
	n := p.make(yaml.ScalarNode)
	if p.is(0, "-?:,[]{}#&*!|>'\"%@`\n") && !(p.is(0, "-") && p.at+1 < len(p.text) && isDigit(p.text[p.at+1])) {
		p.giveUp()
		return n
	}
	end := p.at
	for ; end < len(p.text); end++ {
		c := p.text[end]
		if c == '\n' || c == ':' && (end+1 == len(p.text) || p.text[end+1] == ' ' || p.text[end+1] == '\n') || c == '#' && p.text[end-1] == ' ' {
			break
		}
		if p.flow > 0 && (c == ',' || c == '[' || c == ']' || c == '{' || c == '}' || c == '?') {
			break
		}
	}
	n.Tag, n.Value = "!!str", strings.TrimRight(p.text[p.at:end], " ")
	switch n.Value {
	case "~", "null", "Null", "NULL":
		n.Tag = nullTag
	}
	p.at += len(n.Value)
	return n
}
