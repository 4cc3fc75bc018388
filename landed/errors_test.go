package landed_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// TestFaults compares the whole text of what Split says about a wrong haul:
// all the faults, in order.
func TestFaults(t *testing.T) {
	cases := []struct {
		name  string
		spoil func(h *landed.Haul)
		want  []string
	}{
		{"no home", func(h *landed.Haul) { h.Home = 0 },
			[]string{`home: the home currency is missing: write the currency of your books`}},
		{"no lots", func(h *landed.Haul) { h.Lots, h.Charges = nil, nil },
			[]string{`lots: the haul has no lots: add at least one lot with its items`}},
		{"no items", func(h *landed.Haul) { h.Lots[1].Items = nil },
			[]string{`lot crate-b: the lot has no items: list what is in it under items`}},
		{"no ids", func(h *landed.Haul) { h.Lots[1].ID, h.Lots[0].Items[0].ID = "", "" },
			[]string{`item: the id is missing: give each item a short id of its own`,
				`lot: the id is missing: give each lot a short id of its own`}},
		{"lot id twice", func(h *landed.Haul) { h.Lots[1].ID = "crate-a" },
			[]string{`lot crate-a: the id "crate-a" stands twice: give each lot an id of its own, as in crate-a-2`}},
		{"lot id twice, where a parcel asks for another", func(h *landed.Haul) {
			h.Parcels = []landed.Parcel{{ID: "p1", Lots: []string{"crate-a", "crate-b"}}}
			h.Lots[1].ID, h.Charges[3].On = "crate-a", []string{"crate-b"}
		}, []string{`lot crate-a: the id "crate-a" stands twice: give each lot an id of its own, as in crate-b`}},
		{"item id twice", func(h *landed.Haul) {
			h.Lots[0].Items[0].At = source.Origin{File: "haul.yaml", Line: 12, Column: 9}
			h.Lots[1].Items[0].At = source.Origin{File: "haul.yaml", Line: 20, Column: 9}
			h.Lots[1].Items[0].ID = "jack"
		}, []string{`haul.yaml:20:9: item jack: the id "jack" stands twice, first on line 12: give each item an id of its own, as in jack-2`}},
		{"no pieces", func(h *landed.Haul) { h.Lots[0].Items[1].Count = 0 },
			[]string{`item block: the count is 0: write how many pieces there are, or, of pieces that nobody paid for, how many were found extra`}},
		{"too many pieces", func(h *landed.Haul) { h.Lots[0].Items[1].Count = landed.MaxCount + 1 },
			[]string{`item block: the count is 1000000000001: write how many pieces there are, from 1 to 1000000000000`}},
		{"negative weight and value", func(h *landed.Haul) {
			h.Lots[0].Items[0].Weight = -1
			h.Lots[0].Items[0].Value = amount("-0.01 CAD")
		}, []string{`item jack: the weight is negative: write what one piece weighs`,
			`item jack: the value is negative: write what one piece should sell for when right, or 0`}},
		{"missing weight", func(h *landed.Haul) { h.Lots[0].Items[1].Weighed = false },
			[]string{`item block: has no weight, but the freight "Surface parcel" is shared by weight: write what one piece weighs, or share that cost by count, value or line`}},
		{"missing value", func(h *landed.Haul) { h.Lots[1].Items[0].Value = money.Amount{} },
			[]string{`item compass: has no value, but the price of lot crate-b is shared by value: write what one piece should sell for when right, or share that cost by weight, count or line`}}, // once, though the insurance goes by value too
		{"missing value of many currencies", func(h *landed.Haul) {
			h.Charges = nil
			h.Lots[0].Items[0].Value = amount("4000 JPY")
			h.Lots[1].Items[0].Value = money.Amount{}
		}, []string{`item compass: has no value, but the price of lot crate-b is shared by value: write what one piece should sell for when right, or share that cost by weight, count or line`}},
		{"all weights zero", func(h *landed.Haul) {
			for i := range h.Lots {
				for j := range h.Lots[i].Items {
					h.Lots[i].Items[j].Weight = 0
				}
			}
		}, []string{`charge "Surface parcel": cannot share the freight "Surface parcel" by weight: the weight of item jack and 2 more is zero: give at least one of them a weight, or share by another basis`}},
		{"all values of a lot zero", func(h *landed.Haul) { h.Lots[1].Items[0].Value = amount("0 CAD") },
			[]string{`lot crate-b: price: cannot share the price of lot crate-b by value: the value of item compass is zero: give at least one of them a value, or share by another basis`}},
		{"a price as a charge", func(h *landed.Haul) { h.Charges[0].Kind = landed.Price },
			[]string{`charge "Surface parcel": a price belongs to a lot: give it as that of the lot`}},
		{"a duty as a charge", func(h *landed.Haul) { h.Charges[0].Kind = landed.Duty },
			[]string{`charge "Surface parcel": that is no kind of charge: use freight, insurance, fee or repair`}},
		{"no kind at all", func(h *landed.Haul) { h.Charges[0].Kind = 77 },
			[]string{`charge "Surface parcel": that is no kind of charge: use freight, insurance, fee or repair`}},
		{"an amount and a percentage", func(h *landed.Haul) { h.Charges[2].Amount = amount("5 CAD") },
			[]string{`charge "Transit cover": there is an amount and a percentage of price: give one of them`}},
		{"a percentage of nothing", func(h *landed.Haul) { h.Charges[0].Percent = number("0.1") },
			[]string{`charge "Surface parcel": there is a percentage, but not of price: say that it is of price, or give an amount`}},
		{"a percentage of many digits", func(h *landed.Haul) { h.Charges[2].Percent = decimal.New(1, math.MaxInt32) },
			[]string{`charge "Transit cover": the percentage has too many digits: write it as in 1.5% of price`}},
		{"per nothing", func(h *landed.Haul) { h.Charges[1].Per = 9 },
			[]string{`charge "Packing": that is nothing a charge is asked for: use haul, parcel, lot, item or piece`}},
		{"by nothing", func(h *landed.Haul) { h.Charges[1].By = 9 },
			[]string{`charge "Packing": there is no such basis: use weight, count, value or line`}},
		{"dutiable in no way", func(h *landed.Haul) { h.Charges[1].Dutiable = 9 },
			[]string{`charge "Packing": there is no such way to count in the value for customs: say whether it counts to the goods, nowhere, or as its kind does`}},
		{"shared by nothing", func(h *landed.Haul) { h.Share[landed.Freight] = 9 },
			[]string{`share: freight: there is no such basis: use weight, count, value or line`}},
		{"no such rule of losses", func(h *landed.Haul) { h.Losses = 9 },
			[]string{`losses: there is no such rule: use item, lot, haul or written-off`}},
		{"no such currency", func(h *landed.Haul) {
			h.Home = 250
			h.Charges, h.Market, h.Lots = nil, nil, h.Lots[:1]
			h.Lots[0].Price = money.New(1, 250)
		},
			[]string{`home: the home currency is none that is known: give the currency of your books, such as CAD`}},
		{"a negative premium", func(h *landed.Haul) { h.Lots[0].Premium = number("-0.1") },
			[]string{`lot crate-a: a premium of -10% makes no sense: write the buyer's premium`}},
		{"a spread of many digits", func(h *landed.Haul) { h.Spread = decimal.New(1, math.MaxInt32) },
			[]string{`exchange: spread: a spread of that many digits makes no sense: write what the card adds to the rate`}},
		{"a chance of many digits", func(h *landed.Haul) {
			h.Lots[0].Items[0].Chances = []landed.Outcome{{Chance: decimal.New(1, math.MinInt32), Value: amount("1 CAD")}}
		}, []string{`item jack: chances: a chance of that many digits makes no sense: write one from 0% to 100%`}},
		{"a repair below nothing", func(h *landed.Haul) {
			h.Lots[0].Items[0].Chances = []landed.Outcome{{Chance: number("1"), Value: amount("1 CAD"), Repair: amount("-1 CAD")}}
		}, []string{`item jack: chances: the repair is negative: write what is spent on it, 0 or more`}},
		{"sales of nothing", func(h *landed.Haul) {
			h.Lots[0].Items[0].Sold = []landed.Sale{{Price: amount("9 CAD")}, {Count: 1}}
		}, []string{`item jack: sold: a sale of 0 pieces makes no sense: write how many were sold together`,
			`item jack: sold: the price is missing: write what the buyer paid`}},
		{"negative work", func(h *landed.Haul) {
			it := &h.Lots[0].Items[0]
			it.PartsValue, it.Repair, it.Worth, it.Hours = amount("-1 CAD"), amount("-2 CAD"), amount("-3 CAD"), number("-1")
		}, []string{`item jack: parts-value: -1.00 CAD is negative: write an amount of 0 or more`,
			`item jack: repair: -2.00 CAD is negative: write an amount of 0 or more`,
			`item jack: worth: -3.00 CAD is negative: write an amount of 0 or more`,
			`item jack: hours: the hours are negative, or have too many digits: write how many were worked`}},
		{"too much found", func(h *landed.Haul) {
			h.Lots[0].Items[0].Found = &landed.Found{Sound: math.MaxInt64, Dead: math.MaxInt64}
		},
			[]string{`item jack: found: there are too many pieces: write how many there are of each, up to 1000000000000`}},
		{"a count that cannot be, and what was found", func(h *landed.Haul) {
			h.Lots[0].Items[0].Count, h.Lots[0].Items[0].Found = -2, &landed.Found{Sound: 1}
		}, []string{`item jack: the count is -2: write how many pieces there are, from 1 to 1000000000000`}},
		{"a border without rules", func(h *landed.Haul) { h.Border = &landed.Border{} },
			[]string{`customs: there are no rules: give those that are shipped, or your own`}},
		{"a use that is none", func(h *landed.Haul) { h.Border = &landed.Border{Book: customs.NewBook(), Use: 9} },
			[]string{`customs: there is no such use: use personal, gift, resale or returned`}},
		{"a way in that is none", func(h *landed.Haul) { h.Border = &landed.Border{Book: customs.NewBook(), Mode: 9} },
			[]string{`customs: there is no such way in: use post, courier or cargo`}},
		{"a seller who did and did not", func(h *landed.Haul) {
			h.Border = &landed.Border{Book: customs.NewBook(), TaxPaid: true, Private: true}
		}, []string{`customs: the seller cannot both have charged the tax and have charged none: say one of them`}},
		{"nobody paid for any of it", func(h *landed.Haul) {
			h.Lots[1].Items[0].Count, h.Lots[1].Items[0].Found = 0, &landed.Found{Sound: 3, Extra: 3}
			h.Charges = nil
		}, []string{`lot crate-b: price: nobody paid for what the price of lot crate-b is shared over: its count is 0: count what was paid for`}},
		{"unknown id", func(h *landed.Haul) { h.Charges[3].On = []string{"crate-a", "jakc"} },
			[]string{`charge "Oil": no lot or item has the id "jakc": did you mean jack?`}},
		{"unknown id like none", func(h *landed.Haul) { h.Charges[3].On, h.Charges[3].What = []string{"oilstone"}, "" },
			[]string{`charge: no lot or item has the id "oilstone": known here: crate-a, crate-b, jack, block, compass`}},
		{"id of a parcel", func(h *landed.Haul) {
			h.Parcels = []landed.Parcel{{ID: "p1", Lots: []string{"crate-a", "crate-b"}}}
			h.Charges[3].On = []string{"p1"}
		}, []string{`charge "Oil": no lot or item has the id "p1": it is a parcel: name the lots in it, crate-a, crate-b`}},
		{"id of a lot and of an item", func(h *landed.Haul) { h.Lots[0].Items[0].ID = "crate-a" },
			[]string{`charge "Oil": "crate-a" is the id of a lot and of an item: give one of them another id`}},
		{"item under a percentage", func(h *landed.Haul) { h.Charges[2].On = []string{"crate-b", "jack"} },
			[]string{`charge "Transit cover": "jack" is an item, but a percentage of price covers lots: name the lot, or write an amount`}},
		{"percentage per item", func(h *landed.Haul) { h.Charges[2].Per = landed.PerItem },
			[]string{`charge "Transit cover": a percentage of price cannot be per item: use per: haul, parcel or lot, since a price belongs to a lot`}},
		{"percentage per piece", func(h *landed.Haul) { h.Charges[2].Per = landed.PerPiece },
			[]string{`charge "Transit cover": a percentage of price cannot be per piece: use per: haul, parcel or lot, since a price belongs to a lot`}},
		{"parcels", func(h *landed.Haul) {
			h.Parcels = []landed.Parcel{{ID: "p1", Lots: []string{"crate-a", "crate-a", "crat-b"}}, {ID: "p1"}, {Lots: []string{"oilstone"}}}
		}, []string{`parcel: the id is missing: give each parcel a short id of its own`,
			`parcel p1: the id "p1" stands twice: give each parcel an id of its own, as in p1-2`,
			`parcel p1: lot crate-a travels in parcel p1 already: name each lot in one parcel`,
			`parcel p1: no lot has the id "crat-b": did you mean crate-b?`,
			`parcel p1: the parcel holds no lots: list them`,
			`parcel : no lot has the id "oilstone": known here: crate-a, crate-b`}},
		{"no rate for a parcel", func(h *landed.Haul) {
			h.Parcels = []landed.Parcel{{ID: "p1", Lots: []string{"crate-a", "crate-b"}, Carriage: landed.Carriage{Freight: amount("9 USD")}}}
		}, []string{`parcel p1: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`}},
		{"settled elsewhere", func(h *landed.Haul) {
			h.Lots[1].Settled, h.Charges[0].Settled = amount("3000 JPY"), amount("70.02 USD")
		},
			[]string{`lot crate-b: price: settled is in JPY, but home is CAD: write what the bank took, in CAD`,
				`charge "Surface parcel": settled is in USD, but home is CAD: write what the bank took, in CAD`}},
		{"no price", func(h *landed.Haul) { h.Lots[0].Price = money.Amount{} },
			[]string{`lot crate-a: the price is missing: write what the whole lot cost`}},
		{"no amount", func(h *landed.Haul) { h.Charges[1].Amount = money.Amount{} },
			[]string{`charge "Packing": the amount is missing: write what was asked`}},
		{"no market", func(h *landed.Haul) { h.Market, h.Charges = nil, nil },
			[]string{`lot crate-a: price: no rate from JPY to CAD: state one ("100 JPY = … CAD") or give a table that holds it`}},
		{"no rate for a charge", func(h *landed.Haul) { h.Charges[1].Amount = amount("5 USD"); h.Charges[1].Per = landed.PerHaul },
			[]string{`charge "Packing": no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`}},
		{"no rate for a value", func(h *landed.Haul) { h.Lots[0].Items[1].Value = amount("20 USD") },
			[]string{`item block: value: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`}},
		{"assessed", func(h *landed.Haul) { h.Charges[1].By = landed.ByAssessed; h.Charges[1].Per = landed.PerHaul },
			[]string{`charge "Packing": shared as assessed, but nothing was assessed: share it by weight, count, value or line`}},
		{"too large when converted", func(h *landed.Haul) {
			h.Market = market("1 JPY = 100 CAD")
			h.Lots[0].Price, h.Lots[0].Premium = money.New(math.MaxInt64, jpy), number("0")
			h.Charges = nil
		}, []string{`lot crate-a: price: amount is too large to be held exactly: check the figures: no purchase is that large`}},
		{"too large for all pieces", func(h *landed.Haul) {
			h.Charges = []landed.Charge{{What: "Oil", Kind: landed.Repair, Amount: money.New(math.MaxInt64, cad), Per: landed.PerPiece, On: []string{"compass"}}}
		}, []string{`charge "Oil": amount is too large to be held exactly: check the figures: no purchase is that large`}},
		{"too large in all", func(h *landed.Haul) {
			h.Charges = nil
			h.Lots[0].Settled, h.Lots[1].Settled = money.New(math.MaxInt64, cad), money.New(1, cad)
		}, []string{`total: amount is too large to be held exactly: check the figures: no purchase is that large`}},
		{"too large for an item", func(h *landed.Haul) {
			h.Lots[0].Settled, h.Lots[1].Settled = money.New(0, cad), money.New(0, cad)
			h.Charges = []landed.Charge{
				{What: "a", Kind: landed.Fee, Amount: money.New(math.MaxInt64, cad), On: []string{"jack"}},
				{What: "b", Kind: landed.Fee, Amount: money.New(-math.MaxInt64, cad), On: []string{"block"}},
				{What: "c", Kind: landed.Freight, Amount: money.New(math.MaxInt64, cad), On: []string{"jack"}},
				{What: "d", Kind: landed.Fee, Amount: money.New(-math.MaxInt64, cad), On: []string{"compass"}}}
		}, []string{`total: amount is too large to be held exactly: check the figures: no purchase is that large`}},
		{"too large for a kind", func(h *landed.Haul) {
			h.Lots[0].Settled, h.Lots[1].Settled = money.New(0, cad), money.New(0, cad)
			h.Charges = []landed.Charge{
				{What: "a", Kind: landed.Fee, Amount: money.New(math.MaxInt64, cad), On: []string{"jack"}},
				{What: "b", Kind: landed.Repair, Amount: money.New(-math.MaxInt64, cad), On: []string{"jack"}},
				{What: "c", Kind: landed.Fee, Amount: money.New(math.MaxInt64, cad), On: []string{"block"}},
				{What: "d", Kind: landed.Repair, Amount: money.New(-math.MaxInt64, cad), On: []string{"block"}}}
		}, []string{`total: amount is too large to be held exactly: check the figures: no purchase is that large`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			h := crates()
			c.spoil(h)
			st, err := landed.Split(h)
			if err == nil || st != nil {
				t.Fatalf("Split accepted it: %v", st)
			}
			if got, want := err.Error(), strings.Join(c.want, "\n"); got != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
			var faults source.Faults
			if !errors.As(err, &faults) || len(faults) != len(c.want) {
				t.Errorf("got %T with %d faults, want %d", err, len(faults), len(c.want))
			}
		})
	}
}

