package edit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed/source"

	"go.yaml.in/yaml/v3"
)

// Step is one step on the way to a value: a key, or the entry of a list by its id
// (or name) or its number, counted from 0.
type Step struct {
	Key   string // of a group of keys
	ID    string // of an entry
	Index int    // of an entry without ID; New for one behind the last
}

// New stands for an entry behind the last.
const New = -1

// Path is the way to a value, as in lots[crate-a].items[0].value.
type Path []Step

// ParsePath reads a path. A key or an id that holds other characters than letters,
// digits, - and _ stands in double quotes, and so does an id of digits alone; [+] is a
// new entry.
func ParsePath(text string) (Path, error) {
	wrong := fmt.Errorf("%q is no way to a value", text)
	var p Path
	for rest := text; rest != ""; {
		inList := strings.HasPrefix(rest, "[")
		if inList || len(p) > 0 && rest[0] == '.' {
			rest = rest[1:]
		} else if len(p) > 0 {
			return nil, wrong
		}
		word, quoted := "", false
		if prefix, err := strconv.QuotedPrefix(rest); err == nil && prefix[0] == '"' {
			word, _ = strconv.Unquote(prefix)
			rest, quoted = rest[len(prefix):], true
		} else {
			n := strings.IndexAny(rest, ".[]\"")
			if n < 0 {
				n = len(rest)
			}
			word, rest = rest[:n], rest[n:]
		}
		if word == "" {
			return nil, wrong
		}
		if !inList {
			p = append(p, Step{Key: word})
			continue
		}
		var closed bool
		if rest, closed = strings.CutPrefix(rest, "]"); !closed {
			return nil, wrong
		}
		p = append(p, entryStep(word, quoted))
	}
	if len(p) == 0 {
		return nil, wrong
	}
	return p, nil
}

func entryStep(word string, quoted bool) Step {
	if word == "+" && !quoted {
		return Step{Index: New}
	}
	if i, err := strconv.Atoi(word); err == nil && i >= 0 && !quoted {
		return Step{Index: i}
	}
	return Step{ID: word}
}

// String is the path as [ParsePath] reads it.
func (p Path) String() string {
	var b strings.Builder
	for i, s := range p {
		switch {
		case s.Key != "":
			if i > 0 {
				b.WriteByte('.')
			}
			b.WriteString(bare(s.Key, false))
		case s.ID != "":
			b.WriteString("[" + bare(s.ID, true) + "]")
		case s.Index == New:
			b.WriteString("[+]")
		default:
			b.WriteString("[" + strconv.Itoa(s.Index) + "]")
		}
	}
	return b.String()
}

// bare is a word as it stands in a path.
func bare(word string, entry bool) string {
	_, err := strconv.Atoi(word)
	plain := strings.Trim(strings.ToLower(word), "abcdefghijklmnopqrstuvwxyz0123456789-_~") == ""
	if plain && !(entry && err == nil) {
		return word
	}
	return strconv.Quote(word)
}

// child finds what a step leads to; nil where nothing stands there.
func child(n *yaml.Node, s Step) (key, value *yaml.Node) {
	switch {
	case s.Key != "" && n.Kind == yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			if n.Content[i].Value == s.Key {
				return n.Content[i], n.Content[i+1]
			}
		}
	case s.Key == "" && n.Kind == yaml.SequenceNode:
		if i := indexOf(n, s); i >= 0 {
			return nil, n.Content[i]
		}
	}
	return nil, nil
}

// indexOf is the number of an entry of a list, or -1.
func indexOf(list *yaml.Node, s Step) int {
	if s.ID != "" {
		return slices.IndexFunc(list.Content, func(n *yaml.Node) bool { return nameOf(n) == s.ID })
	}
	if s.Index >= len(list.Content) {
		return -1
	}
	return s.Index
}

// nameOf is the id of an entry, or its name.
func nameOf(n *yaml.Node) string {
	for _, key := range []string{"id", "name"} {
		if _, value := child(n, Step{Key: key}); value != nil && value.Kind == yaml.ScalarNode {
			return value.Value
		}
	}
	return ""
}

