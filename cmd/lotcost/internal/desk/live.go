package desk

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// change is one value that a page sets: an empty one is taken out.
type change struct {
	path edit.Path
	text string
}

// changes are those of a form: the fields path and value, as often as there are changes.
func changes(form url.Values) ([]change, error) {
	paths, values := form["path"], form["value"]
	if len(paths) != len(values) {
		return nil, noForm(errors.New("paths and values do not match"))
	}
	var list []change
	for i := range paths {
		p, err := edit.ParsePath(paths[i])
		if err != nil {
			return nil, noForm(err)
		}
		list = append(list, change{p, strings.TrimSpace(values[i])})
	}
	return list, nil
}

func noForm(err error) error {
	return &refusal{http.StatusBadRequest, "This is no form of the desk: " + err.Error() + "."}
}

// changed is a haul with some changes, as far as they can be made.
func (h *haul) changed(list []change) (*haul, error) {
	if h.Doc == nil {
		return nil, h.Faults
	}
	doc, err := h.Doc, error(nil)
	for len(list) > 0 && err == nil {
		entry, n := newEntry(doc, list)
		if n > 1 {
			doc, err = withEntry(doc, entry, list[:n])
		} else {
			n = 1
			doc, err = with(doc, doc, 0, list[0])
		}
		list = list[n:]
	}
	if err != nil {
		return nil, err
	}
	after := h.desk.made(h.Name, doc.Bytes(), h.Mark)
	after.View = h.View
	return after, nil
}

// with makes a change, as it is meant. Ids are new among those of all too, and entries without a
// name are numbered on from the first.
func with(doc, all *edit.Doc, first int, asked change) (_ *edit.Doc, err error) {
	for _, c := range meant(doc, asked) {
		if c.text == "" {
			doc, err = doc.Delete(c.path)
		} else if doc, err = withID(doc, all, first, c.path, c.text); err == nil {
			doc, err = doc.Set(c.path, c.text)
		}
		if err != nil {
			return nil, err
		}
	}
	return doc, nil
}

// newEntry is the path of an entry that a list does not have yet, and how many of the first changes
// are of it alone.
func newEntry(doc *edit.Doc, list []change) (entry edit.Path, n int) {
	p := list[0].path
	k := slices.IndexFunc(p, func(s edit.Step) bool { return s.Key == "" && s.ID == "" })
	if k < 1 || k+1 == len(p) || p[k].Index == edit.New || doc.Len(p[:k]) == 0 || doc.Has(p[:k+1]) {
		return nil, 0
	}
	for n < len(list) && len(list[n].path) > k+1 && slices.Equal(list[n].path[:k+1], p[:k+1]) {
		n++
	}
	return p[:k+1], n
}

// withEntry makes the changes of a new entry apart from all else, and puts it in whole: to read a
// long file again after each of its values takes long.
func withEntry(doc *edit.Doc, entry edit.Path, list []change) (*edit.Doc, error) {
	last := len(entry) - 1
	alone := edit.Path{entry[last-1], {Index: 0}}
	apart, err := edit.Parse("", []byte(entry[last-1].Key+": []\n"))
	for i := 0; i < len(list) && err == nil; i++ {
		apart, err = with(apart, doc, entry[last].Index, change{slices.Concat(alone, list[i].path[last+1:]), list[i].text})
	}
	if err != nil {
		return nil, err
	}
	return doc.Put(entry, apart, alone)
}

// withID gives a new lot, item or parcel of a list an id, which each must have: after what an item
// is, where that is typed first. See [with].
func withID(doc, all *edit.Doc, first int, p edit.Path, text string) (*edit.Doc, error) {
	for i, s := range p {
		if s.Key != "" || s.ID != "" || i == 0 || i+1 == len(p) { // the last step of a path is the name of one that is there
			continue
		}
		list := p[:i]
		kind := map[string]string{"lots": "lot", "items": "item", "parcels": "box"}[list[len(list)-1].Key]
		if s.Index == edit.New {
			s.Index = doc.Len(list)
		}
		key := append(slices.Clone(list), s, edit.Step{Key: "id"})
		if kind == "" || doc.Has(key) || p[i+1].Key == "id" {
			continue
		}
		name := ""
		if kind == "item" && p[i+1].Key == "what" {
			name = lotfile.IDOf(text)
		}
		id := name
		for n := first + s.Index + 1; id == "" || hasID(doc, id) || hasID(all, id); n++ {
			id = cmp.Or(name, kind) + "-" + strconv.Itoa(n)
		}
		var err error
		if doc, err = doc.Set(key, id); err != nil {
			return nil, err
		}
		p[i] = s
	}
	return doc, nil
}

