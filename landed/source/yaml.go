package source

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// MaxBytes is the size of the largest text file that is read.
const MaxBytes = 16 << 20

// maxDepth is deeper than any of our formats reaches.
const maxDepth = 40

// Node is a place in a YAML document. The zero Node is a value that was not
// given: it has no text, no entries and no origin.
type Node struct {
	yaml   *yaml.Node
	file   string
	field  string
	report *Report
	where  func() (at Origin, field string) // of a cell; worked out only for a fault
}

// Cell makes a value of a text that stands in no YAML document, such as a cell
// of a table. Where it stands is asked only when there is a fault.
func Cell(text string, report *Report, where func() (at Origin, field string)) Node {
	return Node{yaml: &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: text}, report: report, where: where}
}

// ParseYAML reads one YAML document. Faults found while walking it go to the
// report; what makes it no document at all is returned as [Faults].
func ParseYAML(file string, data []byte, report *Report) (Node, error) {
	if f := CheckText(file, data); f != nil {
		return Node{}, Faults{f}
	}
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, next yaml.Node
	if err := dec.Decode(&doc); err != nil {
		return Node{}, Faults{yamlFault(file, err)}
	}
	if err := dec.Decode(&next); err == nil {
		return Node{}, Faults{{At: Origin{file, next.Line, next.Column}, What: "a second document begins here", Remedy: "keep one document a file"}}
	} else if !errors.Is(err, io.EOF) {
		return Node{}, Faults{yamlFault(file, err)}
	}
	root := Node{yaml: doc.Content[0], file: file, report: report}
	if f := root.checkTree(doc.Content[0], 0); f != nil {
		return Node{}, Faults{f}
	}
	return root, nil
}

// CheckText finds what makes data no text file of ours: empty, too large,
// binary, in another encoding than UTF-8. It returns nil when data is text.
func CheckText(file string, data []byte) *Fault {
	fail := func(what, remedy string) *Fault {
		return &Fault{At: Origin{File: file}, What: what, Remedy: remedy}
	}
	switch {
	case len(data) > MaxBytes:
		return fail("the file is larger than 16 MiB", "split it, or check that it is the file you meant")
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return fail("the file is in UTF-16", "save it as UTF-8 text")
	case bytes.IndexByte(data, 0) >= 0:
		return fail("this is a binary file", "name a text file in UTF-8")
	case len(bytes.TrimSpace(bytes.TrimPrefix(data, utf8BOM))) == 0:
		return fail("the file is empty", "\"lotcost new\" writes one to start from")
	}
	if !utf8.Valid(data) {
		at := Origin{file, 1, 1}
		for len(data) > 0 {
			r, n := utf8.DecodeRune(data)
			if r == utf8.RuneError && n == 1 {
				break
			}
			at.Column++
			if r == '\n' {
				at.Line, at.Column = at.Line+1, 1
			}
			data = data[n:]
		}
		return &Fault{At: at, What: "this is not UTF-8 text", Remedy: "save the file as UTF-8"}
	}
	return nil
}

var utf8BOM = []byte("\xef\xbb\xbf")

var yamlLine = regexp.MustCompile(`^(?:yaml: )?(?:line (\d+): )?(.*)$`)

// yamlFault turns the parser's "yaml: line 3: …" into a fault with an origin.
func yamlFault(file string, err error) *Fault {
	if errors.Is(err, io.EOF) {
		return &Fault{At: Origin{File: file}, What: "the file holds only comments", Remedy: "\"lotcost new\" writes one to start from", Err: err}
	}
	parts := yamlLine.FindStringSubmatch(strings.SplitN(err.Error(), "\n", 2)[0])
	line, _ := strconv.Atoi(parts[1])
	f := &Fault{At: Origin{File: file, Line: line}, What: "this is not YAML: " + parts[2], Err: err}
	switch {
	case strings.Contains(parts[2], "tab"), strings.Contains(parts[2], "cannot start any token"):
		f.Remedy = "indent with spaces, and put text that begins with a sign such as @ or % in quotes"
	case strings.Contains(parts[2], "mapping values"):
		f.Remedy = "put text that holds a colon in quotes"
	default:
		f.Remedy = "look at the indentation, quotes and brackets at or just above this line"
	}
	return f
}

// Missing makes a value that was not given where [Cell] would stand.
func Missing(report *Report, where func() (at Origin, field string)) Node {
	return Node{report: report, where: where}
}

// checkTree refuses aliases and needless depth.
func (n Node) checkTree(y *yaml.Node, depth int) *Fault {
	at := Origin{n.file, y.Line, y.Column}
	if y.Kind == yaml.AliasNode {
		return &Fault{At: at, What: fmt.Sprintf("the alias *%s is not allowed", y.Value), Remedy: "write the value out where it is needed"}
	}
	if depth > maxDepth {
		return &Fault{At: at, What: "this is nested too deeply", Remedy: "close the brackets, or check that it is the file you meant"}
	}
	for _, child := range y.Content {
		if f := n.checkTree(child, depth+1); f != nil {
			return f
		}
	}
	return nil
}

// Given reports whether there is a value: not left out, and not left empty.
func (n Node) Given() bool {
	return n.yaml != nil && !(n.yaml.Kind == yaml.ScalarNode && n.yaml.ShortTag() == "!!null")
}

// Origin returns where the value stands.
func (n Node) Origin() Origin {
	if n.where != nil {
		at, _ := n.where()
		return at
	}
	if n.yaml == nil {
		return Origin{File: n.file}
	}
	return Origin{n.file, n.yaml.Line, n.yaml.Column}
}

