package landed

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"strings"

	"lotcost/landed/source"
)

// ids finds lots, items or parcels by their ids. A list of places takes a tenth of
// the room of a map, and there may be a million.
type ids struct {
	id     func(place int32) string
	sorted []int32 // places, by id and then by place
}

// newIDs lists so many ids. One that is missing or stands twice is a fault.
func newIDs(kind string, n int, id func(place int32) string, at func(place int32) source.Origin, report *source.Report) ids {
	x := ids{id, make([]int32, n)}
	for i := range x.sorted {
		x.sorted[i] = int32(i)
	}
	slices.SortFunc(x.sorted, func(i, j int32) int { return cmp.Or(strings.Compare(id(i), id(j)), cmp.Compare(i, j)) })
	first := int32(0)
	for n, i := range x.sorted {
		switch name := id(i); {
		case name == "":
			report.Add(&source.Fault{At: at(i), Field: kind, What: "the id is missing", Remedy: "give each " + kind + " a short id of its own", Figure: "id " + kind})
		case n > 0 && id(x.sorted[n-1]) == name:
			where := ""
			if o := at(first); o.Line > 0 {
				where = fmt.Sprintf(", first on line %d", o.Line)
			}
			report.Add(&source.Fault{At: at(i).Key("id"), Field: kind + " " + name, What: fmt.Sprintf("the id %q stands twice%s", name, where), Remedy: "give each " + kind + " an id of its own, as in " + x.unused(name)})
		default:
			first = i
		}
	}
	return x
}

// unused is an id like another that none has.
func (x *ids) unused(id string) string {
	for n := 2; ; n++ {
		other := fmt.Sprintf("%s-%d", id, n)
		if _, known := x.find(other); !known {
			return other
		}
	}
}

// find returns the first place of an id.
func (x *ids) find(id string) (place int, known bool) {
	n := sort.Search(len(x.sorted), func(n int) bool { return x.id(x.sorted[n]) >= id })
	if id == "" || n == len(x.sorted) || x.id(x.sorted[n]) != id {
		return 0, false
	}
	return int(x.sorted[n]), true
}
