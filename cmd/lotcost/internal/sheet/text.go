package sheet

import (
	"bytes"
	"io"
	"slices"
	"strings"
)

// A page is a text under way to a terminal.
type page struct {
	bytes.Buffer
	Terminal
}

// WriteText writes the sheet for a terminal. A table that is too wide has its Wrap columns
// wrapped and then its Optional columns left out; if the rest is still too wide, its rows stand
// one below the other, a line a cell. A figure is never broken, unless it is wider than the
// terminal by itself.
func (s *Sheet) WriteText(w io.Writer, t Terminal) error {
	p, before := &page{Terminal: t}, false // whether that was a note
	for i, b := range blocksOf[onPaper](s) {
		_, note := b.(Note)
		if i > 0 && !(before && note) {
			p.line("")
		}
		before = note
		b.text(p)
	}
	_, err := w.Write(p.Bytes())
	return err
}

func (p *page) line(s string) {
	p.WriteString(strings.TrimRight(s, " "))
	p.WriteByte('\n')
}

// paragraph writes text wrapped to the page; lines after the first stand under the end of lead.
func (p *page) paragraph(tone Tone, lead, text string) {
	for i, s := range wrapAll(lines(text), max(p.Width-Cells(lead), min(p.Width, minWrap))) {
		if i > 0 {
			lead = strings.Repeat(" ", Cells(lead))
		}
		p.line(p.paint(tone, lead+s))
	}
}

func (h Heading) text(p *page) { p.paragraph(Strong, "", string(h)) }

func (t Text) text(p *page) { p.paragraph(Plain, "", string(t)) }

func (n Note) text(p *page) {
	tone := [...]Tone{Remark: Faint, Hint: Plain, Caution: Bad}[n.Kind]
	p.paragraph(tone, n.Kind.lead(), n.Text)
}

func (t *Table) text(p *page) {
	columns, dropped, fits := t.columnsWithin(p.Width)
	if t.Title != "" {
		p.paragraph(Strong, "", t.Title)
	}
	if !fits {
		t.stack(p)
		return
	}
	t.draw(p, columns)
	if more := t.more(columns, dropped, p.Width); more != nil {
		p.line("")
		more.text(p)
	} else if len(dropped) > 0 {
		names := Each(dropped, func(s **drawnColumn) string { return (*s).name() })
		p.paragraph(Faint, "", "hidden columns (window too narrow): "+strings.Join(names, ", "))
	}
}

// more is what follows of a table: its first column, and those that had no room. It is nil where
// none of those are figures, or none has room there either.
func (t *Table) more(columns, dropped []*drawnColumn, width int) *Table {
	isFigure := func(s *drawnColumn) bool { return s.Align != Left }
	if !t.Continued || !slices.ContainsFunc(dropped, isFigure) {
		return nil
	}
	others := append([]*drawnColumn{columns[0]}, dropped...)
	more := t.with(Each(others, func(s **drawnColumn) int { return (*s).index }))
	more.Title, more.Continued = "", true
	more.Columns = Each(others, func(s **drawnColumn) Column { return (*s).Column })
	more.Rows = slices.DeleteFunc(more.Rows, func(r Row) bool { return r.Kind == Group })
	if kept, _, fits := more.columnsWithin(width); !fits || !slices.ContainsFunc(kept[1:], isFigure) {
		return nil
	}
	return more
}

// draw writes the columns of a table that have room.
func (t *Table) draw(p *page, columns []*drawnColumn) {
	if t.hasHead() {
		p.row(columns, func(s *drawnColumn) ([]string, Tone) { return s.head, Strong })
		p.rule(columns, func(*drawnColumn) bool { return true })
	}
	for i, r := range t.Rows {
		if r.Kind == Group {
			if i > 0 {
				p.line("")
			}
			p.paragraph(Strong, "", r.Cell(0).Text)
			continue
		}
		if r.Kind == Sum && (i == 0 || t.Rows[i-1].Kind != Sum) {
			p.rule(columns, func(s *drawnColumn) bool { return s.Align != Left && widest(s.rows[i]) > 0 })
		}
		p.row(columns, func(s *drawnColumn) ([]string, Tone) { return s.rows[i], r.Cell(s.index).Tone })
	}
}

// row writes the lines of one row, each cell beginning on the first.
func (p *page) row(columns []*drawnColumn, of func(*drawnColumn) ([]string, Tone)) {
	for n, more := 0, true; more; n++ {
		parts := make([]string, len(columns))
		more = false
		for i, s := range columns {
			line := ""
			text, tone := of(s)
			if n < len(text) {
				line = text[n]
			}
			more = more || n+1 < len(text)
			parts[i] = s.place(line, p.paint(tone, line))
		}
		p.line(strings.Join(parts, strings.Repeat(" ", gap)))
	}
}

// rule draws a line over the chosen columns; where two neighbours are chosen it runs through.
func (p *page) rule(columns []*drawnColumn, chosen func(*drawnColumn) bool) {
	var b strings.Builder
	for i, s := range columns {
		stroke := Either(chosen(s), "─", " ")
		if i > 0 {
			join := Either(stroke != " " && chosen(columns[i-1]), stroke, " ")
			b.WriteString(strings.Repeat(join, gap))
		}
		b.WriteString(strings.Repeat(stroke, s.width))
	}
	if line := strings.TrimRight(b.String(), " "); line != "" {
		p.line(p.paint(Faint, line))
	}
}

// stack writes the rows of a table below each other, each cell behind the head of its column.
func (t *Table) stack(p *page) {
	heads := make([]string, len(t.Columns))
	side := 0
	for i, c := range t.Columns {
		heads[i] = strings.ReplaceAll(Visible(c.Head), "\n", " ")
		if !c.Machine && i > 0 {
			side = max(side, Cells(heads[i]))
		}
	}
	side = min(side, max(p.Width/2-gap, minWrap/2))
	for n, r := range t.Rows {
		if n > 0 {
			p.line("")
		}
		first := true
		for i := range t.Columns {
			text := r.Cell(i).Text
			if t.Columns[i].Machine || strings.TrimSpace(text) == "" {
				continue
			}
			if first {
				if t.Columns[i].Align != Left && heads[i] != "" {
					text = heads[i] + " " + text
				}
				p.paragraph(Strong, "", text)
				first = false
				continue
			}
			p.beside(heads[i], side, r.Cell(i))
		}
	}
}

// beside writes a cell behind the head of its column, which is side cells wide.
func (p *page) beside(head string, side int, c Cell) {
	label := wrap(head, side)
	if side > 0 {
		side += gap
	}
	text := wrapAll(lines(c.Text), max(p.Width-side-gap, minWrap))
	for i := range max(len(label), len(text)) {
		left, right := "", ""
		if i < len(label) {
			left = label[i]
		}
		if i < len(text) {
			right = text[i]
		}
		lead := strings.Repeat(" ", gap) + left + strings.Repeat(" ", max(0, side-Cells(left)))
		p.line(p.paint(Faint, lead) + p.paint(c.Tone, right))
	}
}
