package desk

import (
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
}

// bookBody is the first page.
type bookBody struct {
	Headline, Sums string
	Groups         []group
	Wrong          []fault
	Commas         bool     // most hauls have decimal commas
	Defaults       []string // that a new haul may name
}

// showBook shows the hauls by what they wait for.
func (d *Desk) showBook(w http.ResponseWriter, r *http.Request) {
	result, lines, err := d.bookOf(book.Options{})
	if err != nil {
		refuse(w, http.StatusInternalServerError, "The folder cannot be read: "+err.Error())
		return
	}
	b := bookBody{Headline: show.BookAnswer(result), Sums: show.BookSums(result, d.Today().Year()), Groups: groups(lines), Defaults: d.defaults()}
	if b.Commas = withCommas(lines); b.Commas {
		b.Headline, b.Sums = sheet.Commas(b.Headline), sheet.Commas(b.Sums)
	}
	for _, f := range append(slices.Clone(result.Outside), result.Strange...) {
		b.Wrong = append(b.Wrong, fault{Where: strings.TrimPrefix(filepath.ToSlash(f.At.File), filepath.ToSlash(d.Folder)+"/"), What: f.What, Remedy: f.Remedy})
	}
	d.send(w, http.StatusOK, "book.html", frame{Title: "Hauls", Where: "book", Body: b})
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

func (d *Desk) showBookView(w http.ResponseWriter, r *http.Request, v bookView) {
	all, lines, err := d.bookOf(v.options)
	if err != nil {
		refuse(w, http.StatusInternalServerError, "The book cannot be shown: "+err.Error())
		return
	}
	result, comma := v.show(all, d.Today()), withCommas(lines)
	if as := r.URL.Query().Get("as"); as != "" {
		if !slices.Contains([]string{"csv", "xlsx", "html"}, as) {
			refuse(w, http.StatusNotFound, "The book cannot be written so.")
		} else if err := handOver(w, v.id, as, comma, result); err != nil {
			refuse(w, http.StatusInternalServerError, "It was not written. "+said(err))
		}
		return
	}
	body, err := written(result.Whole(), comma)
	if err != nil {
		refuse(w, http.StatusInternalServerError, "The book cannot be shown: "+err.Error())
		return
	}
	d.send(w, http.StatusOK, "table.html", frame{Title: v.Title, Where: v.id, Body: body})
}

// withCommas reports whether most hauls are written with decimal commas: then the book is, as the
// command has it.
func withCommas(lines []line) bool {
	commas := 0
	for i := range lines {
		if lines[i].comma {
			commas++
		}
	}
	return 2*commas > len(lines)
}