// hasID reports whether a lot, an item or a parcel has an id already.
func hasID(doc *edit.Doc, id string) bool {
	return regexp.MustCompile(`id["']?:[ \t]*["']?` + regexp.QuoteMeta(id) + `["']?[ \t]*([,}#\r\n]|$)`).Match(doc.Bytes())
}

// fault is what is wrong, for the page to put where it belongs.
type fault struct {
	Field  string `json:"field"` // the path of the value; "" where it is none of the file
	Where  string `json:"where"` // the same in words
	What   string `json:"what"`
	Remedy string `json:"remedy"`

	// Open is whether nothing stands there yet: it is still to be typed, and no mistake of anybody.
	Open  bool `json:"open"`
	lacks bool // of an entry, which is right without it where nothing asks for it
}

// faultsShown are the faults of a haul, or of an edit, by their fields.
func (h *haul) faultsShown(faults source.Faults) []fault {
	list := []fault{}
	for _, f := range faults {
		field := h.fieldOf(f)
		if field == "" && h.Doc != nil && f.At.File == h.Name {
			field = f.Field
		}
		if p := h.dutyAsked(f); p != nil && h.View != nil && h.View != textView {
			field = p.String()
		}
		where := cmp.Or(h.wordsOf(f, field), f.Field, field)
		field, lacks := h.lacking(f, field)
		if f.At.File != "" && filepath.Base(f.At.File) != path.Base(h.Name) { // such as defaults
			where = strings.TrimSuffix(fmt.Sprintf("%s, line %d: %s", filepath.Base(f.At.File), f.At.Line, where), ": ")
		}
		if h.View == textView && f.At.Line > 0 && filepath.Base(f.At.File) == path.Base(h.Name) {
			place := fmt.Sprintf("line %d", f.At.Line) + sheet.Either(f.At.Column > 0, fmt.Sprintf(", column %d", f.At.Column), "")
			where = strings.TrimSuffix(place+": "+where, ": ")
		}
		if h.View != textView && h.hasNoPieces(field, f.What) { // which is no mistake of who has just begun
			p, _ := edit.ParsePath(field)
			where = sheet.Upper(h.called(p[:2]))
			list = append(list, fault{h.at(p[:2], "items", 0, "what").String(), where, "it has no pieces yet", "type what is in it, or take the pieces of a list", true, true})
			continue
		}
		what, remedy := h.inUnits(f.What), f.Remedy
		if h.View != textView { // where nobody sees the keys
			remedy = keyShown().ReplaceAllString(remedy, "$1 $2")
			for _, text := range []*string{&what, &remedy} {
				*text = onPages.Replace(quotedFigure().ReplaceAllString(*text, "$1$2"))
				*text = h.lotsCalled(dutyKey().ReplaceAllString(*text, "at “Duty on $1”"))
			}
		}
		one := fault{field, where, what, remedy, h.isEmpty(field), lacks}
		if !slices.Contains(list, one) { // as where several lots are asked for, and all lack the same
			list = append(list, one)
		}
	}
	return list
}

// lacking is the path of the figure that a fault asks for, where it is about a piece that has none:
// the page has a field for it.
func (h *haul) lacking(f *source.Fault, field string) (path string, lacks bool) {
	figure, _, _ := strings.Cut(f.Figure, " ")
	p, err := edit.ParsePath(field)
	if n := len(p); err != nil || h.Doc == nil || h.View == textView || n < 2 || p[n-2].Key != "items" || figure != "weight" && figure != "value" {
		return field, false
	}
	if p = p.Below(figure); h.Doc.Has(p) {
		return field, false
	}
	return p.String(), true
}

// isEmpty reports whether the file has a place for a value, and nothing in it.
func (h *haul) isEmpty(field string) bool {
	p, err := edit.ParsePath(field)
	return err == nil && field != "" && h.Doc != nil && !h.Doc.Has(p)
}

// eitherUnit is the end of a fault that leaves it open in which of two units a figure is.
var eitherUnit = sheet.Pattern(`: write (\S+ (?:kg|g|cm)) or (\S+ (?:lb|oz|in))$`)

// inUnits is what is wrong with a figure, with the units of the places between which the goods go:
// those of the United States first where that is one of them, and nowhere else.
func (h *haul) inUnits(what string) string {
	form := sheet.Either(h.home() == "USD" || strings.HasPrefix(h.typed(h.at("from")), "US") || strings.HasPrefix(h.typed(h.at("to")), "US"), ": write $2 or $1", ": write $1")
	return eitherUnit().ReplaceAllString(what, form)
}

