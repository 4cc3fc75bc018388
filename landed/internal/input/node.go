package input

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/scrub"
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
	v   *value // nil where nothing stands
	in  *around
	key *string // of the value there, or of the list in which it stands; nil where there is none
	at  int     // entry of that list, from 1, 0 where it stands in none, times two; and asFigure
}

// asFigure is set where the text is wanted with decimal points.
const asFigure = 1

func atEntry(n int) int { return n << 1 }

func (n Node) entry() int { return n.at >> 1 }

func (n Node) isFigure() bool { return n.at&asFigure != 0 }

// ParseYAML reads one YAML document. Faults found while walking it go to the
// report; what makes it no document at all is returned as [source.Faults].
func ParseYAML(file string, data []byte, report *collect.Report) (Node, error) {
	d := newDocument(file, string(data), report) // the caller may change data
	return d.readYAML(data, nurseryFor(d.text))
}

// BorrowYAML is [ParseYAML] into room that goes back, for the next document, by [Node.Free]: no
// value may be read any more then.
func BorrowYAML(file string, data []byte, report *collect.Report) (Node, error) {
	d := newDocument(file, string(data), report)
	root, err := d.readYAML(data, d.borrow())
	if err != nil {
		d.free()
	}
	return root, err
}

func (d *document) readYAML(data []byte, nursery nursery) (Node, error) {
	top, f := treeOf(d.file.File, data, &commonReader{text: d.text, line: 1, nursery: nursery})
	if f != nil {
		return Node{}, source.Faults{f}
	}
	return d.root(top), nil
}

func treeOf(file string, data []byte, reader *commonReader) (*value, *source.Fault) {
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
func parseAny(file string, data []byte) (*value, *source.Fault) {
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
	tree := treeFrom(top)
	if tree.null {
		return nil, emptyFile(file)
	}
	return tree, nil
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
		data = bytes.TrimPrefix(data, utf8BOM)
		before := data[:bytes.IndexByte(bytes.ToValidUTF8(data, []byte{0}), 0)] // which stands nowhere else
		at := source.Origin{File: file, Line: 1 + bytes.Count(before, []byte("\n"))}
		at.Column = 1 + utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:])
		return &source.Fault{At: at, What: "this is not UTF-8 text", Remedy: "save the file as UTF-8"}
	}
	return nil
}

var utf8BOM = []byte("\xef\xbb\xbf")

var yamlLine = scrub.Pattern(`^(?:yaml: )?(?:line (\d+): )?(.*)$`)

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
func (n Node) Given() bool { return n.kind() != none }

// kind tells what the value is: none where it was not given.
func (n Node) kind() kind {
	if n.v != nil && !n.v.null {
		return n.v.kind
	}
	return none
}

// Origin returns where the value stands.
func (n Node) Origin() source.Origin {
	switch {
	case n.in == nil || n.in.document == nil && n.in.where == nil:
		return source.Origin{}
	case n.in.where != nil:
		at, _ := n.in.where()
		return at
	}
	at := n.in.file
	if n.v != nil {
		at.Line, at.Column = n.v.line, int(n.v.column)
	}
	return at
}

// Field returns the field in words.
func (n Node) Field() string {
	if n.in != nil && n.in.where != nil {
		_, field := n.in.where()
		return field
	}
	return n.in.fieldOf(place{n.key, n.entry()})
}

// Called returns the value under another field name, such as one for the root
// of a file of its own.
func (n Node) Called(field string) Node {
	if n.in == nil {
		return n
	}
	in := *n.in
	in.outer, in.place, in.kind, in.quoted = nil, place{key: &field}, "", false
	return Node{v: n.v, in: &in, at: n.at & asFigure}
}

// Fail records a fault at this place.
func (n Node) Fail(what, remedy string) { n.tell(source.Fault{What: what, Remedy: remedy}) }

// tell records a fault at this place, in the marks of its document.
func (n Node) tell(f source.Fault) {
	f.At, f.Field = n.Origin(), n.Field()
	f.What, f.Remedy = n.said(f.What, f.Remedy)
	n.in.report.Add(&f)
}

// ShapeError is the cause of a fault of what stands where: text that is no YAML, a key
// that is not known or stands twice, a list in the place of a group of keys.
type ShapeError struct {
	Keys   []string // of the group that is wanted at the place of the fault
	Held   []string // keys of the first entry of a list that stands there
	Shown  bool     // whether the remedy shows what to write there
	Broken bool     // whether the text is no YAML

	Unknown    bool   // whether it is a key with a value that has no place here
	Single     bool   // whether that value is one text
	Key, Meant string // that key, and the one that it is taken for; may be empty
	err        error
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
	n.tell(source.Fault{What: what, Remedy: remedy, Err: cause})
}

