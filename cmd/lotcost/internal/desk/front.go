package desk

import (
	"cmp"
	"html/template"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/book"
)

// group is the hauls that wait for the same.
type group struct {
	ID, Title string
	Hauls     []line
	Shown     int // how many of them are; the others are folded
}

// First and More are the hauls that are shown, and those that are folded.
func (g group) First() []line { return g.Hauls[:g.Shown] }
func (g group) More() []line  { return g.Hauls[g.Shown:] }

// many is how many hauls are so many that one looks for them.
const many = 10

// bookBody is the first page.
type bookBody struct {
	Headline, Sums string
	Groups         []group
	Many           bool
	Wrong          []fault
	Commas         bool     // most hauls have decimal commas
	Defaults       []string // that a new haul may name
}

// showBook shows the hauls by what they wait for.
func (d *Desk) showBook(w http.ResponseWriter, r *http.Request) error {
	result, lines, err := d.bookOf(book.Options{})
	if err != nil {
		return &refusal{http.StatusInternalServerError, "The folder cannot be read: " + err.Error()}
	}
	b := bookBody{Headline: show.BookAnswer(result), Sums: show.BookSums(result, d.Today()), Groups: groups(lines), Many: len(lines) > many, Defaults: d.defaults()}
	if result.Hauls == 0 && len(b.Groups) > 0 {
		b.Headline = "Nothing is bought yet"
	}
	if b.Commas = withCommas(lines); b.Commas {
		b.Headline, b.Sums = sheet.Commas(b.Headline), sheet.Commas(b.Sums)
	}
	b.Headline, b.Sums = sheet.Typeset(b.Headline), sheet.Typeset(b.Sums)
	for _, f := range append(slices.Clone(result.Outside), result.Strange...) {
		b.Wrong = append(b.Wrong, fault{Where: strings.TrimPrefix(filepath.ToSlash(f.At.File), filepath.ToSlash(d.Folder)+"/"), What: f.What, Remedy: f.Remedy})
	}
	return d.send(w, http.StatusOK, "book.html", frame{Title: "Hauls", Where: "book", Body: b})
}

// groups sorts hauls by what they wait for: those that close first, then the newest first.
func groups(lines []line) []group {
	var list []group
	for w := toMend; w <= archived; w++ {
		g := group{ID: "waits-" + string(rune('a'+int(w))), Title: waitTitles[w]}
		for _, l := range lines {
			if l.waits == w {
				g.Hauls = append(g.Hauls, l)
			}
		}
		slices.SortStableFunc(g.Hauls, func(a, b line) int {
			switch {
			case w != toClose || a.closes.Equal(b.closes):
				return strings.Compare(b.Day, a.Day)
			case a.closes.IsZero(): // those without an hour last
				return 1
			case b.closes.IsZero():
				return -1
			}
			return a.closes.Compare(b.closes)
		})
		if g.Shown = min(len(g.Hauls), sheet.AtOnce); w >= done && len(g.Hauls) > many { // they wait for nothing
			g.Shown = 0
		}
		if len(g.Hauls) > 0 {
			list = append(list, g)
		}
	}
	return list
}

// bookView is one side of the whole book.
type bookView struct {
	id, Title string
	options   book.Options
	show      func(*book.Result, time.Time) show.Result
}

// ID is what it is called in addresses.
func (v bookView) ID() string { return v.id }

var bookViews = []bookView{
	{"stock", "Stock", book.Options{Prices: true}, show.Stock},
	{"doubles", "Doubles", book.Options{}, func(r *book.Result, _ time.Time) show.Result { return show.Doubles(r) }},
	{"sales", "Sales", book.Options{Sales: true}, func(r *book.Result, _ time.Time) show.Result { return show.Sales(r) }},
	{"years", "Years", book.Options{}, func(r *book.Result, _ time.Time) show.Result { return show.Years(r, false) }},
	{"guesses", "Guesses", book.Options{}, func(r *book.Result, _ time.Time) show.Result { return show.Guesses(r) }},
}

