package desk

import (
	"net/http"
	"reflect"
	"slices"
	"strconv"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/landed"
	"lotcost/landed/source"
)

// list is the pieces of a lot that stand in a file of their own. They are shown, and may be put
// into the lot file, where each of their values has its field.
type list struct {
	File, Lot        string // the file as the lot names it; the id of the lot
	Haul, Mark, View string
	Items            []listed
}

type listed struct{ Name, Pieces, Weight, Model, Value string }

// listOf is the list of a lot; nil where its pieces stand in the lot file, or the file has
// mistakes.
func (h *haul) listOf(i int) *list {
	file := h.typed(h.at("lots", i, "items"))
	if file == "" || h.File == nil {
		return nil
	}
	l := &list{File: file, Lot: h.File.Lots[i].ID, Haul: h.Name, Mark: h.Mark, View: h.View.id}
	for _, item := range h.File.Lots[i].Items {
		row := listed{Name: h.Shown().names[item.ID], Pieces: strconv.FormatInt(item.Count, 10), Model: item.Model}
		if item.Weighed {
			row.Weight = h.figure(item.Weight.String())
		}
		if item.Value.Currency() != 0 {
			row.Value = h.figure(item.Value.String())
		}
		l.Items = append(l.Items, row)
	}
	return l
}

// putList puts the pieces of a list into the lot file. The list stays as it is, and nothing is
// written unless the lot file then says the same of each piece.
func (d *Desk) putList(w http.ResponseWriter, r *http.Request, before *haul) error {
	before.View = viewOf(r.PostForm.Get("view"))
	i := -1
	if before.File != nil && before.View != nil {
		i = before.File.LotAt(r.PostForm.Get("lot"))
	}
	if i < 0 || before.listOf(i) == nil {
		return &mistakes{before, source.Faults{{What: "the pieces stand in no list", Remedy: "load the page again"}}}
	}
	after, err := before.changed(before.listChanges(before.at("lots", i, "items"), before.File.Lots[i].Items))
	if err != nil || after.File == nil || !sameItems(before.File.Lots[i].Items, after.File.Lots[i].Items) {
		return &mistakes{before, source.Faults{{What: "the list " + before.listOf(i).File + " says more of its pieces than is put into the lot file by a press", Remedy: "change it there, in a spreadsheet"}}}
	}
	return d.saved(w, r, after)
}

// listChanges write each piece of a list in the place of the items of a lot.
func (h *haul) listChanges(items edit.Path, list []landed.Item) []change {
	changes := []change{{items, ""}}
	for n, item := range list {
		for _, v := range h.pieceValues(&item) {
			p := items.Below(n)
			for _, key := range v[:len(v)-1] {
				p = p.Below(key)
			}
			changes = append(changes, change{p, v[len(v)-1]})
		}
	}
	return changes
}

// pieceValues are what a list may say of a piece: keys and a value.
func (h *haul) pieceValues(item *landed.Item) [][]string {
	var list [][]string
	add := func(is bool, path ...string) {
		if is {
			list = append(list, path)
		}
	}
	number := func(n int64) string { return strconv.FormatInt(n, 10) }
	add(item.ID != "", "id", item.ID)
	add(item.What != "", "what", item.What)
	add(item.Model != "", "model", item.Model)
	add(item.Count != 1, "count", number(item.Count))
	add(item.Weighed, "weight", h.marked(item.Weight.String()))
	add(item.Value.Currency() != 0, "value", h.marked(item.Value.String()))
	add(item.Class != "", "class", item.Class)
	if f := item.Found; f != nil {
		for i, n := range []int64{f.Sound, f.Parts, f.Dead, f.Missing, f.Extra} {
			add(n != 0, "found", []string{"sound", "parts", "dead", "missing", "extra"}[i], number(n))
		}
	}
	add(item.PartsValue.Currency() != 0, "parts-value", h.marked(item.PartsValue.String()))
	add(item.Repair.Currency() != 0, "repair", h.marked(item.Repair.String()))
	add(item.Hours.Sign() != 0, "hours", h.marked(item.Hours.String()))
	add(item.Keep != 0, "keep", number(item.Keep))
	add(item.Worth.Currency() != 0, "worth", h.marked(item.Worth.String()))
	return list
}

// sameItems reports whether items are alike but for where they stand.
func sameItems(a, b []landed.Item) bool {
	bare := func(list []landed.Item) []landed.Item {
		list = slices.Clone(list)
		for i := range list {
			list[i].At = source.Origin{}
		}
		return list
	}
	return reflect.DeepEqual(bare(a), bare(b))
}
