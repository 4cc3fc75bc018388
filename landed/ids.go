package landed

import (
	"cmp"
	"fmt"
	"hash/maphash"
	"math/bits"
	"slices"
	"strings"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// ids finds lots, items or parcels by their ids. A table of places takes a fifth of
// the room of a map, and there may be a million.
type ids struct {
	id    func(place int32) string
	seed  maphash.Seed
	slots []int32 // a power of two of them: places from 1, each where its id leads or next to it; 0 is free
}

// newIDs lists so many ids. One that is missing or stands twice is a fault.
func newIDs(kind string, n int, id func(place int32) string, at func(place int32) source.Origin, report *collect.Report) ids {
	x := ids{id, maphash.MakeSeed(), make([]int32, 1<<bits.Len(uint(n+n/3)))}
	var wrong []int32
	for i := range int32(n) {
		if name := id(i); name == "" {
			wrong = append(wrong, i)
		} else if slot := x.slot(name); x.slots[slot] == 0 {
			x.slots[slot] = i + 1
		} else {
			wrong = append(wrong, i)
		}
	}
	slices.SortFunc(wrong, func(i, j int32) int { return cmp.Or(strings.Compare(id(i), id(j)), cmp.Compare(i, j)) })
	for _, i := range wrong {
		name := id(i)
		if name == "" {
			report.Add(&source.Fault{At: at(i), Field: kind, What: "the id is missing", Remedy: "give each " + kind + " a short id of its own", Figure: "id " + kind})
			continue
		}
		where := ""
		first, _ := x.find(name)
		if o := at(int32(first)); o.Line > 0 {
			where = fmt.Sprintf(", first on line %d", o.Line)
		}
		report.Add(&source.Fault{At: at(i).Key("id"), Field: kind + " " + name, What: fmt.Sprintf("the id %q stands twice%s", name, where), Remedy: "give each " + kind + " an id of its own, as in " + x.unused(name)})
	}
	return x
}

// slot is where an id is, or would be.
func (x *ids) slot(id string) int {
	last := len(x.slots) - 1
	for slot := int(maphash.String(x.seed, id)) & last; ; slot = (slot + 1) & last {
		if place := x.slots[slot]; place == 0 || x.id(place-1) == id {
			return slot
		}
	}
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
	if id == "" {
		return 0, false
	}
	place = int(x.slots[x.slot(id)]) - 1
	return max(0, place), place >= 0
}
