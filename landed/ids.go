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
	in    *index
	of    idKind
	seed  maphash.Seed
	slots []int32 // a power of two of them: places from 1, each where its id leads or next to it; 0 is free
}

// idKind is what ids are of.
type idKind uint8

const (
	ofItems idKind = iota
	ofLots
	ofParcels
)

var idKinds = [...]string{"item", "lot", "parcel"}

func (x *ids) id(place int32) string {
	switch x.of {
	case ofItems:
		return x.in.items[place].ID
	case ofLots:
		return x.in.haul.Lots[place].ID
	}
	return x.in.haul.Parcels[place].ID
}

func (x *ids) at(place int32) source.Origin {
	switch x.of {
	case ofItems:
		return x.in.items[place].At
	case ofLots:
		return x.in.haul.Lots[place].At
	}
	return x.in.haul.Parcels[place].At
}

// newIDs lists so many ids. One that is missing or stands twice is a fault.
func (x *index) newIDs(of idKind, n int, report *collect.Report) ids {
	list := ids{x, of, maphash.MakeSeed(), x.room.slots.Take(1 << bits.Len(uint(n+n/3)))}
	list.fill(n, report)
	return list
}

func (x *ids) fill(n int, report *collect.Report) {
	var wrong []int32
	for i := range int32(n) {
		if name := x.id(i); name == "" {
			wrong = append(wrong, i)
		} else if slot := x.slot(name); x.slots[slot] == 0 {
			x.slots[slot] = i + 1
		} else {
			wrong = append(wrong, i)
		}
	}
	if len(wrong) > 0 {
		x.report(wrong, report)
	}
}

// report tells of ids that are missing or stand twice.
func (x *ids) report(wrong []int32, report *collect.Report) {
	slices.SortFunc(wrong, func(i, j int32) int {
		return cmp.Or(strings.Compare(x.id(i), x.id(j)), cmp.Compare(i, j))
	})
	kind, asked := idKinds[x.of], x.asked()
	for _, i := range wrong {
		name := x.id(i)
		if name == "" {
			report.Add(&source.Fault{At: x.at(i), Field: kind, What: "the id is missing", Remedy: "give each " + kind + " a short id of its own", Figure: "id " + kind})
			continue
		}
		where := ""
		first, _ := x.find(name)
		if o := x.at(int32(first)); o.Line > 0 {
			where = fmt.Sprintf(", first on line %d", o.Line)
		}
		own := asked
		if asked = ""; own == "" {
			own = x.unused(name)
		}
		report.Fail(x.at(i).Key("id"), kind+" "+name, fmt.Sprintf("the id %q stands twice%s", name, where), "give each "+kind+" an id of its own, as in "+own)
	}
}

// asked is the first id of a lot that a parcel asks for and none has; it is then taken to be that
// of one of those that stand twice.
func (x *ids) asked() string {
	if x.of != ofLots {
		return ""
	}
	for i := range x.in.haul.Parcels {
		for _, id := range x.in.haul.Parcels[i].Lots {
			if _, known := x.find(id); !known {
				x.in.meant = id
				return id
			}
		}
	}
	return ""
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
