package together

import (
	"fmt"
	"slices"
	"time"

	"lotcost/landed"
	"lotcost/landed/freight"
	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// Sending says how the lots of a haul may travel, before that is decided. What
// was decided stands in the haul's parcels.
type Sending struct {
	Services  []*freight.Service // by which parcels may go
	Zone      string             // the destination as the services' tables call it
	Packing   freight.Packing    // what a box adds to what is in it
	Forwarder *freight.Forwarder // who holds the lots; nil when the sellers send them
	Leaves    time.Time          // the day the parcels leave, at 00:00 UTC; zero means the haul's date
	Latest    time.Time          // the last day on which they may arrive; zero when any will do
	Together  [][]string         // ids of lots that must share a parcel
	Apart     [][]string         // ids of lots no two of which may share one
	Insure    bool               // whether what was paid for the lots must be insured
	Bare      bool               // with Insure: a service that insures nothing may carry them all the same
	At        source.Origin      // of the section
}

// Check tells of lots that are named without being there, and of groups that ask
// for nothing; s may be nil.
func (s *Sending) Check(h *landed.Haul) source.Faults {
	if s == nil {
		return nil
	}
	report := &collect.Report{}
	for i := range s.Services {
		if s.Services[i] == nil {
			report.Add(&source.Fault{At: s.At.Entry(i, "services"), Field: "sending: services", What: fmt.Sprintf("service %d is none", i+1), Remedy: "leave it out, or give its name, currency and prices"})
		}
	}
	lots := map[string]bool{}
	for i := range h.Lots {
		lot := &h.Lots[i]
		lots[lot.ID] = true
		if !s.Leaves.IsZero() && lot.Arrived.After(s.Leaves) {
			report.Add(&source.Fault{At: lot.At.Key("arrived"), Field: "lot " + lot.ID + ": arrived", Warning: true,
				What: "the lot arrives on " + lot.Arrived.Format(time.DateOnly) + ", after the parcels leave on " + s.Leaves.Format(time.DateOnly), Remedy: "check both days"})
		}
	}
	for _, list := range []struct {
		name   string
		groups [][]string
	}{{"together", s.Together}, {"apart", s.Apart}} {
		for i, group := range list.groups {
			fail := func(at source.Origin, what, remedy string) *source.Fault {
				return report.Add(&source.Fault{At: at, Field: "sending: " + list.name, What: what, Remedy: remedy})
			}
			if len(group) < 2 {
				fail(s.At.Entry(i, list.name), "a group holds fewer than two lots", "name two lots or more").Figure = "group " + list.name
			}
			seen := map[string]bool{}
			for n, id := range group {
				if !lots[id] {
					report.NoSuch(s.At.Entry(i, list.name).Entry(n), "sending: "+list.name, "lot", id, h.LotIDs(), group...)
				}
				if seen[id] {
					fail(s.At.Entry(i, list.name).Entry(n), fmt.Sprintf("lot %s stands twice in one group", id), "name each lot once")
				}
				seen[id] = true
			}
		}
	}
	return report.All()
}

// For returns the section for a haul that holds but some of the lots, such as
// [landed.Haul.Only] makes: groups lose the others, and are gone where fewer than
// two are left of them. It may be nil.
func (s *Sending) For(h *landed.Haul) *Sending {
	if s == nil {
		return nil
	}
	other := *s
	other.Together, other.Apart = groupsIn(h, s.Together), groupsIn(h, s.Apart)
	return &other
}

func groupsIn(h *landed.Haul, groups [][]string) [][]string {
	var left [][]string
	for _, group := range groups {
		group = slices.DeleteFunc(slices.Clone(group), func(id string) bool { return h.LotAt(id) < 0 })
		if len(group) > 1 {
			left = append(left, group)
		}
	}
	return left
}
