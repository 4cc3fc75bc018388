package customs_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/internal/typed"

	"github.com/shopspring/decimal"
)

// TestLater: what is bought shortly before the rules change may arrive under the new ones. From
// 1 July 2026 the Union takes EUR 3 for each heading (Council Reg. (EU) 2026/382), and VAT of 19 %
// on that too; from 29 August 2025 the United States take the duty on what was free up to USD 800.
func TestLater(t *testing.T) {
	free, tool := decimal.Decimal{}, decimal.RequireFromString("0.027")
	for _, c := range []struct {
		to, on string
		duty   decimal.Decimal
		want   string
	}{
		{"DE", "2026-03-30", tool, ""},
		{"DE", "2026-04-01", tool, "the goods arrive from 2026-07-01 on, when other rules hold: 3.00 EUR and 11.99 EUR; "},
		{"DE", "2026-06-30", tool, "the goods arrive from 2026-07-01 on, when other rules hold: 3.00 EUR and 11.99 EUR; "},
		{"DE", "2026-10-20", tool, ""}, // of what changes in November no sum is known
		{"DE", "2026-11-20", tool, ""},
		{"US", "2025-08-10", tool, "the goods arrive from 2025-08-29 on, when other rules hold: no rate; "},
		{"US", "2025-09-10", tool, ""}, // nor is there one of the day
		{"CA-ON", "2025-03-31", free, ""},
	} {
		on, err := time.Parse(time.DateOnly, c.on)
		if err != nil {
			t.Fatal(err)
		}
		rules, err := customs.NewBook().For(c.to, on)
		if err != nil {
			t.Fatal(err)
		}
		sum := func(number string) string { return number + " " + rules.Currency.Code() }
		zero := typed.Amount(sum("0"))
		a, err := customs.Assess(rules, &customs.Consignments{On: on, From: "JP", To: c.to, Mode: customs.Post,
			Classes: map[string]customs.Class{"t": {Duty: &customs.Rate{Fraction: c.duty}}},
			Parcels: []customs.Parcel{{Private: true, Lines: []customs.Line{{ID: "jack", Class: "t", Count: 1, Value: typed.Amount(sum("60")), Freight: typed.Amount(sum("0.12")), Insurance: zero, OtherFees: zero}}}}})
		got := ""
		if err == nil {
			for _, o := range a.Later() {
				var none *customs.NoRateError
				switch {
				case errors.As(o.Err, &none):
					got += o.If + ": no rate; "
				case o.Err != nil:
					t.Fatal(o.Err)
				default:
					got += fmt.Sprintf("%s: %s and %s; ", o.If, o.Assessment.Parcels[0].Duty, o.Assessment.Parcels[0].Tax)
				}
			}
		}
		if got != c.want {
			t.Errorf("to %s, bought on %s: got %q, want %q", c.to, c.on, got, c.want)
		}
	}
}
