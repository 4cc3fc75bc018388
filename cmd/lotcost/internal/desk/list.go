package desk

import (
	"fmt"
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
	for n := range list {
		changes = append(changes, h.pieceValues(items.Below(n), &list[n])...)
	}
	return changes
}

// pieceValues are what a list may say of a piece, for an entry of the lot file.
func (h *haul) pieceValues(entry edit.Path, item *landed.Item) (list []change) {
	add := func(is bool, value any, keys ...any) {
		if is {
			list = append(list, change{entry.Below(keys...), fmt.Sprint(value)})
		}
	}
	figure := func(is bool, value fmt.Stringer, key string) { add(is, h.marked(value.String()), key) }
	add(item.ID != "", item.ID, "id")
	add(item.What != "", item.What, "what")
	add(item.Model != "", item.Model, "model")
	add(item.Count != 1, item.Count, "count")
	figure(item.Weighed, item.Weight, "weight")
	figure(item.Value.Currency() != 0, item.Value, "value")
	add(item.Class != "", item.Class, "class")
	if f := item.Found; f != nil {
		for i, n := range []int64{f.Sound, f.Parts, f.Dead, f.Missing, f.Extra} {
			add(n != 0, n, "found", []string{"sound", "parts", "dead", "missing", "extra"}[i])
		}
	}
	figure(item.PartsValue.Currency() != 0, item.PartsValue, "parts-value")
	figure(item.Repair.Currency() != 0, item.Repair, "repair")
	figure(item.Hours.Sign() != 0, item.Hours, "hours")
	add(item.Keep != 0, item.Keep, "keep")
	figure(item.Worth.Currency() != 0, item.Worth, "worth")
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
