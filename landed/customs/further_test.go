package customs_test

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/testdata/effort"

	"github.com/shopspring/decimal"
)

// further are the rules of Brazil, South Africa, South Korea, Israel, Taiwan and Singapore, written
// from their prose in big.Rat: the duty and the tax, in cents, on goods and freight of one parcel.
var further = map[string]func(goods, freight, permille int64) (duty, tax int64){
	"BR": func(goods, freight, _ int64) (int64, int64) { // from a certified seller
		v := goods + freight
		duty := nearest(big.NewRat(v, 5))
		if v > 5000 {
			duty = nearest(big.NewRat(v*3, 5)) - 2000
		}
		return duty, nearest(big.NewRat((v+duty)*17, 83))
	},
	"ZA": func(goods, _, permille int64) (int64, int64) {
		duty := nearest(big.NewRat(goods*permille, 1000))
		if goods <= 50000 {
			duty = nearest(big.NewRat(goods, 5))
		}
		base := nearest(new(big.Rat).Add(rat(goods+duty), big.NewRat(goods, 10)))
		return duty, nearest(big.NewRat(base*15, 100))
	},
	"KR": func(goods, freight, permille int64) (int64, int64) {
		if goods <= 15000 {
			return 0, 0
		}
		duty := nearest(big.NewRat((goods+freight)*permille, 1000))
		return duty, nearest(big.NewRat(goods+freight+duty, 10))
	},
	"IL": func(goods, freight, permille int64) (duty, tax int64) {
		if goods > 50000 {
			duty = nearest(big.NewRat((goods+freight)*permille, 1000))
		}
		if goods > 7500 {
			tax = nearest(big.NewRat((goods+freight+duty)*18, 100))
		}
		return duty, tax
	},
	"TW": func(goods, freight, permille int64) (int64, int64) {
		if goods+freight <= 200000 {
			return 0, 0
		}
		duty := nearest(big.NewRat((goods+freight)*permille, 1000))
		return duty, nearest(big.NewRat(goods+freight+duty, 20))
	},
	"SG": func(goods, freight, _ int64) (int64, int64) {
		if goods+freight <= 40000 {
			return 0, 0
		}
		return 0, nearest(big.NewRat((goods+freight)*9, 100))
	},
}

func TestFurtherOracle(t *testing.T) {
	random := rand.New(rand.NewPCG(18, 6))
	for to, prose := range further {
		r, err := customs.NewBook().For(to, day("2026-11-01"))
		must(t, r, err)
		for range effort.Cases(5000, 1000, 200) {
			most := []int64{6000, 60000, 290000}[random.IntN(3)]
			goods, freight, permille := 1+random.Int64N(most), random.Int64N(5000), random.Int64N(200)
			c := &customs.Consignments{On: day("2026-11-01"), From: "JP", To: to, Mode: customs.Courier,
				Classes: map[string]customs.Class{"tool": {Code: "8205", Duty: &customs.Rate{Fraction: decimal.New(permille, -3)}}},
				Parcels: []customs.Parcel{{Lines: []customs.Line{{ID: "plane", Class: "tool", Count: 1, Value: money.New(goods, r.Currency), Freight: money.New(freight, r.Currency)}}}}}
			if to == "BR" {
				c.Holds = []string{"certified"}
			}
			a, err := customs.Assess(r, c)
			must(t, a, err)
			duty, tax := prose(goods, freight, permille)
			if p := &a.Parcels[0]; p.Duty.Minor() != duty || p.Tax.Minor() != tax {
				t.Fatalf("%s: %d and %d of freight at %d per mille: %s and %s, want %d and %d cents", to, goods, freight, permille, p.Duty, p.Tax, duty, tax)
			}
		}
	}
}