// find follows a path as far as something stands there, and returns the nodes on the
// way, the root first.
func (d *Doc) find(p Path) []*yaml.Node {
	way := []*yaml.Node{d.root}
	for _, s := range p {
		_, next := child(way[len(way)-1], s)
		if next == nil {
			break
		}
		way = append(way, next)
	}
	return way
}

// Text returns the text of the single value at a path, and whether one stands there.
func (d *Doc) Text(p Path) (string, bool) {
	way := d.find(p)
	last := way[len(way)-1]
	if len(way) <= len(p) || last.Kind != yaml.ScalarNode {
		return "", false
	}
	return last.Value, true
}

// Has reports whether something other than nothing stands at a path.
func (d *Doc) Has(p Path) bool {
	way := d.find(p)
	return len(way) > len(p) && !isNull(way[len(way)-1])
}

// Len is how many entries the list at a path has.
func (d *Doc) Len(p Path) int {
	way := d.find(p)
	if last := way[len(way)-1]; len(way) > len(p) && last.Kind == yaml.SequenceNode {
		return len(last.Content)
	}
	return 0
}

// Keys are those of the group at a path, in the order of the text.
func (d *Doc) Keys(p Path) []string {
	way := d.find(p)
	last := way[len(way)-1]
	if len(way) <= len(p) || last.Kind != yaml.MappingNode {
		return nil
	}
	var keys []string
	for i := 0; i < len(last.Content); i += 2 {
		keys = append(keys, last.Content[i].Value)
	}
	return keys
}

// At is the path of the value that stands at a place, of its key, or of what the place is
// in. Entries are named by their ids where each has one of its own.
func (d *Doc) At(at source.Origin) Path {
	var best Path
	var walk func(n *yaml.Node, p Path)
	seen := func(n *yaml.Node, p Path) {
		if n.Line < at.Line || n.Line == at.Line && n.Column <= at.Column {
			best = slices.Clone(p)
		}
	}
	walk = func(n *yaml.Node, p Path) {
		switch n.Kind {
		case yaml.MappingNode:
			for i := 0; i+1 < len(n.Content); i += 2 {
				to := append(p, Step{Key: n.Content[i].Value})
				seen(n.Content[i], to)
				walk(n.Content[i+1], to)
			}
		case yaml.SequenceNode:
			for i, entry := range n.Content {
				to := append(p, stepTo(n, i))
				seen(entry, to)
				walk(entry, to)
			}
		}
	}
	walk(d.root, nil)
	return best
}

// stepTo is the step to an entry of a list.
func stepTo(list *yaml.Node, i int) Step {
	id := nameOf(list.Content[i])
	if id != "" && indexOf(list, Step{ID: id}) == i && !slices.ContainsFunc(list.Content[i+1:], func(n *yaml.Node) bool { return nameOf(n) == id }) {
		return Step{ID: id}
	}
	return Step{Index: i}
}

// Entry is the step to an entry of the list at a path: by its id where that is its own.
func (d *Doc) Entry(p Path, i int) Step {
	way := d.find(p)
	if last := way[len(way)-1]; len(way) > len(p) && last.Kind == yaml.SequenceNode && i < len(last.Content) {
		return stepTo(last, i)
	}
	return Step{Index: i}
}

// Walk tells the path of every value, groups and lists too, in the order of the text, until
// told to stop.
func (d *Doc) Walk(visit func(p Path) bool) {
	var walk func(n *yaml.Node, p Path) bool
	walk = func(n *yaml.Node, p Path) bool {
		for i, c := range n.Content {
			var s Step
			switch {
			case n.Kind == yaml.SequenceNode:
				s = stepTo(n, i)
			case i%2 == 0:
				continue
			default:
				s = Step{Key: n.Content[i-1].Value}
			}
			to := append(slices.Clone(p), s)
			if !visit(to) || !walk(c, to) {
				return false
			}
		}
		return true
	}
	walk(d.root, nil)
}

// Named is a path with its entries named as [Doc.At] does, as far as it leads to anything.
func (d *Doc) Named(p Path) Path {
	named := slices.Clone(p)
	n := d.root
	for i, s := range p {
		_, next := child(n, s)
		if next == nil {
			break
		}
		if s.Key == "" {
			named[i] = stepTo(n, indexOf(n, s))
		}
		n = next
	}
	return named
}
