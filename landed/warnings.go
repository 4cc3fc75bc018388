package landed

import (
	"fmt"
	"strings"
	"time"

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

// nearSales is how long after the purchase its rates pass for those of a sale: as long as a
// published rate passes for one of a later day.
const nearSales = 7 * 24 * time.Hour

// checkLateSales warns of the first item sold in another currency long after the purchase: a haul
// has the rates of one day.
func (h *Haul) checkLateSales(report *collect.Report) {
	if h.Date.IsZero() {
		return
	}
	for _, item := range h.Items() {
		for i := range item.Sold {
			s := &item.Sold[i]
			if c := s.Price.Currency(); c == 0 || c == h.Home || s.Date.Sub(h.Date) <= nearSales {
				continue
			}
			report.Add(&source.Fault{At: s.At.Key("price"), Field: "item " + item.ID + ": sold", Warning: true,
				What:   fmt.Sprintf("what was sold for %s on %s counts at the rate of the day of purchase, %s", s.Price, s.Date.Format(time.DateOnly), h.Date.Format(time.DateOnly)),
				Remedy: "write what it brought in " + h.Home.Code() + ", as the bank or the venue had it"})
			return
		}
	}
}
