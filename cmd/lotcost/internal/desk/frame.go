package desk

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"html/template"
	"net/http"
	"net/url"
	"path"
	"slices"
	"strings"
	"sync"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
)

//go:embed assets pages
var files embed.FS

// templates are parsed when the first page is asked for: other commands do not wait for it.
var templates = sync.OnceValue(func() *template.Template {
	t := template.New("").Funcs(template.FuncMap{"address": address, "asset": func(name string) string { return assetNames()[name] }, "patterns": func() template.HTML { return template.HTML(sheet.Patterns) }})
	return template.Must(t.ParseFS(files, "pages/*.html"))
})

// assetNames are the addresses of the files that pages load, with a mark of what is in each.
var assetNames = sync.OnceValue(func() map[string]string {
	names := map[string]string{}
	for _, name := range []string{"desk.css", "desk.js", "tables.js", "desk.svg"} {
		sum := sha256.Sum256(assetText(name))
		names[name] = "/assets/" + hex.EncodeToString(sum[:6]) + "-" + name
	}
	return names
})

// assetText is what a file that pages load holds. The style of results goes before our own.
func assetText(name string) []byte {
	text, err := files.ReadFile("assets/" + name)
	if err == nil && name == "desk.css" {
		text = append([]byte(sheet.Style()), text...)
	}
	return text
}

func (d *Desk) asset(w http.ResponseWriter, r *http.Request) error {
	_, name, _ := strings.Cut(r.PathValue("name"), "-")
	text := assetText(path.Base(name))
	kind := map[string]string{".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}[path.Ext(name)]
	if text == nil || kind == "" {
		return &refusal{http.StatusNotFound, "There is no such place."}
	}
	w.Header().Set("Content-Type", kind+"; charset=utf-8")
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	w.Write(text)
	return nil
}

// address is where a haul is found: the path of its file in the folder.
func address(name string) string {
	return "/haul/" + (&url.URL{Path: name}).EscapedPath()
}

// frame is what stands around every page.
type frame struct {
	Title string
	Where string // "book", or the id of one of its views; "" on the page of a haul
	Haul  *haul
	Views []*view
	Books []bookView
	Lan   bool
	Body  any
}

// send writes a page.
func (d *Desk) send(w http.ResponseWriter, status int, name string, f frame) error {
	f.Books, f.Lan = bookViews, d.guard.code != nil
	var out bytes.Buffer
	if err := templates().ExecuteTemplate(&out, name, f); err != nil {
		return &refusal{http.StatusInternalServerError, "The page could not be made: " + err.Error()}
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	w.Write(out.Bytes())
	return nil
}

// refuse answers with nothing but a reason, and a way back to those who were let in.
func refuse(w http.ResponseWriter, status int, why string) {
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	templates().ExecuteTemplate(w, "refused.html", struct {
		Why    string
		Inside bool
	}{why, status == http.StatusNotFound})
}

// written is a sheet as a part of a page.
func written(s *sheet.Sheet, comma bool) (template.HTML, error) {
	var out bytes.Buffer
	s = show.Untyped(s)
	for i, b := range s.Blocks {
		if t, is := b.(*sheet.Table); is {
			s.Blocks[i] = withoutEmpty(t)
		}
	}
	if err := s.WriteHTML(&out, comma); err != nil {
		return "", err
	}
	return template.HTML(out.String()), nil
}

// withoutEmpty is a table without columns that tell nothing here: what pieces are called, where
// that stands in the place of their ids, and the parcel, where all goes in one.
func withoutEmpty(t *sheet.Table) *sheet.Table {
	if t.Made != nil {
		return t
	}
	return without(t, func(i int) bool {
		idle, is := map[string]string{"what": "", "parcel": "all"}[t.Columns[i].Head]
		return is && !slices.ContainsFunc(t.Rows, func(r sheet.Row) bool { return r.Kind != sheet.Group && r.Cell(i).Text != idle })
	})
}

// without is a table without some of its columns.
func without(t *sheet.Table, idle func(column int) bool) *sheet.Table {
	other := *t
	other.Columns = slices.Clone(t.Columns)
	for i := range other.Columns {
		other.Columns[i].Machine = other.Columns[i].Machine || idle(i)
	}
	return &other
}
