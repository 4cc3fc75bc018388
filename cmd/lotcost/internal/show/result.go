// Package show makes the sheets, tables and JSON of each result.
package show

import (
	"io"
	"slices"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/lotfile"
)

// Result is what a command found, made ready for each format when that format
// is asked for. Table is what the CSV holds.
type Result struct {
	Sheet func() *sheet.Sheet
	Table func() *sheet.Table
	JSON  func() any

	// Live are the sheets of a workbook that calculate, in the place of the tables of
	// Sheet that are so too; nil where a workbook has those.
	Live func() []*sheet.Table

	Tool func() sheet.Tool // what may be tried out in a page; nil for nothing

	// Of is the statement whose cost is told, and Before the one that is taken
	// off it; nil when there is none. At says at which prices that is so, where the
	// result is about others.
	Of, Before *landed.Statement
	At         string

	// Defaults are those of which it is to be told what stands where; nil when that
	// is not asked, or there are none.
	Defaults *lotfile.Defaults

	Learned []book.Learned // what the user's own book said of the items
}

// resultOf is a result that is told in three ways.
func resultOf[T, J any](of T, doc func(T) *sheet.Sheet, table func(T) *sheet.Table, json func(T) J) Result {
	return Result{Sheet: func() *sheet.Sheet { return doc(of) }, Table: func() *sheet.Table { return table(of) }, JSON: func() any { return json(of) }}
}

// about says of which statement the result tells the cost.
func (r Result) about(st *landed.Statement) Result {
	r.Of = st
	return r
}

// Pages are the sheets of a workbook: what there is to say, with decimal commas where that is asked
// for, and the tables, of which each program shows the numbers in its way.
func (r Result) Pages(commas bool) []*sheet.Table {
	doc := Untyped(r.Whole())
	pages := doc.Tables()
	if r.Live != nil {
		pages = append(r.Live(), slices.DeleteFunc(r.Sheet().Tables(), func(t *sheet.Table) bool { return t.Live })...)
		doc.AddIf(r.Of != nil && r.Of.Haul.At.File != "", hint("what is typed goes back into the lot file by lotcost update, or on the page of the haul in lotcost desk"))
		doc.Add(hint("what stands on a coloured ground in the other sheets may be changed, and the rest follows as lotcost calculates it; nothing else can be typed over until the protection of a sheet is taken off, which needs no password; of the sheets pieces and prices the rows may then be sorted"),
			hint("all but the first two of these sentences stay as they were written"))
	}
	answer := doc.Answer()
	if commas {
		answer = answer.WithCommas()
		for i, page := range pages {
			if !page.Guarded { // what calculates knows texts by how they are written
				pages[i] = page.TextWithCommas()
			}
		}
	}
	if len(answer.Rows) == 0 {
		return pages
	}
	if r.Live != nil {
		live.Lead(answer, pages, r.Of)
	}
	return append([]*sheet.Table{answer}, pages...)
}

// Write writes the result, with decimal commas where that is asked for; JSON is for programs
// and always has points. A terminal is needed for tables alone.
func (r Result) Write(w io.Writer, format sheet.Format, commas bool, t sheet.Terminal) error {
	switch format {
	case sheet.FormatJSON:
		return sheet.WriteJSON(w, r.JSON(), r.beside()...)
	case sheet.FormatCSV:
		return sheet.WriteCSV(w, r.Table(), commas)
	case sheet.FormatWorkbook:
		return sheet.WriteWorkbook(w, r.Pages(commas))
	case sheet.FormatPage:
		page := &sheet.Page{Sheet: Untyped(r.Whole()), Plain: "lotcost", Commas: commas}
		if r.Tool != nil {
			page.Tool = r.Tool()
		}
		return page.WriteHTML(w)
	}
	whole := r.Whole()
	if commas {
		whole = whole.WithCommas()
	}
	if format == sheet.FormatMarkdown {
		return whole.WriteMarkdown(w)
	}
	return whole.WriteText(w, t)
}
