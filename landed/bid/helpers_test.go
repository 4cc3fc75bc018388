package bid_test

import (
	"errors"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/bid"
	"lotcost/landed/customs"
	"lotcost/landed/internal/typed"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/resale"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

var (
	cad = money.MustCurrency("CAD")
	jpy = money.MustCurrency("JPY")
)

var day = time.Date(2026, time.October, 3, 0, 0, 0, 0, time.UTC)

func amount(s string) money.Amount { return typed.Amount(s) }

func number(s string) decimal.Decimal { return typed.Number(s) }

func fraction(s string) *decimal.Decimal {
	d := number(s)
	return &d
}

func market(equations ...string) *fx.Market { return typed.Market(day, equations...) }

// haul is a haul and what is planned for it.
type haul struct {
	landed.Haul
	bid.Plans
}

// crate is an untested crate of planes before the sale: six in ten work and
// bring 45, the rest 8 as parts.
func crate() *haul {
	return &haul{Haul: landed.Haul{
		Title: "A crate of planes", Home: cad, Date: day, From: "JP", To: "CA-ON", Market: market("100 JPY = 0.93 CAD"),
		Lots: []landed.Lot{{ID: "crate-a", Open: true, Items: []landed.Item{{
			ID: "jack", What: "Jack plane", Count: 4, Weight: 2 * measure.Kilogram, Weighed: true, Value: amount("45 CAD"),
			Chances: []landed.Outcome{
				{What: "works", Chance: number("0.6"), Value: amount("45 CAD")},
				{What: "parts", Chance: number("0.4"), Value: amount("8 CAD")},
			},
		}}}},
		Charges: []landed.Charge{{What: "Parcel", Kind: landed.Freight, Amount: amount("3000 JPY")}},
	}, Plans: bid.Plans{Bidding: &bid.Bidding{Start: amount("500 JPY")}}}
}

// planes is what the border asks for planes at 5 %.
func border(mode customs.Mode) *landed.Border {
	rate := customs.Rate{Fraction: number("0.05")}
	free := customs.Rate{}
	return &landed.Border{Book: customs.NewBook(), Mode: mode, Class: "tool", Classes: map[string]customs.Class{
		"tool": {Code: "8205.59", Duty: &rate}, "pen": {Code: "9017.20", Duty: &free}}}
}

// gable is an invented venue: 12 % and a dollar for each sale.
func gable() resale.Venue {
	return resale.Venue{Name: "gable", Currency: cad, Sending: resale.Sent, Fees: []resale.Fee{
		{What: "commission", Bands: []resale.Band{{Rate: number("0.12")}}, Fixed: amount("1 CAD")}}}
}

func look(h *haul, o bid.Options) (*bid.Fact, error) { return bid.Look(&h.Haul, h.Plans, o) }

func bidder(t testing.TB, h *haul, o bid.Options) *bid.Bidder {
	t.Helper()
	b, err := bid.New(&h.Haul, h.Plans, o)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func highest(t testing.TB, h *haul, o bid.Options) *bid.Answer {
	t.Helper()
	a, err := bidder(t, h, o).Highest()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// askedOf is what was asked and cannot be, by an error.
func askedOf(err error) string {
	var faults source.Faults
	if !errors.As(err, &faults) {
		return ""
	}
	return faults[0].Asked
}
