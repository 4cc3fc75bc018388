package resale_test

import (
	"math/rand/v2"
	"testing"

	"lotcost/landed/money"
	"lotcost/landed/resale"

	"github.com/shopspring/decimal"
)

func cents(minor int64) money.Amount { return money.New(minor, cad) }

func rate(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// threeTiers is a commission in three marginal bands, on price and postage with
// the sales tax on them, and a payment charge.
func threeTiers() *resale.Venue {
	return &resale.Venue{
		Name: "gable", Currency: cad,
		SalesTax: rate("0.13"), TaxOnPostage: true,
		Fees: []resale.Fee{
			{What: "commission", WithPostage: true, WithTax: true, Fixed: cents(30), Cap: cents(75_000), Bands: []resale.Band{
				{UpTo: cents(10_000), Rate: rate("0.1325")},
				{From: cents(10_000), UpTo: cents(250_000), Rate: rate("0.07")},
				{From: cents(250_000), Rate: rate("0.0235")},
			}},
			{What: "payment", WithPostage: true, WithTax: true, Fixed: cents(30),
				Bands: []resale.Band{{Rate: rate("0.029")}}},
		},
	}
}

func BenchmarkPrice(b *testing.B) {
	sale := &resale.Sale{Venue: threeTiers(), Dispatch: resale.Dispatch{Charged: cents(1450), Packing: cents(120),
		Postage: resale.Postage{Fixed: cents(1610)}}}
	venues := []struct {
		name   string
		target resale.Target
	}{
		{"breakeven", resale.Target{}},
		{"margin", resale.Target{Margin: rate("0.25")}},
		{"markup", resale.Target{Markup: rate("0.4")}},
	}
	r := rand.New(rand.NewPCG(1, 2))
	costs := make([]int64, 4096) // many different ones, so that no branch can be learnt
	for i := range costs {
		costs[i] = r.Int64N(400_000)
	}
	for _, v := range venues {
		b.Run("least/"+v.name, func(b *testing.B) {
			s := *sale
			s.Target = v.target
			compiled, err := resale.Compile(&s)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				if _, ok := compiled.Least(costs[i&4095]); !ok {
					b.Fatal("no price")
				}
				i++
			}
			b.ReportMetric(1e9*float64(b.N)/float64(b.Elapsed().Nanoseconds()), "prices/s")
		})
	}
	b.Run("compile", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := resale.Compile(sale); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("answer", func(b *testing.B) {
		sale.Cost = cents(4_000)
		b.ReportAllocs()
		for b.Loop() {
			if _, err := resale.Price(sale, resale.AnyEnding); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// TestLeastAllocatesNothing: to find a price for one more cost takes no room.
func TestLeastAllocatesNothing(t *testing.T) {
	compiled, err := resale.Compile(&resale.Sale{Venue: threeTiers(), Target: resale.Target{Markup: rate("0.4")}})
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() { compiled.Least(123_456) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
