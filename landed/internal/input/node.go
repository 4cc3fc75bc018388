package input

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"
	"weak"

	"lotcost/landed/source"

	"go.yaml.in/yaml/v3"
)

// MaxBytes is the size of the largest text file that is read.
const MaxBytes = 16 << 20

// MaxText is how many characters a value or a key may have. Everything that is
// printed of a file is thereby of a bearable width.
const MaxText = 500

// maxDepth is deeper than any of our formats reaches.
const maxDepth = 40

// maxMarks bounds the marks that begin values. The YAML reader makes all values
// of a document before any can be looked at, and takes a microsecond or more
// and 200 bytes for each.
const maxMarks = 1_000_000

// Node is a place in a YAML document. The zero Node is a value that was not
// given: it has no text, no entries and no origin.
type Node struct {
	yaml   *yaml.Node
	file   *source.Origin // the file alone; nil for what stands in none
	field  string         // of what it stands in,
	key    string         // and the key of it there,
	entry  int            // or its number in a list; both are put together only when asked for
	report *source.Report
	marks  *Marks // nil is all as usual
	figure bool   // whether the text is wanted with decimal points
	cell   bool   // whether it is text that stands in no document
	text   string
	where  func() (at source.Origin, field string) // outside a document; worked out only for a fault
}

// Cell makes a value of a text that stands in no YAML document, such as a cell
// of a table. Where it stands is asked only when there is a fault.
func Cell(text string, report *source.Report, where func() (at source.Origin, field string)) Node {
	return Node{cell: true, text: text, report: report, where: where}
}

// ParseYAML reads one YAML document. Faults found while walking it go to the
// report; what makes it no document at all is returned as [source.Faults].
func ParseYAML(file string, data []byte, report *source.Report) (Node, error) {
	text := string(data) // the caller may change data
	top, f := treeOf(file, data, &commonReader{text: text, line: 1, nursery: nurseryFor(text)})
	if f != nil {
		return Node{}, source.Faults{f}
	}
	at := source.Origin{File: file}.In(yamlText(text, weak.Make(top).Value))
	return Node{yaml: top, file: &at, report: report}, nil
}

// BorrowYAML is [ParseYAML] into room that goes back, for the next document, once free is called:
// no value may be read any more then.
func BorrowYAML(file string, data []byte, report *source.Report) (root Node, free func(), err error) {
	reader := &commonReader{text: string(data), line: 1, nursery: borrow()}
	top, f := treeOf(file, data, reader)
	free = func() {
		top = nil
		reader.giveBack()
	}
	if f != nil {
		free()
		return Node{}, nil, source.Faults{f}
	}
	at := source.Origin{File: file}.In(yamlText(reader.text, func() *yaml.Node { return top }))
	return Node{yaml: top, file: &at, report: report}, free, nil
}

// treeOf reads the tree of a document.
func treeOf(file string, data []byte, reader *commonReader) (*yaml.Node, *source.Fault) {
	if f := CheckText(file, data); f != nil {
		return nil, f
	}
	if marks(data) > maxMarks {
		return nil, &source.Fault{At: source.Origin{File: file}, What: "the file holds more than a million values", Remedy: "put long lists in CSV files, or check that it is the file you meant"}
	}
	if top := reader.whole(); top != nil {
		return top, nil
	}
	return parseAny(file, data)
}

// parseAny reads any YAML that we allow.
func parseAny(file string, data []byte) (*yaml.Node, *source.Fault) {
	dec := yaml.NewDecoder(bytes.NewReader(data))
	var doc, next yaml.Node
	if err := dec.Decode(&doc); err != nil {
		return nil, yamlFault(file, data, err)
	}
	if err := dec.Decode(&next); err == nil {
		return nil, &source.Fault{At: source.Origin{File: file, Line: next.Line, Column: next.Column}, What: "a second document begins here", Remedy: "keep one document a file"}
	} else if !errors.Is(err, io.EOF) {
		return nil, yamlFault(file, data, err)
	}
	top := doc.Content[0]
	if f := checkTree(file, top, 0); f != nil {
		return nil, f
	}
	if isNull(top) {
		return nil, emptyFile(file)
	}
	return top, nil
}

