package sheet

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// names are the keys, or heads, of columns that hold what somebody has called something, in
// which a point between digits is no decimal mark.
var names = map[string]bool{"id": true, "item": true, "lot": true, "lots": true, "what": true, "title": true, "model": true, "parcel": true, "code": true,
	"source": true, "about": true, "venue": true, "seller": true, "service": true, "file": true, "haul": true, "name": true, "of": true, "for": true, "write": true, "remedy": true, "day": true}

// marks are those of decimals: commas, or else points.
type marks bool

// of is a text in those marks.
func (m marks) of(s string) string { return Marked(s, bool(m)) }

// Marked is a text with decimal commas where these are asked for.
func Marked(s string, commas bool) string {
	if commas {
		return Commas(s)
	}
	return s
}

// WithCommas returns the sheet with decimal commas in the figures of what text and Markdown have.
// Names of items and the like, and where something is from, stay as they are.
func (s *Sheet) WithCommas() *Sheet {
	out := s.Reworded(Commas)
	for i, b := range out.Blocks {
		if t, is := b.(*Table); is {
			out.Blocks[i] = t.WithCommas()
		}
	}
	return out
}

// Reworded is the sheet with its headings, texts and notes put otherwise.
func (s *Sheet) Reworded(put func(string) string) *Sheet {
	out := &Sheet{}
	for _, b := range s.Blocks {
		switch of := b.(type) {
		case Heading:
			b = Heading(put(string(of)))
		case Text:
			b = Text(put(string(of)))
		case Note:
			of.Text = put(of.Text)
			b = of
		}
		out.Add(b)
	}
	return out
}

// WithCommas returns the table with decimal commas in its figures.
func (t *Table) WithCommas() *Table { return t.inCommas(func(*Cell, *Column) bool { return true }) }

// TextWithCommas returns the table with decimal commas in what a workbook holds as text. Numbers
// stay numbers, which each program shows in its way.
func (t *Table) TextWithCommas() *Table {
	return t.inCommas(func(c *Cell, in *Column) bool {
		_, _, isNumber := c.value(in)
		return !isNumber && c.Format == "" && c.Formula == ""
	})
}

// inCommas returns the table with decimal commas in its heads and in the cells that are asked for.
func (t *Table) inCommas(asked func(*Cell, *Column) bool) *Table {
	commas := func(r Row) Row { return t.commas(r, asked) }
	out := *t
	out.Title, out.Columns, out.Rows = Commas(t.Title), make([]Column, len(t.Columns)), make([]Row, len(t.Rows))
	for i, c := range t.Columns {
		c.Head = Commas(c.Head)
		out.Columns[i] = c
	}
	for i, r := range t.Rows {
		out.Rows[i] = commas(r)
	}
	out.Made = t.made(commas)
	return &out
}

// commas returns a row with decimal commas in the cells that are asked for.
func (t *Table) commas(r Row, asked func(*Cell, *Column) bool) Row {
	cells := slices.Clone(r.Cells)
	for j := range cells {
		c := &cells[j]
		if j >= len(t.Columns) || r.Kind == Group || asked(c, &t.Columns[j]) && (t.Columns[j].Align != Left || !names[cmp.Or(t.Columns[j].Key, t.Columns[j].Head)]) {
			c.Text, c.Data = Commas(c.Text), Commas(c.Data)
		}
	}
	return Row{r.Kind, cells}
}

// Commas writes a text with decimal commas: in numbers that stand for themselves,
// with a unit behind them or not, but in no name, address or number of a document.
func Commas(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	var out []byte
	for i := 0; i < len(s); {
		if !isDigit(s[i]) {
			i++
			continue
		}
		end := numberEnd(s, i)
		if isFigure(s[:i], s[i:end], s[end:]) {
			if out == nil {
				out = []byte(s)
			}
			for j := i; j < end; j++ {
				switch s[j] {
				case '.':
					out[j] = ','
				case ',':
					out[j] = '.'
				}
			}
		}
		i = end
	}
	if out == nil {
		return s
	}
	return string(out)
}

// numberEnd is where the digits that begin in a text end, with the marks between them.
func numberEnd(s string, begin int) int {
	end := begin
	for end < len(s) && (isDigit(s[end]) || (s[end] == '.' || s[end] == ',') && end+1 < len(s) && isDigit(s[end+1])) {
		end++
	}
	return end
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// parts are the words before the number of a part of a document. Lines and rules are none: they
// are numbered without a point, and a rule may be what was bought.
var parts = []string{"article", "art.", "section", "sec.", "para", "paragraph", "chapter", "version", "§", "no.", "annex", "heading", "code", "tariff", "cfr"}

// isFigure reports whether digits with marks between are a figure with decimals,
// by what stands before and behind.
func isFigure(before, number, behind string) bool {
	if strings.Count(number, ".") != 1 || strings.Contains(number[strings.Index(number, "."):], ",") {
		return false
	}
	last, _ := utf8.DecodeLastRuneInString(before)
	switch {
	case strings.HasSuffix(before, "..") || last == utf8.RuneError || unicode.IsSpace(last) || strings.ContainsRune("([=/<>≈+−\"", last):
	case last == '-' || last == 'x':
		other, _ := utf8.DecodeLastRuneInString(before[:len(before)-1])
		if len(before) > 1 && !unicode.IsSpace(other) && !unicode.IsDigit(other) && !strings.ContainsRune("([\"", other) {
			return false
		}
	default:
		return false
	}
	next, size := utf8.DecodeRuneInString(behind)
	if next == 'x' {
		next, _ = utf8.DecodeRuneInString(behind[size:])
		return unicode.IsDigit(next)
	}
	if unicode.IsLetter(next) || next == '_' || next == '-' {
		return false
	}
	words := strings.Fields(strings.TrimSuffix(before, `"`)) // as in code: "8205.59"
	if len(words) == 0 {
		return true
	}
	word := strings.ToLower(strings.TrimSuffix(strings.TrimLeft(words[len(words)-1], "(["), ":"))
	return !slices.Contains(parts, word)
}
