package desk

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// mostRows is how many pieces of a list go into the lot file as it is brought: more are shown, and
// looked through, better as a list.
const mostRows = 200

// bring takes the pieces of a lot from a list that a spreadsheet saved. It is read beside the lot
// file, as one that a lot names; its pieces are put into the lot file where that says all of them,
// and the list stays where not.
func (d *Desk) bring(w http.ResponseWriter, r *http.Request, before *haul) error {
	list, err := brought(r)
	if err != nil {
		return &refusal{http.StatusBadRequest, "This is no list: " + err.Error() + "."}
	}
	before.View = beforeView
	at, err := edit.ParsePath(r.PostForm.Get("lot") + ".items")
	if err != nil || before.Doc == nil || !before.isBare(at) {
		return &mistakes{before, source.Faults{{What: "the lot has pieces already", Remedy: "take them out first, or begin another lot"}}}
	}
	if rows, err := lotfile.ReadRows(list.name, list.data, before.Comma()); err == nil && unsure(rows) {
		return d.showRows(w, before, r.PostForm.Get("lot"), cellsOf(rows), rows)
	}
	return d.takeList(w, r, before, at, list)
}

// takeList reads a list beside the lot file and puts its pieces, or the list, into that. It stays
// where the lot file names it.
func (d *Desk) takeList(w http.ResponseWriter, r *http.Request, before *haul, at edit.Path, list savedTable) error {
	beside := path.Join(path.Dir(before.Name), list.name)
	if err := whole.Create(d.folder.full(beside), list.data); err != nil {
		return &unwritten{err}
	}
	after, whyNot := before.withList(at, list.name)
	if len(whyNot) > 0 || after.Doc.Len(at) > 0 {
		defer d.folder.root.Remove(filepath.FromSlash(beside))
	}
	if len(whyNot) > 0 {
		return &mistakes{before, whyNot}
	}
	return d.saved(w, r, after)
}

// isBare reports whether a list has no entry yet, as in a new file.
func (h *haul) isBare(list edit.Path) bool {
	n := h.Doc.Len(list)
	return h.typed(list) == "" && (n == 0 || n == 1 && !h.Doc.Has(list.Below(0)))
}

// savedTable is a table as a spreadsheet saved it, and a name for it.
type savedTable struct {
	name string
	data []byte
}

// brought is the table that a browser sent.
func brought(r *http.Request) (t savedTable, err error) {
	file, head, err := r.FormFile("list")
	if err != nil {
		return t, err
	}
	defer file.Close()
	ext := strings.ToLower(path.Ext(head.Filename))
	if ext != ".csv" && ext != ".xlsx" {
		return t, errors.New("save it as .csv or .xlsx in the spreadsheet")
	}
	t.name = slug(strings.TrimSuffix(head.Filename, path.Ext(head.Filename))) + ext
	t.data, err = io.ReadAll(file)
	return t, err
}

// withList is the haul with the pieces of a list in the place of a lot's, in the lot file itself
// where that can be; or what is wrong with the list.
func (h *haul) withList(items edit.Path, name string) (*haul, source.Faults) {
	alone := h.desk.made(h.Name, h.alone("[{id: lot, price: open, items: "+strconv.Quote(name)+"}]"), h.Mark) // whatever else is missing in the haul yet
	if alone.File == nil {
		return h, alone.Faults
	}
	list := alone.File.Lots[0].Items
	bare := h.isBare(items)
	if !bare && len(list) > mostRows {
		return h, source.Faults{{What: fmt.Sprintf("these are %d rows, and a lot that has pieces takes %d more at once", len(list), mostRows), Remedy: "begin another lot for them, or paste fewer at a time"}}
	}
	changes := []change{{items, ""}, {items, name}}
	if len(list) <= mostRows && alone.says(list) {
		changes = alone.listChanges(items, unnamed(list))
		if !bare {
			changes = behind(changes[1:], len(items), h.Doc.Len(items))
		}
	} else if !bare {
		return h, source.Faults{{What: "the rows say more of the pieces than goes into the lot file by a press", Remedy: "leave out the columns beyond weight and value"}}
	}
	after, err := h.changed(changes)
	if err != nil {
		return h, source.FaultsIn(err)
	}
	return after, nil
}

// says reports whether a lot file says all that its list, which is taken for these pieces, does.
func (h *haul) says(list []landed.Item) bool {
	put, err := h.changed(h.listChanges(h.at("lots", 0, "items"), list))
	return err == nil && put.File != nil && sameItems(list, put.File.Lots[0].Items)
}

// unnamed are items without the ids that are only made of what they are called, so that they get
// ones that nothing else in the haul has.
func unnamed(list []landed.Item) []landed.Item {
	list = slices.Clone(list)
	for i := range list {
		if name := lotfile.IDOf(list[i].What); name != "" && strings.Trim(strings.TrimPrefix(list[i].ID, name), "-0123456789") == "" {
			list[i].ID = ""
		}
	}
	return list
}

// behind are changes of the entries of a list, for entries that are so many further on.
func behind(list []change, entry, by int) []change {
	for _, c := range list {
		c.path[entry].Index += by
	}
	return list
}

// alone is a lot file with other lots and nothing else in it.
func (h *haul) alone(lots string) []byte {
	text := "lotcost: 1\n"
	for _, key := range []string{"with", "decimal", "home"} {
		if value := h.typed(h.at(key)); value != "" {
			text += key + ": " + strconv.Quote(value) + "\n"
		}
	}
	return []byte(text + "lots: " + lots + "\n")
}
