package desk

import (
	"cmp"
	"fmt"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// haul is a lot file as a page shows it: its text, what it says, and what is wrong with it.
type haul struct {
	desk *Desk
	Name string // the path in the folder, with slashes
	Text []byte
	Mark string // of the text on disk that the page saw
	View *view

	Going bool // something is still searched for

	Doc      *edit.Doc     // nil where the text is no YAML
	File     *lotfile.File // nil where anything is wrong
	none     *lotfile.File // see asRead
	noneRead bool
	Faults   source.Faults
	Warnings source.Faults

	sameNames names // see alike
	itemsAt   map[string]edit.Path
	asShown   *shown
	statement *landed.Statement
	split     bool
}

// read reads a lot file of the folder.
func (d *Desk) read(name string) (*haul, error) {
	text, err := d.folder.text(name)
	if err != nil {
		return nil, err
	}
	return d.made(name, text, d.folder.remember(text)), nil
}

// made reads a text as that of a lot file.
func (d *Desk) made(name string, text []byte, seen string) *haul {
	h := &haul{desk: d, Name: name, Text: text, Mark: seen}
	h.Doc, _ = edit.Parse(name, text)
	o := d.Files
	o.Today = d.Today()
	o.Warn = func(f *source.Fault) { h.Warnings = append(h.Warnings, f) }
	var err error
	if h.File, err = lotfile.ReadText(d.folder.full(name), text, o); err != nil {
		h.File = nil
		h.fail(err)
		return h
	}
	h.Statement()
	return h
}

// LastChange is the change of the file as the page saw it that can be taken back, if there is one.
func (h *haul) LastChange() *version { return h.desk.folder.lastChange(h.Name, h.Mark) }

// explain says of an error how what it asks for is written in the haul.
func (h *haul) explain(err error) error {
	return lotfile.Explain(err, h.examples())
}

// examples are those of the haul, as far as its file can be read.
func (h *haul) examples() lotfile.Examples {
	if h.File != nil {
		return h.File.Examples()
	}
	as := lotfile.Examples{Comma: h.Comma()}
	if h.Doc != nil {
		as.Home, _ = money.ParseCurrency(h.home())
		as.Lots, _ = money.ParseCurrency(strings.TrimSpace(h.foreign()))
	}
	return as
}

// fail takes down what is wrong.
func (h *haul) fail(err error) {
	h.Faults = append(h.Faults, source.FaultsIn(h.explain(err))...)
}

// Statement is what was bought and what it cost; nil where nothing was, or it cannot be
// told.
func (h *haul) Statement() *landed.Statement {
	if !h.split && h.File != nil {
		h.split = true
		if bought := h.File.WithoutOpen(); len(bought.WithoutLost().Lots) > 0 {
			st, err := landed.Split(bought)
			if err != nil {
				h.fail(err)
			}
			h.statement = st
		}
	}
	return h.statement
}

// Title is what the haul is called.
func (h *haul) Title() string {
	return sheet.Visible(cmp.Or(h.typed(h.at("title")), strings.TrimSuffix(h.Name, ".yaml")))
}

// Total is the headline of the account, as split prints it; "" where nothing is bought.
func (h *haul) Total() string {
	if st := h.Statement(); st != nil && h.View != costsView && h.View != openedView && h.hasBought() { // their answers say it
		return sheet.Typeset(h.marked(show.Total(st)))
	}
	return ""
}

// marked is a text with decimal commas where the file has them.
func (h *haul) marked(text string) string { return sheet.Marked(text, h.Comma()) }

// Comma reports whether the file writes figures with decimal commas.
func (h *haul) Comma() bool {
	if f := h.asRead(); f != nil {
		return f.Comma
	}
	return h.typed(h.at("decimal")) == "comma"
}

// asRead is the file, or where that has mistakes one of which nothing is bought, with the same
// currency, decimal marks and defaults; nil where these are what is wrong.
func (h *haul) asRead() *lotfile.File {
	if h.File == nil && !h.noneRead {
		h.none, _ = lotfile.ReadText(h.desk.folder.full(h.Name), h.alone("[{id: lot, price: open, items: [{id: item}]}]"), h.desk.Files)
		h.noneRead = true
	}
	return cmp.Or(h.File, h.none)
}

// at is the path of a value: keys are strings, numbers of entries ints, and a path may come first.
func (h *haul) at(steps ...any) edit.Path {
	var p edit.Path
	for _, s := range steps {
		switch s := s.(type) {
		case edit.Path:
			p = append(p, s...)
		case string:
			p = append(p, edit.Step{Key: s})
		case int:
			if h.Doc != nil {
				p = append(p, h.Doc.Entry(p, s))
			} else {
				p = append(p, edit.Step{Index: s})
			}
		default:
			panic(fmt.Sprintf("%v is no step", s))
		}
	}
	return p
}

// typed is the text of the value at a path as the file has it; "" where there is none.
func (h *haul) typed(p edit.Path) string {
	if h.Doc == nil {
		return ""
	}
	text, _ := h.Doc.Text(p)
	return text
}

// fieldOf is the path of the value that a fault is about; "" where it is none of this file.
func (h *haul) fieldOf(f *source.Fault) string {
	if h.Doc == nil || f.At.File != h.desk.folder.full(h.Name) || f.At.Line == 0 {
		return ""
	}
	return h.Doc.At(f.At).String()
}