// marks counts the marks behind which a value begins in YAML, or its anchor or
// tag. Some stand in texts and begin none, but no value begins without one.
func marks(data []byte) int {
	n := 0
	for i, c := range data {
		switch c {
		case ',', ':', '[', '{', '?', '&', '!':
			n++
		case '-':
			if i+1 == len(data) || data[i+1] <= ' ' {
				n++
			}
		}
	}
	return n
}

func emptyFile(file string) *source.Fault {
	return &source.Fault{At: source.Origin{File: file}, What: "the file is empty", Remedy: "check that it is the file you meant; \"lotcost new\" writes a lot file to start from"}
}

// CheckText finds what makes data no text file of ours: empty, too large,
// binary, in another encoding than UTF-8. It returns nil when data is text.
func CheckText(file string, data []byte) *source.Fault { return CheckTextUpTo(MaxBytes, file, data) }

// CheckTextUpTo is [CheckText] for a file of which more, or less, is read, in whole MiB.
func CheckTextUpTo(most int, file string, data []byte) *source.Fault {
	fail := func(what, remedy string) *source.Fault {
		return &source.Fault{At: source.Origin{File: file}, What: what, Remedy: remedy}
	}
	switch {
	case len(data) > most:
		return fail(fmt.Sprintf("the file is larger than %d MiB", most>>20), "check that it is the file you meant")
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		return fail("the file is in UTF-16", "save it as UTF-8 text")
	case bytes.IndexByte(data, 0) >= 0:
		return fail("this is a binary file", "name a text file in UTF-8")
	case len(bytes.TrimSpace(bytes.TrimPrefix(data, utf8BOM))) == 0:
		return emptyFile(file)
	}
	if !utf8.Valid(data) {
		at := source.Origin{File: file, Line: 1, Column: 1}
		data = bytes.TrimPrefix(data, utf8BOM)
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
		return &source.Fault{At: at, What: "this is not UTF-8 text", Remedy: "save the file as UTF-8"}
	}
	return nil
}

var utf8BOM = []byte("\xef\xbb\xbf")