func (d *Desk) showBookView(w http.ResponseWriter, r *http.Request, v bookView) error {
	all, lines, err := d.bookOf(v.options)
	if err != nil {
		return &refusal{http.StatusInternalServerError, "The book cannot be shown: " + err.Error()}
	}
	comma := withCommas(lines)
	if as := r.URL.Query().Get("as"); as != "" {
		if as != "csv" { // which programs read too
			all = byTitle(byName(all, lines), lines)
		}
		if !slices.Contains([]string{"csv", "xlsx", "html"}, as) {
			return &refusal{http.StatusNotFound, "The book cannot be written so."}
		}
		if err := handOver(w, v.id, as, comma, v.show(all, d.Today())); err != nil {
			return &refusal{http.StatusInternalServerError, "It was not written. " + said(err)}
		}
		return nil
	}
	sheets := v.show(byName(all, lines), d.Today()).Whole()
	for _, t := range sheets.Tables() {
		t.Folds = false // they are sorted, and looked through, as one
	}
	body, err := written(sheets, comma)
	if err != nil {
		return &refusal{http.StatusInternalServerError, "The book cannot be shown: " + err.Error()}
	}
	return d.send(w, http.StatusOK, "table.html", frame{Title: v.Title, Where: v.id, Body: tableBody{body, lines}})
}

// tableBody is a side of the book, with what its hauls are called.
type tableBody struct {
	Table template.HTML
	Hauls []line
}

// byName is a book in which pieces are called what was typed of them, in the place of their ids;
// those of one haul that are called alike have these behind. Doubles are in hauls by their titles.
func byName(r *book.Result, lines []line) *book.Result {
	other, items := itsOwn(r)
	other.Doubles = slices.Clone(r.Doubles)
	titles, _ := titlesOf(lines)
	var copies []*book.Item
	for d := range sheet.All(other.Doubles) {
		d.Sell = slices.Clone(d.Sell)
		for c := range sheet.All(d.Sell) {
			copies = append(copies, &c.Item)
		}
	}
	ids, alike := map[[2]string]string{}, map[[2]string]bool{}
	items = append(items, copies...)
	for _, item := range items {
		key := [2]string{item.Haul, item.What}
		alike[key] = alike[key] || ids[key] != "" && ids[key] != item.ID
		ids[key] = item.ID
	}
	for _, item := range items {
		switch {
		case item.What == "":
		case alike[[2]string{item.Haul, item.What}]:
			item.ID = item.What + " (" + item.ID + ")"
		default:
			item.ID = item.What
		}
		item.What = ""
	}
	for _, c := range copies {
		c.Haul = cmp.Or(titles[c.Haul], c.Haul)
	}
	return other
}

// itsOwn is the book with stock and sales of its own, and their items.
func itsOwn(r *book.Result) (*book.Result, []*book.Item) {
	other := *r
	other.Stock, other.Sales = slices.Clone(r.Stock), slices.Clone(r.Sales)
	var items []*book.Item
	for s := range sheet.All(other.Stock) {
		items = append(items, &s.Item)
	}
	for s := range sheet.All(other.Sales) {
		items = append(items, &s.Item)
	}
	return &other, items
}

// titlesOf are the titles of hauls by their names, and how many are called each.
func titlesOf(lines []line) (titles map[string]string, count map[string]int) {
	titles, count = map[string]string{}, map[string]int{}
	for _, l := range lines {
		titles[l.Name] = l.Title
		count[l.Title]++
	}
	return titles, count
}

// byTitle is a book in which hauls are called by their titles, as far as no two have the same.
func byTitle(r *book.Result, lines []line) *book.Result {
	titles, count := titlesOf(lines)
	other, items := itsOwn(r)
	for _, item := range items {
		if title := titles[item.Haul]; count[title] == 1 {
			item.Haul = title
		}
	}
	return other
}

// withCommas reports whether most hauls are written with decimal commas: then the book is, as the
// command has it.
func withCommas(lines []line) bool {
	commas := 0
	for _, l := range lines {
		if l.comma {
			commas++
		}
	}
	return 2*commas > len(lines)
}
