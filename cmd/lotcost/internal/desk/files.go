package desk

import (
	"cmp"
	"errors"
	"io/fs"
	"net/http"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"time"
	"unicode"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// saveText writes the whole text of a file.
func (d *Desk) saveText(w http.ResponseWriter, r *http.Request, before *haul) error {
	text := r.PostForm.Get("text")
	if _, end, _ := lotfile.Lines("", before.Text); end != "\r\n" { // a browser sends no other
		text = strings.ReplaceAll(text, "\r\n", end)
	}
	if !lotfile.IsHaul([]byte(text)) {
		return &refusal{http.StatusUnprocessableEntity, "This is no lot file any more: the line \"lotcost: 1\" is gone. Nothing was written."}
	}
	after := d.made(before.Name, []byte(text), before.Mark)
	after.View = textView
	return d.saved(w, r, after)
}

// makeNew writes a file for a new haul, with what only the user knows empty.
func (d *Desk) makeNew(w http.ResponseWriter, r *http.Request) error {
	title, today := strings.TrimSpace(r.PostForm.Get("title")), d.Today()
	o := d.Files
	o.Today = today
	name := d.free(path.Join(strconv.Itoa(today.Year()), slug(title)), ".yaml")
	with := r.PostForm.Get("with")
	if with != "" {
		with = path.Join("..", with)
	}
	dir := filepath.FromSlash(path.Dir(name)) // from where the defaults are found
	if err := d.folder.root.MkdirAll(dir, 0o777); err != nil {
		return &refusal{http.StatusUnprocessableEntity, "The haul was not begun. " + said(err)}
	}
	text, err := lotfile.New(lotfile.Figures{"from": {placeOf(r.PostForm.Get("from"))}, "to": {placeOf(r.PostForm.Get("to"))}, "with": {with}, "decimal": {r.PostForm.Get("decimal")}}, d.folder.full(path.Dir(name)), o)
	if err == nil {
		text, err = withTitle(text, title)
	}
	if err == nil {
		err = d.folder.create(name, []byte(text))
	}
	if err != nil {
		d.folder.root.Remove(dir) // where it was made for this; it stays where anything is in it
		return &refusal{http.StatusUnprocessableEntity, "The haul was not begun. " + said(err)}
	}
	http.Redirect(w, r, address(name), http.StatusSeeOther)
	return nil
}

// placeOf is the code of a country or province that somebody named; what is no name stays as it is.
func placeOf(typed string) string {
	if typed = strings.TrimSpace(typed); len(typed) <= len("JP") || strings.Contains(typed, "-") {
		return typed
	}
	return cmp.Or(lotfile.MeantPlace(typed), typed)
}

// withTitle puts a title into the text of a new file.
func withTitle(text, title string) (string, error) {
	doc, err := edit.Parse("", []byte(text))
	if err != nil || title == "" {
		return text, err
	}
	if doc, err = doc.Set(edit.Path{{Key: "title"}}, title); err != nil {
		return "", err
	}
	return string(doc.Bytes()), nil
}

// said is an error in one sentence for a page.
func said(err error) string {
	var faults source.Faults
	if errors.As(err, &faults) {
		f := faults[0]
		field := strings.TrimPrefix(f.Field, "--")
		if strings.HasPrefix(f.What, field+" ") {
			field = ""
		}
		return sheet.Upper(strings.Trim(field+": "+f.What+": "+strings.NewReplacer("--from ", "", "--to ", "").Replace(f.Remedy), ": "))
	}
	return err.Error()
}

// defaults are the files of the folder from which a new haul may take what it does not say.
func (d *Desk) defaults() []string {
	var list []string
	entries, err := d.folder.root.Open(".")
	if err != nil {
		return nil
	}
	defer entries.Close()
	names, _ := entries.ReadDir(-1)
	for _, e := range names {
		if e.Type().IsRegular() && filepath.Ext(e.Name()) == ".yaml" {
			if text, err := d.folder.root.ReadFile(e.Name()); err == nil && defaultsLine().Match(text) {
				list = append(list, e.Name())
			}
		}
	}
	return list
}

// defaultsLine is the line by which a file holds defaults.
var defaultsLine = sheet.Pattern(`(?m)^lotcost-book:[ \t]+1`)

// slug is a title as the name of a file.
func slug(title string) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	runes := []rune(strings.Join(words, "-"))
	return cmp.Or(string(runes[:min(len(runes), 40)]), "haul")
}

// free is a name for a file that is not there yet.
func (d *Desk) free(name, end string) string {
	for n := 1; ; n++ {
		with := name + end
		if n > 1 {
			with = name + "-" + strconv.Itoa(n) + end
		}
		if _, err := d.folder.root.Lstat(filepath.FromSlash(with)); errors.Is(err, fs.ErrNotExist) {
			return with
		}
	}
}

// CopyName is a name for a copy of the file.
func (h *haul) CopyName() string {
	return h.desk.free(strings.TrimSuffix(h.Name, ".yaml")+"-copy", ".yaml")
}

// outcome are the keys that a copy of a haul leaves out: what was found, sold and billed.
var outcome = map[string]bool{"found": true, "sold": true, "repair": true, "hours": true, "settled": true, "assessed": true, "billed": true, "lost": true}

// makeCopy writes a file like another one beside it, for a haul of the same kind.
func (d *Desk) makeCopy(w http.ResponseWriter, r *http.Request, h *haul) error {
	name := r.PostForm.Get("name")
	if !strings.HasSuffix(name, ".yaml") {
		name += ".yaml"
	}
	if path.Dir(name) != path.Dir(h.Name) {
		return &refusal{http.StatusUnprocessableEntity, "A copy stands beside the file, since it names others there: leave the folder as it is."}
	}
	if err := d.folder.create(name, withArchived(h.fresh(d.Today()), false)); err != nil {
		return &refusal{http.StatusUnprocessableEntity, "The copy was not made. " + said(err)}
	}
	http.Redirect(w, r, address(name), http.StatusSeeOther)
	return nil
}

// fresh is the text without what came of the haul.
func (h *haul) fresh(today time.Time) []byte {
	if h.Doc == nil {
		return h.Text
	}
	doc := h.Doc
	for again := true; again; {
		again = false
		doc.Walk(func(p edit.Path) bool {
			if !again && outcome[p[len(p)-1].Key] {
				if after, err := doc.Delete(p); err == nil {
					doc, again = after, true
				}
			}
			return !again
		})
	}
	if after, err := doc.Set(edit.Path{{Key: "date"}}, today.Format(time.DateOnly)); err == nil {
		doc = after
	}
	return doc.Bytes()
}

// archive puts a haul out of the way of what waits, or back.
func (d *Desk) archive(w http.ResponseWriter, r *http.Request, h *haul) error {
	after := d.made(h.Name, withArchived(h.Text, r.PostForm.Get("back") == ""), h.Mark)
	return d.saved(w, r, after)
}
