package sheet

import (
	"bufio"
	"cmp"
	"fmt"
	"html"
	"io"
	"math"
	"slices"
	"strings"
)

// WriteHTML writes the sheet as a fragment of HTML, without what frames a page; [Style] and
// [Patterns] go with it. Text from outside stays text; there are no scripts and no style attributes
// in it. Figures have decimal commas where that is asked for. Rows and figures have addresses
// (ids).
func (s *Sheet) WriteHTML(w io.Writer, commas bool) error {
	h := newHTML(w, commas)
	h.blocks(s.Blocks)
	return h.Flush()
}

// htmlWriter writes blocks as HTML. An error of writing stays in it until the end.
type htmlWriter struct {
	*bufio.Writer
	ids      map[string]int // those that are taken, and how often each was wanted
	sections []section      // that have a heading, so far
	tables   int
	script   string // of a tool
	marks    marks
}

// section is a part of a page that can be gone to.
type section struct{ id, title string }

func newHTML(w io.Writer, commas bool) *htmlWriter {
	return &htmlWriter{Writer: bufio.NewWriterSize(w, 1<<16), ids: map[string]int{}, marks: marks(commas)}
}

// id is an address that nothing else in the page has.
func (h *htmlWriter) id(wanted string) string {
	wanted = cmp.Or(wanted, "part")
	id := wanted
	for h.ids[id] > 0 {
		h.ids[wanted]++ // so that the next one is not looked for from the beginning
		id = fmt.Sprintf("%s-%d", wanted, h.ids[wanted])
	}
	h.ids[id] = 1
	return id
}

func (h *htmlWriter) text(s string, all bool) { prose(h.Writer, h.marks.of(s), all) }

// between writes a text between two tags.
func (h *htmlWriter) between(open, s, end string) {
	h.WriteString(open)
	h.text(s, false)
	h.WriteString(end)
}

// set is a text as it is shown, without marks of HTML.
func (h *htmlWriter) set(s string, all bool) string { return typeset(h.marks.of(s), all) }

func (h *htmlWriter) blocks(list []Block) {
	for _, b := range list {
		b.html(h)
	}
}

// heading writes a heading of the second level, to which a reader can go.
func (h *htmlWriter) heading(title string) (id string) {
	id = h.id(slug(strings.ToLower(h.marks.of(title))))
	h.sections = append(h.sections, section{id, title})
	h.between(`<h2 id="`+html.EscapeString(id)+`">`, title, "</h2>\n")
	return id
}

func (b Heading) html(h *htmlWriter) { h.heading(string(b)) }

func (b Text) html(h *htmlWriter) { h.between("<p>", string(b), "</p>\n") }

func (b Note) html(h *htmlWriter) {
	open := `<p class="` + [...]string{Remark: "remark", Hint: "hint", Caution: "caution"}[b.Kind] + `">`
	if lead := b.Kind.lead(); lead != "" {
		open += "<strong>" + strings.TrimSpace(lead) + "</strong> "
	}
	h.between(open, b.Text, "</p>\n")
}

// stackAt are the widths in rem below which tables are stacked: their rows are then blocks of
// lines. No page is as wide as the last.
var stackAt = []int{20, 22, 24, 28, 34, 40, 46, 52, 60, 70, 90}

// widestPrinted is the widest of them that has room on paper, in smaller letters: only one that is
// wider still, the last, is stacked there too.
const widestPrinted = 70

// longWord is how many cells of a word are never broken.
const longWord = 24

// room is how much of the width of a page a table takes, in rem.
type room struct{ cell, gap float64 }

// inFull is about what a cell of text takes in a wide font: a table that is stacked too early is
// read, and one that is stacked too late is cut. Slim is what it takes at least, in the small
// letters of a phone, with all texts wrapped: a table with few figures stays one.
var (
	inFull = room{cell: 0.6, gap: 1}
	slim   = room{cell: 0.56, gap: 0.6}
)

// slimUpTo is the width in rem, of the page, up to which tables that are slim are made so, and
// besideUpTo that of the evidence beside an answer on the screen of a notebook.
const (
	slimUpTo   = 30
	besideUpTo = 52
)

