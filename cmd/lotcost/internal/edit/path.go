package edit

import (
	"fmt"
	"maps"
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

// Below is a path of its own that leads further: by keys, and by the numbers of entries.
func (p Path) Below(steps ...any) Path {
	below := slices.Clone(p)
	for _, s := range steps {
		switch s := s.(type) {
		case string:
			below = append(below, Step{Key: s})
		case int:
			below = append(below, Step{Index: s})
		}
	}
	return below
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
		at := way[len(way)-1]
		if i, own := d.ids[at][s.ID]; own {
			way = append(way, at.Content[i])
			continue
		}
		_, next := child(at, s)
		if next == nil {
			break
		}
		way = append(way, next)
	}
	return way
}

// at is what stands at a path; nil where nothing does.
func (d *Doc) at(p Path) *yaml.Node {
	if way := d.find(p); len(way) > len(p) {
		return way[len(p)]
	}
	return nil
}

// isA reports whether there is a node, of a kind.
func isA(kind yaml.Kind, n *yaml.Node) bool { return n != nil && n.Kind == kind }

// Text returns the text of the single value at a path, and whether one stands there.
func (d *Doc) Text(p Path) (string, bool) {
	n := d.at(p)
	if !isA(yaml.ScalarNode, n) {
		return "", false
	}
	return n.Value, true
}

// Has reports whether something other than nothing stands at a path.
func (d *Doc) Has(p Path) bool {
	n := d.at(p)
	return n != nil && !isNull(n)
}

// Len is how many entries the list at a path has.
func (d *Doc) Len(p Path) int {
	n := d.at(p)
	if !isA(yaml.SequenceNode, n) {
		return 0
	}
	return len(n.Content)
}

// Keys are those of the group at a path, in the order of the text.
func (d *Doc) Keys(p Path) []string {
	n := d.at(p)
	if !isA(yaml.MappingNode, n) {
		return nil
	}
	return keysOf(n)
}

// keysOf are the keys of a group.
func keysOf(group *yaml.Node) (keys []string) {
	for i := 0; i < len(group.Content); i += 2 {
		keys = append(keys, group.Content[i].Value)
	}
	return keys
}

// At is the path of the value that stands at a place, of its key, or of what the place is
// in. Entries are named by their ids where each has one of its own.
func (d *Doc) At(at source.Origin) Path {
	var best Path
	d.walk(d.root, nil, func(p Path, begins, _ *yaml.Node) bool {
		if begins.Line < at.Line || begins.Line == at.Line && begins.Column <= at.Column {
			best = slices.Clone(p)
		}
		return true
	})
	return best
}

// walk tells the path of every value below a node, with what begins there, be it a key, and the
// value, until told to stop. The path is another one once it goes on.
func (d *Doc) walk(n *yaml.Node, p Path, visit func(p Path, begins, value *yaml.Node) bool) bool {
	for i := 0; i < len(n.Content); i += width(n) {
		s, value := Step{Key: n.Content[i].Value}, n.Content[i+width(n)-1]
		if n.Kind == yaml.SequenceNode {
			s = d.stepTo(n, i)
		}
		if to := append(p, s); !visit(to, n.Content[i], value) || !d.walk(value, to, visit) {
			return false
		}
	}
	return true
}

// width is how many nodes each entry of a group or list has in its Content.
func width(n *yaml.Node) int {
	if n.Kind == yaml.MappingNode {
		return 2
	}
	return 1
}

// enter takes down which entries of the lists in a node have an id, or a name, of their own.
func (d *Doc) enter(n *yaml.Node) {
	if n.Kind == yaml.SequenceNode {
		own := map[string]int{}
		for i, entry := range n.Content {
			id := nameOf(entry)
			if _, another := own[id]; another || id == "" {
				i = -1
			}
			own[id] = i
		}
		maps.DeleteFunc(own, func(_ string, i int) bool { return i < 0 })
		d.ids[n] = own
	}
	for _, in := range n.Content {
		d.enter(in)
	}
}

// stepTo is the step to an entry of a list.
func (d *Doc) stepTo(list *yaml.Node, i int) Step {
	id := nameOf(list.Content[i])
	if at, own := d.ids[list][id]; own && at == i {
		return Step{ID: id}
	}
	return Step{Index: i}
}

// Entry is the step to an entry of the list at a path: by its id where that is its own.
func (d *Doc) Entry(p Path, i int) Step {
	if n := d.at(p); isA(yaml.SequenceNode, n) && i < len(n.Content) {
		return d.stepTo(n, i)
	}
	return Step{Index: i}
}

// Walk tells the path of every value, groups and lists too, in the order of the text, until
// told to stop.
func (d *Doc) Walk(visit func(p Path) bool) {
	d.walk(d.root, nil, func(p Path, _, _ *yaml.Node) bool { return visit(slices.Clone(p)) })
}

// Named is a path with its entries named as [Doc.At] does, as far as it leads to anything.
func (d *Doc) Named(p Path) Path {
	named := slices.Clone(p)
	way := d.find(p)
	for i, n := range way[:len(way)-1] {
		if p[i].Key == "" {
			named[i] = d.stepTo(n, indexOf(n, p[i]))
		}
	}
	return named
}
