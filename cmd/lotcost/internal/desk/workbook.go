package desk

import (
	"cmp"
	"net/http"
	"path/filepath"
	"strings"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/taken"
	"lotcost/landed/source"
)

// workbookBody is what was typed into a workbook, before it goes into the file.
type workbookBody struct {
	Name, Mark, View string
	Changes          []workbookChange
	Left             []taken.Left
}

// workbookChange is a change in words, and as a form sends it.
type workbookChange struct{ What, Old, New, Cell, Path string }

// takeWorkbook shows what was typed into a workbook of a haul since it was written. What is agreed
// to is saved as if it was typed in fields.
func (d *Desk) takeWorkbook(w http.ResponseWriter, r *http.Request, h *haul) error {
	workbook, err := brought(r)
	if err != nil {
		return &refusal{http.StatusBadRequest, "This is no workbook: save it as .xlsx in the spreadsheet."}
	}
	o := d.Files
	o.Today = d.Today()
	result, err := taken.Read(taken.File{Path: d.folder.full(h.Name), Text: h.Text, Options: o}, workbook.name, workbook.data)
	if err != nil {
		return &mistakes{h, inCells(err, workbook.name)}
	}
	for left := range sheet.All(result.Left) {
		if left.Of = h.byName(left.Of); left.Paid {
			left.Why = "what a piece costs follows from what was paid: change that in the workbook of what it cost"
		}
	}
	b := workbookBody{Name: h.Name, Mark: h.Mark, View: costsView.id, Left: result.Left}
	for _, c := range result.Changes {
		if c.Path == nil {
			return &mistakes{h, source.Faults{{Field: c.Cell, What: "the pieces stand in a list of its own, " + c.In + ", which is not changed here", Remedy: "in “" + beforeTitle + "” press “Put them into the lot file”, and hand the workbook over again"}}}
		}
		path := c.Path.String()
		b.Changes = append(b.Changes, workbookChange{cmp.Or(h.wordsOf(&source.Fault{}, path), c.Of), c.Old, c.New, c.Cell, path})
	}
	return d.send(w, http.StatusMultipleChoices, "workbook.html", frame{Title: h.Title(), Body: b})
}

// byName is what a workbook has a cell for, as "item jack, sound: cost", by the name of the piece
// or the lot in the place of its id.
func (h *haul) byName(of string) string {
	word, rest, _ := strings.Cut(of, " ")
	id := rest[:strings.IndexAny(rest+":", ",:")]
	name := ""
	switch word {
	case "item":
		name = h.Shown().names[id]
	case "lot":
		name = h.Shown().lots[id]
	}
	if name == "" {
		return of
	}
	return name + rest[len(id):]
}

// inCells are the faults in an error that call a cell of a workbook as a spreadsheet does.
func inCells(err error, workbook string) source.Faults {
	return taken.Moved(err, func(f *source.Fault) {
		if cell, is := strings.CutPrefix(f.At.String(), workbook+"#"); is {
			f.At, f.Field = source.Origin{}, strings.TrimSuffix(strings.Replace(cell, ":", "!", 1)+": "+f.Field, ": ")
		} else if filepath.Base(f.At.File) == workbook {
			f.At = source.Origin{}
		}
	})
}
