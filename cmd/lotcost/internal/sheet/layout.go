package sheet

import (
	"slices"
	"strings"
	"unicode/utf8"
)

const (
	gap     = 2 // cells between two columns
	minWrap = 8 // Column.Min when it is 0

	shortestBar = 6 // the width below which bars are not shortened
)

// A drawnColumn is one column of a table made ready for drawing.
type drawnColumn struct {
	Column
	index int        // of the column in the table
	loose bool       // whether it may be wrapped between words, though it is no Wrap column
	head  []string   // its lines
	rows  [][]string // the lines of each row's cell; none for a group row
	width int        // in cells
}

// columnsWithin makes the columns of t, fitted into width cells where that can be done, and returns
// that had to go: Optional ones first, then text is wrapped that had better not be. It
// reports false when the rest still has no room.
func (t *Table) columnsWithin(width int) (columns []*drawnColumn, dropped []*drawnColumn, fits bool) {
	for i, c := range t.Columns {
		if !c.Machine {
			columns = append(columns, t.column(i))
		}
	}
	keep := columns
	for width > 0 && least(keep) > width {
		last := mostOptional(keep)
		if last < 0 {
			break
		}
		keep = slices.Delete(slices.Clone(keep), last, last+1)
	}
	for _, s := range columns {
		if !slices.Contains(keep, s) {
			dropped = append(dropped, s)
		}
	}
	for _, s := range keep {
		s.loose = width > 0 && least(keep) > width && s.Align == Left && !s.Bar
	}
	if width > 0 && least(keep) > width {
		return nil, nil, false
	}
	fit(keep, width)
	return keep, dropped, true
}

func (t *Table) column(index int) *drawnColumn {
	s := &drawnColumn{Column: t.Columns[index], index: index}
	s.head = lines(s.Head)
	s.rows = make([][]string, len(t.Rows))
	for i, r := range t.Rows {
		if r.Kind != Group {
			s.rows[i] = lines(r.Cell(index).Text)
		}
	}
	if s.Align == Decimal {
		alignPoints(s.rows)
	}
	return s
}

// alignPoints pads figures on the right so that, set flush right, their points meet.
func alignPoints(rows [][]string) {
	longest := 0
	for _, row := range rows {
		for _, figure := range row {
			longest = max(longest, Cells(tail(figure)))
		}
	}
	for _, row := range rows {
		for i, figure := range row {
			if strings.ContainsAny(figure, "0123456789") {
				row[i] += strings.Repeat(" ", longest-Cells(tail(figure)))
			}
		}
	}
}

// tail returns what follows the whole units of a figure: its point, decimals and unit. It is
// empty for a text without digits.
func tail(figure string) string {
	end := strings.LastIndexAny(figure, "0123456789") + 1
	if end == 0 {
		return ""
	}
	if point := strings.LastIndexAny(figure[:end], ".,"); point >= 0 {
		end = point
	}
	return figure[end:]
}

// natural is the width of the column when nothing is wrapped.
func (s *drawnColumn) natural() int { return max(widest(s.head), s.body()) }

func (s *drawnColumn) body() int {
	w := 0
	for _, r := range s.rows {
		w = max(w, widest(r))
	}
	return w
}

func (s *drawnColumn) wraps() bool { return (s.Wrap || s.loose) && s.Align == Left }

// floor is the width below which the column is not narrowed. A head may always be wrapped
// between words.
func (s *drawnColumn) floor() int {
	w := 0
	for _, line := range s.head {
		w = max(w, widest(strings.Split(line, " ")))
	}
	switch {
	case s.Bar:
		return min(s.natural(), max(w, shortestBar))
	case s.loose:
		for _, row := range s.rows {
			w = max(w, widest(strings.Split(strings.Join(row, " "), " ")))
		}
		return w
	case !s.wraps():
		return max(w, s.body())
	case s.Min > 0:
		return min(s.natural(), max(w, s.Min))
	}
	return min(s.natural(), max(w, minWrap))
}

func least(columns []*drawnColumn) int {
	total := gap * (len(columns) - 1)
	for _, s := range columns {
		total += s.floor()
	}
	return total
}

