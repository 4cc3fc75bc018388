package customs_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed/customs"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// What is paid back of goods sent back, by the rules as they are shipped: of 3 planes for 300.00
// with a duty of 2.7 % and the tax of the territory, worked out by hand.
func TestRefunds(t *testing.T) {
	for _, k := range []struct {
		to, on string
		back   int64
		want   string
	}{
		{"GB", "2026-07-01", 3, "duty 3 8.10 2027-07-01, tax 3 61.62 2027-07-01"},
		{"GB", "2026-07-01", 9, "duty 3 8.10 2027-07-01, tax 3 61.62 2027-07-01"},
		{"GB", "2026-07-01", 1, "duty 1 2.70 2027-07-01, tax 1 20.54 2027-07-01"},
		{"DE", "2026-07-01", 2, "duty 2 5.40 2027-07-01, tax 2 39.02 2027-07-01"}, // 19 % of 308.10 is 58.539, so 58.54
		{"US", "2026-08-01", 3, "duty 3 8.01 2029-08-01"},                         // 99 % of 8.10 is 8.019
		{"US", "2026-08-01", 1, "duty 1 2.67 2029-08-01"},                         // 99 % of 2.70 is 2.673
		{"CA-ON", "2026-07-01", 3, ""},
		{"GB", "2026-07-01", 0, ""},
	} {
		r, err := customs.NewBook().For(k.to, day(k.on))
		must(t, r, err)
		a, err := customs.Assess(r, &customs.Consignments{On: day(k.on), From: "JP", To: k.to, Mode: customs.Courier, Use: customs.Resale,
			Classes: map[string]customs.Class{"tool": {Duty: &customs.Rate{Fraction: decimal.New(27, -3)}}},
			Parcels: []customs.Parcel{{Lines: []customs.Line{{ID: "plane", Class: "tool", Count: 3, Value: money.New(30000, r.Currency)}, {ID: "saw", Class: "tool", Count: 1, Value: money.New(0, r.Currency)}}}}})
		must(t, a, err)
		var got []string
		for _, b := range a.Refunds(map[string]int64{"plane": k.back, "saw": 1}) {
			got = append(got, fmt.Sprintf("%s %d %s %s", b.What, b.Pieces, b.Amount.Number(), b.Until.Format("2006-01-02")))
		}
		if s := strings.Join(got, ", "); s != k.want {
			t.Errorf("%s, %d back: %s, want %s", k.to, k.back, s, k.want)
		}
	}
	if (&customs.Assessment{}).Refunds(map[string]int64{"plane": 1}) != nil {
		t.Error("something is paid back of nothing")
	}
}
