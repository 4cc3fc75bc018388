package cells

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"lotcost/landed/source"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Change is a text for the cell of a row, counted from 0, of a table in text.
type Change struct {
	At   source.Origin // where the row begins
	Cell int
	Text string
}

// errOther tells that a change would have changed more than its cell.
var errOther = errors.New("the cell cannot be changed without others")

// With is the file of a table in text with some cells changed: no other byte is. The error is that
// of a cell that is not there, of one that is not alone in changing, or of a text beyond ASCII.
func (t *Table) With(data []byte, list []Change) ([]byte, error) {
	var text []byte
	done := 0 // of the table's text, what is in this one
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b Change) int { return cmp.Or(a.At.Line-b.At.Line, a.Cell-b.Cell) })
	put := map[[2]int]string{}
	for _, c := range list {
		from, to, ok := t.text.cell(c.At.Line, c.Cell)
		if !ok || from < done || strings.ContainsFunc(c.Text, func(r rune) bool { return r >= utf8.RuneSelf }) {
			return nil, errOther
		}
		put[[2]int{c.At.Line, c.Cell}] = c.Text
		if strings.ContainsAny(c.Text, "\"\r\n"+string(t.Separator)) || bytes.HasPrefix(t.text.data[from:to], []byte{'"'}) {
			c.Text = `"` + strings.ReplaceAll(c.Text, `"`, `""`) + `"`
		}
		text = append(append(text, t.text.data[done:from]...), c.Text...)
		done = to
	}
	encoder := encoderOf(data, len(t.text.data))
	encoded := func(text []byte) ([]byte, error) {
		if t.text.returns {
			text = bytes.ReplaceAll(text, []byte("\n"), []byte("\r"))
		}
		return encoder(text)
	}
	if before, err := encoded(t.text.data); err != nil || !bytes.Equal(before, data) { // what it holds cannot be written again
		return nil, errOther
	}
	out, err := encoded(append(text, t.text.data[done:]...))
	if err != nil {
		return nil, errOther
	}
	after, f := Read(t.file, "", out)
	if f != nil {
		return nil, f
	}
	return out, t.differs(after, put)
}

// encoderOf writes a text as a file has its own, which takes so many bytes as UTF-8.
func encoderOf(data []byte, length int) func(text []byte) ([]byte, error) {
	switch _, from := decode(data); {
	case from == "UTF-16" && data[0] == 0xFF:
		return unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes
	case from == "UTF-16":
		return unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder().Bytes
	case from == "Windows-1252":
		return charmap.Windows1252.NewEncoder().Bytes
	}
	return func(text []byte) ([]byte, error) { return slices.Concat(data[:len(data)-length], text), nil }
}

// cell finds where a cell of the row that begins on a line stands in the text, its quotes in it.
func (t *text) cell(line, cell int) (from, to int, ok bool) {
	lazy := t.rows(line).csv.LazyQuotes
	t.from(line)
	from = t.start
	for ; ; cell-- {
		to = from
		if quoted := to < len(t.data) && t.data[to] == '"' && !lazy; quoted {
			for to++; to < len(t.data) && (t.data[to] != '"' || to+1 < len(t.data) && t.data[to+1] == '"'); to++ {
				if t.data[to] == '"' {
					to++
				}
			}
		}
		rest := t.data[min(to, len(t.data)):]
		n := bytes.IndexAny(rest, "\n"+string(t.comma))
		if n < 0 {
			n = len(rest)
		}
		end := to + n
		to = from + len(bytes.TrimSuffix(t.data[from:end], []byte("\r")))
		if cell == 0 {
			return from, to, true
		}
		next, is := bytes.CutPrefix(t.data[end:], []byte(string(t.comma)))
		if !is {
			return 0, 0, false
		}
		from = len(t.data) - len(next)
	}
}

// differs is an error where a table differs from another one in more than some cells, by line and
// place.
func (t *Table) differs(after *Table, put map[[2]int]string) error {
	rows, others := t.Rows(), after.Rows()
	for {
		a, errA := rows.Next()
		b, errB := others.Next()
		if errors.Is(errA, io.EOF) && errors.Is(errB, io.EOF) {
			return nil
		}
		if errA != nil || errB != nil || len(a) != len(b) {
			return errOther
		}
		for i := range a {
			want, changed := put[[2]int{rows.At(0).Line, i}]
			if !changed {
				want = a[i].Text
			}
			if b[i].Text != want {
				return errOther
			}
		}
	}
}
