package lotfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/source"
)

// columns are the columns of an item list; only id must be there.
var columns = []string{"id", "what", "count", "weight", "value", "class"}

// itemsFile reads the item list that a lot names.
func (r *reader) itemsFile(n source.Node) []landed.Item {
	name, _ := n.Text()
	f, ok := r.open(n, name)
	if !ok {
		return nil
	}
	defer f.Close()
	data, err := readAll(f)
	if err != nil {
		n.FailErr(err)
		return nil
	}
	return r.items(filepath.Join(r.folder, name), data)
}

// items reads an item list: a header with the columns in any order, then one
// item a line. The separator is the one of , ; and tab that the header has most
// of.
func (r *reader) items(file string, data []byte) []landed.Item {
	if f := source.CheckText(file, data); f != nil {
		r.report.Add(f)
		return nil
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma = separator(data)
	in.FieldsPerRecord = -1
	in.ReuseRecord = true
	list := &itemList{reader: r, file: file, csv: in}
	if !list.header() {
		return nil
	}
	items := make([]landed.Item, 0, bytes.Count(data, []byte("\n")))
	for {
		item, more := list.next()
		if !more {
			break
		}
		if item != nil {
			items = append(items, *item)
		}
	}
	if len(items) == 0 {
		r.report.Add(&source.Fault{At: source.Origin{File: file}, What: "the list has a header but no items", Remedy: "write one item a line below the header"})
	}
	return items
}

// itemList is an item list being read.
type itemList struct {
	*reader
	file   string
	csv    *csv.Reader
	place  map[string]int // of each column
	width  int
	record []string
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

func (l *itemList) at(column int) source.Origin {
	line, col := l.csv.FieldPos(column)
	return source.Origin{File: l.file, Line: line, Column: col}
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
	l.place, l.width = map[string]int{}, len(record)
	known := 0
	for i, name := range record {
		name = strings.ToLower(strings.TrimSpace(name))
		if _, twice := l.place[name]; twice && name != "" {
			l.fail(l.at(i), "", fmt.Sprintf("the column %q stands twice", name), "keep one of them")
		}
		l.place[name] = i
		if slices.Contains(columns, name) {
			known++
		}
	}
	if known == 0 {
		l.fail(l.at(0), "", "the first line names no known column", "begin the list with a header, as in "+strings.Join(columns, ","))
		return false
	}
	for i, name := range record {
		name = strings.ToLower(strings.TrimSpace(name))
		if name != "" && !slices.Contains(columns, name) {
			l.fail(l.at(i), "", fmt.Sprintf("unknown column %q", name), source.DidYouMean(name, columns))
		}
	}
	if _, ok := l.place["id"]; !ok {
		l.fail(l.at(0), "", "the column id is missing", "add it, with a short id of its own for each item")
		return false
	}
	return true
}

// next reads one item; nil for a blank line. It reports false at the end.
func (l *itemList) next() (*landed.Item, bool) {
	record, err := l.csv.Read()
	if errors.Is(err, io.EOF) {
		return nil, false
	}
	if err != nil {
		l.failCSV(err)
		return nil, false
	}
	l.record = record
	if !slices.ContainsFunc(record, func(cell string) bool { return strings.TrimSpace(cell) != "" }) {
		return nil, true
	}
	item := &landed.Item{ID: l.cell("id"), At: l.at(0), Count: 1}
	if len(record) != l.width {
		l.fail(l.at(0), "item "+item.ID, fmt.Sprintf("the line has %d cells, but the header has %d", len(record), l.width),
			"put text that holds the separator in double quotes, and leave empty cells empty")
		return item, true
	}
	l.fillItem(item, l.node)
	return item, true
}

func (l *itemList) cell(name string) string {
	i, ok := l.place[name]
	if !ok || i >= len(l.record) {
		return ""
	}
	return strings.TrimSpace(l.record[i])
}

// node makes a cell look like a value of a lot file.
func (l *itemList) node(name string) source.Node {
	text := l.cell(name)
	if text == "" {
		return source.Node{}
	}
	return source.Cell(text, l.report, func() (source.Origin, string) {
		return l.at(l.place[name]), "item " + l.cell("id") + ": " + name
	})
}

func (l *itemList) failCSV(err error) {
	at, what := source.Origin{File: l.file}, err.Error()
	var p *csv.ParseError
	if errors.As(err, &p) {
		at.Line, at.Column, what = p.Line, p.Column, p.Err.Error()
	}
	l.report.Add(&source.Fault{At: at, What: "this is not CSV: " + what, Remedy: "put text with quotes in double quotes, and write each quote inside it twice", Err: err})
}