// stackClass is the class that stacks a table where it has no room: one that is slim on a phone,
// and one that would be stacked beside its answer on a notebook, not until it has none in small
// letters.
func (t *Table) stackClass(columns []int) string {
	need, full := t.least(columns, slim), t.least(columns, inFull)
	switch {
	case need <= slimUpTo:
		return "slim " + stackedBelow(need)
	case full > besideUpTo && need <= besideUpTo:
		return "tight " + stackedBelow(need)
	}
	return stackedBelow(full)
}

func stackedBelow(need int) string {
	at, _ := slices.BinarySearch(stackAt, need)
	return fmt.Sprintf("s%d", stackAt[min(at, len(stackAt)-1)])
}

// least is the width in rem that columns of a page need.
func (t *Table) least(columns []int, r room) int {
	cells := 0
	for _, i := range columns {
		s := t.column(i)
		if s.wraps() {
			s.Min = 0 // a narrow text is better than no table
		}
		s.loose = r == slim && s.Align == Left
		floor := s.floor()
		if s.Align == Left {
			floor = min(floor, longWord)
		}
		cells += floor
	}
	return int(math.Ceil(float64(len(columns)-1)*r.gap + float64(cells)*r.cell))
}

// pageColumns are the places of the columns that a page shows. Bars are drawn there, not written.
func (t *Table) pageColumns() []int {
	return t.columnsThat(func(c Column) bool { return !c.Machine && !c.Bar })
}

func (t *Table) html(h *htmlWriter) {
	h.tables++
	if t.Drawn {
		return
	}
	if h.marks { // by the column
		t = t.WithCommas()
		h.marks = false
		defer func() { h.marks = true }()
	}
	label := ` aria-label="` + attr(cmp.Or(t.Topic, fmt.Sprintf("table %d", h.tables))) + `"`
	if t.Title != "" {
		label = ` aria-labelledby="` + html.EscapeString(h.heading(t.Title)) + `"`
	}
	if t.folds() {
		h.blocks(t.inFolds(cmp.Or(t.topic(), fmt.Sprintf("table-%d", h.tables))))
		return
	}
	fmt.Fprintf(h, `<div class="t"><table class="%s"%s>`+"\n", cmp.Or(t.stacked, t.stackClass(t.pageColumns())), label)
	h.rows(t)
	h.WriteString("</table></div>\n")
}

// rows writes the head and the rows of a table.
func (h *htmlWriter) rows(t *Table) {
	w := &tableWriter{htmlWriter: h, t: t, shown: t.pageColumns(), of: cmp.Or(t.topic(), fmt.Sprintf("table-%d", h.tables))}
	for _, i := range w.shown {
		w.names = append(w.names, slug(t.Columns[i].address()))
	}
	w.head()
	for r := range t.EachRow() {
		w.row(r)
	}
	if !w.begun {
		h.WriteString("<tbody>\n")
	}
	h.WriteString("</tbody>")
}

// topic is what the addresses of a table begin with.
func (t *Table) topic() string { return slug(cmp.Or(t.Topic, strings.ToLower(t.Title))) }

// isItem reports whether a column says which item a row is of.
func (c Column) isItem() bool { return c.Key == "id" || c.Key == "item" }

// address is what a column is called in the addresses of its figures.
func (c Column) address() string { return cmp.Or(c.Key, c.title()) }

// tableWriter writes one table.
type tableWriter struct {
	*htmlWriter
	t     *Table
	of    string
	shown []int
	names []string // of the shown columns, in addresses
	begun bool     // there was a row
	sums  bool     // the row before was a sum
}

func (w *tableWriter) head() {
	if !w.t.hasHead() {
		return
	}
	w.WriteString("<thead><tr>")
	for _, i := range w.shown {
		c := w.t.Columns[i]
		if c.Head == "" {
			w.WriteString("<td></td>")
			continue
		}
		w.between(`<th scope="col"`+c.class(Plain, "")+">", c.name(), "</th>")
	}
	w.WriteString("</tr></thead>\n")
}

