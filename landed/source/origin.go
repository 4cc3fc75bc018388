package source

import (
	"bytes"
	"cmp"
	"fmt"
	"sort"
	"sync"
	"weak"

	"go.yaml.in/yaml/v3"
)

// Origin is where something was typed. The zero value is nowhere: it was made
// by a program. Line and Column count from 1, columns in characters.
//
// An origin of a text that was read with [ParseYAML], or that was put [Origin.In]
// a text, also finds what stands below it.
type Origin struct {
	File         string
	Line, Column int

	in *Text
}

// String prints "file:line:column", leaving out what is not known.
func (o Origin) String() string {
	switch {
	case o.Line == 0:
		return o.File
	case o.Column == 0:
		return fmt.Sprintf("%s:%d", o.File, o.Line)
	}
	return fmt.Sprintf("%s:%d:%d", o.File, o.Line, o.Column)
}

// Key returns where the value of a key below a group of keys stands, or the key
// itself where the value begins on another line: Key("goal", "return") is that
// of return in the group goal. Where a key is not there it is the place of the
// last one that is.
func (o Origin) Key(keys ...string) Origin { return o.find(keys, -1) }

// Entry is Key for an entry, counted from 0, of the list that a key holds, or
// of the list that begins here. A single value counts as a list of one.
func (o Origin) Entry(i int, keys ...string) Origin { return o.find(keys, i) }

func (o Origin) find(keys []string, entry int) Origin {
	if o.in == nil {
		return o
	}
	return o.in.find(o, keys, entry)
}

// Text finds places in a text that was read.
type Text struct {
	find func(from Origin, keys []string, entry int) Origin
}

// NewText makes a text of which find tells where a key below a place stands; it
// returns the place itself where there is no such key.
func NewText(find func(from Origin, keys []string) Origin) *Text {
	return &Text{func(from Origin, keys []string, _ int) Origin { return find(from, keys) }}
}

// In returns the origin as one of a text.
func (o Origin) In(t *Text) Origin {
	o.in = t
	return o
}

// yamlText finds places in a YAML document: in its tree, as long as somebody
// reads that, and else in one that is made again when the first place is asked
// for, which is for a fault: the tree is large beside the text.
func yamlText(data []byte, root *yaml.Node) *Text {
	data = bytes.Clone(data) // the caller may change it
	tree := weak.Make(root)
	again := sync.OnceValue(func() *yaml.Node {
		var doc yaml.Node
		if err := yaml.Unmarshal(data, &doc); err != nil || len(doc.Content) == 0 {
			return &yaml.Node{}
		}
		return doc.Content[0]
	})
	return &Text{func(from Origin, keys []string, entry int) Origin {
		root := tree.Value()
		if root == nil {
			root = again()
		}
		return below(root, from, keys, entry)
	}}
}

// below finds a place below another in a document.
func below(root *yaml.Node, from Origin, keys []string, entry int) Origin {
	n := root
	if from.Line != 0 {
		n = groupAt(root, from)
	}
	if n == nil {
		return from
	}
	at := from
	move := func(to *yaml.Node) { at.Line, at.Column = to.Line, to.Column }
	for _, name := range keys {
		key, value := entryOf(n, name)
		if key == nil {
			return at
		}
		if n = value; value.Line == key.Line && !isNull(value) {
			move(value)
		} else {
			move(key)
		}
	}
	if entry >= 0 && n.Kind == yaml.SequenceNode && entry < len(n.Content) {
		move(n.Content[entry])
	}
	return at
}

// groupAt finds the innermost list or group of keys that begins at a place;
// keys hold none.
func groupAt(n *yaml.Node, at Origin) *yaml.Node {
	var found *yaml.Node
	for n.Kind == yaml.MappingNode || n.Kind == yaml.SequenceNode {
		if n.Line == at.Line && n.Column == at.Column {
			found = n
		}
		each := 1 // of a group of keys, a key and its value
		if n.Kind == yaml.MappingNode {
			each = 2
		}
		after := sort.Search(len(n.Content)/each, func(i int) bool {
			begins := n.Content[i*each]
			return cmp.Or(cmp.Compare(begins.Line, at.Line), cmp.Compare(begins.Column, at.Column)) > 0
		})
		if after == 0 {
			break
		}
		n = n.Content[after*each-1]
	}
	return found
}

// entryOf finds a key of a group of keys; none where it is not there.
func entryOf(n *yaml.Node, name string) (key, value *yaml.Node) {
	if n.Kind != yaml.MappingNode {
		return nil, nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == name {
			return n.Content[i], n.Content[i+1]
		}
	}
	return nil, nil
}