// TestFaultsTogether checks that one call tells every fault there is, in the
// order of the text.
func TestFaultsTogether(t *testing.T) {
	h := crates()
	h.Home = 0
	for i := range h.Lots {
		h.Lots[i].At = source.Origin{File: "haul.yaml", Line: 10 * (i + 1), Column: 5}
		for j := range h.Lots[i].Items {
			h.Lots[i].Items[j].At = source.Origin{File: "haul.yaml", Line: 10*(i+1) + 5 + j, Column: 9}
		}
	}
	for i := range h.Charges {
		h.Charges[i].At = source.Origin{File: "haul.yaml", Line: 30 + i, Column: 5}
	}
	h.Lots[0].Items[0].Count = -2
	h.Lots[1].ID = "crate-a"
	h.Charges[2].Per = landed.PerPiece
	h.Charges[3].On = []string{"crate-c"}
	h.At = source.Origin{File: "haul.yaml", Line: 1, Column: 1}
	want := strings.Join([]string{
		`haul.yaml:1:1: home: the home currency is missing: write the currency of your books`,
		`haul.yaml:15:9: item jack: the count is -2: write how many pieces there are, from 1 to 1000000000000`,
		`haul.yaml:20:5: lot crate-a: the id "crate-a" stands twice, first on line 10: give each lot an id of its own, as in crate-a-2`,
		`haul.yaml:32:5: charge "Transit cover": a percentage of price cannot be per piece: use per: haul, parcel or lot, since a price belongs to a lot`,
		`haul.yaml:33:5: charge "Oil": no lot or item has the id "crate-c": did you mean crate-a?`,
	}, "\n")
	if _, err := landed.Split(h); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	h.Home = cad
	if found := h.Check(); len(found) != 4 {
		t.Errorf("Check found %d faults, want 4: %v", len(found), found)
	}
}

