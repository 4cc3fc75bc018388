package input

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// Map is a mapping whose keys have been checked.
type Map struct {
	Node
	content around
	known   []string
	places  []int32 // by known key, that of its value among the kids; 0 for those that are not there
	few     [32]int32
	next    int             // place of the known key behind that which was looked for last
	meant   map[string]bool // keys that unknown ones are like: true where the value is one of those
}

// group makes a Map, in the document's room where it has some.
func (n Node) group() *Map {
	var m *Map
	if n.in != nil && n.in.document != nil && n.in.room != nil {
		m = n.in.room.group()
	} else {
		m = &Map{}
	}
	m.content.within(n)
	m.Node = Node{v: n.v, in: &m.content, at: n.at & asFigure}
	m.known, m.places, m.next, m.meant = nil, nil, 0, nil
	return m
}

// Map returns the entries of a mapping. A key that is not known is a fault
// that suggests the nearest known one; so is a key that stands twice. The list of
// known keys is kept.
func (n Node) Map(known ...string) *Map {
	m := n.group()
	m.known = known
	if !n.IsMap() {
		n.isGroup(known)
		return m
	}
	m.makeRoom()
	for i := 0; i+1 < len(n.v.kids); i += 2 {
		key := &n.v.kids[i]
		place, commas := m.place(key.text), i+2 < len(n.v.kids) && n.v.kids[i+2].plain
		if !m.isKey(key) || place >= 0 && m.isTwice(key, m.places[place] != 0) {
			continue
		}
		if commas && m.parted(i) {
			i += 2
			continue
		}
		switch {
		case place >= 0:
			m.places[place] = int32(i + 1)
		case n.in.report.Len() >= source.MaxFaults: // the fault will not be reported
			m.child(key).misshapen(fmt.Sprintf("unknown key %q", key.text), "", &ShapeError{})
		default:
			m.unknown(i)
		}
		if commas {
			i += 2 * m.partedText(i)
		}
	}
	return m
}

// makeRoom makes that for the places of the known keys.
func (m *Map) makeRoom() {
	if len(m.known) > len(m.few) {
		m.places = make([]int32, len(m.known))
		return
	}
	m.places = m.few[:len(m.known)]
	clear(m.places)
}

// child is a key of the mapping, as a value.
func (m *Map) child(key *value) Node { return Node{v: key, in: &m.content} }

// fewKeys are so few that a remedy names them.
const fewKeys = 8

// isGroup reports whether there is a group of keys, and tells of what is there in its place.
func (n Node) isGroup(known []string) bool {
	if n.Given() && !n.IsMap() {
		remedy := "write each as \"key: value\""
		if n := len(known); n > 0 && n <= fewKeys { // any word is one where none is known
			remedy += ", of the keys " + strings.Join(known, ", ")
		}
		shape := &ShapeError{Keys: known}
		if n.IsList() && len(n.v.kids) > 0 {
			Node{v: &n.v.kids[0]}.Each(func(key string, _ Node) { shape.Held = append(shape.Held, key) })
		}
		n.misshapen("a group of keys belongs here, not "+n.kindName(), remedy, shape)
	}
	return n.IsMap()
}

// isKey reports whether a key can be one, and tells why it cannot.
func (m *Map) isKey(key *value) bool {
	if key.kind != aText {
		m.child(key).misshapen("a key must be a word", "write \"key: value\"", &ShapeError{})
		return false
	}
	long := tooLong(key.text)
	if long > 0 {
		m.child(key).Fail(fmt.Sprintf("the key is %d characters long", long), "check that it is a key")
	}
	return long == 0
}

// isTwice tells of a key that was there before.
func (m *Map) isTwice(key *value, twice bool) bool {
	if twice {
		m.child(key).misshapen(fmt.Sprintf("the key %q stands twice", key.text), "keep one of them", &ShapeError{})
	}
	return twice
}

// unknown tells of a key, at a place, that is not known, and which may have been meant. Its value
// is read as that of the other, without a word on what is wrong in it.
func (m *Map) unknown(at int) {
	key, of := &m.v.kids[at], &m.v.kids[at+1]
	var taken []string
	for i := 0; i+1 < len(m.v.kids); i += 2 {
		taken = append(taken, m.v.kids[i].text)
	}
	name, given := key.text, !of.null
	meant := source.Meant(name, m.known, taken...)
	if !given && strings.ContainsAny(name, ":=; ") { // a value is in it
		meant = ""
	}
	if meant != "" {
		inPlace := !slices.Contains(taken, meant)
		if m.means(meant, inPlace); inPlace {
			m.places[slices.Index(m.known, meant)] = int32(at + 1)
		}
	}
	m.child(key).misshapen(fmt.Sprintf("unknown key %q", name), source.DidYouMean(name, m.known, taken...), &ShapeError{Keys: m.known, Shown: meant != "" && meant != source.Nearest(name, m.known), Unknown: given, Single: given && of.kind == aText, Key: name, Meant: meant})
}

// means keeps that a key was meant, and whether its value is read in the place of that one's.
func (m *Map) means(key string, inPlace bool) {
	if m.meant == nil {
		m.meant = map[string]bool{}
	}
	m.meant[key] = m.meant[key] || inPlace
}