// Warn records something strange at this place that is taken as it stands.
func (n Node) Warn(what, remedy string) {
	n.tell(source.Fault{What: what, Remedy: remedy, Warning: true})
}

// FailErr records an error of another package at this place.
func (n Node) FailErr(err error) {
	var fault *source.Fault
	if !n.isFigure() || errors.As(err, &fault) {
		n.in.report.AddErr(n.Origin(), n.Field(), err)
		return
	}
	n.tell(collect.Told(err))
}

// Text returns the text of a scalar. A list, a mapping and a text longer than
// [MaxText] are faults.
func (n Node) Text() (string, bool) {
	switch {
	case n.v == nil || n.v.null:
		return "", false
	case n.v.kind == aText && len(n.v.text) <= MaxText && !n.isFigure():
		return n.v.text, true
	}
	return n.otherText()
}

// otherText is [Node.Text] of a value that is not read as it stands.
func (n Node) otherText() (string, bool) {
	if !n.IsText() {
		n.misshapen("one value belongs here, not "+n.kindName(), "write it on one line, as in key: value", &ShapeError{})
		return "", false
	}
	text := n.v.text
	if long := tooLong(text); long > 0 {
		n.Fail(fmt.Sprintf("the text is %d characters long", long), fmt.Sprintf("shorten it to %d at most", MaxText))
		return "", false
	}
	if n.isFigure() {
		text = n.Marks().figureText(text)
	}
	return text, true
}

// Words is Text for words that are free to be chosen, such as a title. A note
// right behind its mark may be meant as one of them, as in "Planes #12" without
// quotes: that is a warning.
func (n Node) Words() (string, bool) {
	text, ok := n.Text()
	if ok && n.v != nil && n.v.plain && n.v.note != nil {
		n.warnOfNote(text, *n.v.note)
	}
	return text, ok
}

// warnOfNote tells of a note that may be meant as part of a text.
func (n Node) warnOfNote(text, note string) {
	if len(note) > 1 && strings.IndexAny(note[1:], " \t#") != 0 {
		n.Warn("the text ends before "+Quote(note)+", which is a note in YAML", "if it belongs to the text, put it in quotes, as in "+Quote(text+" "+note)+"; else write a space behind the #")
	}
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
func (n Node) IsText() bool { return n.kind() == aText }

// IsList reports whether the value is a list.
func (n Node) IsList() bool { return n.kind() == aList }

// IsMap reports whether the value is a mapping.
func (n Node) IsMap() bool { return n.kind() == aGroup }

func (n Node) kindName() string {
	switch n.kind() {
	case aList:
		return "a list"
	case aGroup:
		return "a group of keys"
	}
	return "a single value"
}

// List returns the entries of a list. Where a list is wanted and one value is
// given, it is taken as a list of one when single is true.
func (n Node) List(single bool) []Node { return n.list(single, true) }

// Names returns the entries of a list of names, or the one that is given: a comma parts no figure
// there, as in [1,2].
func (n Node) Names() []Node { return n.list(true, false) }

func (n Node) list(single, figures bool) []Node {
	switch {
	case !n.Given():
		return nil
	case single && n.IsText():
		return []Node{n}
	case !n.IsList():
		remedy := "put it in brackets, as in [ … ]"
		if n.IsMap() && len(n.v.kids) > 0 && n.v.kids[0].column == n.v.column { // no brace stands before its keys
			remedy = "begin each entry with a dash, as in \"- …\""
		}
		n.misshapen("a list belongs here, not "+n.kindName(), remedy, &ShapeError{})
		return nil
	}
	in := n.in
	if n.entry() > 0 { // of another list
		in = &around{}
		in.within(n)
		n.key = nil
	}
	kids := n.v.kids
	entries := in.list(len(kids))
	for i := range kids {
		if figures && i > 0 && partsFigure(&kids[i-1], &kids[i]) && (n.Marks().Comma || continues(&kids[i-1], &kids[i])) {
			half := Node{v: &kids[i-1], in: in, key: n.key, at: atEntry(i)}
			half.failParted("", &kids[i])
			if last := len(entries) - 1; last >= 0 && entries[last].v == half.v {
				entries = entries[:last] // neither half is then looked at
			}
			continue
		}
		entries = append(entries, Node{v: &kids[i], in: in, key: n.key, at: atEntry(i + 1)})
	}
	return entries
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
