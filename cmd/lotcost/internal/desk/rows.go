package desk

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strings"
	"unicode"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// rowsName is what pasted rows are called in messages.
const rowsName = "rows.csv"

// rowsBody is pasted rows with what their columns are taken for, before they go into the file.
type rowsBody struct {
	Name, Mark, Path, Lot, Text string
	Says                        string
	Head                        bool
	Sums                        string // the first of the rows that sum up others; "" where there is none
	Columns                     []rowsColumn
}

// rowsColumn is a column of such rows.
type rowsColumn struct {
	Head, First string
	As          []choice
}

// choice is what a column may be taken for.
type choice struct {
	Value, Label string
	On           bool
}

// columnLabels are the columns of a list in words, where those are others.
var columnLabels = map[string]string{"": "left out", "what": "what it is", "count": "pieces", "weight": "weight, each", "value": "value, each", "class": "customs class", "id": "short id", "parts": "for parts", "parts-value": "value for parts", "keep": "kept", "worth": "worth to you", "~chance": "chance that it is right, each", "~else": "value else, each"}

// rowColumns are what a column may be taken for: those of a list, and what a piece that is not sure
// has in the place of its value.
func rowColumns() []string { return append(lotfile.Columns(), "~chance", "~else") }

// putRows takes rows that were pasted for a lot. Plain cells are answered with nothing, and go
// where they were pasted; of a table with a head, sums or quotes it is shown first what is taken
// for what, and only what comes back of that goes into the file.
func (d *Desk) putRows(w http.ResponseWriter, r *http.Request, before *haul) error {
	before.View = beforeView
	rows, err := lotfile.ReadRows(rowsName, []byte(r.PostForm.Get("rows")), before.Comma())
	if err != nil {
		return &mistakes{before, source.FaultsIn(err)}
	}
	text := r.PostForm.Get("rows")
	switch as := r.PostForm["as"]; {
	case len(as) > 0:
		return d.takeRows(w, r, before, chosen(rows, r.PostForm))
	case rows.Head == nil && len(rows.Sums) == 0 && strings.Contains(text, "\t") && !strings.ContainsAny(text, "\"\ufeff"):
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	if rows.Head == nil {
		byPlace(rows)
	}
	return d.showRows(w, before, r.PostForm.Get("lot"), text, rows)
}

// byPlace takes columns for those of the page, in their order.
func byPlace(rows *lotfile.Rows) {
	for i := range min(len(rows.As), len(pieceColumns)) {
		for _, key := range []string{pieceColumns[i].key, strings.TrimPrefix(pieceColumns[i].key, "~")} {
			if slices.Contains(rowColumns(), key) {
				rows.As[i] = key
			}
		}
	}
}

// chosen is the rows as a form says they are to be taken.
func chosen(rows *lotfile.Rows, form map[string][]string) *lotfile.Rows {
	if len(form["as"]) == len(rows.As) {
		rows.As = form["as"]
	}
	isHead := len(form["head"]) > 0
	switch {
	case rows.Head != nil && !isHead:
		rows.Body, rows.Head = slices.Insert(rows.Body, 0, rows.Head), nil
		clear(rows.Units)
	case rows.Head == nil && isHead && len(rows.Body) > 0:
		rows.Head, rows.Body = rows.Body[0], rows.Body[1:]
	}
	if len(form["sums"]) == 0 {
		rows.Body, rows.Sums = append(rows.Body, rows.Sums...), nil
	}
	return rows
}

// takeRows puts rows into the file, behind the pieces that the lot has.
func (d *Desk) takeRows(w http.ResponseWriter, r *http.Request, before *haul, rows *lotfile.Rows) error {
	at, err := edit.ParsePath(r.PostForm.Get("lot") + ".items")
	switch {
	case err != nil || before.Doc == nil || before.typed(at) != "":
		return &mistakes{before, source.Faults{{What: "there is no lot whose pieces stand in this file", Remedy: "load the page again"}}}
	case len(rows.Body) == 0:
		return &mistakes{before, source.Faults{{What: "there is no row but the head", Remedy: "copy the rows below it too"}}}
	case !slices.Contains(rows.As, "what") && !slices.Contains(rows.As, "id"):
		return &mistakes{before, source.Faults{{What: "no column says what each piece is", Remedy: "choose the one that does"}}}
	case slices.Contains(rows.As, "~chance"), slices.Contains(rows.As, "~else"):
		return d.takeCells(w, r, before, at, rows)
	}
	return d.takeList(w, r, before, at, savedTable{path.Base(d.free(path.Join(path.Dir(before.Name), "rows"), ".csv")), rows.List()})
}

// takeCells puts rows into the file as if each of their cells was typed, which no list can say of
// pieces that are not sure.
func (d *Desk) takeCells(w http.ResponseWriter, r *http.Request, before *haul, items edit.Path, rows *lotfile.Rows) error {
	if len(rows.Body) > mostRows {
		return &mistakes{before, source.Faults{{What: fmt.Sprintf("these are %d rows, and with a chance %d are taken at once", len(rows.Body), mostRows), Remedy: "paste fewer at a time"}}}
	}
	n := sheet.Either(before.isBare(items), 0, before.Doc.Len(items))
	var list []change
	for i, row := range rows.Body {
		for _, as := range []string{"what", "value", ""} { // these first: an id is made of one, and a chance is that of the other
			for j, name := range rows.As {
				first := name == "what" || name == "value"
				if name == "" || row[j] == "" || name != as && (as != "" || first) || slices.Contains(rows.As[:j], name) {
					continue
				}
				list = append(list, change{append(items.Below(n+i), keyOf(name)...), withUnit(row[j], rows.Units[j])})
			}
		}
	}
	after, err := before.understood(list)
	switch {
	case err != nil:
		return &mistakes{before, source.FaultsIn(err)}
	case len(after.Faults) > len(before.Faults):
		return &mistakes{after, after.Faults}
	}
	return d.saved(w, r, after)
}

// keyOf is where a piece has what a column of a list says.
func keyOf(column string) edit.Path {
	switch {
	case column == "value":
		return edit.Path{{Key: "~value"}}
	case slices.ContainsFunc(foundStates[:], func(s foundState) bool { return s.key == column }), column == "extra":
		return edit.Path{{Key: "found"}, {Key: column}}
	}
	return edit.Path{{Key: column}}
}

// withUnit is a cell with the unit that the head of its column gives to figures alone.
func withUnit(cell, unit string) string {
	if unit != "" && bareFigures().MatchString(cell) {
		return cell + " " + unit
	}
	return cell
}

// showRows shows what rows are taken for, and lets that be changed.
func (d *Desk) showRows(w http.ResponseWriter, h *haul, lot, text string, rows *lotfile.Rows) error {
	b := rowsBody{Name: h.Name, Mark: h.Mark, Path: lot, Text: text, Head: rows.Head != nil}
	if p, err := edit.ParsePath(lot); err == nil {
		b.Lot = h.called(p)
	}
	n := len(rows.Body)
	b.Says = show.Plural(int64(n), "row") + ". Nothing is written yet: look whether each column is taken for what it is."
	if len(rows.Sums) > 0 {
		b.Sums = strings.Join(strings.Fields(strings.Join(rows.Sums[0], " ")), " ")
	}
	named := slices.Contains(rows.As, "what") || slices.Contains(rows.As, "id")
	for i, as := range rows.As {
		c := rowsColumn{Head: fmt.Sprintf("column %d", i+1)}
		if b.Head && rows.Head[i] != "" {
			c.Head = rows.Head[i]
		}
		if n > 0 {
			c.First = rows.Body[0][i]
		}
		switch {
		case as != "":
		case strings.HasPrefix(strings.ToLower(c.Head), "chance"):
			as = "~chance"
		case !named && strings.ContainsFunc(c.First, unicode.IsLetter): // in a language whose words are not known here
			as, named = "what", true
		}
		for _, name := range append([]string{""}, rowColumns()...) {
			c.As = append(c.As, choice{name, cmp.Or(columnLabels[name], name), name == as})
		}
		b.Columns = append(b.Columns, c)
	}
	return d.send(w, http.StatusMultipleChoices, "rows.html", frame{Title: h.Title(), Body: b})
}

// unsure reports whether rows of a list may be taken for something else than they are: where a head
// is none that is known, or rows sum up others.
func unsure(rows *lotfile.Rows) bool {
	if rows.Head == nil {
		return false
	}
	for i, head := range rows.Head {
		name, _, _ := strings.Cut(strings.ToLower(head), " ")
		if head != "" && strings.Trim(name, ",") != rows.As[i] {
			return true
		}
	}
	return len(rows.Sums) > 0
}

// cellsOf are rows as cells that are pasted.
func cellsOf(rows *lotfile.Rows) string {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Comma = '\t'
	_ = w.WriteAll(slices.Concat([][]string{rows.Head}, rows.Body, rows.Sums)) // a buffer takes all
	return out.String()
}
