package input

import (
	"cmp"
	"sort"
	"sync"
	"weak"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// document is a text that was read, and where what stands in it is found.
type document struct {
	scope                // of all of it
	around around        // the whole of it
	file   source.Origin // that alone
	room   *room         // that was borrowed; nil where none was
	text   string
	json   int // the line on which it begins where it is JSON, else 0
	find   source.Text
	tree   *value              // in borrowed room, until that is given back;
	weak   weak.Pointer[value] // another, as long as somebody looks at it;
	again  *value              // and one that was made again
	making sync.Once
}

func newDocument(file, text string, report *collect.Report) *document {
	d := &document{text: text, scope: scope{report: report}}
	d.document, d.around.scope, d.find = d, &d.scope, d.below
	d.file = source.Origin{File: file}.In(&d.find)
	return d
}

// borrow takes room that [Node.Free] gives back.
func (d *document) borrow() nursery {
	d.room = rooms.Get().(*room)
	return nursery{open: d.room.open[:0], free: d.room.values[:], size: len(d.room.values)}
}

func (d *document) root(top *value) Node {
	if d.room != nil {
		d.tree = top
	} else {
		d.weak = weak.Make(top)
	}
	return Node{v: top, in: &d.around}
}

// longestStale is the length of a text that room may keep from being tidied up.
const longestStale = 1 << 16

// Free gives back the room that the value's document borrowed.
func (n Node) Free() { n.in.free() }

func (d *document) free() {
	if d.tree = nil; len(d.text) <= longestStale {
		d.room.taken, d.room.listed = 0, 0
		rooms.Put(d.room)
	}
	d.room = nil
}

// top is the top of the tree that was read, or of one that is made again when the first place is
// asked for, which is for a fault: a tree is large beside its text.
func (d *document) top() *value {
	if d.tree != nil {
		return d.tree
	}
	if top := d.weak.Value(); top != nil {
		return top
	}
	d.making.Do(func() {
		if d.json > 0 {
			d.again = (&jsonParser{text: d.text, line: d.json, nursery: nurseryFor(d.text)}).whole("")
		} else if d.again = common(d.text); d.again == nil {
			d.again, _ = parseAny("", []byte(d.text))
		}
	})
	return d.again
}

// below finds a place below another in a document.
func (d *document) below(from source.Origin, keys []string, entry int) source.Origin {
	v := d.top()
	if from.Line != 0 {
		v = groupAt(v, from)
	}
	if v == nil {
		return from
	}
	at := from
	move := func(to *value) { at.Line, at.Column = to.line, int(to.column) }
	for _, name := range keys {
		key, value := v.entryOf(name)
		if key == nil {
			return at
		}
		if v = value; value.line == key.line && !value.null {
			move(value)
		} else {
			move(key)
		}
	}
	if entry >= 0 && v.kind == aList && entry < len(v.kids) {
		move(&v.kids[entry])
	}
	return at
}

// groupAt finds the innermost list or group of keys that begins at a place;
// keys hold none.
func groupAt(v *value, at source.Origin) *value {
	var found *value
	for v != nil && v.kind != aText {
		if v.line == at.Line && int(v.column) == at.Column {
			found = v
		}
		each := 1 // of a group of keys, a key and its value
		if v.kind == aGroup {
			each = 2
		}
		after := sort.Search(len(v.kids)/each, func(i int) bool {
			begins := &v.kids[i*each]
			return cmp.Or(cmp.Compare(begins.line, at.Line), cmp.Compare(int(begins.column), at.Column)) > 0
		})
		if after == 0 {
			break
		}
		v = &v.kids[after*each-1]
	}
	return found
}

// entryOf finds a key of a group of keys; none where it is not there.
func (v *value) entryOf(name string) (key, of *value) {
	if v == nil || v.kind != aGroup {
		return nil, nil
	}
	for i := 0; i+1 < len(v.kids); i += 2 {
		if v.kids[i].kind == aText && v.kids[i].text == name {
			return &v.kids[i], &v.kids[i+1]
		}
	}
	return nil, nil
}
