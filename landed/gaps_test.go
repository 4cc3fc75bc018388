package landed_test

import (
	"reflect"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/money"
)

// TestGaps checks what is told to be missing, and of which lots and items.
func TestGaps(t *testing.T) {
	all := []string{"jack", "block", "compass"}
	classes := landed.Gap{For: "duty", Missing: "customs class", Of: all, Remedy: "class: hand-tool"}
	border := landed.Gap{For: "what the border adds", Missing: "customs section", Remedy: "customs: {use: personal, by: post}"}
	bank := landed.Gap{For: "the final account", Missing: "what the bank took", Of: []string{"crate-a"}, Remedy: "settled: 41.37 CAD"}
	cases := []struct {
		name  string
		spoil func(h *landed.Haul)
		want  []landed.Gap
	}{
		{"as it stands", func(h *landed.Haul) {}, []landed.Gap{border, classes, bank}},
		{"with a section for the border", func(h *landed.Haul) { h.Border = &landed.Border{} }, []landed.Gap{classes, bank}},
		{"within a union", func(h *landed.Haul) { h.From, h.To = "FR", "DE" }, []landed.Gap{bank}},
		{"to an unknown country, in foreign money", func(h *landed.Haul) { classify(h); h.Border, h.To = nil, "" },
			[]landed.Gap{{For: "customs", Missing: "to, the country of entry", Remedy: "to: CA-ON"}, border, bank}},
		{"to an unknown country, in money of home", func(h *landed.Haul) { h.To, h.Lots[0].Price, h.Lots[1].Price = "", amount("40 CAD"), amount("40 CAD") },
			[]landed.Gap{{For: "customs", Missing: "to, the country of entry", Remedy: "to: CA-ON"}}},
		{"nothing is missing", func(h *landed.Haul) {
			classify(h)
			h.Lots[0].Settled = amount("44.04 CAD")
		}, nil},
		{"bought at home", func(h *landed.Haul) {
			classify(h)
			h.Lots[0].Price = amount("40 CAD")
		}, nil},
		{"no weights", func(h *landed.Haul) {
			classify(h)
			for i := range h.Lots {
				for j := range h.Lots[i].Items {
					h.Lots[i].Items[j].Weighed = false
				}
			}
		}, []landed.Gap{{For: "sharing by weight, and freight", Missing: "weight", Of: all, Remedy: "weight: 1.9 kg"}, bank}},
		{"a value", func(h *landed.Haul) {
			classify(h)
			h.Home = usd
			h.Market = market("100 JPY = 0.67 USD", "1 CAD = 0.73 USD")
			h.Lots[0].Items[1].Value = money.Amount{}
		}, []landed.Gap{{For: "sharing by value, and selling", Missing: "value", Of: []string{"block"}, Remedy: "value: 38 USD"},
			{For: "the final account", Missing: "what the bank took", Of: []string{"crate-a"}, Remedy: "settled: 41.37 USD"}}},
		{"rates", func(h *landed.Haul) {
			classify(h)
			h.Market = nil
			h.Charges[1].Amount = amount("2 USD")
		}, []landed.Gap{{For: "converting JPY", Missing: "rate", Remedy: "exchange: rates: - 100 JPY = … CAD"},
			{For: "converting USD", Missing: "rate", Remedy: "exchange: rates: - 100 USD = … CAD"}, bank}},
		{"when and where", func(h *landed.Haul) {
			classify(h)
			h.Date, h.From, h.To = time.Time{}, "", ""
		}, []landed.Gap{{For: "rate tables and customs rules", Missing: "date", Remedy: "date: 2026-10-03"},
			{For: "customs", Missing: "from, the country of dispatch", Remedy: "from: JP"},
			{For: "customs", Missing: "to, the country of entry", Remedy: "to: CA-ON"}, bank}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := crates()
			c.spoil(h)
			if got := h.Gaps(); !reflect.DeepEqual(got, c.want) {
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