// onPages says of remedies where on the pages that is.
var onPages = strings.NewReplacer("write it under exchange: rates,", "write it at “Rate”,", ", or name a table that holds it", "", "or share that cost by ", "or have that cost shared by ",
	"list them, as in [crate-a]", "type them in “lots in it”, with a comma between two", "or comma at the top of the file", "or “decimal: comma” at the top of “The file itself”", "write decimal: comma at the top of the file", "write “decimal: comma” at the top of “The file itself”", "the lot travels in no parcel", "the lot travels in no box", "name it in one of the parcels, or in a further one", "type it in “lots in it” of one of the boxes, or of a further one")

// lotsCalled is a text with lots and pieces by what they are called in the place of their ids.
func (h *haul) lotsCalled(text string) string {
	if piece := pieceShown().FindStringSubmatch(text); piece != nil && h.Doc != nil && h.itemAt(piece[1]) != nil {
		text = strings.Replace(text, piece[1], h.pieceName(h.itemAt(piece[1])), 1)
	}
	for i := 0; h.Doc != nil && i < h.Doc.Len(h.at("lots")); i++ {
		id, name := h.typed(h.at("lots", i, "id")), h.typed(h.at("lots", i, "title"))
		if of := " lot " + id + " "; id != "" && name != "" && strings.Contains(text, of) {
			return strings.ReplaceAll(text, of, " "+name+" ")
		}
	}
	return text
}

// pieceShown is a piece by its id.
var pieceShown = sheet.Pattern(`\bitem "([^"]+)"`)

// keyShown is the key before an example of its value, and what is alone below it.
var keyShown = sheet.Pattern(`\b(as in|or) [a-z][a-z-]*: (?:\{[a-z-]+: ([^{}\[\],]+)\})?`)

// quotedFigure is a figure in the quotes that it needs in brackets, which nobody sees on a page.
var quotedFigure = sheet.Pattern(`(write |[:=] |or )"(-?[0-9][^" ]*,[0-9][^"]*)"`)

// dutyKey is where a file says what duty is on a class of goods.
var dutyKey = sheet.Pattern(`under customs: classes: (.+): duty`)

// dutyAsked is the path of the duty on a class that a fault asks for; nil where it asks for another
// thing.
func (h *haul) dutyAsked(f *source.Fault) edit.Path {
	class := dutyKey().FindStringSubmatch(f.What + f.Remedy)
	if class == nil || h.Doc == nil {
		return nil
	}
	return h.at("customs", "classes", class[1], "duty")
}

// hasNoPieces reports whether what is wrong at a path is that a lot has no pieces yet.
func (h *haul) hasNoPieces(field, what string) bool {
	_, entry, _ := strings.Cut(field, ".items")
	p, err := edit.ParsePath(field)
	return err == nil && h.Doc != nil && len(p) > 1 && p[0].Key == "lots" && h.isBare(p[:2].Below("items")) && (entry == "[0]" || strings.HasPrefix(what, "items is missing"))
}

// filled is the haul with the changes of a form made.
func (h *haul) filled(r *http.Request) (after *haul, err error) {
	h.View = viewOf(r.PostForm.Get("view"))
	list, err := changes(r.PostForm)
	if err != nil {
		return nil, err
	}
	if after, err = h.understood(list); err != nil {
		return nil, &mistakes{h, source.FaultsIn(err)}
	}
	for i := range list {
		r.PostForm["value"][i] = list[i].text
	}
	return after, nil
}

// try shows what a change would do, and writes nothing.
func (d *Desk) try(w http.ResponseWriter, r *http.Request, before *haul) error {
	if goesOn(r) {
		http.NewResponseController(w).SetWriteDeadline(time.Time{})
	}
	after, err := before.filled(r)
	if err != nil {
		return err
	}
	if len(after.Faults) > 0 && (len(before.Faults) == 0 || after.spoils(r.PostForm["path"])) {
		return &mistakes{after, after.Faults}
	}
	return after.page(w, r)
}

// save makes a change in the file. What is wrong with the value itself is not written.
func (d *Desk) save(w http.ResponseWriter, r *http.Request, before *haul) error {
	var faster *changedError // while the change was looked at
	for {
		after, err := before.filled(r)
		if err != nil {
			return err
		}
		if after.spoils(r.PostForm["path"]) {
			return &mistakes{after, after.Faults}
		}
		if err = d.saved(w, r, after); !errors.As(err, &faster) {
			return err
		}
		if before, err = d.read(before.Name); err != nil {
			return err
		}
	}
}

