package lotfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// columns are the columns that an item list usually has; only id must be
// there. allColumns are also those that are written once the parcel is open.
var (
	columns    = []string{"id", "what", "count", "weight", "value", "class"}
	allColumns = slices.Concat(columns, []string{"model"}, foundKeys, benchKeys[1:])
)

// mostLines bounds the lines of an item list, more than any haul has pieces.
const mostLines = 1_000_000

// mostColumns bounds the columns of an item list.
const mostColumns = 100

// itemsFile reads the item list that a lot names. It reports false when some
// of it could not be read.
func (r *reader) itemsFile(n input.Node) ([]landed.Item, bool) {
	name, _ := n.Text()
	f, ok := r.open(n, name)
	if !ok {
		return nil, false
	}
	defer f.Close()
	data, err := readAll(f)
	if err != nil {
		n.FailErr(err)
		return nil, false
	}
	return r.items(filepath.Join(r.folderOf(n), name), data)
}

// items reads an item list: a header with the columns in any order, then one
// item a line. The separator is the one of , ; and tab that the header has most
// of. It reports false when some of the list could not be read.
func (r *reader) items(file string, data []byte) ([]landed.Item, bool) {
	if f := input.CheckText(file, data); f != nil {
		r.report.Add(f)
		return nil, false
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	l := newItemList(r, file, data)
	lines := bytes.Count(data, []byte("\n"))
	if lines > mostLines {
		l.fail(source.Origin{File: file}, "", "the list has more than a million lines", "check that it is the file you meant")
		return nil, false
	}
	if !l.header() {
		return nil, false
	}
	items := make([]landed.Item, 0, lines)
	for l.next() {
		if l.isTotal() {
			continue
		}
		if item, ok := l.item(); ok {
			items = append(items, item)
			l.sums.add(&item)
		}
	}
	if len(items) == 0 && l.whole {
		l.fail(source.Origin{File: file}, "", "the list has a header but no items", "write one item a line below the header")
		l.whole = false
	}
	return items, l.whole
}

// itemList is an item list being read.
type itemList struct {
	*reader
	file    string
	csv     *csv.Reader
	columns map[string]column
	width   int
	record  []string
	whole   bool // whether everything could be read so far
	data    []byte
	line    int // last one looked for in data
	start   int // where it begins in data
	places  *source.Text
	sums    sums
}

// column is where the cells of a name stand.
type column struct {
	place int
	where func() (source.Origin, string) // the cell of the record read last
}

func newItemList(r *reader, file string, data []byte) *itemList {
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma = separator(data)
	in.FieldsPerRecord = -1
	in.ReuseRecord = true
	l := &itemList{reader: r, file: file, csv: in, columns: map[string]column{}, whole: true, data: data, line: 1}
	places := source.Text(l.below)
	l.places = &places
	return l
}

// below finds the cell of a key in the record that begins at a place; of what
// was found, the first cell that is filled.
func (l *itemList) below(from source.Origin, keys []string, _ int) source.Origin {
	if len(keys) == 1 && keys[0] == "found" {
		keys = foundKeys
	}
	in := csv.NewReader(bytes.NewReader(l.text(from.Line)))
	in.Comma, in.FieldsPerRecord = l.csv.Comma, -1
	record, err := in.Read()
	if err != nil {
		return from
	}
	for _, key := range keys {
		c, ok := l.columns[key]
		if !ok || c.place >= len(record) || !isFilled(record[c.place]) {
			continue
		}
		line, bytes := in.FieldPos(c.place)
		return l.origin(from.Line+line-1, bytes)
	}
	return from
}

func separator(data []byte) rune {
	header, _, _ := bytes.Cut(data, []byte("\n"))
	best := ','
	for _, sep := range []rune{';', '\t'} {
		if strings.Count(string(header), string(sep)) > strings.Count(string(header), string(best)) {
			best = sep
		}
	}
	return best
}

// at returns where a cell of the record read last begins.
func (l *itemList) at(cell int) source.Origin {
	line, bytes := l.csv.FieldPos(cell)
	return l.origin(line, bytes)
}

// origin turns a column counted in bytes into one in characters.
func (l *itemList) origin(line, column int) source.Origin {
	if column > 1 {
		text := l.text(line)
		column = 1 + utf8.RuneCount(text[:min(column-1, len(text))])
	}
	return source.Origin{File: l.file, Line: line, Column: column}
}

// text returns the rest of the list from a line on. It goes on from the line
// looked for last, since lines are read in order.
func (l *itemList) text(line int) []byte {
	if line < l.line {
		l.line, l.start = 1, 0
	}
	for ; l.line < line; l.line++ {
		l.start += bytes.IndexByte(l.data[l.start:], '\n') + 1
	}
	return l.data[l.start:]
}

func (l *itemList) fail(at source.Origin, field, what, remedy string) {
	l.report.Add(&source.Fault{At: at, Field: field, What: what, Remedy: remedy})
}

// header reads the column names. It reports false when there is no sense in
// reading on.
func (l *itemList) header() bool {
	record, err := l.csv.Read()
	if err != nil {
		l.failCSV(err)
		return false
	}
	l.width = len(record)
	names := make([]string, len(record))
	for i, name := range record {
		names[i] = strings.ReplaceAll(strings.ToLower(strings.TrimSpace(name)), "_", "-")
	}
	switch {
	case len(names) > mostColumns:
		l.fail(l.at(0), "", fmt.Sprintf("the first line has %d columns", len(names)), "keep these alone: "+strings.Join(allColumns, ","))
		return false
	case !slices.ContainsFunc(names, isColumn):
		l.fail(l.at(0), "", "the first line names no known column", "begin the list with a header, as in "+strings.Join(columns, ","))
		return false
	}
	for i, name := range names {
		l.column(i, name)
	}
	if _, ok := l.columns["id"]; !ok {
		l.fail(l.at(0), "", "the column id is missing", "add it, with a short id of its own for each item")
		return false
	}
	return true
}

func isColumn(name string) bool { return slices.Contains(allColumns, name) }

// column takes a name of the header. A column without a name is passed over.
func (l *itemList) column(place int, name string) {
	_, twice := l.columns[name]
	switch {
	case name == "":
	case twice:
		l.fail(l.at(place), "", fmt.Sprintf("the column %s stands twice", quote(name)), "keep one of them")
	case name == "yields":
		l.fail(l.at(place), "", "a list has no room for what was made from dead pieces", "write the items in the lot file, with found: {…, yields: [{what: iron, count: 3, value: 6 CAD}]}")
	case !isColumn(name):
		l.fail(l.at(place), "", "unknown column "+quote(name), source.DidYouMean(name, allColumns, slices.Collect(maps.Keys(l.columns))...))
	default:
		l.columns[name] = column{place, func() (source.Origin, string) {
			return l.at(place), l.field() + ": " + name
		}}
	}
}

// next reads a line that is not blank. It reports false at the end.
func (l *itemList) next() bool {
	for {
		record, err := l.csv.Read()
		switch {
		case errors.Is(err, io.EOF):
			return false
		case err != nil:
			l.failCSV(err)
		case slices.ContainsFunc(record, isFilled):
			l.record = record
			return true
		}
	}
}

func isFilled(cell string) bool { return strings.TrimSpace(cell) != "" }

// item makes an item of the record. It reports false when the cells are not
// those of the header.
func (l *itemList) item() (landed.Item, bool) {
	if len(l.record) != l.width {
		l.whole = false
		l.fail(l.at(0), l.field(), fmt.Sprintf("the line has %d cells, but the header has %d", len(l.record), l.width),
			"put text that holds the separator in double quotes, and leave empty cells empty")
		return landed.Item{}, false
	}
	item, before := landed.Item{At: l.at(0).In(l.places)}, l.report.Len()
	id := l.node("id")
	item.ID, _ = id.Text()
	l.need(item.ID != "" || !id.Given(), item.At)
	l.fillItem(&item, l.node)
	l.bench(&item, before, l.node, l.node)
	return item, true
}

// field names the item of the record.
func (l *itemList) field() string {
	if id := l.of("id"); id != "" {
		return "item " + input.Excerpt(id)
	}
	return "item"
}

// of returns the cell of a column, "" where there is none.
func (l *itemList) of(name string) string {
	c, ok := l.columns[name]
	if !ok || c.place >= len(l.record) {
		return ""
	}
	return strings.TrimSpace(l.record[c.place])
}

// node makes a cell look like a value of a lot file.
func (l *itemList) node(name string) input.Node {
	text := l.of(name)
	if text == "" {
		return input.Node{}
	}
	return input.Cell(text, l.report, l.columns[name].where).Marked(input.Marks{Comma: l.marks.Comma})
}

func (l *itemList) failCSV(err error) {
	l.whole = false
	at, what := source.Origin{File: l.file}, err.Error()
	var p *csv.ParseError
	if errors.As(err, &p) {
		if at, what = l.origin(p.Line, p.Column), p.Err.Error(); p.StartLine != p.Line {
			at = l.origin(p.StartLine, 0) // a quote left open swallows the lines below it
		}
	}
	l.report.Add(&source.Fault{At: at, What: "this is not CSV: " + what, Remedy: "put text with quotes in double quotes, and write each quote inside it twice", Err: err})
}
