package landed

import (
	"fmt"
	"time"

	"lotcost/landed/freight"
	"lotcost/landed/measure"
	"lotcost/landed/source"
)

// Sending says how the lots may travel, before that is decided. [Split] does
// not look at it: what was decided stands in the haul's parcels.
type Sending struct {
	Services  []*freight.Service
	Zone      string // the destination as the services' tables call it
	Packing   freight.Packing
	Forwarder *freight.Forwarder // who holds the lots; nil when the sellers send them
	Leaves    time.Time          // the day the parcels leave, at 00:00 UTC; zero means the haul's date
	Latest    time.Time          // the last day on which they may arrive; zero when any will do
	Together  [][]string         // ids of lots that must share a parcel
	Apart     [][]string         // ids of lots no two of which may share one
	Insure    bool               // whether what was paid for the lots must be insured
	Bare      bool               // with Insure: a service that insures nothing may carry them all the same
	At        source.Origin
}

// SentWeight returns the weight of the lot as it goes into a box: as packed,
// or else that of its items. It reports false when an item has no weight, or
// when the sum does not fit.
func (l *Lot) SentWeight() (measure.Weight, bool) {
	if l.Packed > 0 {
		return l.Packed, true
	}
	var sum measure.Weight
	for i := range l.Items {
		item := &l.Items[i]
		all, err := item.Weight.Mul(item.Count)
		if err == nil {
			sum, err = sum.Add(all)
		}
		if err != nil || !item.Weighed && item.Count > 0 {
			return 0, false
		}
	}
	return sum, sum > 0
}

// checkSending records lots that are named without being there, and groups
// that ask for nothing.
func (x *index) checkSending(report *source.Report) {
	s := x.haul.Sending
	if s == nil {
		return
	}
	for i := range x.haul.Lots {
		lot := &x.haul.Lots[i]
		if !s.Leaves.IsZero() && lot.Arrived.After(s.Leaves) {
			report.Add(&source.Fault{At: lot.At.Key("arrived"), Field: "lot " + lot.ID + ": arrived", Warning: true,
				What: "the lot arrives on " + lot.Arrived.Format(time.DateOnly) + ", after the parcels leave on " + s.Leaves.Format(time.DateOnly), Remedy: "check both days"})
		}
	}
	known := x.ids()[:min(len(x.haul.Lots), mostSuggested)]
	for _, list := range []struct {
		name   string
		groups [][]string
	}{{"together", s.Together}, {"apart", s.Apart}} {
		for i, group := range list.groups {
			fail := func(at source.Origin, what, remedy string) {
				report.Add(&source.Fault{At: at, Field: "sending: " + list.name, What: what, Remedy: remedy})
			}
			if len(group) < 2 {
				fail(s.At.Entry(i, list.name), "a group holds fewer than two lots", "name two lots or more, as in "+list.name+": [[crate-a, box-b]]")
			}
			seen := map[string]bool{}
			for n, id := range group {
				if _, is := x.lotIDs[id]; !is {
					fail(s.At.Entry(i, list.name).Entry(n), fmt.Sprintf("no lot has the id %q", id), source.DidYouMean(id, known))
				}
				if seen[id] {
					fail(s.At.Entry(i, list.name).Entry(n), fmt.Sprintf("lot %s stands twice in one group", id), "name each lot once")
				}
				seen[id] = true
			}
		}
	}
}
