package landed

import (
	"fmt"
	"time"

	"lotcost/landed/internal/collect"
	"lotcost/landed/source"
)

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
