package landed_test

import (
	"testing"
	"time"

	"lotcost/landed"
)

// TestLateSales: a sale in another currency is warned of where it is more than a week after the
// purchase, of whose day the rates are, and once.
func TestLateSales(t *testing.T) {
	for _, c := range []struct {
		price string
		days  int
		want  int
	}{{"4000 JPY", 8, 1}, {"4000 JPY", 7, 0}, {"40 CAD", 90, 0}} {
		h := imported("100 CAD", "30 CAD")
		sale := landed.Sale{Price: amount(c.price), Count: 1, Date: h.Date.Add(time.Duration(c.days) * 24 * time.Hour)}
		h.Lots[0].Items[0].Sold = []landed.Sale{sale, sale}
		if found := h.Check(); len(found) != c.want || c.want > 0 && !found[0].Warning {
			t.Errorf("%s after %d days: %v", c.price, c.days, found)
		}
	}
}
