package edit

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/source"

	"go.yaml.in/yaml/v3"
)

// change is one edit of a text: what is put in the place of some bytes, and how the
// values then are.
type change struct {
	from, to int
	text     string
	tree     *yaml.Node // of the whole text
}

// Set writes a single value at a path: in the place of what stands there, or as a new key or
// entry, with the groups and lists that lead to it. It is written so that it reads back as it
// is, in quotes where it must be; figures stand as they are typed, in the marks of the file.
// The error is a [source.Faults].
func (d *Doc) Set(p Path, text string) (*Doc, error) { return d.set(p, single(text)) }

// Put writes what stands at a path of another document, in the same way; where nothing stands
// there, nothing is written.
func (d *Doc) Put(p Path, from *Doc, at Path) (*Doc, error) {
	if !from.Has(at) {
		return d, nil
	}
	return d.set(p, plain(from.at(at)))
}

func (d *Doc) set(p Path, n *yaml.Node) (*Doc, error) {
	way := d.find(p)
	var c change
	var err error
	if len(way) > len(p) {
		c = d.replace(p, way, n)
	} else if err = d.inOrder(p, way); err == nil {
		c, err = d.add(p, way, wrap(p[len(way):], n))
	}
	if err != nil {
		return nil, err
	}
	return d.apply(p, c)
}

// inOrder refuses entries that would be the second of a list that is not there, or be called by
// an id that nothing gives them.
func (d *Doc) inOrder(p Path, way []*yaml.Node) error {
	last := way[len(way)-1]
	for i, s := range p[len(way)-1:] {
		there := i == 0 && last.Kind == yaml.SequenceNode
		switch {
		case s.ID != "":
			return d.fault(last, p, fmt.Sprintf("there is no entry with the id %q", s.ID), "add one first")
		case s.Key == "" && !there && s.Index > 0 && !(i == 0 && s.Index == 1 && last.Kind == yaml.ScalarNode && !isNull(last)):
			return d.fault(last, p, "the list is not there yet", "begin it with its first entry")
		}
	}
	return nil
}

// wrap puts a value into the groups and lists of a path.
func wrap(p Path, n *yaml.Node) *yaml.Node {
	for _, s := range slices.Backward(p) {
		if s.Key == "" {
			n = listOf(n)
		} else {
			n = &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{single(s.Key), n}}
		}
	}
	return n
}

// grown is the tree with a change at a path.
func (d *Doc) grown(p Path, with func(at *yaml.Node)) *yaml.Node {
	root := cloned(d.root)
	n := root
	for _, s := range p {
		_, n = child(n, s)
	}
	with(n)
	return root
}

func cloned(n *yaml.Node) *yaml.Node {
	c := *n
	c.Content = make([]*yaml.Node, len(n.Content))
	for i := range n.Content {
		c.Content[i] = cloned(n.Content[i])
	}
	return &c
}

// inFlow reports whether a node is within braces or brackets.
func inFlow(way []*yaml.Node) bool {
	return slices.ContainsFunc(way, func(n *yaml.Node) bool { return n.Style&yaml.FlowStyle != 0 })
}

// replace puts a value in the place of another.
func (d *Doc) replace(p Path, way []*yaml.Node, n *yaml.Node) change {
	old, parent := way[len(way)-1], way[len(way)-2]
	c := change{tree: d.grown(p, func(at *yaml.Node) { *at = *n })}
	c.from, c.to = d.offset(old), d.end(old)
	if isEmpty(old) {
		c.text = " "
	}
	if key, _ := child(parent, p[len(p)-1]); key != nil {
		if isEmpty(old) || old.Kind != yaml.ScalarNode && old.Style&yaml.FlowStyle == 0 {
			c.to = d.endOfValue(key, old)
			c.from = d.behindColon(key)
			c.text = " "
		}
	}
	if n.Kind == yaml.ScalarNode {
		c.text += like(old, n.Value, inFlow(way[:len(way)-1]))
	} else {
		c.text += flow(n)
	}
	return c
}

