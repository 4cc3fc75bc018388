package desk

import (
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
	doc := result.Whole()
	for i, b := range doc.Blocks {
		if t, is := b.(*sheet.Table); is {
			doc.Blocks[i] = byName(t)
		}
	}
	body, err := written(doc, comma)
	if err != nil {
		refuse(w, http.StatusInternalServerError, "The book cannot be shown: "+err.Error())
		return
	}
	d.send(w, http.StatusOK, "table.html", frame{Title: v.Title, Where: v.id, Body: tableBody{body, lines}})
}

// tableBody is a side of the book, with what its hauls are called.
type tableBody struct {
	Table template.HTML
	Hauls []line
}

// byName is a table in which pieces are called what was typed of them, in the place of their ids;
// those of one haul that are called alike have these behind.
func byName(t *sheet.Table) *sheet.Table {
	column := func(key string) int {
		return slices.IndexFunc(t.Columns, func(c sheet.Column) bool { return c.Key == key })
	}
	haul, id, what := column("haul"), column("id"), column("what")
	if id < 0 || what < 0 || t.Made != nil {
		return t
	}
	ids := map[[2]string]string{}
	alike := map[[2]string]bool{}
	key := func(r sheet.Row) [2]string { return [2]string{r.Cell(max(haul, 0)).Text, r.Cell(what).Text} }
	for _, r := range t.Rows {
		if other, is := ids[key(r)]; is && other != r.Cell(id).Text {
			alike[key(r)] = true
		}
		ids[key(r)] = r.Cell(id).Text
	}
	named := *t
	named.Columns, named.Rows = slices.Clone(t.Columns), slices.Clone(t.Rows)
	named.Columns[what].Machine = true
	for i, r := range named.Rows {
		name := r.Cell(what).Text
		if name == "" || len(r.Cells) <= id {
			continue
		}
		if alike[key(r)] {
			name += " (" + r.Cell(id).Text + ")"
		}
		named.Rows[i].Cells = slices.Clone(r.Cells)
		named.Rows[i].Cells[id].Text = name
	}
	return &named
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
