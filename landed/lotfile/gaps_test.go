package lotfile_test

import (
	"fmt"
	"reflect"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/freight"
	"lotcost/landed/internal/typed"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/together"
)

// crates is two lots of which little more is said than what they cost.
const crates = `lotcost: 1
home: CAD
date: 2026-10-03
from: JP
to: CA-ON
exchange: {rates: [100 JPY = 0.93 CAD]}
lots:
  - {id: crate-a, price: 4200 JPY, items: [{id: jack, count: 2, weight: 1.9 kg, value: 38 CAD}, {id: block, weight: 780 g, value: 24 CAD}]}
  - {id: crate-b, price: 3000 JPY, settled: 29.11 CAD, items: [{id: compass, count: 3, weight: 60 g, value: 11 CAD}]}
charges: [{kind: freight, amount: 7400 JPY}, {amount: 300 JPY, per: lot}]
`

// TestGaps checks what is reported to be missing, and of which lots and items.
func TestGaps(t *testing.T) {
	all := []string{"jack", "block", "compass"}
	classes := lotfile.Gap{For: "duty", Missing: "customs class", Of: all, Remedy: "class: hand-tool"}
	border := lotfile.Gap{For: "what the border adds", Missing: "customs section", Remedy: "customs: {use: personal, by: post}"}
	bank := lotfile.Gap{For: "the final account", Missing: "what the bank took", Of: []string{"crate-a"}, Remedy: "settled: 41.37 CAD"}
	cases := []struct {
		name  string
		spoil func(h *landed.Haul)
		want  []lotfile.Gap
	}{
		{"as it stands", func(h *landed.Haul) {}, []lotfile.Gap{border, classes, bank}},
		{"with a section for the border", func(h *landed.Haul) { h.Border = &landed.Border{} }, []lotfile.Gap{classes, bank}},
		{"with a class of all", func(h *landed.Haul) { h.Border = &landed.Border{Class: "hand-tool"} }, []lotfile.Gap{bank}},
		{"with a whole bill of each parcel", func(h *landed.Haul) {
			bill := landed.Bill{Duty: typed.Amount("2 CAD"), Tax: typed.Amount("3 CAD"), Fee: typed.Amount("0 CAD")}
			h.Parcels = []landed.Parcel{{ID: "box-1", Lots: []string{"crate-a", "crate-b"}, Bill: bill}}
		}, []lotfile.Gap{bank}},
		{"within a union", func(h *landed.Haul) { h.From, h.To = "FR", "DE" }, []lotfile.Gap{bank}},
		{"to an unknown country, in foreign money", func(h *landed.Haul) { classify(h); h.Border, h.To = nil, "" },
			[]lotfile.Gap{{For: "customs", Missing: "to, the country of entry", Remedy: "to: CA-ON"}, border, bank}},
		{"to an unknown country, in money of home", func(h *landed.Haul) {
			h.To, h.Lots[0].Price, h.Lots[1].Price = "", typed.Amount("40 CAD"), typed.Amount("40 CAD")
		},
			[]lotfile.Gap{{For: "customs", Missing: "to, the country of entry", Remedy: "to: CA-ON"}}},
		{"of other places than those of the examples", func(h *landed.Haul) {
			classify(h)
			h.Home, h.From, h.To = typed.Amount("1 EUR").Currency(), "", ""
			h.Market, h.Charges, h.Lots[1].Settled = typed.Market(h.Date, "1 GBP = 1.16 EUR"), nil, typed.Amount("9 EUR")
			h.Lots[0].Price, h.Lots[0].Settled, h.Border = typed.Amount("40 GBP"), money.Amount{}, &landed.Border{Class: "tool"}
			for i := range h.Lots {
				for j := range h.Lots[i].Items {
					h.Lots[i].Items[j].Value = typed.Amount("9 EUR")
				}
			}
		}, []lotfile.Gap{{For: "customs", Missing: "from, the country of dispatch", Remedy: "from: GB"},
			{For: "customs", Missing: "to, the country of entry", Remedy: "to: DE"},
			{For: "the final account", Missing: "what the bank took", Of: []string{"crate-a"}, Remedy: "settled: 41.37 EUR"}}},
		{"nothing is missing", func(h *landed.Haul) {
			classify(h)
			h.Lots[0].Settled = typed.Amount("44.04 CAD")
		}, nil},
		{"no currency of bids", func(h *landed.Haul) {
			classify(h)
			h.Lots[1].Price, h.Lots[1].Settled, h.Lots[1].Open = money.Amount{}, money.Amount{}, true
		}, []lotfile.Gap{{For: "the account", Missing: "the price, still open", Of: []string{"crate-b"}, Remedy: "price: 4200 JPY, or lost: yes"},
			{For: "a bid", Missing: "the first bid, in its currency", Of: []string{"crate-b"}, Remedy: "bidding: start: 500 JPY"}, bank}},
		{"bought at home", func(h *landed.Haul) {
			classify(h)
			h.Lots[0].Price = typed.Amount("40 CAD")
		}, nil},
		{"no weights", func(h *landed.Haul) {
			classify(h)
			for i := range h.Lots {
				for j := range h.Lots[i].Items {
					h.Lots[i].Items[j].Weighed = false
				}
			}
		}, []lotfile.Gap{{For: "sharing by weight, and freight", Missing: "weight", Of: all, Remedy: "weight: 1.9 kg"}, bank}},
		{"a value", func(h *landed.Haul) {
			classify(h)
			h.Home = money.MustCurrency("USD")
			h.Market = typed.Market(h.Date, "100 JPY = 0.67 USD", "1 CAD = 0.73 USD")
			h.Lots[0].Items[1].Value = money.Amount{}
		}, []lotfile.Gap{{For: "sharing by value, and selling", Missing: "value", Of: []string{"block"}, Remedy: "value: 38 USD"},
			{For: "the final account", Missing: "what the bank took", Of: []string{"crate-a"}, Remedy: "settled: 41.37 USD"}}},
		{"rates", func(h *landed.Haul) {
			classify(h)
			h.Market = nil
			h.Charges[1].Amount = typed.Amount("2 USD")
		}, []lotfile.Gap{{For: "converting JPY", Missing: "rate", Remedy: "exchange: rates: - 100 JPY = … CAD"},
			{For: "converting USD", Missing: "rate", Remedy: "exchange: rates: - 100 USD = … CAD"}, bank}},
		{"rates of what is hoped for, and of what was sold", func(h *landed.Haul) {
			classify(h)
			h.Lots[0].Items[0].Chances = []landed.Outcome{{Chance: typed.Number("1"), Value: typed.Amount("30 GBP")}}
			h.Lots[0].Items[1].Sold = []landed.Sale{{Count: 1, Price: typed.Amount("40 CAD"), Fees: typed.Amount("2 USD")}}
		}, []lotfile.Gap{{For: "converting GBP", Missing: "rate", Remedy: "exchange: rates: - 100 GBP = … CAD"},
			{For: "converting USD", Missing: "rate", Remedy: "exchange: rates: - 100 USD = … CAD"}, bank}},
		{"when and where", func(h *landed.Haul) {
			classify(h)
			h.Date, h.From, h.To = time.Time{}, "", ""
		}, []lotfile.Gap{{For: "rate tables and customs rules", Missing: "date", Remedy: "date: 2026-10-03"},
			{For: "customs", Missing: "from, the country of dispatch", Remedy: "from: JP"},
			{For: "customs", Missing: "to, the country of entry", Remedy: "to: CA-ON"}, bank}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := parse(t, crates).Haul
			c.spoil(h)
			if got := (&lotfile.File{Haul: h}).Gaps(); !reflect.DeepEqual(got, c.want) {
				t.Errorf("got\n%+v\nwant\n%+v", got, c.want)
			}
		})
	}
}

