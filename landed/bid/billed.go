package bid

import (
	"fmt"
	"slices"
	"strings"

	"lotcost/landed"
	"lotcost/landed/internal/came"
	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// checkBilled warns of open lots in parcels that have come.
func checkBilled(h *landed.Haul, report *collect.Report) {
	if _, more := came.Apart(h); len(more.Lots) > 0 {
		report.Add(&source.Fault{At: more.At.Key("assessed"), Field: "assessed", Warning: true,
			What:   fmt.Sprintf("what was billed has come, but not what is still open (%s), which bids count in a further parcel", strings.Join(more.Lots, ", ")),
			Remedy: "list what is open in a parcel of its own"})
	}
}

// withoutBills is the haul as it is estimated where some lots are bid for: without the bills of
// parcels that hold one of them, since those are for another price.
func withoutBills(h *landed.Haul, lots []string) *landed.Haul {
	other := *h
	other.Parcels = slices.Clone(h.Parcels)
	for i := range other.Parcels {
		if p := &other.Parcels[i]; slices.ContainsFunc(p.Lots, func(id string) bool { return slices.Contains(lots, id) }) {
			p.Bill = landed.Bill{}
		}
	}
	if h.Border != nil {
		border := *h.Border
		border.Bill, other.Border = landed.Bill{}, &border
	}
	return &other
}