// Entries calls f for each entry of a mapping whose keys the user chooses, in
// the order of the text.
func (n Node) Entries(f func(name string, key, value Node)) {
	if !n.isGroup(nil) {
		return
	}
	m, before := n.group(), map[string]bool{}
	for i := 0; i+1 < len(n.v.kids); i += 2 {
		key := &n.v.kids[i]
		if !m.isKey(key) || m.isTwice(key, before[key.text]) {
			continue
		}
		if m.parted(i) {
			i += 2
			continue
		}
		before[key.text] = true
		f(key.text, m.child(key), m.value(&key.text, &n.v.kids[i+1]))
	}
}

// Each calls f for each value of a mapping, in the order of the text; it tells
// no fault, which is for who reads the mapping.
func (n Node) Each(f func(name string, value Node)) {
	if !n.IsMap() {
		return
	}
	for i := 0; i+1 < len(n.v.kids); i += 2 {
		f(n.v.kids[i].text, Node{v: &n.v.kids[i+1], in: n.in, key: n.key, at: n.at &^ asFigure})
	}
}

// Brief is the value in a few words: its text, the texts of a list, or what
// the keys of a mapping hold.
func (n Node) Brief() string {
	switch {
	case n.IsList():
		var words []string
		for i := range n.v.kids {
			if n.v.kids[i].kind != aText {
				return strconv.Itoa(len(n.v.kids)) + " of them"
			}
			words = append(words, Excerpt(n.v.kids[i].text))
		}
		return strings.Join(words, ", ")
	case n.IsMap():
		var words []string
		n.Each(func(name string, value Node) {
			words = append(words, Excerpt(name))
			if value.IsText() {
				words[len(words)-1] += ": " + Excerpt(value.v.text)
			}
		})
		return strings.Join(words, ", ")
	case n.v != nil:
		return Excerpt(n.v.text)
	}
	return ""
}

// Get returns the value of a known key; it is not Given when left out.
func (m *Map) Get(key string) Node {
	i := m.place(key)
	switch {
	case i < 0:
		return m.unasked(key)
	case m.places == nil || m.places[i] == 0:
		return m.value(&m.known[i], nil)
	}
	return m.value(&m.known[i], &m.v.kids[m.places[i]])
}

// unasked is the value of a key that is not among the known ones.
func (m *Map) unasked(key string) Node {
	if m.content.scope == nil {
		return Node{} // of no mapping at all
	}
	return m.value(&key, nil)
}

// place is that of a key among the known ones, -1 where it is none. Keys are mostly written, and
// read, in the order in which they are known.
func (m *Map) place(key string) int {
	for i := m.next; i < len(m.known); i++ {
		if m.known[i] == key {
			m.next = i + 1
			return i
		}
	}
	for i := range m.known[:min(m.next, len(m.known))] {
		if m.known[i] == key {
			m.next = i + 1
			return i
		}
	}
	return -1
}

func (m *Map) value(key *string, v *value) Node {
	if v != nil && m.meant != nil && m.meant[*key] {
		return m.untold(key, v)
	}
	return Node{v: v, in: &m.content, key: key}
}

// untold is the value of a key of which no fault is told.
func (m *Map) untold(key *string, v *value) Node {
	in, with := m.content, *m.content.scope
	with.report, in.scope = &collect.Report{}, &with
	return Node{v: v, in: &in, key: key}
}

// KeyNode is a key that is in the text, as a value; that of the mapping where it is not.
func (m *Map) KeyNode(name string) Node {
	n := m.Node
	if key, _ := m.v.entryOf(name); key != nil {
		n.v = key
	}
	return n
}

// Called has the mapping, and what stands in it, called by a name that the user gave, behind what
// kind of thing it is.
func (m *Map) Called(kind, name string) { m.content.kind, m.content.name = kind, name }

// Titled is [Map.Called] for a name that may be several words, which is put in quotes.
func (m *Map) Titled(kind, name string) {
	m.Called(kind, name)
	m.content.quoted = true
}

// Has reports whether the key is there with a value.
func (m *Map) Has(key string) bool { return m.Get(key).Given() }

// HasAny reports whether one of some keys, which are known side by side, is there, be it without a
// value or misspelt.
func (m *Map) HasAny(keys ...string) bool {
	if m.places == nil {
		return false
	}
	first := m.place(keys[0])
	return slices.ContainsFunc(m.places[first:first+len(keys)], func(at int32) bool { return at != 0 })
}

// Misspelt reports whether a key is not there but an unknown one is like it:
// that has been reported, and is fault enough.
func (m *Map) Misspelt(key string) bool {
	_, meant := m.meant[key]
	return meant && !m.Has(key)
}

// Require returns the value of a key that must be there, and records a fault
// with the remedy when it is not, unless it was only misspelt.
func (m *Map) Require(key, remedy string) Node {
	n := m.Get(key)
	if !n.Given() && (!m.Given() || m.IsMap()) && !m.Misspelt(key) {
		if note := m.noteOn(key); note != "" {
			m.KeyNode(key).Fail(fmt.Sprintf("%s is missing, for %s is a note in YAML", key, note), fmt.Sprintf("write %s: %q", key, note))
			return n
		}
		m.KeyNode(key).Fail(fmt.Sprintf("%s is missing", key), remedy)
	}
	return n
}

// noteOn is a note that stands in place of the value of a key without a space behind
// its mark, as a number may be written: #2.
func (m *Map) noteOn(name string) string {
	key, of := m.v.entryOf(name)
	if key == nil {
		return ""
	}
	note := cmp.Or(of.note, key.note)
	if note == nil || len(*note) < len("#2") || (*note)[1] == ' ' || (*note)[1] == '#' {
		return ""
	}
	return Excerpt(*note)
}
