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
// Errors are those of w, and [*ShapeError].
func WriteCSV(w io.Writer, t *Table) error { return t.writeCSV(bufio.NewWriter(w), ',') }

// WriteCSVWithCommas is [WriteCSV] for the spreadsheets of a country with decimal
// commas: semicolons part the fields, and a byte order mark tells that it is UTF-8
// (common practice, no source).
func WriteCSVWithCommas(w io.Writer, t *Table) error {
	if err := t.check(); err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	out.WriteString("\ufeff")
	return t.WithCommas().writeCSV(out, ';')
}

func (t *Table) writeCSV(out *bufio.Writer, separator byte) error {
	if err := t.check(); err != nil {
		return err
	}
	record := t.record(nil, func(i int) string { return t.Columns[i].Key })
	writeRecord(out, separator, record)
	write := func(r Row) {
		if r.Kind == Body {
			record = t.record(record[:0], func(i int) string { return r.Cell(i).ForPrograms(t.Columns[i].Align) })
			writeRecord(out, separator, record)
		}
	}
	for _, r := range t.Rows {
		write(r)
	}
	n := len(t.Rows)
	for r := range t.made() {
		if err := t.checkRow(n, r); err != nil {
			return err
		}
		write(r)
		n++
	}
	return out.Flush()
}

// record appends the fields of the columns that have a key.
func (t *Table) record(fields []string, field func(int) string) []string {
	for i := range t.Columns {
		if t.Columns[i].Key != "" {
			fields = append(fields, field(i))
		}
	}
	return fields
}

// writeRecord writes fields. Errors stay in out until the end. A lone empty field needs quotes:
// without them the line is empty, and readers skip it.
func writeRecord(out *bufio.Writer, separator byte, fields []string) {
	for i, field := range fields {
		if i > 0 {
			out.WriteByte(separator)
		}
		if len(fields) == 1 && field == "" || needsQuotes(field, separator) {
			field = `"` + strings.ReplaceAll(field, `"`, `""`) + `"`
		}
		out.WriteString(field)
	}
	out.WriteByte('\n')
}

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

func (c Cell) ForPrograms(align Align) string {
	s := c.Data
	if s == "" {
		s = c.Text
	}
	if align == Left && isFormula(s) {
		return "'" + visible(s)
	}
	return visible(s)
}

// isFormula reports whether a spreadsheet may take s for a formula.
func isFormula(s string) bool {
	if s == "" || s[0] >= '0' && s[0] <= '9' || s[0] >= 'a' && s[0] <= 'z' {
		return false // as nearly all
	}
	first, _ := utf8.DecodeRuneInString(strings.TrimLeft(s, " \n\r"))
	return strings.ContainsRune("\t=+-@＝＋－＠", first)
}