// TestFaultsOfSharing checks that faults found while sharing are reported together
// too, and where they stand.
func TestFaultsOfSharing(t *testing.T) {
	h := crates()
	at := func(line int) source.Origin { return source.Origin{File: "haul.yaml", Line: line, Column: 3} }
	h.Lots[0].At, h.Lots[0].Items[0].At, h.Charges[1].At = at(4), at(7), at(24)
	h.Lots[0].Items[0].Weighed = false
	h.Lots[0].Price = amount("50 USD")
	h.Charges[1].Settled = amount("3 USD")
	h.Charges[1].Per = landed.PerHaul
	want := strings.Join([]string{
		`haul.yaml:4:3: lot crate-a: price: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`,
		`haul.yaml:7:3: item jack: has no weight, but the freight "Surface parcel" is shared by weight: write what one piece weighs, or share that cost by count, value or line`,
		`haul.yaml:24:3: charge "Packing": settled is in USD, but home is CAD: write what the bank took, in CAD`,
	}, "\n")
	if _, err := landed.Split(h); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// TestFaultsWithoutRate: what else is wrong is told beside a rate that is missing, and the rate
// once.
func TestFaultsWithoutRate(t *testing.T) {
	h := crates()
	h.Share[landed.Price] = landed.ByValue
	h.Lots[0].Price = amount("50 USD")
	h.Lots[0].Items[0].Value, h.Lots[0].Items[1].Value = amount("20 USD"), money.Amount{}
	h.Lots[1].Items[0].Value, h.Lots[1].Items[0].Weighed = amount("20 KRW"), false
	h.Charges[0].Amount = amount("70 USD")
	h.Border = &landed.Border{Book: customs.NewBook()}
	h.To, h.Date = "", time.Time{}
	want := strings.Join([]string{
		`lot crate-a: price: no rate from USD to CAD: state one ("100 USD = … CAD") or give a table that holds it`,
		`item block: has no value, but the price of lot crate-a is shared by value: write what one piece should sell for when right, or share that cost by weight, count or line`,
		`item compass: value: no rate from KRW to CAD: state one ("100 KRW = … CAD") or give a table that holds it`,
		`item compass: has no weight, but the freight "Surface parcel" is shared by weight: write what one piece weighs, or share that cost by count, value or line`,
		`customs: the day of purchase is missing, and it picks the rules: write it at the top`,
		`customs: the country of entry is missing: write it at the top`,
	}, "\n")
	if _, err := landed.Split(h); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// TestNothingToShare checks that a weight is not asked for where there is
// nothing to share.
func TestNothingToShare(t *testing.T) {
	h := crates()
	h.Charges = []landed.Charge{{What: "Collected in person", Kind: landed.Freight, Amount: amount("0 JPY")}}
	for i := range h.Lots {
		h.Lots[i].Price, h.Lots[i].Settled = amount("0 JPY"), money.Amount{}
		for j := range h.Lots[i].Items {
			h.Lots[i].Items[j].Weighed, h.Lots[i].Items[j].Value = false, money.Amount{}
		}
	}
	st := split(t, h)
	if st.Total != amount("0.00 CAD") || len(st.Lines) != 4 {
		t.Errorf("%d lines come to %v", len(st.Lines), st.Total)
	}
	for _, it := range st.Items {
		if it.Bears(landed.Price) || it.Cost.Number() != "0.00" {
			t.Errorf("item %s bears a price of nothing: %v", it.ID, it.Cost)
		}
	}
}

// TestDistantIDs checks that an id far down a long list is still found, and
// that suggestions stop somewhere.
func TestDistantIDs(t *testing.T) {
	h := manyItems(1000)
	h.Charges = []landed.Charge{{What: "Oil", Kind: landed.Repair, Amount: amount("1 CAD"), On: []string{"item-999"}}}
	if st := split(t, h); st.Items[999].Share(landed.Repair) != amount("1.00 CAD") {
		t.Errorf("item-999 bears %v", st.Items[999].Share(landed.Repair))
	}
	h.Charges[0].On = []string{"zzz"}
	if _, err := landed.Split(h); err == nil || len(err.Error()) > 3000 {
		t.Errorf("got %v", err)
	}
}

// TestMissing: a caller can tell which figure is missing.
func TestMissing(t *testing.T) {
	for want, spoil := range map[string]func(h *landed.Haul){
		"weight":    func(h *landed.Haul) { h.Lots[0].Items[0].Weighed = false },
		"value CAD": func(h *landed.Haul) { h.Lots[0].Items[0].Value = money.Amount{} },
		"price":     func(h *landed.Haul) { h.Lots[0].Price = money.Amount{} },
		"amount":    func(h *landed.Haul) { h.Charges[1].Amount = money.Amount{} },
		"home":      func(h *landed.Haul) { h.Home = 0 },
		"date":      func(h *landed.Haul) { h.Border, h.Date = &landed.Border{Book: customs.NewBook()}, time.Time{} },
		"from":      func(h *landed.Haul) { h.Border, h.From = &landed.Border{Book: customs.NewBook()}, "" },
		"to":        func(h *landed.Haul) { h.Border, h.To = &landed.Border{Book: customs.NewBook()}, "" },
	} {
		h := crates()
		spoil(h)
		_, err := landed.Split(h)
		var missing *source.Fault
		if !errors.As(err, &missing) || missing.Figure != want {
			t.Errorf("without %s: %v", want, err)
		}
	}
	h := crates()
	h.Lots[0].Open = true
	var missing *source.Fault
	if _, err := landed.Split(h); !errors.As(err, &missing) || missing.Figure != "open-price" {
		t.Errorf("with an open price: %v", err)
	}
}