// Field returns the field in words.
func (n Node) Field() string {
	if n.where != nil {
		_, field := n.where()
		return field
	}
	return n.field
}

// Fail records a fault at this place.
func (n Node) Fail(what, remedy string) {
	n.report.Add(&Fault{At: n.Origin(), Field: n.Field(), What: what, Remedy: remedy})
}

// FailErr records an error of another package at this place.
func (n Node) FailErr(err error) { n.report.AddErr(n.Origin(), n.Field(), err) }

// Text returns the text of a scalar. A list or a mapping is a fault.
func (n Node) Text() (string, bool) {
	if !n.Given() {
		return "", false
	}
	if n.yaml.Kind != yaml.ScalarNode {
		n.Fail("one value belongs here, not "+kindName(n.yaml), "write it on one line, as in key: value")
		return "", false
	}
	return n.yaml.Value, true
}

// IsText reports whether the value is a scalar.
func (n Node) IsText() bool { return n.Given() && n.yaml.Kind == yaml.ScalarNode }

// IsList reports whether the value is a list.
func (n Node) IsList() bool { return n.Given() && n.yaml.Kind == yaml.SequenceNode }

// IsMap reports whether the value is a mapping.
func (n Node) IsMap() bool { return n.Given() && n.yaml.Kind == yaml.MappingNode }

func kindName(y *yaml.Node) string {
	switch y.Kind {
	case yaml.SequenceNode:
		return "a list"
	case yaml.MappingNode:
		return "a group of keys"
	}
	return "a single value"
}

// List returns the entries of a list. Where a list is wanted and one value is
// given, it is taken as a list of one when single is true.
func (n Node) List(single bool) []Node {
	if !n.Given() {
		return nil
	}
	if n.yaml.Kind != yaml.SequenceNode {
		if single && n.yaml.Kind == yaml.ScalarNode {
			return []Node{n}
		}
		n.Fail("a list belongs here, not "+kindName(n.yaml), "begin each entry with a dash, as in \"- …\"")
		return nil
	}
	entries := make([]Node, len(n.yaml.Content))
	for i, y := range n.yaml.Content {
		entries[i] = Node{yaml: y, file: n.file, field: n.field + " " + strconv.Itoa(i+1), report: n.report}
	}
	return entries
}

// Map is a mapping whose keys have been checked.
type Map struct {
	Node
	entries map[string]Node
}

// Map returns the entries of a mapping. A key that is not known is a fault
// that suggests the nearest known one; so is a key that stands twice.
func (n Node) Map(known ...string) Map {
	m := Map{Node: n, entries: map[string]Node{}}
	m.each(func(key, value Node, name string) {
		for _, k := range known {
			if k == name {
				m.entries[name] = value
				return
			}
		}
		key.Fail(fmt.Sprintf("unknown key %q", name), DidYouMean(name, known))
	})
	return m
}

// Entries calls f for each entry of a mapping whose keys the user chooses, in
// the order of the text.
func (n Node) Entries(f func(name string, key, value Node)) {
	m := Map{Node: n, entries: map[string]Node{}}
	m.each(func(key, value Node, name string) {
		m.entries[name] = value
		f(name, key, value)
	})
}

func (m Map) each(f func(key, value Node, name string)) {
	if !m.Given() {
		return
	}
	if m.yaml.Kind != yaml.MappingNode {
		m.Fail("a group of keys belongs here, not "+kindName(m.yaml), "write each as \"key: value\"")
		return
	}
	for i := 0; i+1 < len(m.yaml.Content); i += 2 {
		y := m.yaml.Content[i]
		key := Node{yaml: y, file: m.file, field: m.field, report: m.report}
		if y.Kind != yaml.ScalarNode {
			key.Fail("a key must be a word", "write \"key: value\"")
			continue
		}
		if _, twice := m.entries[y.Value]; twice {
			key.Fail(fmt.Sprintf("the key %q stands twice", y.Value), "keep one of them")
			continue
		}
		f(key, Node{yaml: m.yaml.Content[i+1], file: m.file, field: joinField(m.field, y.Value), report: m.report}, y.Value)
	}
}

func joinField(field, key string) string {
	if field == "" {
		return key
	}
	return field + ": " + key
}

// Get returns the value of a known key; it is not Given when left out.
func (m Map) Get(key string) Node {
	if n, ok := m.entries[key]; ok {
		return n
	}
	return Node{file: m.file, field: joinField(m.field, key), report: m.report}
}

// Called returns the mapping under another field name, such as one that holds
// the id the user gave.
func (m Map) Called(field string) Map {
	m.field = field
	entries := make(map[string]Node, len(m.entries))
	for key, n := range m.entries {
		n.field = joinField(field, key)
		entries[key] = n
	}
	m.entries = entries
	return m
}

// Has reports whether the key is there with a value.
func (m Map) Has(key string) bool { return m.Get(key).Given() }

// Require returns the value of a key that must be there, and records a fault
// with the remedy when it is not.
func (m Map) Require(key, remedy string) Node {
	n := m.Get(key)
	if !n.Given() && (m.yaml == nil || m.yaml.Kind == yaml.MappingNode) {
		m.Fail(fmt.Sprintf("%s is missing", key), remedy)
	}
	return n
}

// Scalar reads the text of a node with a parser of another package. It reports
// false when the value was not given or does not parse; the latter is a fault.
func Scalar[T any](n Node, parse func(string) (T, error)) (T, bool) {
	var none T
	text, ok := n.Text()
	if !ok {
		return none, false
	}
	v, err := parse(text)
	if err != nil {
		n.FailErr(err)
		return none, false
	}
	return v, true
}
