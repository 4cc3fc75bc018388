package together_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/together"
	"lotcost/testdata/effort"
)

// twoSums are invented rules that look at the parcels of a seller, and at those of a day.
const twoSums = `customs: 1
territory: XA
name: An invented island
currency: CAD
tariff: an invented tariff
authorities: [invented.example]
sources: {test: "invented for a test"}
entries:
  - from: 2026-01-01
    about: two limits
    published: invented
    checked: 2026-11-25
    value:
      - {holds: [goods, freight], source: test, confidence: custom}
    relief:
      - {of: duty, upto: 120 CAD, measure: value, over: seller, source: test, confidence: custom}
      - {of: tax, upto: 200 CAD, over: day, measure: value, source: test, confidence: custom}
    duty:
      ways:
        - {by: class, source: test, confidence: custom}
    taxes:
      - name: tax
        base: [value, duty]
        source: test
        confidence: custom
        rates:
          - {rate: 10%, source: test, confidence: custom}
`

// TestTwoSums: where rules look at more than one sum the best of few ways is found all the same, by
// a Split each; of many ways one is, that no bound is above and no step makes cheaper.
func TestTwoSums(t *testing.T) {
	set, err := customs.Parse("xa.yaml", []byte(twoSums))
	if err != nil {
		t.Fatal(err)
	}
	hanging := 0
	for seed := range uint64(effort.Cases(60, 20, 10)) {
		r := rand.New(rand.NewPCG(seed, 37))
		lots := 2 + r.IntN(3)
		if seed == 3 {
			lots = 9
		}
		h := bordered()
		for i := range lots {
			l := lot("lot-"+string(rune('a'+i)), (2000+r.Int64N(7000))*3/int64(lots), 200+r.Int64N(1200))
			l.Seller = []string{"tidemark", "northlight"}[r.IntN(2)]
			h.Lots = append(h.Lots, l)
		}
		h.Sending.Services = append(h.Sending.Services, service("boat", 400+r.Int64N(800), 100+r.Int64N(300)))
		h.To, h.Border.Book = "XA", customs.NewBook(set)
		if lots > 4 {
			checkMoves(t, h)
			continue
		}
		best, _, _ := wayTotals(h)
		got, err := together.Least(context.Background(), &h.Haul, h.Sending, together.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got.Best.Total.Minor() != best || !got.Exact {
			t.Errorf("seed %d: %v, exact %t, want %d", seed, got.Best.Total, got.Exact, best)
		}
		pricer, err := landed.NewParcelPricer(&h.Haul)
		if err != nil {
			t.Fatal(err)
		}
		if _, one := pricer.Together(); !one && !pricer.Additive() {
			hanging++
		}
	}
	if hanging == 0 {
		t.Error("in none the rules look at two sums that depend on the division")
	}
}