// add puts a new key or entry into the last node of the way.
func (d *Doc) add(p Path, way []*yaml.Node, n *yaml.Node) (change, error) {
	last, s := way[len(way)-1], p[len(way)-1]
	switch {
	case s.Key != "" && last.Kind == yaml.MappingNode && len(last.Content) > 0:
		return d.addKey(p[:len(way)-1], way, s.Key, n), nil
	case s.Key == "" && last.Kind == yaml.SequenceNode && len(last.Content) > 0:
		if s.Index != New && s.Index != len(last.Content) {
			return change{}, d.fault(last, p, fmt.Sprintf("the list has %d entries", len(last.Content)), "add them in order")
		}
		return d.addEntry(p[:len(way)-1], way, n), nil
	case s.Key == "" && len(way) > 1 && last.Kind == yaml.ScalarNode && !isNull(last) && !namesFile(p[:len(way)-1]):
		return d.replace(p[:len(way)-1], way, listOf(cloned(last), n)), nil
	case s.Key != "" && last.Kind == yaml.ScalarNode && !isNull(last) && shortFor(p[:len(way)-1]) != "":
		group := &yaml.Node{Kind: yaml.MappingNode, Content: []*yaml.Node{single(shortFor(p[:len(way)-1])), cloned(last), single(s.Key), n}}
		return d.replace(p[:len(way)-1], way, group), nil
	case len(last.Content) == 0 && (isNull(last) || last.Kind != yaml.ScalarNode) && len(way) > 1:
		return d.replace(p[:len(way)-1], way, wrap(p[len(way)-1:len(way)], n)), nil
	case last.Kind == yaml.ScalarNode:
		return change{}, d.fault(last, p, fmt.Sprintf("%q stands here, and nothing can be put into it", last.Value), "where it names a file, change that file, or write the list in its place")
	}
	return change{}, d.fault(last, p, "what stands here is of another shape", "change it in the file itself")
}

// shortFor is the key that a single value at a path stands for, where it is short for a group of
// keys: the price of a sale, the day of a return; "" of others.
func shortFor(p Path) string {
	of := slices.Clone(p)
	if len(of) > 0 && of[len(of)-1].Key == "" {
		of = of[:len(of)-1] // an entry of the list
	}
	switch {
	case len(of) == 0:
		return ""
	case of[len(of)-1].Key == "sold" && len(of) < len(p):
		return "price"
	case of[len(of)-1].Key == "returned":
		return "date"
	}
	return ""
}

// namesFile reports whether a single value at a path is the name of a file that holds
// the list.
func namesFile(p Path) bool {
	return slices.Contains([]string{"items", "services", "venues"}, p[len(p)-1].Key)
}

// addKey puts a new key into a group, where keys of its kind usually stand.
func (d *Doc) addKey(p Path, way []*yaml.Node, key string, n *yaml.Node) change {
	group := way[len(way)-1]
	after := usualPlace(group, key)
	var c change
	c.tree = d.grown(p, func(at *yaml.Node) {
		at.Content = slices.Insert(at.Content, after, single(key), n)
	})
	w := writer{d.ending}
	if inFlow(way) {
		c.text = flow(single(key)) + ": " + flow(n)
		d.among(&c, group, after)
		return c
	}
	indent := group.Column - 1
	section := len(way) == 1
	text := w.pair(key, n, indent, section)
	if after == 0 {
		c.from = d.offset(group.Content[0])
		c.text = text + w.line(indent)
	} else {
		c.from = d.endOfNotes(d.endOfEntry(group, after-width(group)), indent)
		c.text = w.line(indent) + text
		if section && n.Kind != yaml.ScalarNode && d.spaced(group) {
			c.text = w.end + c.text
		}
	}
	c.to = c.from
	return c
}

// endOfNotes is where the line that holds a place ends, or the last of the notes right below it
// that stand further in than an indent: they are about what is above.
func (d *Doc) endOfNotes(at, indent int) int {
	end := d.endOfLine(at)
	for end < len(d.data) {
		_, next := d.startOfLine(end)
		line := d.data[max(next, end):d.endOfLine(max(next, end))]
		if note := bytes.TrimLeft(line, " "); len(note) == 0 || note[0] != '#' || len(line)-len(note) <= indent {
			break
		}
		end = next + len(line)
	}
	return end
}

// spaced reports whether the sections of a file are set apart by empty lines.
func (d *Doc) spaced(group *yaml.Node) bool {
	return slices.ContainsFunc(group.Content, func(n *yaml.Node) bool {
		if n.Line < 2 || d.lines[n.Line-1] != d.offset(n) {
			return false
		}
		return strings.TrimSpace(string(d.data[d.lines[n.Line-2]:d.lines[n.Line-1]])) == ""
	})
}

// among puts a text into braces or brackets: behind the entry that ends at a place
// in Content, or before the first.
func (d *Doc) among(c *change, in *yaml.Node, at int) {
	if at == 0 {
		c.from = d.offset(in.Content[0])
		c.text += ", "
	} else {
		c.text = ", " + c.text
		c.from = d.endOfEntry(in, at-width(in))
	}
	c.to = c.from
}

