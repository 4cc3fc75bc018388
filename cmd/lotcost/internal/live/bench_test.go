package live_test

import (
	"fmt"
	"io"
	"math/rand/v2"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/landed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// large is a haul of so many items in one lot, with four charges.
func large(tb testing.TB, items int) *landed.Statement {
	tb.Helper()
	home, err := money.ParseCurrency("CAD")
	if err != nil {
		tb.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	lot := landed.Lot{ID: "a", Price: money.New(40_000_000, home)}
	for i := range items {
		lot.Items = append(lot.Items, landed.Item{ID: fmt.Sprintf("plane-%d", i), What: "a plane", Count: 1 + rng.Int64N(4),
			Weight: measure.Gram * measure.Weight(50+rng.Int64N(3000)), Weighed: true, Value: money.New(100+rng.Int64N(9000), home)})
	}
	h := &landed.Haul{Home: home, Lots: []landed.Lot{lot}}
	for _, c := range []landed.Charge{{What: "parcel", Kind: landed.Freight}, {What: "insurance", Kind: landed.Insurance}, {What: "packing", Kind: landed.Fee}, {What: "bank", Kind: landed.Fee}} {
		c.Amount = money.New(100_000+rng.Int64N(900_000), home)
		h.Charges = append(h.Charges, c)
	}
	st, err := landed.Split(h)
	if err != nil {
		tb.Fatal(err)
	}
	return st
}

func BenchmarkWorkbook(b *testing.B) {
	st := large(b, 10_000)
	b.ReportAllocs()
	for b.Loop() {
		if err := sheet.WriteWorkbook(io.Discard, live.Costs(st)); err != nil {
			b.Fatal(err)
		}
	}
}
