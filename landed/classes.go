package landed

import (
	"fmt"
	"maps"
	"slices"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// checkClasses records the customs classes of items, and of those that have none of their own, that
// are not there. Where several items name one it is a single mistake: the class is misspelt where
// it is written, or is not written at all.
func (x *index) checkClasses(report *collect.Report) {
	b := x.haul.Border
	if b == nil {
		return
	}
	reported := map[string]bool{}
	for _, item := range x.classless {
		if reported[item.Class] {
			continue
		}
		f := &source.Fault{At: item.At.Key("class"), Field: "item " + item.ID, What: b.noClass(item.Class), Remedy: b.likeClass(item.Class)}
		reported[item.Class] = x.oneMistake(f, item.Class)
		report.Add(f)
	}
	without := func(item *Item) bool { return item.Class == "" }
	if !b.knows(b.Class) && !reported[b.Class] && slices.ContainsFunc(x.items, without) {
		report.Fail(b.At.Key("class"), "customs: class", b.noClass(b.Class), b.likeClass(b.Class))
	}
}

// oneMistake turns the fault of an item whose class is not there into that of all that name it, if
// it is one mistake, and reports whether it is: not where the class is like one that other items
// are of, since each may be misspelt for itself.
func (x *index) oneMistake(f *source.Fault, class string) bool {
	b, named := x.haul.Border, []string(nil)
	for _, item := range x.classless {
		if item.Class == class {
			named = append(named, item.ID)
		}
	}
	if len(named) == 1 {
		return false
	}
	n, all := len(named), collect.Few(named)
	meant := source.Meant(class, slices.Sorted(maps.Keys(b.Classes)))
	at := b.At.Key("classes", meant)
	switch {
	case meant != "" && (b.Class == meant || slices.ContainsFunc(x.items, func(item *Item) bool { return item.Class == meant })):
		return false
	case meant == "" || at.File != x.haul.At.File: // defaults are for other hauls too
		f.What += fmt.Sprintf(", which %d items name: %s", n, all)
		f.Remedy = "write it under customs: classes; " + b.likeClass(class)
	default:
		f.At, f.Field, f.What, f.Remedy = at, "customs: classes", fmt.Sprintf("no item is of class %q, and %d name a class %q that is not there: %s", meant, n, class, all), "did you mean "+class+"?"
	}
	return true
}
