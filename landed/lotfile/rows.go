package lotfile

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"lotcost/landed"
	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/input"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// Rows are cells of a spreadsheet that are to become an item list, and what they are taken for.
// Whoever shows them may change that before [Rows.List].
type Rows struct {
	Head  []string   // what stands above the columns; nil where the first row is an item already
	Body  [][]string // all rows below, each as long as the widest; blank ones are left out
	Sums  [][]string // rows that are called a total, which are no part of Body
	As    []string   // by column, the column of an item list that it is taken for; "" where none
	Units []string   // by column, the unit of bare numbers that its head gives
}

// ReadRows reads cells as a spreadsheet saves or copies them: parted by tabs, semicolons or commas,
// in quotes or not. With commas, numbers that a workbook stores are written with decimal commas.
// The error is [source.Faults], whose places are in a file of that name.
func ReadRows(name string, data []byte, commas bool) (*Rows, error) {
	table, f := cells.Read(name, "", data)
	if f != nil {
		return nil, source.Faults{f}
	}
	var all [][]string
	width, rows := 0, table.Rows()
	for {
		record, err := rows.Next()
		if f := (*source.Fault)(nil); errors.As(err, &f) {
			return nil, source.Faults{f}
		} else if err != nil {
			break
		}
		if row := texts(record, commas); len(row) > 0 {
			all, width = append(all, row), max(width, len(row))
		}
	}
	r := &Rows{As: make([]string, width), Units: make([]string, width)}
	for i, row := range all {
		all[i] = append(row, make([]string, width-len(row))...)
	}
	for i := range all[:min(len(all), mostTitles+1)] { // a title may stand above
		if n := r.takeHead(all[i]); n > 1 || n == 1 && i == 0 {
			if r.Head, all = all[i], all[i+1:]; len(all) > 1 && r.goesOn(all[0]) {
				all = all[1:]
			}
			break
		}
		clear(r.As)
		clear(r.Units)
		if !isAbove(all[i], func(cell string) bool { return cell != "" }) {
			break
		}
	}
	for _, row := range all {
		if first := slices.IndexFunc(row, func(cell string) bool { return cell != "" }); isTotalName(row[first]) {
			r.Sums = append(r.Sums, row)
		} else {
			r.Body = append(r.Body, row)
		}
	}
	return r, nil
}

// texts are the cells of a row as they would be typed, without the empty ones at its end.
func texts(record []cells.Cell, commas bool) []string {
	var row []string
	for i, c := range record {
		text := c.Text
		if c.Shown != "" {
			text = c.Shown
		}
		if c.Exact && commas {
			text = input.OtherMarks(text)
		}
		if text = strings.TrimSpace(text); text != "" {
			row = append(append(row, make([]string, i-len(row))...), text)
		}
	}
	return row
}

// takeHead takes what the cells of a head are meant as, and returns how many are: two columns that
// are known, or one where there is no other, and nothing that begins with a figure; 0 for a row
// that is no head. It takes more for a head than [itemList.findHead] does, and may find none: what
// was pasted is shown before it is taken, while of a list beside a lot file nobody sees what became
// of it.
func (r *Rows) takeHead(row []string) int {
	var known []string
	for i, cell := range row {
		if begins := []rune(cell + " ")[0]; unicode.IsDigit(begins) {
			return 0
		}
		name, unit := headOf(withCode(cell))
		if !isColumn(name) {
			name = source.Meant(name, allColumns, known...)
		}
		if name != "" && cell != "" && !slices.Contains(known, name) {
			known = append(known, name)
			r.As[i], r.Units[i] = name, unit
		}
	}
	if at := slices.Index(r.As, "id"); at >= 0 && !slices.Contains(known, "what") && !strings.EqualFold(row[at], "id") {
		r.As[at] = "what" // as an item, or a name
	}
	if len(known) < min(2, len(row)) || len(known) == 1 && !isColumn(strings.ToLower(row[0])) {
		return 0
	}
	return len(known)
}

// goesOn takes a second row of the head, as one of units, which names no piece and holds no figure.
func (r *Rows) goesOn(row []string) bool {
	at := slices.IndexFunc(r.As, func(as string) bool { return as == "what" || as == "id" })
	if at < 0 || row[at] != "" || strings.ContainsFunc(strings.Join(row, ""), unicode.IsDigit) {
		return false
	}
	for i, cell := range row {
		words := strings.Fields(cell)
		with := r.Head[i] + " " + strings.Join(words[max(0, len(words)-1):], "") // the last word may be the unit
		_, unit := headOf(withCode(with))
		switch {
		case unit != "":
			r.Head[i] = with
		case r.As[i] == "":
			r.Head[i] = strings.TrimSpace(r.Head[i] + " " + cell)
		}
	}
	clear(r.As)
	clear(r.Units)
	return r.takeHead(r.Head) > 0
}

// withCode is a head with the code of the currency in the place of its sign, where that is of one
// alone, as EUR in Wert €.
func withCode(head string) string {
	words := strings.Fields(head)
	if len(words) != 2 {
		return head
	}
	if a, err := money.Parse("1 " + strings.Trim(words[1], "()[]")); err == nil {
		return words[0] + " (" + a.Currency().Code() + ")"
	}
	return head
}

// List is the rows as an item list, of the columns that are taken for something, each once.
func (r *Rows) List() []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Comma = ';'
	var places []int
	var head []string
	for i, name := range r.As {
		if name == "" || slices.Contains(r.As[:i], name) {
			continue
		}
		places = append(places, i)
		if r.Units[i] != "" {
			name += " (" + r.Units[i] + ")"
		}
		head = append(head, name)
	}
	_ = w.Write(head) // a buffer takes all
	for _, row := range r.Body {
		line := make([]string, len(places))
		for n, i := range places {
			line[n] = row[i]
		}
		_ = w.Write(line)
	}
	w.Flush()
	return out.Bytes()
}

// Columns are those that an item list may have, in their usual order.
func Columns() []string { return slices.Clone(allColumns) }

// longestID is how many letters an id has that is made of words.
const longestID = 24

// IDOf is what a thing is called as an id: in small letters, of whole words as far as they are not
// too long, and no number; "" where nothing is left.
func IDOf(what string) string {
	words := strings.FieldsFunc(strings.ToLower(what), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	name := strings.TrimLeft(strings.Join(words, "-"), "0123456789-")
	for r := []rune(name); len(r) > longestID; r = []rune(name) {
		end := strings.LastIndexByte(name, '-')
		if end < 0 {
			return string(r[:longestID])
		}
		name = name[:end]
	}
	return name
}

// nameItems gives the items of lists without a column id theirs, after what each is called: the
// same for the same list, and none that stands elsewhere in the haul.
func (r *reader) nameItems(h *landed.Haul) {
	if len(r.nameless) == 0 {
		return
	}
	taken := map[string]bool{}
	for i := range h.Lots {
		taken[h.Lots[i].ID] = true
		for j := range h.Lots[i].Items {
			taken[h.Lots[i].Items[j].ID] = true
		}
	}
	next := map[string]int{}
	for _, item := range h.Items() {
		if !r.nameless[item.At.File] || item.ID != "" {
			continue
		}
		name := cmp.Or(IDOf(item.What), "item")
		item.ID = name
		for taken[item.ID] {
			item.ID = name + "-" + strconv.Itoa(2+next[name]) // behind the first, which has no number
			next[name]++
		}
		taken[item.ID] = true
	}
}