// mostOptional returns the index of the column to leave out first, the later of equals, or -1.
func mostOptional(columns []*drawnColumn) int {
	found := -1
	for i, s := range columns {
		if s.Optional > 0 && (found < 0 || s.Optional >= columns[found].Optional) {
			found = i
		}
	}
	return found
}

// fit hands width out to the columns and wraps them accordingly. What is wanted to keep heads on
// one line comes after what text wants, and among equals the narrowest column comes first.
func fit(columns []*drawnColumn, width int) {
	room := width - least(columns)
	want := make([]int, len(columns))
	for i, s := range columns {
		s.width, want[i] = s.floor(), s.natural()
		if width <= 0 {
			s.width = want[i]
		}
	}
	for ; room > 0; room-- {
		var next *drawnColumn
		for i, s := range columns {
			if s.width < want[i] && (next == nil || s.before(next)) {
				next = s
			}
		}
		if next == nil {
			break
		}
		next.width++
	}
	for _, s := range columns {
		s.fold()
	}
}

func (s *drawnColumn) before(t *drawnColumn) bool {
	if s.Bar != t.Bar {
		return t.Bar
	}
	if s.wraps() != t.wraps() {
		return s.wraps()
	}
	return s.width < t.width
}

// fold wraps the column to its width and then narrows it to what the wrapped lines need.
func (s *drawnColumn) fold() {
	s.head = wrapAll(s.head, s.width)
	if s.Bar {
		s.shorten()
	}
	if s.wraps() {
		for i, r := range s.rows {
			s.rows[i] = wrapAll(r, s.width)
		}
	}
	s.width = s.natural()
}

// shorten draws bars in proportion to the width.
func (s *drawnColumn) shorten() {
	longest := s.body()
	if longest <= s.width {
		return
	}
	for _, row := range s.rows {
		for i, bar := range row {
			if bar == "" {
				continue
			}
			halves := 2*Cells(bar) - strings.Count(bar, "▌")
			row[i] = Bar(max(1, halves*s.width/longest))
		}
	}
}

// Bar draws so many half blocks.
func Bar(halves int) string {
	return strings.Repeat("█", halves/2) + strings.Repeat("▌", halves%2)
}

// place returns a line of the column with the spaces that bring it to the column's width.
func (s *drawnColumn) place(line, painted string) string {
	space := strings.Repeat(" ", max(0, s.width-Cells(line)))
	if s.Align == Left {
		return painted + space
	}
	return space + painted
}

// lines makes text from outside safe and cuts it at its newlines.
func lines(s string) []string { return strings.Split(Visible(s), "\n") }

func wrapAll(in []string, width int) []string {
	out := make([]string, 0, len(in))
	for _, line := range in {
		out = append(out, wrap(line, width)...)
	}
	return out
}

// wrap cuts a line into lines of at most width cells: at spaces, or before a Japanese or Chinese
// character, or where it must inside a word that is longer than a line. Nothing but spaces at the
// cuts is lost. A width of 0 or less means no limit.
func wrap(line string, width int) []string {
	if width <= 0 || Cells(line) <= width {
		return []string{line}
	}
	var out []string
	done, open := "", false // open: done holds a word
	flush := func() {
		out = append(out, strings.TrimRight(done, " "))
		done, open = "", false
	}
	for _, word := range strings.Split(line, " ") {
		for more := true; more; {
			lead := done + Either(open, " ", "")
			part, rest := split(word, width-Cells(lead), !open)
			if part == "" && word != "" {
				flush()
				continue
			}
			done, open, word, more = lead+part, true, rest, rest != ""
			if more {
				flush()
			}
		}
	}
	flush()
	return out
}

// split returns the part of word that goes into room cells, and the rest. With must, at least one
// character goes.
func split(word string, room int, must bool) (part, rest string) {
	if Cells(word) <= room {
		return word, ""
	}
	end := len(truncate(word, room))
	for i := end; i > 0; {
		before, size := utf8.DecodeLastRuneInString(word[:i])
		if after, _ := utf8.DecodeRuneInString(word[i:]); mayBreak(before, after) {
			return word[:i], word[i:]
		}
		i -= size
	}
	if !must {
		return "", word
	}
	for end == 0 {
		room++
		end = len(truncate(word, room))
	}
	return word[:end], word[end:]
}
