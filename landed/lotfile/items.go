package lotfile

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// columns are the columns that an item list usually has; only id or what
// must be there. allColumns are also those that are written once the parcel is open.
var (
	columns    = []string{"id", "what", "count", "weight", "value", "class"}
	allColumns = slices.Concat(columns, []string{"model"}, foundKeys, benchKeys[1:])
)

// countColumns are those whose cells are numbers of pieces.
var countColumns = []string{"count", "sound", "parts", "dead", "missing", "extra", "keep"}

// mostLines bounds the lines of an item list, more than any haul has pieces: a
// million items and a head.
const mostLines = 1_000_001

// mostColumns bounds the columns of an item list.
const mostColumns = 100

// itemsFile reads the item list that a lot names. It reports false when some
// of it could not be read.
func (r *reader) itemsFile(n input.Node) ([]landed.Item, bool) {
	name, _ := n.Text()
	name, sheet := cutSheet(name)
	path := filepath.Join(r.folderOf(n), name)
	data, ok := r.Lists[path]
	if !ok {
		if data, ok = r.fileBeside(n, name, cells.MaxBytes); !ok {
			return nil, false
		}
	}
	return r.items(path, sheet, data)
}

// cutSheet parts the name of a workbook from that of a sheet in it, as in
// list.xlsx#Sheet1.
func cutSheet(name string) (file, sheet string) {
	const end = ".xlsx#"
	if i := strings.Index(strings.ToLower(name), end); i >= 0 {
		return name[:i+len(end)-1], name[i+len(end):]
	}
	return name, ""
}

// items reads an item list: a header with the columns in any order, then one
// item a line. It reports false when some of the list could not be read.
func (r *reader) items(file, sheet string, data []byte) ([]landed.Item, bool) {
	table, f := cells.Read(file, sheet, data)
	if f != nil {
		r.report.Add(f)
		return nil, false
	}
	r.report.AddAll(table.Strange)
	l := newItemList(r, file, table)
	if table.Lines() > mostLines {
		l.fail(source.Origin{File: file}, "", "the list has more than a million lines", "check that it is the file you meant")
		return nil, false
	}
	if !l.header() || l.merged() {
		return nil, false
	}
	l.guess()
	items := make([]landed.Item, 0, table.Lines())
	for l.next() {
		if l.isTotal() || l.isHead() {
			continue
		}
		l.checkApart(len(items))
		if item, ok := l.item(); ok {
			items = append(items, item)
			l.sums.add(&item)
		}
	}
	if len(items) == 0 && l.whole {
		l.fail(source.Origin{File: file}, "", "the list has a header but no items", "write one item a line below the header")
		l.whole = false
	}
	return items, l.whole
}

// itemList is an item list being read.
type itemList struct {
	*reader
	file    string
	table   *cells.Table
	rows    cells.Rows
	marks   input.Marks // how the figures of the list are written
	unsure  bool        // what may be read in two ways is refused
	kinds   map[figureKind]int
	benched bool     // whether it has columns of what is written once the parcel is open
	columns []column // that the list has, in their usual order; a few, which are found faster than in a map
	width   int
	record  []cells.Cell
	head    string   // its first cell
	apart   bool     // whether an empty line was passed that it was not told of
	line    int      // of the record, in a workbook
	unknown []int    // places of columns that were meant as none
	spoilt  []string // columns of the record in which nothing can be read
	whole   bool     // whether everything could be read so far
	places  *source.Text
	sums    sums
	signs   map[string]string // the codes of currency signs that were looked for
}

// column is where the cells of a name stand.
type column struct {
	name   string
	place  int
	unit   string                         // that the head gives for bare numbers; may be empty
	where  func() (source.Origin, string) // the cell of the record read last, and what it is called
	report *collect.Report
	cells  *input.Column // those below the head, as values
}

func newItemList(r *reader, file string, table *cells.Table) *itemList {
	l := &itemList{reader: r, file: file, table: table, rows: table.Rows(), marks: r.marks, whole: true, kinds: map[figureKind]int{}, signs: map[string]string{}}
	l.marks.Apart, l.marks.Hint = true, ""
	places := source.Text(l.below)
	l.places = &places
	return l
}

// below finds the cell of a key in the record that begins at a place; of what
// was found, the first cell that is filled.
func (l *itemList) below(from source.Origin, keys []string, _ int) source.Origin {
	if len(keys) == 1 && keys[0] == "found" {
		keys = foundKeys
	}
	record, row := l.table.Row(from)
	for _, key := range keys {
		if c := l.columnOf(key); c != nil && c.place < len(record) && isFilled(record[c.place]) {
			return row.At(c.place)
		}
	}
	return from
}

