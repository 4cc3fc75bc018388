package sheet

import (
	"bufio"
	"io"
	"strings"
	"unicode/utf8"
)

// WriteCSV writes the Body rows of a table under the keys of its columns, with a newline after
// each record (RFC 4180 but for its CRLF). A field that holds a separator of any usual kind is in
// quotes. Cells give their Data, or else their Text.
//
// A spreadsheet runs a cell that begins with an equals sign, plus, minus or at sign (or the
// full-width form of one) as a formula, and names come from outside. Such a cell of a Left column
// gets an apostrophe in front, and so does one that begins with a tab; columns of figures are
// written as they are. That list of signs is common practice, no source.
//
// With decimal commas it is for the spreadsheets of a country that has them: semicolons part the
// fields, and a byte order mark tells that it is UTF-8 (common practice, no source).
func WriteCSV(out io.Writer, t *Table, commas bool) error {
	w := csvWriter{out: bufio.NewWriterSize(out, csvRoom), separator: ','}
	if commas {
		w.out.WriteString("\ufeff")
		w.separator, t = ';', t.WithCommas()
	}
	w.columns = t.columnsThat(func(c Column) bool { return c.Key != "" })
	w.write(func(i int) (string, Align) { return t.Columns[i].Key, Right })
	for r := range t.EachRow() {
		if r.Kind == Body {
			w.write(func(i int) (string, Align) { return r.data(i), t.Columns[i].Align })
		}
	}
	return w.out.Flush()
}

// csvRoom is how much is written at once, in bytes.
const csvRoom = 64 << 10

// csvWriter writes records. Errors stay in out until the end.
type csvWriter struct {
	out       *bufio.Writer
	separator byte
	columns   []int  // that are written: those with a key
	line      []byte // room for one
}

// write writes a record of the field in each column.
func (w *csvWriter) write(field func(column int) (string, Align)) {
	line := w.line[:0]
	for n, i := range w.columns {
		if n > 0 {
			line = append(line, w.separator)
		}
		text, align := field(i)
		if isUsual(text, align) {
			line = append(line, text...)
			continue
		}
		// A lone empty field needs quotes: without them the line is empty, and readers skip it.
		if text = forPrograms(text, align); text == "" && len(w.columns) == 1 || needsQuotes(text, w.separator) {
			text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
		}
		line = append(line, text...)
	}
	w.line = append(line, '\n')
	w.out.Write(w.line)
}

// isUsual reports at a glance, of nearly all fields, that they are written as they stand.
func isUsual(text string, align Align) bool {
	for i := range len(text) {
		if !usual[text[i]] {
			return false
		}
	}
	return text != "" && text[0] != ' ' && text[len(text)-1] != ' ' && (align != Left || '0' <= text[0] && text[0] <= '9' || 'a' <= text[0] && text[0] <= 'z')
}

// usual are the bytes that are seen, and part nothing in any country.
var usual = func() (usual [256]bool) {
	for c := byte(' '); c <= '~'; c++ {
		usual[c] = c != '"' && c != ',' && c != ';'
	}
	return usual
}()

// needsQuotes reports whether a field holds what may part fields or records for a reader in any
// country, the separator of this file or another one, or spaces that a reader may trim. Between
// semicolons a comma parts nothing.
func needsQuotes(field string, separator byte) bool {
	for i := range len(field) {
		switch field[i] {
		case ';', '\t', '"', '\r', '\n', separator:
			return true
		}
	}
	return strings.TrimSpace(field) != field
}

// data is what a program reads of a column's cell.
func (r *Row) data(column int) string {
	if column >= len(r.Cells) {
		return ""
	}
	if c := &r.Cells[column]; c.Data != "" {
		return c.Data
	}
	return r.Cells[column].Text
}

// forPrograms is what a program reads of a cell, where none takes it for a formula.
func forPrograms(s string, align Align) string {
	if align == Left && isFormula(s) {
		return "'" + Visible(s)
	}
	return Visible(s)
}

// isFormula reports whether a spreadsheet may take s for a formula.
func isFormula(s string) bool {
	if s == "" || s[0] >= '0' && s[0] <= '9' || s[0] >= 'a' && s[0] <= 'z' {
		return false // as nearly all
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " \n\r"))
	return strings.ContainsRune("\t=+-@＝＋－＠", first)
}
