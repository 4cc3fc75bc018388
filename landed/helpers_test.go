package landed_test

import (
	"fmt"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/internal/typed"
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

var (
	cad = money.MustCurrency("CAD")
	jpy = money.MustCurrency("JPY")
	usd = money.MustCurrency("USD")
	kwd = money.MustCurrency("KWD")
)

// day is the day of purchase of the hauls made here.
var day = time.Date(2026, time.October, 3, 0, 0, 0, 0, time.UTC)

// amount reads an amount with its currency.
func amount(s string) money.Amount { return typed.Amount(s) }

func number(s string) decimal.Decimal { return typed.Number(s) }

// market states rates and nothing else.
func market(equations ...string) *fx.Market { return typed.Market(day, equations...) }

// item makes an item of pieces of a weight and value; an empty text leaves one
// out.
func item(id string, count int64, weight, value string) landed.Item {
	it := landed.Item{ID: id, What: id, Count: count}
	if weight != "" {
		w, err := measure.ParseWeight(weight)
		if err != nil {
			panic(err)
		}
		it.Weight, it.Weighed = w, true
	}
	if value != "" {
		it.Value = amount(value)
	}
	return it
}

func split(t testing.TB, h *landed.Haul) *landed.Statement {
	t.Helper()
	st, err := landed.Split(h)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// numbers lists what each item costs.
func numbers(st *landed.Statement) []string {
	var list []string
	for _, it := range st.Items {
		list = append(list, it.Cost.Number())
	}
	return list
}

// crates is a small haul: two lots bought in yen for Canadian books, one with
// a premium and one settled, a freight bill, a fee a lot and an insurance in
// percent.
func crates() *landed.Haul {
	return &landed.Haul{
		Title: "Two crates", Home: cad, Date: day, From: "JP", To: "CA-ON",
		Market: market("100 JPY = 0.93 CAD"), Spread: number("0.025"),
		Lots: []landed.Lot{
			{ID: "crate-a", Title: "Crate A, planes", Seller: "tidemark", Price: amount("4200 JPY"), Premium: number("0.1"),
				Items: []landed.Item{item("jack", 2, "1.9 kg", "38 CAD"), item("block", 1, "780 g", "24 CAD")}},
			{ID: "crate-b", Seller: "tidemark", Price: amount("3000 JPY"), Settled: amount("29.11 CAD"),
				Items: []landed.Item{item("compass", 3, "60 g", "11 CAD")}},
		},
		Charges: []landed.Charge{
			{What: "Surface parcel", Kind: landed.Freight, Amount: amount("7400 JPY"), Settled: amount("70.02 CAD")},
			{What: "Packing", Kind: landed.Fee, Amount: amount("300 JPY"), Per: landed.PerLot},
			{What: "Transit cover", Kind: landed.Insurance, OfPrice: true, Percent: number("0.015")},
			{What: "Oil", Kind: landed.Repair, Amount: amount("1.10 CAD"), Per: landed.PerPiece, On: []string{"crate-a"}},
		},
	}
}

func measureOf(nanograms int64) measure.Weight { return measure.Weight(nanograms) }

// manyItems makes a haul of one lot of n items.
func manyItems(n int) *landed.Haul {
	h := crates()
	lot := landed.Lot{ID: "crate", Price: amount("4200000 JPY"), Premium: number("0.1")}
	for i := range n {
		it := item(fmt.Sprintf("item-%d", i), int64(1+i%3), "", "")
		it.Weighed, it.Weight = true, measure.Gram*measure.Weight(60+i*37%1900)
		it.Value = money.New(int64(500+i*7919%6000), cad)
		lot.Items = append(lot.Items, it)
	}
	h.Lots = []landed.Lot{lot}
	for i := range h.Charges {
		h.Charges[i].On = nil
	}
	h.Charges[3].Per = landed.PerHaul
	return h
}