// at returns where a cell of the record read last begins.
func (l *itemList) at(cell int) source.Origin { return l.rows.At(cell) }

func (l *itemList) fail(at source.Origin, field, what, remedy string) {
	l.report.Fail(at, field, what, remedy)
}

// merged tells of merged cells, behind which figures may be missing.
func (l *itemList) merged() bool {
	var places []int
	for _, c := range l.columns {
		places = append(places, c.place)
	}
	faults := l.table.Merged(l.at(0).Line, places)
	l.report.AddAll(faults)
	return len(faults) > 0
}

// mostTitles is how many rows may stand above the head of a list: what it is called, and of whom.
const mostTitles = 10

// isAbove reports whether a row may stand above a head: it has two cells at most.
func isAbove[T any](row []T, filled func(T) bool) bool {
	n := 0
	for _, cell := range row {
		if filled(cell) {
			n++
		}
	}
	return n <= 2
}

// findHead goes to the row with the column names: the first one, or below a title the one that
// names two columns. It reports the place of the first row.
func (l *itemList) findHead() (first source.Origin, ok bool) {
	if !l.next() {
		return first, false
	}
	first = l.at(0)
	if l.names(1) || !isAbove(l.record, isFilled) {
		return first, true
	}
	for range mostTitles {
		if !l.next() || l.names(2) || !isAbove(l.record, isFilled) {
			break
		}
	}
	return first, true
}

// names reports whether the record has so many names of columns, or two that were meant as such.
func (l *itemList) names(known int) bool {
	var heads []string
	for _, cell := range l.record {
		name, _ := headOf(cell.Text)
		if heads = append(heads, name); isColumn(name) {
			known--
		}
	}
	return known <= 0 || len(meantColumns(heads)) >= 2
}

// header reads the column names. It reports false when there is no sense in reading on.
func (l *itemList) header() bool {
	first, ok := l.findHead()
	if !ok {
		return false
	}
	l.width, l.head = len(l.record), l.record[0].Text
	names := make([]string, len(l.record))
	units := make([]string, len(l.record))
	for i, cell := range l.record {
		names[i], units[i] = headOf(cell.Text)
	}
	switch {
	case len(names) > mostColumns:
		l.fail(l.at(0), "", fmt.Sprintf("the first line has %d columns", len(names)), "keep these alone: "+strings.Join(allColumns, ","))
		return false
	case !l.names(1):
		remedy := "begin the list with a header, as in " + strings.Join(columns, l.between())
		if other := l.table.Other; other != "" {
			remedy += ", or name another sheet, as in " + filepath.Base(l.file) + "#" + other
		}
		l.fail(first, "", "the first line names no known column", remedy)
		return false
	}
	for i, name := range names {
		l.column(i, name, units[i], names)
	}
	l.tellUnknown(names)
	slices.SortFunc(l.columns, func(x, y column) int {
		return cmp.Compare(slices.Index(allColumns, x.name), slices.Index(allColumns, y.name))
	})
	l.benched = slices.ContainsFunc(l.columns, func(c column) bool { return slices.Contains(foundKeys, c.name) || slices.Contains(benchKeys, c.name) })
	switch {
	case l.columnOf("id") != nil:
	case l.columnOf("what") == nil:
		l.fail(l.at(0), "", "neither a column id nor a column what says which piece is which", "add one of them, with what each piece is called")
		return false
	default:
		note(&l.nameless, l.at(0).File)
	}
	return true
}

// between is what parts the columns.
func (l *itemList) between() string {
	if l.table.Separator == 0 {
		return ", "
	}
	return string(l.table.Separator)
}

func meantColumns(heads []string) []string {
	var all []string
	for _, head := range heads {
		if meant := source.Meant(head, allColumns); meant != "" && !slices.Contains(all, meant) {
			all = append(all, meant)
		}
	}
	return all
}

// headOf reads a head of a column: its name and, where it gives one, the unit of
// bare numbers below, as in "weight (kg)" or "value, EUR".
func headOf(head string) (name, unit string) {
	name = strings.ReplaceAll(strings.ToLower(strings.TrimSpace(head)), "_", "-")
	words := strings.FieldsFunc(name, func(r rune) bool { return strings.ContainsRune(" ,()[]/", r) })
	if len(words) == 3 && words[1] == "in" {
		words = []string{words[0], words[2]}
	}
	if len(words) != 2 {
		return name, ""
	}
	of := words[0]
	if !isColumn(of) { // it may be meant as one
		of = source.Meant(of, allColumns)
	}
	if !slices.Contains(figureColumns, of) {
		return name, ""
	}
	if _, err := measure.ParseWeight("1 " + words[1]); err == nil && of == "weight" {
		return words[0], words[1]
	}
	code := strings.ToUpper(words[1])
	if _, err := money.ParseCurrency(code); err == nil && of != "weight" && of != "hours" {
		return words[0], code
	}
	return name, ""
}

