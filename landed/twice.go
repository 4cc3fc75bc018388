package landed

import (
	"fmt"
	"strings"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

// checkTwice warns of freight or insurance of the whole haul beside that of a
// parcel: both count, and it may be one amount written twice.
func (h *Haul) checkTwice(report *collect.Report) {
	for i := range h.Charges {
		c := &h.Charges[i]
		if c.Kind != Freight && c.Kind != Insurance || len(c.On) > 0 || c.Per != PerHaul && c.Per != PerParcel || c.Amount.Sign() < 0 || c.Settled.Sign() < 0 {
			continue
		}
		if beside := h.parcelsWith(c.Kind); len(beside) > 0 {
			report.Add(&source.Fault{At: c.At.Key("amount"), Field: chargeField(c), Warning: true,
				What:   fmt.Sprintf("this %s is of all parcels, and stands beside that of %s: both count", c.Kind, strings.Join(beside, " and ")),
				Remedy: "keep one of them, if they are the same"})
		}
	}
}

// parcelsWith names the parcels with an amount of a kind of their own, and the
// lines where it stands.
func (h *Haul) parcelsWith(k Kind) []string {
	var names []string
	for i := range h.Parcels {
		p := &h.Parcels[i]
		for _, cost := range p.costs() {
			if cost.kind != k || cost.asked.Sign() == 0 && cost.settled.Sign() == 0 {
				continue
			}
			name := "parcel " + p.ID
			if line := p.At.Key(cost.key).Line; line > 0 {
				name += fmt.Sprintf(" (line %d)", line)
			}
			names = append(names, name)
		}
	}
	return names
}
