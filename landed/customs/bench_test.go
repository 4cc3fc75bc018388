package customs_test

import (
	"fmt"
	"testing"

	"lotcost/landed/customs"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// parcelOf is a haul of so many items of three classes in one parcel.
func parcelOf(items int, cur money.Currency) *customs.Consignments {
	c := &customs.Consignments{On: day("2026-08-01"), From: "JP", Classes: map[string]customs.Class{
		"plane":  {Code: "8205.30", Duty: &customs.Rate{Fraction: decimal.New(65, -3)}},
		"chisel": {Code: "8205.59", Duty: &customs.Rate{Fraction: decimal.New(37, -3)}},
		"set":    {Code: "9017.20", Duty: &customs.Rate{}},
	}}
	p := customs.Parcel{ID: "box", Seller: "east"}
	for i := range items {
		p.Lines = append(p.Lines, customs.Line{
			ID: fmt.Sprint("item-", i), Class: []string{"plane", "chisel", "set"}[i%3], Count: int64(1 + i%4), Weight: 300 * measure.Gram,
			Value: money.New(int64(1000+137*i), cur), Freight: money.New(int64(211+7*i), cur), Insurance: money.New(50, cur),
		})
	}
	c.Parcels = []customs.Parcel{p}
	return c
}

func BenchmarkAssess20Items(b *testing.B) {
	for _, to := range []string{"CA-ON", "GB", "DE", "JP", "US", "CH"} {
		b.Run(to, func(b *testing.B) {
			r, err := customs.NewBook().For(to, day("2026-08-01"))
			must(b, r, err)
			c := parcelOf(20, r.Currency)
			c.To = to
			b.ReportAllocs()
			for b.Loop() {
				if _, err := customs.Assess(r, c); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkParse(b *testing.B) {
	for b.Loop() {
		ruleFile(b, "eu-2024.yaml")
	}
}

// TestAssessAllocates: what an assessment allocates does not grow with the lines, in any territory.
func TestAssessAllocates(t *testing.T) {
	for _, to := range []string{"CA-ON", "GB", "DE", "JP", "US", "CH"} {
		r, err := customs.NewBook().For(to, day("2026-08-01"))
		must(t, r, err)
		effort.Grows(t, 20, 2000, 60, 0.05, func(items int) float64 {
			c := parcelOf(items, r.Currency)
			c.To = to
			return effort.Allocations(func() {
				if _, err := customs.Assess(r, c); err != nil {
					t.Fatal(err)
				}
			})
		})
	}
}