func isColumn(name string) bool { return slices.Contains(allColumns, name) }

// column takes a name of the header. A column without a name is passed over.
// One that is not known is read as what it was meant as, without a word on its
// cells.
func (l *itemList) column(place int, name, unit string, names []string) {
	switch {
	case name == "":
	case l.columnOf(name) != nil:
		l.fail(l.at(place), "", fmt.Sprintf("the column %s stands twice", quote(name)), "keep one of them")
	case name == "yields":
		l.fail(l.at(place), "", "a list has no room for what was made from dead pieces", "write the items in the lot file, with found: {…, yields: [{what: iron, count: 3, value: 6 CAD}]}")
	case !isColumn(name):
		meant := meantAmong(name, names)
		if of := figureOf(name); meant == "" && of != "" && l.columnOf(of) == nil && !slices.Contains(names, of) {
			l.setColumn(name, column{name: of, place: place, report: &collect.Report{}})
			l.fail(l.at(place), "", "the head "+quote(name)+" names no unit that is known", l.unitIn(of)+"; or empty it to pass the column over")
			return
		}
		if meant == "" || slices.Contains(names, meant) {
			l.unknown = append(l.unknown, place)
			return
		}
		remedy := "did you mean " + meant + "?"
		if unit != "" {
			remedy = "did you mean " + meant + " (" + unit + ")?"
		}
		l.setColumn(name, column{name: meant, place: place, unit: unit, report: &collect.Report{}})
		l.fail(l.at(place), "", "unknown column "+quote(name), remedy)
	default:
		l.setColumn(name, column{name: name, place: place, unit: unit, report: l.report})
	}
}

// figureOf is the column of figures that the first word of a longer head is, or was meant as.
func figureOf(head string) string {
	first, _, longer := strings.Cut(head, " ")
	if longer && !slices.Contains(figureColumns, first) {
		first = source.Meant(first, figureColumns)
	}
	if !longer {
		return ""
	}
	return first
}

// unitIn says how the head of a column gives a unit.
func (l *itemList) unitIn(of string) string {
	switch of {
	case "weight":
		return "write weight (kg), or another of mg, g, oz and lb"
	case "hours":
		return "write hours"
	}
	return "write " + of + " (" + l.home.Code() + "), or the code of another currency"
}

// tellUnknown tells of the columns that were meant as none: of all of them at once.
func (l *itemList) tellUnknown(names []string) {
	if len(l.unknown) == 0 {
		return
	}
	var said []string
	for _, place := range l.unknown {
		said = append(said, quote(names[place]))
	}
	what, over := "unknown column "+said[0], "it over, empty its head"
	if len(said) > 1 {
		what, over = "unknown columns "+collect.Few(said), "them over, empty their heads"
	}
	l.fail(l.at(l.unknown[0]), "", what, "known here: "+strings.Join(allColumns, ", ")+"; to pass "+over)
}

// meantAmong is the column that a head was meant as; of what may be an id or what a thing is, the
// latter where no other column is that.
func meantAmong(name string, names []string) string {
	meant := source.Meant(name, allColumns, names...)
	if meant == "id" && source.Meant(name, []string{"what"}) == "what" && !slices.ContainsFunc(names, func(other string) bool {
		return other != name && (other == "what" || source.Meant(other, allColumns) == "what")
	}) {
		return "what"
	}
	return meant
}

// columnOf returns the column of a name, nil where the list has none.
func (l *itemList) columnOf(name string) *column {
	for i := range l.columns {
		if l.columns[i].name == name {
			return &l.columns[i]
		}
	}
	return nil
}

// setColumn puts a column, which is called head, in the place of one that was meant so.
func (l *itemList) setColumn(head string, c column) {
	place := c.place
	c.where = func() (source.Origin, string) { return l.at(place), l.field() + ": " + head }
	c.cells = input.NewColumn(c.report, &l.marks, c.where)
	if before := l.columnOf(c.name); before != nil {
		*before = c
	} else {
		l.columns = append(l.columns, c)
	}
}

