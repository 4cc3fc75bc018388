package desk

import (
	"bytes"
	"html/template"
	"net/http"
	"path/filepath"
	"slices"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/landed/source"
)

// view is one side of a haul, for a moment of the job.
type view struct {
	id, Title string

	// fits reports whether the haul has anything to show here; nil is always, whatever is wrong
	// with the file. Of a file with mistakes File is nil: where mends is set such a haul is shown
	// all the same, by its Doc.
	fits  func(h *haul) bool
	mends bool

	// when is what a haul waits for that is shown so where no view is asked for.
	when []waits

	// show makes its parts. What it cannot show is an error, told in their place.
	show func(h *haul, r *http.Request) (parts, error)
}

// parts are what a view consists of. Answer is live: it is put in place as one types, and read
// out. Of Work, with its fields, only what is marked data-live is, and all of it where other
// fields come or go.
type parts struct {
	Answer template.HTML
	Ask    template.HTML // fields below the answer, with data-ask, of what is asked and does not stand in the file
	Work   template.HTML
}

// ID is what a view is called in addresses.
func (v *view) ID() string { return v.id }

// views are those of a haul, in the order of the job.
var views = []*view{beforeView, eveningView, boxesView, borderView, openedView, saleView, costsView, textView}

// canShow reports whether as much of a haul can be read as the view needs.
func (v *view) canShow(h *haul) bool {
	return v.fits == nil || h.File != nil || v.mends && h.Doc != nil
}

// viewOf is the view of an id; nil where there is none.
func viewOf(id string) *view {
	if i := slices.IndexFunc(views, func(v *view) bool { return v.id == id }); i >= 0 {
		return views[i]
	}
	return nil
}

// page shows a haul. A view that is not asked for is the one for what the haul waits for.
func (h *haul) page(w http.ResponseWriter, r *http.Request) error {
	if h.View == nil {
		h.View = h.usual()
	}
	return h.desk.send(w, http.StatusOK, "haul.html", frame{Title: h.Title(), Haul: h, Views: h.fitting(), Body: h.body(r)})
}

// usual is the view for what the haul waits for, and of an evening from its day on its own; the
// account where there is none, that with the fields where something is still to be typed, and the
// text of a file that cannot be read.
func (h *haul) usual() *view {
	w := toMend
	switch {
	case h.Doc == nil:
		return textView
	case h.File != nil:
		if w = h.waits(h.statement != nil); w == toClose && h.hasEvening() && h.closesBy(h.desk.Today()) {
			return viewOf("evening") // whoever opens it then stands at the sale
		}
	case h.hasOpen():
		w = toClose
	}
	for _, v := range h.fitting() {
		if slices.Contains(v.when, w) {
			return v
		}
	}
	if h.File != nil {
		return costsView
	}
	h.View = beforeView // faults are told as that view shows them
	if slices.ContainsFunc(h.faultsShown(h.Faults), func(f fault) bool { return f.Open }) {
		return beforeView
	}
	return textView
}

// body is what stands under the title of a haul.
func (h *haul) body(r *http.Request) *haulBody {
	b, faults := &haulBody{haul: h}, slices.Clone(h.Faults)
	var p parts
	var err error
	if h.View.canShow(h) {
		p, err = h.View.show(h, r)
	}
	if err != nil {
		faults = append(faults, source.FaultsIn(err)...)
	}
	b.Wrong = h.faultsShown(faults)
	for _, f := range faults {
		p := h.dutyAsked(f)
		if p == nil || h.View == textView {
			continue
		}
		if one := h.field("Duty on "+p[len(p)-2].Key, "6.5%, or free", p); !slices.ContainsFunc(b.Missing, func(f field) bool { return f.Path == one.Path }) {
			b.Missing = append(b.Missing, one) // of all faults that ask for it
		}
	}
	b.parts = p
	b.Strange = append(b.Strange, h.faultsShown(h.Warnings)...)
	return b
}

