package cells

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// mostUnzipped bounds what is read of a workbook once it is unzipped, in bytes:
// more than a list of the most rows takes, and little enough for what packs
// gigabytes into a small file.
const mostUnzipped = 128 << 20

// mostRows, mostColumns and mostStyles bound a sheet as the format does. A row is
// kept up to the widest column, and of a workbook so many cells in all, or texts.
const (
	mostRows    = 1 << 20
	mostColumns = 1 << 14
	mostStyles  = 1 << 16
	widest      = 128
	mostCells   = 2_000_000
)

// book is a workbook that is being read.
type book struct {
	files  map[string]*zip.File
	left   int64 // bytes that may still be read
	room   int   // cells that may still be kept
	shared []string
	styles []style
	from   int // the year from which days are counted
}

// sheetRef is a sheet as the workbook lists it.
type sheetRef struct {
	name, part string
	hidden     bool
}

var (
	errTooLarge = fmt.Errorf("the workbook is larger than %d MiB once it is unzipped", mostUnzipped>>20)
	errTooMany  = errors.New("the workbook has more than two million cells")
)

func readWorkbook(file, wanted string, data []byte, most int64) (*Table, *source.Fault) {
	fail := func(what, remedy string) (*Table, *source.Fault) {
		return nil, &source.Fault{At: source.Origin{File: file}, What: what, Remedy: remedy}
	}
	unreadable := func(what string, err error) (*Table, *source.Fault) {
		if errors.Is(err, errTooLarge) || errors.Is(err, errTooMany) {
			return fail(err.Error(), "keep the list alone in a workbook of its own, or save it as CSV")
		}
		return fail(what+": "+err.Error(), "open it in a spreadsheet program and save it as .xlsx or CSV")
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return unreadable("the workbook is damaged", err)
	}
	b := &book{files: map[string]*zip.File{}, left: most, room: mostCells, from: 1900}
	for _, f := range z.File {
		b.files[strings.ToLower(f.Name)] = f
	}
	if b.files["mimetype"] != nil {
		return fail("this is a workbook of another kind (.ods)", "save it as .xlsx or CSV")
	}
	refs, err := b.list()
	if err != nil {
		return unreadable("this is no workbook that can be read", err)
	}
	i := slices.IndexFunc(refs, func(r sheetRef) bool { return wanted == "" && !r.hidden || wanted != "" && r.name == wanted })
	if i < 0 {
		var names []string
		for _, r := range refs {
			names = append(names, r.name)
		}
		return nil, &source.Fault{At: source.Origin{File: file}, What: "there is no sheet " + input.Quote(wanted), Remedy: source.DidYouMean(wanted, names), Asked: "sheet"}
	}
	s, err := b.sheet(refs[i].part)
	if err != nil {
		return unreadable("the sheet "+input.Quote(refs[i].name)+" cannot be read", err)
	}
	s.file = file + "#" + refs[i].name
	if len(s.numbers) == 0 {
		return nil, &source.Fault{At: source.Origin{File: s.file}, What: "the sheet is empty", Remedy: "name the one that holds the list, as in items: list.xlsx#Sheet1"}
	}
	t := &Table{file: s.file, sheet: s, Strange: s.strange()}
	if j := slices.IndexFunc(refs[i+1:], func(r sheetRef) bool { return wanted == "" && !r.hidden }); j >= 0 {
		t.Other = refs[i+1+j].name
	}
	return t, nil
}

// walk calls f for each element that begins in a part of the workbook, as long as
// it has no error.
func (b *book) walk(part string, f func(d *xml.Decoder, e xml.StartElement) error) error {
	z := b.files[strings.ToLower(part)]
	if z == nil {
		return fmt.Errorf("it has no part %s", part)
	}
	r, err := z.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	limited := &io.LimitedReader{R: r, N: b.left + 1}
	d := xml.NewDecoder(limited)
	for {
		token, err := d.Token()
		b.left = min(b.left, limited.N-1)
		switch {
		case limited.N <= 0:
			return errTooLarge
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return err
		}
		if e, ok := token.(xml.StartElement); ok {
			if err := f(d, e); limited.N <= 0 {
				return errTooLarge
			} else if err != nil {
				return err
			}
		}
	}
}