// next reads a line that is not blank. It reports false at the end.
func (l *itemList) next() bool {
	for {
		record, err := l.rows.Next()
		var f *source.Fault
		switch {
		case errors.As(err, &f):
			l.whole = false
			l.report.Add(f)
		case err != nil:
			return false
		case slices.ContainsFunc(record, isFilled):
			l.record = record
			if l.table.Separator == 0 { // a workbook leaves out empty rows
				line := l.at(0).Line
				l.apart, l.line = l.apart || line > l.line+1, line
			}
			return true
		default:
			l.apart = true
		}
	}
}

// isHead refuses a head that stands in the list again.
func (l *itemList) isHead() bool {
	if l.record[0].Text != l.head || !l.names(2) {
		return false
	}
	l.whole = false
	l.fail(l.at(0), "", "the head of the list stands here again", "take the row out; of two lists make two lots")
	return true
}

// checkApart warns of a row below an empty one that has none of the figures of the items above it:
// it may begin another table.
func (l *itemList) checkApart(items int) {
	if l.apart = l.apart && items > 0; !l.apart {
		return
	}
	figures := 0
	for _, name := range []string{"count", "weight", "value"} {
		if l.columnOf(name) != nil {
			figures++
		}
		if l.of(name) != "" {
			return
		}
	}
	if l.apart = figures < 2; !l.apart {
		l.report.Add(&source.Fault{At: l.at(0), Field: l.field(), Warning: true, What: "it stands below an empty line without any figure, and is read like the others", Remedy: "take out what is not in the lot"})
	}
}

func isFilled(cell cells.Cell) bool { return cell != cells.Cell{} }

// item makes an item of the record. It reports false when the cells are not
// those of the header, or show what cannot be read.
func (l *itemList) item() (landed.Item, bool) {
	switch n, remedy := len(l.record), "put text that holds the separator in double quotes, and leave empty cells empty"; {
	case l.table.Separator == 0: // what stands beside the list is passed over, as what has an empty head is
		l.record = l.record[:min(n, l.width)]
	case n != l.width:
		l.whole = false
		if n < l.width { // as a spreadsheet leaves out empty ones at the end
			remedy += ", or save the list as .xlsx"
		}
		l.fail(l.at(0), l.field(), fmt.Sprintf("the line has %d cells, but the header has %d", n, l.width), remedy)
		return landed.Item{}, false
	}
	l.look()
	item, before := landed.Item{At: l.at(0).In(l.places)}, l.report.Len()
	id := l.node("id")
	item.ID, _ = id.Text()
	l.need(len(l.spoilt) == 0 && (item.ID != "" || !id.Given()), item.At)
	sure := l.report.Len() == before
	counted := l.fillItem(&item, l.node) && sure
	if l.benched || item.Count == 0 {
		l.bench(&item, counted, l.node, l.node)
	}
	return item, true
}

func (l *itemList) field() string {
	if id := cmp.Or(l.of("id"), l.of("what")); id != "" {
		return "item " + input.Excerpt(id)
	}
	return "item"
}

// cellIn returns the cell of the record in a column, nil where there is none.
func (l *itemList) cellIn(c *column) *cells.Cell {
	if c == nil || c.place >= len(l.record) {
		return nil
	}
	return &l.record[c.place]
}

// of returns the text of a column's cell, "" where there is none.
func (l *itemList) of(name string) string {
	if cell := l.cellIn(l.columnOf(name)); cell != nil {
		return cell.Text
	}
	return ""
}

// node makes a cell look like a value of a lot file.
func (l *itemList) node(name string) input.Node {
	c := l.columnOf(name)
	cell := l.cellIn(c)
	if cell == nil || cell.Text == "" || slices.Contains(l.spoilt, name) {
		return input.Node{}
	}
	text := cell.Text
	if cell.Shown != "" && name != "weight" && name != "hours" { // an amount is what is seen of it
		text = cell.Shown
	}
	if slices.Contains(countColumns, name) {
		text = wholeCount(text)
	}
	n := c.cells.Cell(c.withUnit(l, cell, text))
	if cell.Exact && l.marks.Comma {
		points := l.marks
		points.Comma = false
		n = n.Marked(&points)
	}
	return n
}

// wholeCount is a count without decimals that are 0, as in 2,00: a spreadsheet may show them.
func wholeCount(text string) string {
	at := strings.IndexAny(text, ".,")
	if at <= 0 || len(text)-at < 2 || len(text)-at > 3 || strings.Trim(text[at+1:], "0") != "" {
		return text
	}
	return text[:at]
}

// figure is the text of a cell as that of a figure with decimal points.
func (l *itemList) figure(name string) string {
	text, _ := l.node(name).Figure().Text()
	return text
}
