package input

import (
	"sync"

	"go.yaml.in/yaml/v3"
)

// kind is what a value is.
type kind uint8

const (
	none kind = iota
	aText
	aList
	aGroup
)

// value is what stands at a place of a document.
type value struct {
	text   string
	kids   []value // entries of a list; of a group each key and, behind it, its value
	note   *string // a note of YAML behind it on its line; may be nil
	line   int
	column int32
	kind   kind
	null   bool // whether the text stands for no value
	plain  bool // whether the text stands without quotes
	flow   bool // whether it stands in brackets, or is a list or a group in them
}

// nursery makes the values of a tree, those of one list or group side by side.
type nursery struct {
	open []value // those that were read of what is not closed yet
	free []value // room for those that stay
	size int     // for how many room is made at a time
	made int
}

func nurseryFor(text string) nursery { return nursery{size: min(max(16, len(text)/16), 512)} }

// stay gives values a place in which they stay.
func (s *nursery) stay(values []value) []value {
	n := len(values)
	if len(s.free) < n {
		s.free = make([]value, max(s.size, n))
	}
	stay := s.free[:n:n]
	s.free = s.free[copy(stay, values):]
	return stay
}

// push puts an empty value on top of what is open, to be filled there: one that is made elsewhere
// and copied at once is waited for.
func (s *nursery) push() *value {
	n := len(s.open)
	if n < cap(s.open) {
		s.open = s.open[:n+1]
	} else {
		s.open = append(s.open, value{})
	}
	v := &s.open[n]
	v.text, v.kids, v.note, v.null, v.plain = "", nil, nil, false, false
	return v
}

// closed gives a list or a group its content, which is what was read since so much was open, on top
// of it.
func (s *nursery) closed(since int) {
	s.open[since-1].kids = s.stay(s.open[since:])
	s.open = s.open[:since]
}

func (s *nursery) top() *value { return &s.open[len(s.open)-1] }

// root is the top of a whole tree.
func (s *nursery) root() *value { return &s.stay(s.open[len(s.open)-1:])[0] }

// room is that of the trees of most hauls, and of how they are looked at. What was there stays
// until the next document's takes its place.
type room struct {
	values [512]value
	open   [256]value
	groups [32]Map
	taken  int   // of the groups
	more   []Map // that are free, where those were too few
	nodes  [64]Node
	listed int // of the nodes
}

var rooms = sync.Pool{New: func() any { return &room{} }}

func (r *room) group() *Map {
	if r.taken == len(r.groups) {
		if len(r.more) == 0 {
			r.more = make([]Map, len(r.groups))
		}
		m := &r.more[0]
		r.more = r.more[1:]
		return m
	}
	r.taken++
	return &r.groups[r.taken-1]
}

// list is room for so many entries of a list, the document's where it has some.
func (d *document) list(n int) []Node {
	if d == nil || d.room == nil || n > len(d.room.nodes)-d.room.listed {
		return make([]Node, 0, n)
	}
	from := d.room.listed
	d.room.listed += n
	return d.room.nodes[from:from:d.room.listed]
}

// treeFrom is a tree of the library.
func treeFrom(y *yaml.Node) *value {
	s := &nursery{size: 512}
	s.add(y, false)
	return s.root()
}

func (s *nursery) add(y *yaml.Node, flow bool) {
	flow = flow || y.Style&yaml.FlowStyle != 0
	v := value{text: y.Value, line: y.Line, column: int32(y.Column), kind: aText, plain: y.Style == 0, flow: flow}
	if y.LineComment != "" {
		v.note = &y.LineComment
	}
	switch y.Kind {
	case yaml.SequenceNode:
		v.kind = aList
	case yaml.MappingNode:
		v.kind = aGroup
	default: // finding the tag of a number takes time by its length
		v.null = len(y.Value) <= len("null") && y.ShortTag() == nullTag
		s.open = append(s.open, v)
		return
	}
	s.open = append(s.open, v)
	since := len(s.open)
	for _, child := range y.Content {
		s.add(child, flow)
	}
	s.closed(since)
}
