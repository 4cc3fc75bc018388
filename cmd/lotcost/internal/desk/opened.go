package desk

import (
	"cmp"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
)

// openedView is the parcel as it is opened: what was found of each piece, what was done to it, and
// what the pieces have then cost.
var openedView = &view{id: "opened", Title: "The parcel opened", when: []waits{toOpen}, mends: true, fits: (*haul).hasBought, show: showOpened}

// hasBought reports whether anything was bought, as the text has it.
func (h *haul) hasBought() bool {
	return h.anyLot(func(i int) bool { return !h.isLost(i) && !h.isOpen(i) })
}

func (h *haul) isLost(lot int) bool { return h.typed(h.at("lots", lot, "lost")) == "yes" }
func (h *haul) isOpen(lot int) bool { return h.typed(h.at("lots", lot, "price")) == "open" }

// set is what a button makes of the file: paths with their values.
type set [][2]string

// JSON is the set as a page holds it.
func (s set) JSON() (string, error) {
	text, err := json.Marshal(s)
	return string(text), err
}

// press is a button that says how something is, and makes it so.
type press struct {
	Name, Label string
	Count       string // how many are so; "" where one piece is all there is
	On          bool
	Sets        set
}

// openedItem is an item as it came out of the parcel.
type openedItem struct {
	ID, Name, Pieces string
	Cost             template.HTML
	Known            bool // what was found of it
	Wrong            bool // the counts do not add up
	States           []press
	Fields           []headed
	Made             *grid // what was made from its dead pieces
}

// headed is a field in a column.
type headed struct {
	Head string
	field
}

// headed are the fields of an entry in some columns.
func (h *haul) headed(columns []column, entry edit.Path) []headed {
	return sheet.Each(columns, func(c *column) headed { return headed{c.head, h.cell(*c, entry)} })
}

// openedLot is the items of a lot.
type openedLot struct {
	Title string
	List  *list // nil where the pieces stand in the lot file
	Items []sheet.Batch[openedItem]
}

// openedBody is the lots, and whether their pieces are so many that one looks for some.
type openedBody struct {
	Many bool
	Lots []openedLot
}

func showOpened(h *haul, _ *http.Request) (parts, error) {
	b := openedBody{Many: h.pieces() > sheet.AtOnce}
	for i := range h.Doc.Len(h.at("lots")) {
		if h.isLost(i) || h.isOpen(i) {
			continue
		}
		b.Lots = append(b.Lots, h.openedLot(i, b.Many))
	}
	b.open()
	var p parts
	var err error
	if st := h.ShownStatement(); st != nil {
		answer, _ := show.Split(st).Whole().Parted()
		if p.Answer, err = written(h.once(answer), h.Comma()); err != nil {
			return p, err
		}
	}
	p.Work, err = fill("opened.html", b)
	return p, err
}

// halves are an answer and the rest of it, see [sheet.Sheet.Parted], as parts of a page.
func (h *haul) halves(first, more *sheet.Sheet) (answer, rest template.HTML, err error) {
	if answer, err = written(h.once(first), h.Comma()); err == nil {
		rest, err = written(h.once(more), h.Comma())
	}
	return answer, rest, err
}

// once leaves out what the page says already: the title, the sums of the answer at a glance, and
// that a search was stopped while it goes on.
func (h *haul) once(s *sheet.Sheet) *sheet.Sheet {
	out := &sheet.Sheet{}
	for _, b := range s.Blocks {
		switch said := b.(type) {
		case sheet.Glance:
			continue
		case sheet.Text:
			if string(said) == h.Title() {
				continue
			}
		case sheet.Note:
			if h.Going {
				said.Text = strings.Replace(said.Text, "the search was stopped: ", "so far: ", 1)
				b = said
			}
		case sheet.PageOnly:
			b = sheet.PageOnly(func() []sheet.Block { return h.once(&sheet.Sheet{Blocks: said()}).Blocks })
		}
		out.Add(b)
	}
	return out
}

// open unfolds the first pieces that nobody has looked at; the first of all where there are none.
func (b *openedBody) open() {
	var first *sheet.Batch[openedItem]
	for l := range sheet.All(b.Lots) {
		for p := range sheet.All(l.Items) {
			if slices.ContainsFunc(p.Rows, func(o openedItem) bool { return !o.Known }) {
				p.Open = true
				return
			}
			first = cmp.Or(first, p)
		}
	}
	if first != nil {
		first.Open = true
	}
}

func (h *haul) openedLot(i int, many bool) openedLot {
	l := openedLot{Title: h.lotName(i), List: h.listOf(i)}
	var items []openedItem
	if l.List != nil {
		for _, item := range h.File.Lots[i].Items {
			items = append(items, openedItem{ID: item.ID, Name: h.Shown().names[item.ID], Pieces: strconv.FormatInt(item.Count, 10), Cost: h.groups(item.ID)})
		}
	} else {
		for j := range h.Doc.Len(h.at("lots", i, "items")) {
			items = append(items, h.openedItem(i, j))
		}
	}
	l.Items = sheet.InBatches("items-"+strconv.Itoa(i+1), items, many, func(o *openedItem) (lot, name string) { return l.Title, o.Name })
	return l
}