// spoils reports whether anything is wrong with the values at some paths.
func (h *haul) spoils(paths []string) bool {
	return slices.ContainsFunc(h.faultsShown(h.Faults), func(f fault) bool {
		return f.Field != "" && !f.lacks && slices.ContainsFunc(paths, func(text string) bool {
			p, err := edit.ParsePath(text)
			if err != nil || h.Doc == nil {
				return false
			}
			text = h.nameOf(p)
			return text == f.Field || strings.HasPrefix(f.Field, text+".") && !strings.HasSuffix(f.Field, "]")
		})
	})
}

// nameOf is the path, as faults have it, of the value that a field sets.
func (h *haul) nameOf(p edit.Path) string {
	return h.Doc.Named(placeOfField(h.Doc, p)).String()
}

// saved writes a haul and shows it; a file that was changed meanwhile is shown beside it. The error
// is a [*changedError] where single values are set and that was since the haul was read.
func (d *Desk) saved(w http.ResponseWriter, r *http.Request, h *haul) error {
	seen := r.PostForm.Get("mark")
	list, err := changes(r.PostForm)
	if err != nil {
		return err
	}
	if h.Mark != seen && d.apart(h, seen, list) {
		seen = h.Mark
		w.Header().Set("Merged", "yes")
	}
	err = d.folder.save(h.Name, seen, h.Text, strings.Join(h.inWords(list), "; "))
	var other *changedError
	switch {
	case errors.As(err, &other) && len(list) > 0 && mark(other.now) != h.Mark:
		return other
	case errors.As(err, &other):
		return d.both(w, h, other.now, d.mine(h, seen, r.PostForm.Has("text"), list), list)
	case err != nil:
		return &unwritten{err}
	}
	h.Mark = mark(h.Text)
	return h.page(w, r)
}

// apart reports whether changes set nothing that was changed in the file since the page saw it, but
// to what they set themselves, and single values, of entries that have ids, are still there and say
// the same beside them: both changes then stand in the file.
func (d *Desk) apart(h *haul, seen string, list []change) bool {
	then, known := d.folder.seen(seen)
	now, is := d.folder.seen(h.Mark)
	if !known || !is || len(list) == 0 {
		return false
	}
	var docs [2]*edit.Doc
	for i, text := range [...][]byte{then, now} {
		var err error
		if docs[i], err = edit.Parse(h.Name, text); err != nil {
			return false
		}
	}
	return !slices.ContainsFunc(list, func(c change) bool {
		was, is := valueIn(docs[0], c.path), valueIn(docs[1], c.path)
		return !isSingle(c.path, docs[1]) || is[1] != c.text && (was != is || beside(docs[0], c.path) != beside(docs[1], c.path))
	})
}

// isSingle reports whether a path leads to a single value, or none yet, by ids to an entry that is
// there.
func isSingle(p edit.Path, d *edit.Doc) bool {
	for i, s := range p {
		if s.Key == "" && (s.ID == "" || i+1 == len(p) || !d.Has(p[:i+1])) {
			return false
		}
	}
	p = placeOfField(d, p)
	_, single := d.Text(p)
	return single || !d.Has(p)
}

// valueIn is the path of the value that a field stands for, and the value.
func valueIn(d *edit.Doc, p edit.Path) [2]string {
	p = placeOfField(d, p)
	text, _ := d.Text(p)
	return [2]string{p.String(), text}
}

// beside is the single values of the entry that a path leads into, which mean something together,
// as that a lot was lost does with its price, and what figures of the whole file are read by.
func beside(d *edit.Doc, p edit.Path) string {
	last := len(p) - 1
	for ; last >= 0 && p[last].Key != ""; last-- {
	}
	var b strings.Builder
	for _, key := range d.Keys(p[:last+1]) {
		if last >= 0 || key == "home" || key == "decimal" {
			fmt.Fprintln(&b, valueIn(d, p[:last+1].Below(key)))
		}
	}
	if last >= 0 {
		b.WriteString(beside(d, p[:1]))
	}
	return b.String()
}

// mine is the file as the page saw it, with its changes, or with all of it typed; nil where that is
// no longer known.
func (d *Desk) mine(h *haul, seen string, typed bool, list []change) []byte {
	if typed {
		return h.Text
	}
	text, ok := d.folder.seen(seen)
	if !ok {
		return nil
	}
	after, err := d.made(h.Name, text, seen).changed(list)
	if err != nil {
		return nil
	}
	return after.Text
}

// undo takes the last change back.
func (d *Desk) undo(w http.ResponseWriter, r *http.Request) error {
	name := r.PostForm.Get("file")
	err := d.folder.undo(name, r.PostForm.Get("mark"))
	h, readErr := d.read(name)
	switch {
	case readErr != nil:
		return readErr
	case err != nil:
		return &mistakes{h, source.FaultsIn(err)}
	}
	h.View = viewOf(r.PostForm.Get("view"))
	return h.page(w, r)
}
