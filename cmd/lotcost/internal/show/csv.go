package show

import (
	"encoding/csv"
	"io"
	"strings"
	"unicode/utf8"
)

// WriteCSV writes the Body rows of a table under the keys of its columns, with a newline after
// each record (RFC 4180 but for its CRLF). Cells give their Data, or else their Text.
//
// A spreadsheet runs a cell that begins with an equals sign, plus, minus or at sign (or the
// full-width form of one) as a formula, and names come from outside. Such a cell of a Left column
// gets an apostrophe in front, unless it is a plain number; columns of figures are written as
// they are. That list of signs is common practice, no source.
//
// Errors are those of w, and [*ShapeError].
func WriteCSV(w io.Writer, t *Table) error {
	if err := t.check(); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	writeRecord(out, w, t.record(func(i int) string { return t.Columns[i].Key }))
	for _, r := range t.Rows {
		if r.Kind == Body {
			writeRecord(out, w, t.record(func(i int) string { return r.cell(i).data(t.Columns[i].Align) }))
		}
	}
	out.Flush()
	return out.Error()
}

func (t *Table) record(field func(int) string) []string {
	var fields []string
	for i, c := range t.Columns {
		if c.Key != "" {
			fields = append(fields, field(i))
		}
	}
	return fields
}

// writeRecord writes fields. Errors stay in out until the end. A lone empty field needs quotes:
// without them the line is empty, and readers skip it.
func writeRecord(out *csv.Writer, w io.Writer, fields []string) {
	if len(fields) == 1 && fields[0] == "" {
		out.Flush()
		if out.Error() == nil {
			io.WriteString(w, "\"\"\n")
		}
		return
	}
	out.Write(fields)
}

func (c Cell) data(align Align) string {
	s := c.Data
	if s == "" {
		s = c.Text
	}
	s = visible(s)
	if align == Left && isFormula(s) {
		return "'" + s
	}
	return s
}

// isFormula reports whether a spreadsheet may take s for a formula. A sign with nothing but a
// number behind it is none, nor is a lone dash.
func isFormula(s string) bool {
	s = strings.TrimLeft(s, " \n")
	rest := strings.TrimLeft(s, "+-")
	if len(s)-len(rest) == 1 && strings.Trim(rest, "0123456789.,") == "" {
		return false
	}
	first, _ := utf8.DecodeRuneInString(s)
	return strings.ContainsRune("=+-@＝＋－＠", first)
}