// class is how a cell of a column looks.
func (c Column) class(tone Tone, text string) string {
	var list []string
	if c.Align != Left {
		list = append(list, "n")
	} else if len(text) > longWord && widest(strings.Fields(text)) > longWord {
		list = append(list, "long")
	} else if c.Wrap || len(text) > 2*longWord {
		list = append(list, "w")
	}
	if mark := [...]string{Plain: "", Good: "good", Bad: "bad", Faint: "faint", Strong: "strong"}[tone]; mark != "" {
		list = append(list, mark)
	}
	if len(list) == 0 {
		return ""
	}
	return ` class="` + strings.Join(list, " ") + `"`
}

func (w *tableWriter) row(r Row) {
	switch {
	case !w.begun: // an empty body would part the head from what it stands above on paper
		w.WriteString("<tbody>\n")
	case r.Kind == Group:
		w.WriteString("</tbody><tbody>")
	}
	w.begun = true
	if r.Kind == Group {
		w.between(fmt.Sprintf(`<tr class="group"><th colspan="%d" scope="rowgroup">`, len(w.shown)), r.Cell(0).Text, "</th></tr>\n")
		w.sums = false
		return
	}
	id := html.EscapeString(w.rowID(r))
	kind := ""
	if r.Kind == Sum {
		if kind = ` class="sum"`; w.sums {
			kind = ` class="sum more"`
		}
	}
	w.sums = r.Kind == Sum
	fmt.Fprintf(w, `<tr id="%s"%s>`, id, kind)
	for n, i := range w.shown {
		w.cell(id, n, r.Cell(i), w.t.Columns[i])
	}
	w.WriteString("</tr>\n")
}

// rowID is the address of a row: of the item in it, or of what stands first in it.
func (w *tableWriter) rowID(r Row) string {
	if r.Kind == Sum {
		return w.id(w.of + "-sum")
	}
	for i, c := range w.t.Columns {
		if c.isItem() && r.Cell(i).Text != "" {
			if id := "item-" + slug(r.Cell(i).Text); w.ids[id] == 0 {
				return w.id(id)
			}
			return w.id(w.of + "-" + slug(r.Cell(i).Text))
		}
	}
	for _, i := range w.shown {
		if text := slug(r.Cell(i).Text); text != "" && len(text) < 60 {
			return w.id(w.of + "-" + text)
		}
	}
	return w.id(w.of + "-row")
}

// cell writes one cell; what is first in a row names it, and each figure has its address.
func (w *tableWriter) cell(row string, n int, c Cell, in Column) {
	tag, end := "td", "td"
	if n == 0 && c.Text != "" {
		tag, end = `th scope="row"`, "th"
	}
	fmt.Fprintf(w, "<%s%s", tag, in.class(c.Tone, c.Text))
	if c.Text != "" && in.Align != Left && w.names[n] != "" {
		fmt.Fprintf(w, ` id="%s:%s"`, row, w.names[n])
	}
	if in.Head != "" && n > 0 {
		fmt.Fprintf(w, ` data-h="%s"`, attr(in.name()))
	}
	w.WriteString(">")
	isName := in.Align == Left && names[in.address()]
	switch {
	case c.Link != "":
		to := "#" + slug(c.Link)
		if strings.HasPrefix(c.Link, "?") {
			to = c.Link
		}
		w.between(`<a href="`+html.EscapeString(to)+`">`, c.Text, "</a>")
	case isName:
		w.plainText(c.Text)
	default:
		w.text(c.Text, in.Align != Left || isSigned(c.Text))
	}
	fmt.Fprintf(w, "</%s>", end)
}

// isSigned reports whether a text is a number with its sign.
func isSigned(s string) bool {
	return strings.Trim(s, "+-.,0123456789") == "" && (strings.HasPrefix(s, "-") || strings.HasPrefix(s, "+"))
}

// plainText writes what somebody has called something, in which no number is a figure.
func (h *htmlWriter) plainText(s string) {
	for i, line := range lines(s) {
		if i > 0 {
			h.WriteString("<br>")
		}
		plain(h.Writer, line)
	}
}
