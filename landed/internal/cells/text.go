package cells

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"lotcost/landed/internal/input"
	"lotcost/landed/source"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// text is a table in text, as UTF-8.
type text struct {
	file  string
	data  []byte
	comma rune
	first int // the line on which the table begins
	line  int // last one looked for in data
	start int // where it begins

	returns bool // lines end in a carriage return alone, for which data has a newline
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
	if at := bytes.IndexByte(s.data, '\r'); at >= 0 && !bytes.ContainsRune(s.data[:min(at+2, len(s.data))], '\n') {
		s.data, s.returns = bytes.ReplaceAll(s.data, []byte("\r"), []byte("\n")), true
	}
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

// decode returns text as UTF-8, and the name of the encoding that it was in where
// that is another one.
func decode(data []byte) ([]byte, string) {
	switch {
	case len(data) > MaxBytes:
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		if out, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data); err == nil {
			return out, "UTF-16"
		}
	case isWindows(data):
		if out, err := charmap.Windows1252.NewDecoder().Bytes(data); err == nil {
			return out, "Windows-1252"
		}
	}
	return data, ""
}

// rare are the bytes that Windows-1252 leaves free, or has for what stands in no
// list; encodings of other languages are full of them.
const (
	quotes = "\x84\x85\x91\x92\x93\x94\x96\x97"
	rare   = "\x81\x83\x88\x8d\x8f\x90\x98\x9d"
)

// isWindows reports whether data is text in the encoding of western spreadsheets
// rather than a damaged one in UTF-8 or one of another language. Of any pair of
// bytes that UTF-8 has, hardly one stands in western words.
func isWindows(data []byte) bool {
	if utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 || slices.ContainsFunc([]byte(rare), func(c byte) bool { return bytes.IndexByte(data, c) >= 0 }) {
		return false
	}
	for rest := data; len(rest) > 0; {
		r, n := utf8.DecodeRune(rest)
		if n > 1 && r != utf8.RuneError {
			return false
		}
		// Before a letter with an accent stand quotes and dashes alone.
		if n == 1 && len(rest) > 1 && rest[0] >= 0x80 && rest[0] < 0xA0 && rest[1] >= 0xA0 && strings.IndexByte(quotes, rest[0]) < 0 {
			return false
		}
		rest = rest[n:]
	}
	return true
}

// separator is the one of , ; and tab that the head has most of.
func separator(head string) rune {
	return slices.MaxFunc([]rune{',', ';', '\t'}, func(a, b rune) int {
		return strings.Count(head, string(a)) - strings.Count(head, string(b))
	})
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
	in.LazyQuotes = t.isBare(data)
	return &textRows{text: t, csv: in, before: line - 1}
}

// isBare reports whether no cell begins with a quote, so that those inside stand for themselves, as
// inch marks do.
func (t *text) isBare(data []byte) bool {
	for at := 0; ; at++ {
		next := bytes.IndexByte(data[at:], '"')
		if next < 0 {
			return true
		}
		at += next
		before := data[:at]
		if t.comma != '\t' { // copied cells may begin with a space
			before = bytes.TrimRight(before, " ")
		}
		if len(before) == 0 || bytes.HasSuffix(before, []byte("\n")) || bytes.HasSuffix(before, []byte(string(t.comma))) {
			return false
		}
	}
}

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
	at, what := source.Origin{File: r.file}, "this is not CSV: "+err.Error()
	if p, ok := errors.AsType[*csv.ParseError](err); ok {
		what = "a quote ends a cell that goes on, or was left open"
		if errors.Is(p.Err, csv.ErrBareQuote) {
			what = "a quote stands inside a cell that does not begin with one"
		}
		if at = r.origin(r.before+p.Line, p.Column); p.StartLine != p.Line {
			at = r.origin(r.before+p.StartLine, 0) // a quote left open swallows the lines below it
		}
	}
	return &source.Fault{At: at, What: what, Remedy: "put text with quotes in double quotes, and write each quote inside it twice", Err: err}
}
