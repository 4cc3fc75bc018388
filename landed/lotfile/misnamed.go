package lotfile

import (
	"fmt"
	"maps"
	"slices"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// misnamed tells once, where a lot or an item stands, of an id by which several places ask for it:
// nothing names it by its own, so that it is misspelt there and not at all of them.
func (f *File) misnamed(found source.Faults) source.Faults {
	if len(found) < 2 {
		return found
	}
	places := map[collect.NoID]int{}
	for _, fault := range found {
		if id, is := fault.Err.(collect.NoID); is {
			places[id]++
		}
	}
	maps.DeleteFunc(places, func(_ collect.NoID, n int) bool { return n < 2 })
	if len(places) == 0 {
		return found
	}
	var reported source.Faults
	unnamed, own := f.unnamed(), map[collect.NoID]string{}
	for _, fault := range found {
		id, is := fault.Err.(collect.NoID)
		switch n := places[id]; {
		case !is || n == 0:
			reported = append(reported, fault)
		case own[id] != "":
		default:
			own[id] = source.Meant(string(id), unnamed)
			at, kind := f.stands(own[id])
			if kind == "" {
				delete(places, id)
				reported = append(reported, fault)
				continue
			}
			unnamed = slices.DeleteFunc(unnamed, func(other string) bool { return other == own[id] })
			reported = append(reported, &source.Fault{At: at.Key("id"), Field: kind + " " + own[id], What: fmt.Sprintf("nothing names it so, but %d places name %q, which is not there", n, string(id)),
				Remedy: fmt.Sprintf("write id: %s here", string(id)), Or: own[id] + " there"})
		}
	}
	return reported
}

// unnamed lists the ids by which no other part of the file names a lot or an item.
func (f *File) unnamed() []string {
	named := map[string]bool{}
	note := func(lists ...[]string) {
		for _, list := range lists {
			for _, id := range list {
				named[id] = true
			}
		}
	}
	for i := range f.Parcels {
		note(f.Parcels[i].Lots)
	}
	for i := range f.Charges {
		note(f.Charges[i].On)
	}
	for i := range f.Risks {
		note(f.Risks[i].On)
	}
	if f.Sending != nil {
		note(f.Sending.Together...)
		note(f.Sending.Apart...)
	}
	if f.Bidding != nil {
		named[f.Bidding.Lot] = true
	}
	return slices.DeleteFunc(f.IDs(), func(id string) bool { return named[id] })
}

// stands finds a lot, or else an item, by its id; the kind is "" where there is none.
func (f *File) stands(id string) (at source.Origin, kind string) {
	if id == "" {
		return at, ""
	}
	if i := f.LotAt(id); i >= 0 {
		return f.Lots[i].At, "lot"
	}
	for _, item := range f.Haul.Items() {
		if item.ID == id {
			return item.At, "item"
		}
	}
	return at, ""
}
