package cells

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// text is a table in text, as UTF-8.
type text struct {
	file  string
	data  []byte
	comma rune
	first int // the line on which the table begins
	line  int // last one looked for in data
	start int // where it begins
}

func readText(file string, data []byte) (*Table, *source.Fault) {
	t := &Table{file: file}
	data, from := decode(data)
	if f := input.CheckTextUpTo(MaxBytes, file, data); f != nil {
		return nil, f
	}
	if from != "" {
		t.Strange = append(t.Strange, &source.Fault{At: source.Origin{File: file}, Warning: true, What: "the list is in " + from + " and was read as such", Remedy: "look at names with accents, or save it as UTF-8"})
	}
	s := &text{file: file, data: bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), first: 1, line: 1}
	head, _, _ := bytes.Cut(s.data, []byte("\n"))
	// The first line that some spreadsheets write, and all of them read (common
	// practice, no source).
	if sep, ok := bytes.CutPrefix(bytes.ToLower(bytes.Trim(head, "\"\r ")), []byte("sep=")); ok && utf8.RuneCount(sep) == 1 {
		s.comma, _ = utf8.DecodeRune(sep)
		s.first = 2
	}
	if s.comma == 0 || strings.ContainsRune("\"\r\n\uFFFD", s.comma) {
		s.comma = separator(string(head))
	}
	t.Separator, t.text = s.comma, s
	return t, nil
}

// separator is the one of , ; and tab that the head has most of.
func separator(head string) rune {
	best := ','
	for _, sep := range []rune{';', '\t'} {
		if strings.Count(head, string(sep)) > strings.Count(head, string(best)) {
			best = sep
		}
	}
	return best
}

// from returns the text from a line on. It goes on from the line looked for last,
// since lines are read in order.
func (t *text) from(line int) []byte {
	if line < t.line {
		t.line, t.start = 1, 0
	}
	for ; t.line < line; t.line++ {
		t.start += bytes.IndexByte(t.data[t.start:], '\n') + 1
	}
	return t.data[t.start:]
}

type textRows struct {
	*text
	csv    *csv.Reader
	before int // lines before the first of csv
	cells  []Cell
}

func (t *text) rows(line int) *textRows {
	line = max(line, t.first)
	data := t.from(line)
	in := csv.NewReader(bytes.NewReader(data))
	in.Comma, in.FieldsPerRecord, in.ReuseRecord = t.comma, -1, true
	// Copied cells have their quotes as they are, those with line ends aside.
	in.LazyQuotes = t.comma == '\t' && !bytes.HasPrefix(data, []byte("\"")) && !bytes.Contains(data, []byte("\t\"")) && !bytes.Contains(data, []byte("\n\""))
	return &textRows{text: t, csv: in, before: line - 1}
}

// Next implements [Rows].
func (r *textRows) Next() ([]Cell, error) {
	record, err := r.csv.Read()
	if errors.Is(err, io.EOF) {
		return nil, err
	}
	if err != nil {
		return nil, r.fault(err)
	}
	r.cells = r.cells[:0]
	for _, cell := range record {
		if n := len(cell) - 1; n >= 0 && (isEdge(cell[0]) || isEdge(cell[n])) {
			cell = strings.TrimSpace(cell)
		}
		r.cells = append(r.cells, Cell{Text: cell})
	}
	return r.cells, nil
}

// isEdge reports whether a space may begin or end with a byte.
func isEdge(c byte) bool { return c <= ' ' || c >= utf8.RuneSelf }

// At implements [Rows].
func (r *textRows) At(cell int) source.Origin {
	line, bytes := r.csv.FieldPos(cell)
	return r.origin(r.before+line, bytes)
}

// origin turns a column counted in bytes into one in characters.
func (t *text) origin(line, column int) source.Origin {
	if column > 1 {
		text := t.from(line)
		column = 1 + utf8.RuneCount(text[:min(column-1, len(text))])
	}
	return source.Origin{File: t.file, Line: line, Column: column}
}

func (r *textRows) fault(err error) *source.Fault {
	at, what := source.Origin{File: r.file}, err.Error()
	var p *csv.ParseError
	if errors.As(err, &p) {
		if at, what = r.origin(r.before+p.Line, p.Column), p.Err.Error(); p.StartLine != p.Line {
			at = r.origin(r.before+p.StartLine, 0) // a quote left open swallows the lines below it
		}
	}
	return &source.Fault{At: at, What: "this is not CSV: " + what, Remedy: "put text with quotes in double quotes, and write each quote inside it twice", Err: err}
}