// lotName is what a lot is called.
func (h *haul) lotName(i int) string {
	return cmp.Or(h.typed(h.at("lots", i, "title")), spoken("lot", h.typed(h.at("lots", i, "id"))))
}

// openedColumns are what is typed of an item at the opened parcel, beside what was found.
var openedColumns = []column{weightColumn, {head: "repair", key: "repair", hint: "0"}, {head: "hours", key: "hours", hint: "0"}}

var madeColumns = []column{{head: "what was made", says: "name", key: "what", hint: "iron"}, {head: "how many", says: "number", key: "count", hint: "1"}, {head: "value, each", says: "value", key: "value"}}

func (h *haul) openedItem(i, j int) openedItem {
	item := h.at("lots", i, "items", j)
	o := openedItem{ID: h.typed(item.Below("id")), Name: h.pieceName(item), Pieces: cmp.Or(h.typed(item.Below("count")), "1")}
	o.Cost = h.groups(o.ID)
	f := h.foundAt(item.Below("found"), o.Pieces)
	o.States, o.Known, o.Wrong = f.presses(o.ID), f.known, f.known && f.sum() != f.all
	o.Fields = h.headed(openedColumns, item)
	made := h.gridOf("Made from the dead pieces of "+o.Name, madeColumns, item, "found", "yields")
	if f.n[deadAt] > 0 || made.Own > 0 {
		o.Made = &made
	}
	return o
}

// groups are the alike pieces of an item with what they cost.
func (h *haul) groups(id string) template.HTML {
	out := template.HTML("")
	if st := h.Statement(); st != nil && st.ItemAt(id) >= 0 {
		out, _ = written(sheet.New(sheet.Text(show.EachPiece(&st.Items[st.ItemAt(id)]))), h.Comma())
	}
	return out
}

// found is what the file says was found of an item, by states.
type found struct {
	at    edit.Path
	known bool
	all   int64 // that there must be
	extra int64
	n     [4]int64
}

// The states that pieces are found in, by their keys.
type foundState struct{ key, label string }

var foundStates = [4]foundState{{"sound", "sound"}, {"parts", "for parts"}, {"dead", "dead"}, {"missing", "missing"}}

const deadAt = 2

func (h *haul) foundAt(at edit.Path, pieces string) found {
	f := found{at: at, known: h.Doc.Has(at)}
	number := func(key string) int64 {
		n, _ := strconv.ParseInt(h.typed(at.Below(key)), 10, 64)
		return max(0, n)
	}
	f.extra = number("extra")
	f.all, _ = strconv.ParseInt(pieces, 10, 64)
	f.all += f.extra
	for i := range f.n {
		f.n[i] = number(foundStates[i].key)
	}
	return f
}

func (f *found) sum() int64 { return f.n[0] + f.n[1] + f.n[2] + f.n[3] }

// presses are the buttons of an item: one moves a piece into a state, from the sound ones where
// there are any. Nothing known, all are taken to be sound, and the first press says so.
func (f *found) presses(id string) []press {
	var list []press
	for i, s := range foundStates {
		p := press{Name: id + " " + s.key, Label: s.label, On: f.known && f.n[i] > 0, Sets: f.sets(f.moved(i), f.extra)}
		if f.known && f.all > 1 {
			p.Count = strconv.FormatInt(f.n[i], 10)
		}
		list = append(list, p)
	}
	with := f.now()
	with[0]++
	more := press{Name: id + " extra", Label: "extra", On: f.extra > 0, Sets: f.sets(with, f.extra+1)}
	if f.extra > 0 {
		more.Count = strconv.FormatInt(f.extra, 10)
	}
	list = append(list, more)
	if f.known {
		list = append(list, press{Name: id + " unknown", Label: "not looked at", Sets: set{{f.at.String(), ""}}})
	}
	return list
}

// now is how many there are in each state: all sound where nothing is known.
func (f *found) now() [4]int64 {
	if !f.known {
		return [4]int64{f.all}
	}
	return f.n
}

// moved is how many there are in each state once one more piece is in one of them.
func (f *found) moved(to int) [4]int64 {
	n := f.now()
	if f.known && f.sum() != f.all { // put right what does not add up
		n[to] = max(0, n[to]+f.all-f.sum())
		return n
	}
	for _, from := range []int{0, 3, 2, 1} {
		if from != to && n[from] > 0 && (f.known || to != 0) {
			n[from]--
			n[to]++
			break
		}
	}
	return n
}

// sets are the values that say so. Keys are set before others are taken out, so that the group
// is never empty on the way.
func (f *found) sets(n [4]int64, extra int64) set {
	var put, out set
	one := func(key string, n int64) {
		path := f.at.Below(key).String()
		if n > 0 {
			put = append(put, [2]string{path, fmt.Sprint(n)})
		} else {
			out = append(out, [2]string{path, ""})
		}
	}
	for i, s := range foundStates {
		one(s.key, n[i])
	}
	one("extra", extra)
	return append(put, out...)
}