// addEntry puts a new entry behind the last one of a list, in its style.
func (d *Doc) addEntry(p Path, way []*yaml.Node, n *yaml.Node) change {
	list := way[len(way)-1]
	last := list.Content[len(list.Content)-1]
	c := change{tree: d.grown(p, func(at *yaml.Node) { at.Content = append(at.Content, n) })}
	if inFlow(way) {
		c.text = flow(n)
		d.among(&c, list, len(list.Content))
		return c
	}
	w := writer{d.ending}
	open := last.Kind == yaml.MappingNode && last.Style&yaml.FlowStyle == 0
	c.from = d.endOfNotes(d.end(last), list.Column-1)
	c.to = c.from
	if n.HeadComment != "" {
		c.text = w.line(list.Column-1) + n.HeadComment
	}
	c.text += w.line(list.Column-1) + "- " + w.entry(n, list.Column+1, open)
	return c
}

// Delete takes out what stands at a path, with its key. A group or list that it leaves empty
// goes with it. Where nothing stands there, nothing happens.
func (d *Doc) Delete(p Path) (*Doc, error) {
	way := d.find(p)
	if len(way) <= len(p) {
		return d, nil
	}
	parent := way[len(way)-2]
	size := width(parent)
	if len(parent.Content) == size {
		if len(p) == 1 {
			return nil, d.fault(parent, p, "it is all that the file holds", "remove the file")
		}
		return d.Delete(p[:len(p)-1])
	}
	at := slices.Index(parent.Content, way[len(way)-1]) - (size - 1)
	c := change{tree: d.grown(p[:len(p)-1], func(n *yaml.Node) { n.Content = slices.Delete(n.Content, at, at+size) })}
	if inFlow(way[:len(way)-1]) {
		d.outOf(&c, parent, at)
	} else {
		d.linesOf(&c, parent, at)
	}
	return d.apply(p, c)
}

// outOf takes an entry out of braces or brackets, with one of its commas, but not where a note
// stands behind that of the one before.
func (d *Doc) outOf(c *change, in *yaml.Node, at int) {
	own, next := d.offset(in.Content[at]), at+width(in)
	if next < len(in.Content) {
		c.from, c.to = own, d.offset(in.Content[next])
		return
	}
	c.from, c.to = d.endOfEntry(in, at-width(in)), d.endOfEntry(in, at)
	if bytes.Contains(d.data[c.from:own], []byte("#")) {
		c.from = own
	}
}

// linesOf takes out the lines of an entry. The first of a group behind a dash makes
// room for the next one.
func (d *Doc) linesOf(c *change, in *yaml.Node, at int) {
	size, end := width(in), d.endOfEntry(in, at)
	start, _ := d.startOfLine(d.offset(in.Content[at]))
	_, next := d.startOfLine(end)
	before := string(d.data[start:d.offset(in.Content[at])])
	dash := strings.TrimSpace(before)
	switch {
	case dash == "" && size == 2, dash == "-" && size == 1 && start+in.Column-1 <= len(d.data) && strings.TrimSpace(string(d.data[start:start+in.Column-1])) == "":
		c.from, c.to = start, next
	case at+size < len(in.Content):
		following := d.offset(in.Content[at+size])
		c.from, c.to = d.offset(in.Content[at]), following
		if size == 2 && strings.Contains(string(d.data[end:following]), "#") {
			c.to = end // a note stands between them: the next key keeps its line
		}
	default: // its dash is on a line above
		c.from, c.to = d.endOfLine(d.endOfEntry(in, at-size)), d.endOfLine(end)
	}
}

// apply puts a change into the text, and refuses it where that reads otherwise than meant.
func (d *Doc) apply(p Path, c change) (*Doc, error) {
	refuse := func() error {
		way := d.find(p)
		return d.fault(way[len(way)-1], p, "this place cannot be changed without changing others", "change it in the file itself")
	}
	if c.from < 0 || c.from > c.to || c.to > len(d.data) {
		return nil, refuse()
	}
	data := slices.Concat(d.data[:c.from], []byte(c.text), d.data[c.to:])
	after, err := Parse(d.name, data)
	if err != nil || !same(after.root, c.tree) {
		return nil, refuse()
	}
	return after, nil
}

// same reports whether a tree that was read is as it was meant to be. What is new there
// stands nowhere yet, and is never taken for nothing.
func same(read, meant *yaml.Node) bool {
	if read.Kind != meant.Kind || len(read.Content) != len(meant.Content) || read.Value != meant.Value || isNull(read) != (meant.Line > 0 && isNull(meant)) {
		return false
	}
	for i := range read.Content {
		if !same(read.Content[i], meant.Content[i]) {
			return false
		}
	}
	return true
}

func (d *Doc) fault(n *yaml.Node, p Path, what, remedy string) error {
	return source.Faults{{At: source.Origin{File: d.name, Line: n.Line, Column: n.Column}, Field: p.String(), What: what, Remedy: remedy}}
}