type haulBody struct {
	*haul
	parts
	Wrong, Strange []fault
	Missing        []field // what the answer waits for
}

func (h *haul) fitting() []*view {
	var fit []*view
	for _, v := range views {
		if v == h.View || v.canShow(h) && (v.fits == nil || v.fits(h)) {
			fit = append(fit, v)
		}
	}
	return fit
}

func (d *Desk) showHaul(w http.ResponseWriter, r *http.Request) error {
	h, err := d.read(r.PathValue("name"))
	if err != nil {
		return err
	}
	if id := r.URL.Query().Get("view"); id != "" {
		if h.View = viewOf(id); h.View == nil {
			return &refusal{http.StatusNotFound, "There is no such view of a haul."}
		}
	}
	return h.page(w, r)
}

// field is an input for the value at a path of the lot file, by its label.
type field struct {
	Label, Path, Value string
	Hint               string // an example
	Choices            []string
	Quiet              bool   // the label is for those who hear it: a head of the column shows it
	Fixed              bool   // what stands there is no single value, and is changed in the file
	Defaults           string // the file of defaults in which its section stands; "" where the haul has its own
	Real               string // the path of the value, where Path stands for one of several
	Slider             bool
	Percent, Words     string // of a slider
}

// Keypad is what a phone shows to type with: figures where they are enough by themselves. There is
// no letter then, so that where a unit or a word may be meant it is the usual one.
func (f field) Keypad() string {
	p, err := edit.ParsePath(f.Path)
	if err != nil || len(p) < 2 {
		return ""
	}
	switch key, in := p[len(p)-1].Key, p[len(p)-2].Key; {
	case key == "count", key == "keep":
		return "numeric"
	case slices.Contains([]string{"hours", "repair", "value", "~value", "~chance", "~else", "worth", "return", "profit", "risk", "budget", "premium", "spread", "percent", "fixed", "charged", "postage", "refund", "fees-back", "settled"}, key),
		in == "assessed", in == "settled", key == "fees" && len(p) > 4, key == "price" && len(p) > 4:
		return "decimal"
	}
	return ""
}

// field makes an input; steps lead to the value as in [haul.at].
func (h *haul) field(label, hint string, steps ...any) field {
	p := h.at(steps...)
	value := h.typed(p)
	f := field{Label: label, Hint: h.example(hint), Path: p.String(), Value: value, Fixed: value == "" && h.Doc != nil && h.Doc.Has(p)}
	if by, text := h.byDefaults(p); by != "" {
		f.Defaults, f.Value = by, text
	}
	return f
}

// sections are those that a file takes from its defaults as a whole, or has as a whole: one value
// typed into it would take the place of all that the defaults say there.
var sections = []string{"share", "losses", "customs", "sending", "selling", "bidding", "risks"}

// byDefaults is the file of defaults from which the section is taken that a path leads into, "" for
// none, and what stands there of the key below it.
func (h *haul) byDefaults(p edit.Path) (file, value string) {
	if h.File == nil || h.File.Defaults == nil || len(p) < 2 || !slices.Contains(sections, p[0].Key) || h.Doc.Has(p[:1]) {
		return "", ""
	}
	for _, f := range h.File.Defaults.Figures {
		if strings.HasPrefix(f.What, p[0].Key+": ") {
			file = filepath.Base(f.At.File)
		}
		if f.What == p[0].Key+": "+p[1].Key && len(p) == 2 {
			value = f.Value
		}
	}
	return file, value
}

// fill executes a template of the folder pages.
func fill(name string, data any) (template.HTML, error) {
	var out bytes.Buffer
	err := templates().ExecuteTemplate(&out, name, data)
	return template.HTML(out.String()), err
}

// textView is the file itself.
var textView = &view{id: "text", Title: "The file itself", show: func(h *haul, r *http.Request) (parts, error) {
	work, err := fill("text.html", h)
	return parts{Work: work}, err
}}
