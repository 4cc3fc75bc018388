package lotfile

import (
	_ "embed"
	"errors"
	"slices"
	"strings"
	"sync"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// A key that is unknown where it stands is often one of another group: budget, which is written
// at the top and belongs in the goal of bidding. A list where a group belongs is often one of its
// keys: venues, written as what selling is.

// misplaced tells of keys that are not known, nor like one that is and takes such a value, where
// they belong, and of lists under which key.
func misplaced(report *collect.Report) {
	for _, f := range report.All() {
		shape, is := errors.AsType[*input.ShapeError](f)
		if is && shape.Held != nil {
			if list := listed(shape); list != "" {
				f.Remedy = "put the list under a key of its own, as in " + list + ": [ … ]"
			}
			continue
		}
		if !is || shape.Key == "" || shape.Meant != "" && !(shape.Single && takesGroups(shape.Meant, shape.Keys)) {
			continue
		}
		if whose := coveredBy[strings.TrimSuffix(shape.Key, "s")]; whose != "" && slices.Contains(shape.Keys, "on") {
			f.Remedy = "write on with the lots " + whose + ", as in on: [crate-a]"
		} else if kind := source.Meant(shape.Key, []string{"freight", "insurance", "fee", "repair"}); kind != "" && slices.Contains(shape.Keys, "premium") {
			f.Remedy = "write it under charges, as in - {what: " + shape.Key + ", kind: " + kind + ", amount: 20 CAD, on: [crate-a]}"
		} else if place := belongs(shape.Key, shape.Keys); place != "" {
			f.Remedy = "it belongs " + place
		}
	}
}

// coveredBy says which lots a charge or a risk is meant to cover by a key that neither has.
var coveredBy = map[string]string{"parcel": "in it", "box": "in it", "seller": "of that seller", "vendor": "of that seller"}

// belongs says where a key has its place that stands in a group of other keys: at the top, in each
// entry of a list of that group, or in the one group that knows it; "" where there are several.
func belongs(key string, known []string) string {
	if slices.Contains(fileKeys, key) {
		return "at the top of the file"
	}
	known = slices.Sorted(slices.Values(known))
	var here, anywhere []string
	for _, g := range groups() {
		if g.path == "" || !slices.Contains(g.keys, key) {
			continue
		}
		if anywhere = append(anywhere, g.path); g.entry != "" && slices.Equal(g.within, known) {
			here = append(here, g.entry)
		}
	}
	switch {
	case len(here) == 1:
		return here[0]
	case len(anywhere) == 1:
		return anywhere[0]
	}
	return ""
}

// listed says under which key of the group that is wanted the list belongs that stands there; ""
// where there is none.
func listed(shape *input.ShapeError) string {
	wanted := slices.Sorted(slices.Values(shape.Keys))
	for _, g := range groups() {
		other := func(key string) bool { return !slices.Contains(g.keys, key) }
		if g.entry != "" && slices.Equal(g.within, wanted) && !slices.ContainsFunc(shape.Held, other) {
			return strings.TrimPrefix(g.entry, "in an entry of ")
		}
	}
	return ""
}

// takesGroups reports whether a key of a group of some keys has groups of keys as its value, and no
// text in their place.
func takesGroups(key string, known []string) bool {
	known = slices.Sorted(slices.Values(known))
	return slices.ContainsFunc(groups(), func(g group) bool { return slices.Equal(g.keys, known) && slices.Contains(g.holding, key) })
}

// groupTable has a row for each group of keys, made as the schema is: how a remedy says where it
// is, at its shortest path, nothing of those at the top; the same of what is an entry of a list,
// from what holds the list; its keys; those of them whose values are groups alone; and the keys of
// what it stands in.
//
//go:embed groups.tsv
var groupTable string

// group is a row of the table, its keys in the order of the alphabet.
type group struct {
	path, entry           string
	keys, holding, within []string
}

var groups = sync.OnceValue(func() (all []group) {
	for row := range rowsOf(groupTable) {
		all = append(all, group{row[0], row[1], strings.Fields(row[2]), strings.Fields(row[3]), strings.Fields(row[4])})
	}
	return all
})