var yamlLine = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(?:yaml: )?(?:line (\d+): )?(.*)$`) })

// yamlFault turns the parser's "yaml: line 3: …" into a fault with an origin.
func yamlFault(file string, data []byte, err error) *source.Fault {
	if errors.Is(err, io.EOF) {
		return &source.Fault{At: source.Origin{File: file}, What: "the file holds only comments", Remedy: "\"lotcost new\" writes one to start from", Err: err}
	}
	parts := yamlLine().FindStringSubmatch(strings.SplitN(err.Error(), "\n", 2)[0])
	line, _ := strconv.Atoi(parts[1])
	if line > 0 && strings.HasPrefix(parts[2], "did not find expected") {
		line++ // the parser counts these from 0, and all others from 1
	}
	line = min(line, 1+bytes.Count(bytes.TrimRight(data, "\n"), []byte("\n"))) // and it may name the end of the text
	f := &source.Fault{At: source.Origin{File: file, Line: line}, What: "this is not YAML: " + parts[2], Err: &ShapeError{Broken: true, err: err}}
	isTab := strings.Contains(parts[2], "tab character") || strings.Contains(parts[2], "cannot start any token")
	if tab := tabbed(data, line); isTab && tab > 0 {
		f.At.Line, f.What, f.Remedy = tab, "a tab stands before the text of this line", "indent with spaces"
		return f
	}
	switch {
	case strings.Contains(parts[2], "cannot start any token"):
		f.Remedy = "put text that begins with a sign such as @ or % in quotes"
	case strings.Contains(parts[2], "block sequence entries"):
		f.Remedy = "begin the list on a line of its own, with a dash before each entry"
	case strings.Contains(parts[2], "max depth"):
		f.What, f.Remedy = "this is nested too deeply", closeBrackets
	case strings.Contains(parts[2], "mapping values"):
		f.Remedy = "put text that holds a colon in quotes"
	default:
		f.Remedy = "look at the indentation, quotes and brackets from this line on"
	}
	return f
}

// tabbed finds the first line, of those from one on, that is indented with a
// tab. The parser names the line where the value above it began.
func tabbed(data []byte, from int) int {
	line := 0
	for text := range bytes.Lines(data) {
		if line++; line < from {
			continue
		}
		if indent := text[:len(text)-len(bytes.TrimLeft(text, " \t"))]; bytes.IndexByte(indent, '\t') >= 0 {
			return line
		}
	}
	return 0
}

// Missing makes a value that was not given where [Cell] would stand.
func Missing(report *source.Report, where func() (at source.Origin, field string)) Node {
	return Node{report: report, where: where}
}

const closeBrackets = "close the brackets, or check that it is the file you meant"

// checkTree refuses aliases and needless depth.
func checkTree(file string, y *yaml.Node, depth int) *source.Fault {
	at := source.Origin{File: file, Line: y.Line, Column: y.Column}
	if y.Kind == yaml.AliasNode {
		return &source.Fault{At: at, What: fmt.Sprintf("the alias *%s is not allowed", y.Value), Remedy: "write the value out where it is needed"}
	}
	if y.Style&yaml.TaggedStyle != 0 {
		return &source.Fault{At: at, What: fmt.Sprintf("the tag %s is not allowed", y.Tag), Remedy: "write the value alone"}
	}
	if depth > maxDepth {
		return &source.Fault{At: at, What: "this is nested too deeply", Remedy: closeBrackets}
	}
	for _, child := range y.Content {
		if f := checkTree(file, child, depth+1); f != nil {
			return f
		}
	}
	return nil
}

// Given reports whether there is a value: not left out, and not left empty.
func (n Node) Given() bool { return n.kind() != 0 }

// kind tells what the value is: a scalar, a list, a mapping, or 0 when it was
// not given.
func (n Node) kind() yaml.Kind {
	switch {
	case n.cell:
		return yaml.ScalarNode
	case n.yaml == nil || isNull(n.yaml):
		return 0
	}
	return n.yaml.Kind
}

// isNull asks for the tag of short texts alone: finding that of a number takes
// time by its length.
func isNull(y *yaml.Node) bool {
	return y.Kind == yaml.ScalarNode && len(y.Value) <= len("null") && y.ShortTag() == "!!null"
}

// Origin returns where the value stands.
func (n Node) Origin() source.Origin {
	if n.where != nil {
		at, _ := n.where()
		return at
	}
	if n.file == nil {
		return source.Origin{}
	}
	at := *n.file
	if n.yaml != nil {
		at.Line, at.Column = n.yaml.Line, n.yaml.Column
	}
	return at
}

// Field returns the field in words.
func (n Node) Field() string {
	switch {
	case n.where != nil:
		_, field := n.where()
		return field
	case n.entry > 0:
		return n.field + " " + strconv.Itoa(n.entry)
	case n.key == "":
		return n.field
	case n.field == "":
		return n.key
	}
	return n.field + ": " + n.key
}

// Called returns the value under another field name, such as one for the root
// of a file of its own.
func (n Node) Called(field string) Node {
	n.field, n.key, n.entry = field, "", 0
	return n
}

// Fail records a fault at this place.
func (n Node) Fail(what, remedy string) {
	what, remedy = n.said(what, remedy)
	n.report.Add(&source.Fault{At: n.Origin(), Field: n.Field(), What: what, Remedy: remedy})
}

// ShapeError is the cause of a fault of what stands where: text that is no YAML, a key
// that is not known or stands twice, a list in the place of a group of keys.
type ShapeError struct {
	Keys   []string // of the group that is wanted at the place of the fault
	Shown  bool     // whether the remedy shows what to write there
	Broken bool     // whether the text is no YAML

	Unknown bool // whether it is a key with a value that has no place here
	err     error
}

// Error says no more than the fault does.
func (e *ShapeError) Error() string { return "the value is of another shape" }

// Unwrap returns what the YAML reader found.
func (e *ShapeError) Unwrap() error { return e.err }

// Misshapen records that a group of some keys may have been meant at this place.
func (n Node) Misshapen(what, remedy string, keys ...string) {
	n.misshapen(what, remedy, &ShapeError{Keys: keys})
}

// misshapen records a fault of shape at this place.
func (n Node) misshapen(what, remedy string, cause *ShapeError) {
	what, remedy = n.said(what, remedy)
	n.report.Add(&source.Fault{At: n.Origin(), Field: n.Field(), What: what, Remedy: remedy, Err: cause})
}

// Warn records something strange at this place that is taken as it stands.
func (n Node) Warn(what, remedy string) {
	what, remedy = n.said(what, remedy)
	n.report.Add(&source.Fault{At: n.Origin(), Field: n.Field(), What: what, Remedy: remedy, Warning: true})
}

// FailErr records an error of another package at this place.
func (n Node) FailErr(err error) {
	var fault *source.Fault
	if !n.figure || errors.As(err, &fault) {
		n.report.AddErr(n.Origin(), n.Field(), err)
		return
	}
	what, remedy := err.Error(), ""
	if parted, ok := err.(interface{ Parts() (what, remedy string) }); ok {
		what, remedy = parted.Parts()
	}
	what, remedy = n.said(what, remedy)
	n.report.Add(&source.Fault{At: n.Origin(), Field: n.Field(), What: what, Remedy: remedy, Err: err})
}

// Text returns the text of a scalar. A list, a mapping and a text longer than
// [MaxText] are faults.
func (n Node) Text() (string, bool) {
	if n.kind() == 0 {
		return "", false
	}
	if !n.IsText() {
		n.misshapen("one value belongs here, not "+n.kindName(), "write it on one line, as in key: value", &ShapeError{})
		return "", false
	}
	text := n.text
	if n.yaml != nil {
		text = n.yaml.Value
	}
	if long := tooLong(text); long > 0 {
		n.Fail(fmt.Sprintf("the text is %d characters long", long), fmt.Sprintf("shorten it to %d at most", MaxText))
		return "", false
	}
	if n.figure {
		text = n.Marks().figureText(text)
	}
	return text, true
}

// Words is Text for words that are free to be chosen, such as a title. A note
// right behind its mark may be meant as one of them, as in "Planes #12" without
// quotes: that is a warning.
func (n Node) Words() (string, bool) {
	text, ok := n.Text()
	if ok && n.yaml != nil && n.yaml.Style == 0 && len(n.yaml.LineComment) > 1 && strings.IndexAny(n.yaml.LineComment[1:], " \t#") != 0 {
		whole := Quote(text + " " + n.yaml.LineComment)
		n.Warn("the text ends before "+Quote(n.yaml.LineComment)+", which is a note in YAML", "if it belongs to the text, put it in quotes, as in "+whole+"; else write a space behind the #")
	}
	return text, ok
}

// tooLong returns the length of a text in characters when it is longer than
// MaxText, or else 0.
func tooLong(text string) int {
	if len(text) <= MaxText {
		return 0
	}
	if n := utf8.RuneCountInString(text); n > MaxText {
		return n
	}
	return 0
}

// Quote quotes what the user wrote, cut short where it is very long.
func Quote(s string) string { return strconv.Quote(Excerpt(s)) }

// Excerpt cuts a very long text short.
func Excerpt(s string) string {
	const longest = 60
	if tooLong(s) == 0 {
		return s
	}
	return string([]rune(s[:longest*utf8.UTFMax])[:longest]) + "…"
}

// IsText reports whether the value is a scalar.
func (n Node) IsText() bool { return n.kind() == yaml.ScalarNode }

// IsList reports whether the value is a list.
func (n Node) IsList() bool { return n.kind() == yaml.SequenceNode }

// IsMap reports whether the value is a mapping.
func (n Node) IsMap() bool { return n.kind() == yaml.MappingNode }

func (n Node) kindName() string {
	switch n.kind() {
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
	switch {
	case !n.Given():
		return nil
	case single && n.IsText():
		return []Node{n}
	case !n.IsList():
		n.misshapen("a list belongs here, not "+n.kindName(), "begin each entry with a dash, as in \"- …\"", &ShapeError{})
		return nil
	}
	entries, before, field := make([]Node, 0, len(n.yaml.Content)), Node{}, n.Field()
	for i, y := range n.yaml.Content {
		entry := Node{yaml: y, file: n.file, field: field, entry: i + 1, report: n.report, marks: n.marks}
		if i > 0 && partsFigure(before, entry) && (n.Marks().Comma || hasCents(before, entry)) {
			n.failParted("", before, entry)
			if last := len(entries) - 1; last >= 0 && entries[last].yaml == before.yaml {
				entries = entries[:last] // neither half is then looked at
			}
		} else {
			entries = append(entries, entry)
		}
		before = entry
	}
	return entries
}

// Map is a mapping whose keys have been checked.
type Map struct {
	Node
	known  []string
	values []*yaml.Node    // of the known keys, in their order; nil for those that are not there
	meant  map[string]bool // keys that unknown ones are like: true where the value is one of those
}

// Map returns the entries of a mapping. A key that is not known is a fault
// that suggests the nearest known one; so is a key that stands twice. The list of
// known keys is kept.
func (n Node) Map(known ...string) Map {
	n.field, n.key, n.entry = n.Field(), "", 0
	m := Map{Node: n, known: known}
	if !n.isGroup(known) {
		return m
	}
	m.values = make([]*yaml.Node, len(known))
	for i := 0; i+1 < len(n.yaml.Content); i += 2 {
		key := n.yaml.Content[i]
		place := slices.Index(known, key.Value)
		if !m.isKey(key) || place >= 0 && m.isTwice(key, m.values[place] != nil) {
			continue
		}
		if m.parted(i) {
			i += 2
			continue
		}
		switch {
		case place >= 0:
			m.values[place] = n.yaml.Content[i+1]
		case n.report.Len() >= source.MaxFaults: // the fault will not be reported
			m.child(key).misshapen(fmt.Sprintf("unknown key %q", key.Value), "", &ShapeError{})
		default:
			m.unknown(key, n.yaml.Content[i+1])
		}
		i += 2 * m.partedText(i)
	}
	return m
}

// child is a key of the mapping, as a value.
func (m *Map) child(key *yaml.Node) Node {
	return Node{yaml: key, file: m.file, field: m.field, report: m.report, marks: m.marks}
}

// isGroup reports whether there is a group of keys, and tells of what is there in its place.
func (n Node) isGroup(known []string) bool {
	if n.Given() && !n.IsMap() {
		n.misshapen("a group of keys belongs here, not "+n.kindName(), "write each as \"key: value\"", &ShapeError{Keys: known})
	}
	return n.IsMap()
}

// isKey reports whether a key can be one, and tells why it cannot.
func (m *Map) isKey(key *yaml.Node) bool {
	if key.Kind != yaml.ScalarNode {
		m.child(key).misshapen("a key must be a word", "write \"key: value\"", &ShapeError{})
		return false
	}
	long := tooLong(key.Value)
	if long > 0 {
		m.child(key).Fail(fmt.Sprintf("the key is %d characters long", long), "check that it is a key")
	}
	return long == 0
}

// isTwice tells of a key that was there before.
func (m *Map) isTwice(key *yaml.Node, twice bool) bool {
	if twice {
		m.child(key).misshapen(fmt.Sprintf("the key %q stands twice", key.Value), "keep one of them", &ShapeError{})
	}
	return twice
}

// unknown tells of a key that is not known, and which may have been meant. Its value
// is read as that of the other, without a word on what is wrong in it.
func (m *Map) unknown(key, value *yaml.Node) {
	var taken []string
	for i := 0; i+1 < len(m.yaml.Content); i += 2 {
		taken = append(taken, m.yaml.Content[i].Value)
	}
	name, given := key.Value, !isNull(value)
	meant := source.Meant(name, m.known, taken...)
	if !given && strings.ContainsAny(name, ":=; ") { // a value is in it
		meant = ""
	}
	if meant != "" {
		inPlace := !slices.Contains(taken, meant)
		if m.means(meant, inPlace); inPlace {
			m.values[slices.Index(m.known, meant)] = value
		}
	}
	m.child(key).misshapen(fmt.Sprintf("unknown key %q", name), source.DidYouMean(name, m.known, taken...), &ShapeError{Keys: m.known, Shown: meant != "" && meant != source.Nearest(name, m.known), Unknown: given})
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
	n.field, n.key, n.entry = n.Field(), "", 0
	m := Map{Node: n}
	if !n.isGroup(nil) {
		return
	}
	before := map[string]bool{}
	for i := 0; i+1 < len(n.yaml.Content); i += 2 {
		key := n.yaml.Content[i]
		if !m.isKey(key) || m.isTwice(key, before[key.Value]) {
			continue
		}
		if m.parted(i) {
			i += 2
			continue
		}
		before[key.Value] = true
		f(key.Value, m.child(key), m.value(key.Value, n.yaml.Content[i+1]))
	}
}

// Each calls f for each value of a mapping, in the order of the text; it tells
// no fault, which is for who reads the mapping.
func (n Node) Each(f func(name string, value Node)) {
	if !n.IsMap() {
		return
	}
	field := n.Field()
	for i := 0; i+1 < len(n.yaml.Content); i += 2 {
		f(n.yaml.Content[i].Value, Node{yaml: n.yaml.Content[i+1], file: n.file, field: field, report: n.report})
	}
}

// Brief is the value in a few words: its text, the texts of a list, or what
// the keys of a mapping hold.
func (n Node) Brief() string {
	switch {
	case n.IsList():
		var words []string
		for _, y := range n.yaml.Content {
			if y.Kind != yaml.ScalarNode {
				return strconv.Itoa(len(n.yaml.Content)) + " of them"
			}
			words = append(words, Excerpt(y.Value))
		}
		return strings.Join(words, ", ")
	case n.IsMap():
		var words []string
		n.Each(func(name string, value Node) {
			words = append(words, Excerpt(name))
			if value.IsText() {
				words[len(words)-1] += ": " + Excerpt(value.yaml.Value)
			}
		})
		return strings.Join(words, ", ")
	case n.yaml != nil:
		return Excerpt(n.yaml.Value)
	}
	return Excerpt(n.text)
}

// Get returns the value of a known key; it is not Given when left out.
func (m *Map) Get(key string) Node {
	if i := slices.Index(m.known, key); i >= 0 && m.values != nil && m.values[i] != nil {
		return m.value(key, m.values[i])
	}
	return m.value(key, nil)
}

// value is the value of a key.
func (m *Map) value(key string, y *yaml.Node) Node {
	n := Node{yaml: y, file: m.file, field: m.field, key: key, report: m.report, marks: m.marks}
	if y != nil && m.meant[key] {
		n.report = &source.Report{}
	}
	return n
}

// KeyNode is a key that is in the text, as a value; that of the mapping where it is not.
func (m *Map) KeyNode(name string) Node {
	n := m.Node
	if key, _ := entryOf(m.yaml, name); key != nil {
		n.yaml = key
	}
	return n
}

// Called returns the mapping under another field name, such as one that holds
// the id the user gave.
func (m Map) Called(field string) Map {
	m.field = field
	return m
}

// Has reports whether the key is there with a value.
func (m *Map) Has(key string) bool { return m.Get(key).Given() }

// HasAny reports whether one of some keys is there, be it without a value or misspelt.
func (m *Map) HasAny(keys ...string) bool {
	for i, value := range m.values {
		if value != nil && slices.Contains(keys, m.known[i]) {
			return true
		}
	}
	return false
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
	key, value := entryOf(m.yaml, name)
	if key == nil {
		return ""
	}
	note := cmp.Or(value.LineComment, key.LineComment)
	if len(note) < len("#2") || note[1] == ' ' || note[1] == '#' {
		return ""
	}
	return Excerpt(note)
}

// Scalar reads the text of a node, as that of a figure, with a parser of another
// package. It reports false when the value was not given or does not parse; the
// latter is a fault.
func Scalar[T any](n Node, parse func(string) (T, error)) (T, bool) {
	var none T
	n = n.Figure()
	text, ok := n.Text()
	if !ok {
		return none, false
	}
	return Parsed(n, text, parse)
}

// Parsed is [Scalar] of a part of the text.
func Parsed[T any](n Node, text string, parse func(string) (T, error)) (T, bool) {
	v, err := parse(text)
	if err != nil {
		n.FailErr(n.withHint(err, text, func(other string) bool { _, err := parse(other); return err == nil }))
		var none T
		return none, false
	}
	return v, true
}
