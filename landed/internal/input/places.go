package input

import (
	"cmp"
	"sort"
	"sync"

	"lotcost/landed/source"

	"go.yaml.in/yaml/v3"
)

// yamlText finds places in a YAML document.
func yamlText(data string, tree func() *yaml.Node) *source.Text {
	return placesIn(tree, func() *yaml.Node {
		if top := common(data); top != nil {
			return top
		}
		if top, f := parseAny("", []byte(data)); f == nil {
			return top
		}
		return &yaml.Node{}
	})
}

// placesIn finds places in a tree, as long as that is there, and else in one that is
// made again when the first place is asked for, which is for a fault: the tree is
// large beside the text.
func placesIn(tree, again func() *yaml.Node) *source.Text {
	again = sync.OnceValue(again)
	text := source.Text(func(from source.Origin, keys []string, entry int) source.Origin {
		root := tree()
		if root == nil {
			root = again()
		}
		return below(root, from, keys, entry)
	})
	return &text
}

// below finds a place below another in a document.
func below(root *yaml.Node, from source.Origin, keys []string, entry int) source.Origin {
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
func groupAt(n *yaml.Node, at source.Origin) *yaml.Node {
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
	if n == nil || n.Kind != yaml.MappingNode {
		return nil, nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == name {
			return n.Content[i], n.Content[i+1]
		}
	}
	return nil, nil
}