// classify gives every item a customs class, and the haul a border.
func classify(h *landed.Haul) {
	h.Border = &landed.Border{}
	for i := range h.Lots {
		for j := range h.Lots[i].Items {
			h.Lots[i].Items[j].Class = "hand-tool"
		}
	}
}

// What a plan for sending asks for: the sizes of the lots, and the day on which
// each arrived where storage is paid by the day.
func TestSendingGaps(t *testing.T) {
	f := parse(t, crates)
	f.Sending = &together.Sending{Forwarder: &freight.Forwarder{PerDay: typed.Amount("20 JPY")}}
	f.Lots[0].Size, f.Lots[0].Arrived = measure.Size{L: 1, W: 1, H: 1}, f.Date
	want := map[string]bool{"size of the lot": true, "day of arrival": true}
	for _, gap := range f.Gaps() {
		if want[gap.Missing] && (len(gap.Of) != 1 || gap.Of[0] != "crate-b") {
			t.Errorf("%s is missing of %v", gap.Missing, gap.Of)
		}
		delete(want, gap.Missing)
	}
	if len(want) > 0 {
		t.Errorf("not told: %v", want)
	}
}

// What a file with decimal commas lacks is shown in its own marks.
func TestGapsInMarks(t *testing.T) {
	f, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\ndecimal: comma\nhome: EUR\nlots: [{id: a, price: 1, items: [{id: x}]}]\n"), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, gap := range f.Gaps() {
		if gap.Missing == "weight" && gap.Remedy != "weight: 1,9 kg" {
			t.Error(gap.Remedy)
		}
	}
}

// What is still missing for the steps to come.
func ExampleFile_Gaps() {
	f, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nexchange: {rates: [100 JPY = 0.93 CAD]}\n"+
		"lots: [{id: crate-a, price: 4200 JPY, items: [{id: jack, weight: 1.9 kg, value: 38 CAD}, {id: block, weight: 780 g, value: 24 CAD}]}]\n"), ".", lotfile.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, gap := range f.Gaps() {
		fmt.Printf("for %s: %s %v, as in %s\n", gap.For, gap.Missing, gap.Of, gap.Remedy)
	}
	// Output:
	// for customs: to, the country of entry [], as in to: CA-ON
	// for what the border adds: customs section [], as in customs: {use: personal, by: post}
	// for duty: customs class [jack block], as in class: hand-tool
	// for the final account: what the bank took [crate-a], as in settled: 41.37 CAD
}