// children calls f for each element within one that was begun, up to its end; f goes on to the end
// of each.
func children(d *xml.Decoder, f func(e xml.StartElement) error) error {
	for {
		token, err := d.Token()
		if err != nil {
			return err
		}
		switch token := token.(type) {
		case xml.EndElement:
			return nil
		case xml.StartElement:
			if err := f(token); err != nil {
				return err
			}
		}
	}
}

// attr returns an attribute of an element, by its name without its space.
func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// isOn reports whether an attribute says yes.
func isOn(s string) bool { return s == "1" || s == "true" }

// list reads what all sheets share, and which there are.
func (b *book) list() ([]sheetRef, error) {
	main := "xl/workbook.xml"
	if err := b.related("_rels/.rels", "", func(kind, _, target string) {
		if kind == "officeDocument" {
			main = target
		}
	}); err != nil {
		return nil, err
	}
	parts, shared, styles := map[string]string{}, "", ""
	folder, name := path.Split(main)
	if err := b.related(folder+"_rels/"+name+".rels", folder, func(kind, id, target string) {
		switch kind {
		case "worksheet":
			parts[id] = target
		case "sharedStrings":
			shared = target
		case "styles":
			styles = target
		}
	}); err != nil {
		return nil, err
	}
	var refs []sheetRef
	err := b.walk(main, func(_ *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "workbookPr":
			if isOn(attr(e, "date1904")) {
				b.from = 1904
			}
		case "sheet":
			if part := parts[idOf(e)]; part != "" { // others hold charts
				refs = append(refs, sheetRef{attr(e, "name"), part, attr(e, "state") != "" && attr(e, "state") != "visible"})
			}
		}
		return nil
	})
	if err == nil && shared != "" {
		err = b.strings(shared)
	}
	if err == nil && styles != "" {
		err = b.formats(styles)
	}
	return refs, err
}

// idOf returns the id by which a sheet is related to its part; it has one of its
// own beside.
func idOf(e xml.StartElement) string {
	for _, a := range e.Attr {
		if a.Name.Local == "id" && a.Name.Space != "" {
			return a.Value
		}
	}
	return ""
}

// related calls f for each relation of a part: the last word of its kind, its id,
// and the part it leads to.
func (b *book) related(part, folder string, f func(kind, id, target string)) error {
	return b.walk(part, func(_ *xml.Decoder, e xml.StartElement) error {
		if e.Name.Local == "Relationship" && attr(e, "TargetMode") != "External" {
			target := attr(e, "Target")
			if absolute, ok := strings.CutPrefix(target, "/"); ok {
				target = absolute
			} else {
				target = path.Join(folder, target)
			}
			f(path.Base(attr(e, "Type")), attr(e, "Id"), target)
		}
		return nil
	})
}

// strings reads the texts that cells point to.
func (b *book) strings(part string) error {
	return b.walk(part, func(d *xml.Decoder, e xml.StartElement) error {
		if e.Name.Local != "si" {
			return nil
		}
		var s rich
		err := d.DecodeElement(&s, &e)
		if len(b.shared) == mostCells {
			return errTooMany
		}
		b.shared = append(b.shared, s.text())
		return err
	})
}

// rich is a text in one piece, or in some that look different. The reading aids that stand above
// Japanese words are none of it.
type rich struct {
	Text   string `xml:"t"`
	Pieces []struct {
		Text string `xml:"t"`
	} `xml:"r"`
}

func (r *rich) text() string {
	for _, p := range r.Pieces {
		r.Text += p.Text
	}
	return unescaped(r.Text)
}

// unescaped puts back characters that the format writes as _x000D_.
func unescaped(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var out strings.Builder
	for i := 0; i < len(s); i++ {
		if i+7 <= len(s) && s[i:i+2] == "_x" && s[i+6] == '_' {
			if n, err := strconv.ParseUint(s[i+2:i+6], 16, 16); err == nil {
				out.WriteRune(rune(n))
				i += 6
				continue
			}
		}
		out.WriteByte(s[i])
	}
	return out.String()
}
