// Package edit changes single values of a YAML text where they stand. Every byte
// that is not of the value stays: notes, order, blanks, the ends of lines and a byte
// order mark. What was changed is read again, and an edit after which anything but
// the value would read differently is refused.
package edit

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"lotcost/landed/lotfile"

	"go.yaml.in/yaml/v3"
)

// Doc is a text and where its values stand. It does not change: an edit makes another.
type Doc struct {
	name   string
	data   []byte
	root   *yaml.Node
	lines  []int  // where each line begins, and at last where the text ends
	ending string // of a line that is put in

	ids map[*yaml.Node]map[string]int // by lists, their entries that have an id of their own
}

// Parse reads a text, called name in errors. What is no YAML of the kind that lot
// files are written in is refused with [source.Faults].
func Parse(name string, data []byte) (*Doc, error) {
	at := len(data) - len(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")))
	lines, ending, err := lotfile.Lines(name, data[at:])
	if err != nil {
		return nil, err
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, err
	}
	d := &Doc{name: name, data: data, root: doc.Content[0], ending: ending, ids: map[*yaml.Node]map[string]int{}}
	d.enter(d.root)
	for _, line := range lines {
		d.lines = append(d.lines, at)
		at += len(line)
	}
	d.lines = append(d.lines, at)
	return d, nil
}

// Bytes is the text.
func (d *Doc) Bytes() []byte { return d.data }

// lineEnds are the characters that end a line in YAML 1.1, 4.2.
const lineEnds = "\r\n\u0085\u2028\u2029"

// offset is where a node begins.
func (d *Doc) offset(n *yaml.Node) int {
	if n.Line > len(d.lines) {
		return len(d.data)
	}
	at := d.lines[n.Line-1]
	for range n.Column - 1 {
		_, size := utf8.DecodeRune(d.data[at:])
		at += size
	}
	return at
}

// endOfLine is where the line that holds a place ends, before what ends it.
func (d *Doc) endOfLine(at int) int {
	if n := bytes.IndexAny(d.data[at:], lineEnds); n >= 0 {
		return at + n
	}
	return len(d.data)
}

// startOfLine is where the line that holds a place begins, and the next one.
func (d *Doc) startOfLine(at int) (start, next int) {
	i, found := slices.BinarySearch(d.lines, at)
	if !found {
		i--
	}
	return d.lines[i], d.lines[min(i+1, len(d.lines)-1)]
}

// end is where a node ends: behind its last character.
func (d *Doc) end(n *yaml.Node) int {
	switch {
	case n.Kind == yaml.ScalarNode:
		return d.endOfScalar(n)
	case n.Style&yaml.FlowStyle != 0:
		at := d.offset(n) + 1
		if len(n.Content) > 0 {
			at = d.endOfLast(n)
		}
		return min(d.skip(at, ",")+1, len(d.data))
	case len(n.Content) == 0:
		return d.offset(n)
	}
	return d.endOfLast(n)
}

// endOfLast is where the last entry of a group or list ends.
func (d *Doc) endOfLast(n *yaml.Node) int { return d.endOfEntry(n, len(n.Content)-width(n)) }

// endOfEntry is where the entry of a group or list ends that begins at a place in Content.
func (d *Doc) endOfEntry(in *yaml.Node, at int) int {
	if in.Kind == yaml.MappingNode {
		return d.endOfValue(in.Content[at], in.Content[at+1])
	}
	return d.end(in.Content[at])
}

// endOfValue is where the value of a key ends; an empty one, right behind the colon.
func (d *Doc) endOfValue(key, value *yaml.Node) int {
	if isEmpty(value) {
		return d.behindColon(key)
	}
	return d.end(value)
}

// behindColon is the place behind the colon of a key.
func (d *Doc) behindColon(key *yaml.Node) int {
	at := d.skip(d.end(key), "")
	if at < len(d.data) && d.data[at] == ':' {
		at++
	}
	return at
}

func isEmpty(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Style == 0 && n.Value == ""
}

// skip passes over blanks, line ends, notes and some further signs.
func (d *Doc) skip(at int, signs string) int {
	for at = d.blanks(at, signs); at < len(d.data) && d.data[at] == '#'; {
		at = d.blanks(d.endOfLine(at), signs)
	}
	return at
}

var (
	doubleQuoted = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^"(?s:\\.|[^"\\])*"?`) })
	singleQuoted = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^'(?:''|[^'])*'?`) })
)

func (d *Doc) endOfScalar(n *yaml.Node) int {
	at := d.offset(n)
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		return at + len(doubleQuoted().Find(d.data[at:]))
	case n.Style&yaml.SingleQuotedStyle != 0:
		return at + len(singleQuoted().Find(d.data[at:]))
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return d.endOfText(at)
	}
	for _, r := range n.Value { // over several lines, a blank or an end of line stands for more of them
		if strings.ContainsRune(" \t"+lineEnds, r) {
			at = d.blanks(at, "")
		} else {
			at += utf8.RuneLen(r)
		}
	}
	return min(at, len(d.data))
}

// blanks passes over blanks, line ends and some further signs.
func (d *Doc) blanks(at int, signs string) int {
	rest := bytes.TrimLeft(d.data[min(at, len(d.data)):], " \t"+lineEnds+signs)
	return len(d.data) - len(rest)
}

// endOfText is where a text over several lines ends that begins with | or >: its
// lines are set in as far as the first of them, or farther.
func (d *Doc) endOfText(at int) int {
	end, indent := d.endOfLine(at), -1
	_, next := d.startOfLine(at)
	for next < len(d.data) {
		line := d.data[next:d.endOfLine(next)]
		text := bytes.TrimLeft(line, " ")
		in := len(line) - len(text)
		if len(text) > 0 {
			if indent < 0 {
				indent = in
			}
			if in < indent || indent == 0 {
				return end
			}
			end = next + len(line)
		}
		_, next = d.startOfLine(next)
	}
	return end
}
