package parcels_test

import (
	"fmt"
	"testing"

	"lotcost/landed/freight"
	"lotcost/landed/internal/parcels"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// someLots are n different lots of old tools' sizes, the same at every run.
func someLots(n int) []parcels.Lot {
	lots := make([]parcels.Lot, n)
	for i := range lots {
		k := measure.Length(i)
		lots[i] = parcels.Lot{
			ID: fmt.Sprint("lot", i), Weight: measure.Weight(200+i*37%900) * measure.Gram, Value: money.New(int64(2000+i*131%5000), cad), Contents: []string{"steel", "beech"},
			Size: measure.Size{L: (20 + k*7%25) * measure.Centimetre, W: (5 + k*5%9) * measure.Centimetre, H: (3 + k*3%8) * measure.Centimetre},
		}
	}
	return lots
}

func BenchmarkTariffCost(b *testing.B) {
	s := surface()
	for _, zone := range []string{"CA", "DE"} { // by steps; first and further
		tariff := must(parcels.Compile(&s, zone, on))
		b.Run(zone, func(b *testing.B) {
			b.ReportAllocs()
			w := measure.Weight(0)
			for b.Loop() {
				w = (w + 7919*measure.Gram) % (2 * measure.Kilogram)
				tariff.Cost(w)
			}
		})
	}
}

func BenchmarkTariffPrice(b *testing.B) {
	s := roomy()
	tariff, box := must(parcels.Compile(&s, "DE", on)), must(pack(someLots(3), freight.Packing{}))
	b.ReportAllocs()
	for b.Loop() {
		tariff.Price(&box)
	}
}

func BenchmarkCompile(b *testing.B) {
	s := surface()
	b.ReportAllocs()
	for b.Loop() {
		must(parcels.Compile(&s, "DE", on))
	}
}

func BenchmarkQuote(b *testing.B) {
	s := roomy()
	box := must(pack(someLots(3), freight.Packing{}))
	b.ReportAllocs()
	for b.Loop() {
		must(parcels.Ask(&s, []parcels.Box{box}, on, "DE"))
	}
}

func BenchmarkPack(b *testing.B) {
	for _, n := range []int{1, 3, 6, 12, 20, 60, 1000} {
		lots := someLots(n)
		p := freight.Packing{Share: percent("8%"), Padding: measure.Centimetre}
		b.Run(fmt.Sprintf("lots=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				must(pack(lots, p))
			}
		})
	}
}

// roomy is a service that takes what someLots gives.
func roomy() freight.Service {
	s := surface()
	s.Limits = freight.Limits{Weight: kg("10 kg"), Longest: length("1.5 m"), LengthPlusGirth: length("3 m")}
	return s
}

// What is asked millions of times allocates nothing.
func TestNothingIsAllocated(t *testing.T) {
	s := roomy()
	tariff, box := must(parcels.Compile(&s, "DE", on)), must(pack(someLots(3), freight.Packing{}))
	if _, _, ok := tariff.Price(&box); !ok {
		t.Fatal("not taken")
	}
	if n := testing.AllocsPerRun(100, func() { tariff.Price(&box); tariff.Cost(box.Weight); tariff.Insurance(4000) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
