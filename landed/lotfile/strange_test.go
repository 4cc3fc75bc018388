package lotfile_test

import (
	"strings"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// What changes the meaning of a figure in silence, each as one fault or one
// warning at the key that is meant; an empty text says that all is well.
var strange = []struct {
	name  string
	edits []string // of aFile
	want  string
}{
	{"bare price among foreign charges", []string{"price: 4200 JPY", "price: ‸42"},
		`@: lot crate-a: price: "42" may be in CAD or in JPY, which stands elsewhere: write 42 CAD or 42 JPY`},
	{"bare price with decimals that JPY has not", []string{"price: 4200 JPY", "price: ‸42.50"},
		`@: lot crate-a: price: "42.50" may be in CAD or in JPY, which stands elsewhere: write 42.50 CAD`},
	{"bare price with decimals that home has not", []string{"from: JP", "from: US", "home: CAD", "home: JPY", "100 JPY = 0.93 CAD", "1 CAD = 108 JPY", "price: 4200 JPY", "price: ‸42.50", "7400 JPY", "74.00 CAD", "38 CAD", "3800 JPY", "12 CAD", "1200 JPY"},
		`@: lot crate-a: price: "42.50" is no amount in JPY, but in CAD, which stands elsewhere: write 42.50 CAD`},
	{"bare price with bids abroad", []string{"price: 4200 JPY", "price: ‸42", "amount: 7400 JPY", "amount: 74", "charges:", "bidding: {start: 500 JPY}\ncharges:"},
		`@: lot crate-a: price: "42" may be in CAD or in JPY, which stands elsewhere: write 42 CAD or 42 JPY`},
	{"bare price with another lot abroad", []string{"amount: 7400 JPY", "amount: 74", "charges:", "  - {id: crate-b, price: ‸30, items: [{id: block, weight: 1 kg, value: 3}]}\ncharges:"},
		`@: lot crate-b: price: "30" may be in CAD or in JPY, which stands elsewhere: write 30 CAD or 30 JPY`},
	{"bare price below zero, which is none in any currency", []string{"price: 4200 JPY", "price: ‸-3"},
		"@: lot crate-a: price: a price is never negative: write a refund as a charge with a negative amount"},
	{"bare price where all is home", []string{"price: 4200 JPY", "price: 42", "amount: 7400 JPY", "amount: 74"}, ""},
	{"a price of nothing", []string{"price: 4200 JPY", "price: 0"}, ""},
	{"a price with its currency", []string{"price: 4200 JPY", "price: 42 CAD"}, ""},
	{"bare amounts elsewhere", []string{"amount: 7400 JPY", "amount: 74"}, ""},

	{"bare target", []string{"charges:", "selling: {target: ‸25, venues: [{name: gable, currency: CAD}]}\ncharges:"},
		`@: selling: target: "25" may be a percentage or an amount: write 25% or 25% on cost or 25 CAD`},
	{"bare target that is a fraction", []string{"charges:", "selling: {target: ‸0.25, venues: [{name: gable, currency: CAD}]}\ncharges:"},
		`@: selling: target: "0.25" may be a percentage or an amount: write 0.25% or 25% or 0.25 CAD`},
	{"bare target above the price", []string{"charges:", "selling: {target: ‸250, venues: [{name: gable, currency: CAD}]}\ncharges:"},
		`@: selling: target: "250" may be a percentage or an amount: write 250% on cost or 250 CAD`},
	{"bare target below nothing", []string{"charges:", "selling: {target: ‸-5, venues: [{name: gable, currency: CAD}]}\ncharges:"},
		`@: selling: target: "-5" is a loss: write the profit you want, 0 or more; without a target it is break-even`},
	{"no target", []string{"charges:", "selling: {target: 0, venues: [{name: gable, currency: CAD}]}\ncharges:"}, ""},

	{"a name of several pieces", []string{"lots:\n", "lots:\n  - {id: crate-b, price: 30 CAD, items: [{id: block, what: ‸2 x block plane, weight: 1 kg, value: 3}]}\n"},
		`@: warning: item block: what: "2 x block plane" may be 2 pieces, and is counted as one: write count: 2 beside it, or count: 1`},
	{"a name of several pieces at its end", []string{"lots:\n", "lots:\n  - {id: crate-b, price: 30 CAD, items: [{id: block, what: ‸Chisels (old) x12, weight: 1 kg, value: 3}]}\n"},
		`@: warning: item block: what: "Chisels (old) x12" may be 12 pieces, and is counted as one: write count: 12 beside it, or count: 1`},
	{"a name of several pieces that are counted", []string{"lots:\n", "lots:\n  - {id: crate-b, price: 30 CAD, items: [{id: block, what: 2 x block plane, count: 1, weight: 1 kg, value: 3}]}\n"}, ""},
	{"names of one piece", []string{"lots:\n", "lots:\n  - {id: crate-b, price: 30 CAD, items: [{id: a, what: 2 x 4 rule, weight: 1 kg, value: 3}, {id: b, what: Box 2, weight: 1 kg, value: 3}, {id: c, what: 1 x plane, weight: 1 kg, value: 3}, {id: d, what: Jack X5, weight: 1 kg, value: 3}, {id: e, what: Plate 3 x4, weight: 1 kg, value: 3}]}\n"}, ""},

	{"settled as a bank's statement has it", []string{"price: 4200 JPY", "price: 4200 JPY\n    settled: ‸-41.37"}, `@: warning: lot crate-a: settled: "-41.37 CAD" is taken off the cost: write 41.37 CAD if the bank took it`},
	{"settled alone, as a bank's statement has it", []string{"price: 4200 JPY", "settled: ‸-41.37"}, `@: warning: lot crate-a: settled: "-41.37 CAD" is taken off the cost: write 41.37 CAD if the bank took it`},
	{"a charge settled below nothing", []string{"amount: 7400 JPY", "amount: 7400 JPY\n    settled: ‸-70 CAD"}, `@: warning: charge "Parcel": settled: "-70.00 CAD" is taken off the cost: write 70.00 CAD if the bank took it`},
	{"a refund settled above nothing", []string{"amount: 7400 JPY", "amount: -400 JPY\n    settled: ‸3.70 CAD"}, `@: warning: charge "Parcel": settled: "3.70 CAD" is added to the cost, and -400 JPY is a refund: write -3.70 CAD if it came back`},
	{"a refund that is settled", []string{"amount: 7400 JPY", "amount: -400 JPY\n    settled: -3.70 CAD"}, ""},
	{"a parcel settled below nothing", []string{"charges:", "parcels: [{id: one, lots: [crate-a], fees: 3, settled: {fees: ‸-3}}]\ncharges:"}, `@: warning: parcel one: settled: fees: "-3.00 CAD" is taken off the cost: write 3.00 CAD if the bank took it`},

	{"premium as a fraction", []string{"premium: 10%", "premium: ‸0.175"}, `@: lot crate-a: premium: "0.175" is not a percentage: write 17.5% or 0.175%`},
	{"premium as a fraction with a comma", []string{"premium: 10%", "premium: ‸0,175"}, `@: lot crate-a: premium: "0,175" is not a percentage: write 17.5% or 0.175%`},
	{"premium of one", []string{"premium: 10%", "premium: ‸1"}, `@: lot crate-a: premium: "1" is not a percentage: write 100% or 1%`},
	{"spread as a fraction", []string{"spread: 2.5%", "spread: ‸0.025"}, `@: exchange: spread: "0.025" is not a percentage: write 2.5% or 0.025%`},
	{"chance as a fraction", []string{"value: 38 CAD", "value: 38 CAD\n        chances: [{chance: ‸0.55, value: 1}, {chance: rest, value: 0}]"},
		`@: item jack: chances 1: chance: "0.55" is not a percentage: write 55% or 0.55%`},
	{"share of the price as a fraction", []string{"amount: 7400 JPY", "amount: ‸0.015 of price"},
		`@: charge "Parcel": amount: "0.015 of price" has no percentage: write 1.5% of price or 0.015% of price`},
	{"share of the price without its sign", []string{"amount: 7400 JPY", "amount: ‸5 of price"},
		`@: charge "Parcel": amount: "5 of price" has no percentage: write it with its sign, as in 1.5% of price`},
	{"duty as a fraction", []string{"charges:", "customs: {class: tool, classes: {tool: {duty: ‸0.065}}}\ncharges:"},
		`@: customs: classes: tool: duty: "0.065" is not a percentage: write 6.5% or 0.065%`},
	{"goal as a fraction", []string{"charges:", "bidding: {goal: {return: ‸0.3}}\ncharges:"}, `@: bidding: goal: return: "0.3" is not a percentage: write 30% or 0.3%`},
	{"fee of a venue as a fraction", []string{"charges:", "selling: {venues: [{name: gable, currency: CAD, fees: [{percent: ‸0.129}]}]}\ncharges:"},
		`@: venue gable: fees 1: percent: "0.129" is not a percentage: write 12.9% or 0.129%`},

	{"a hundred times the reference rate", []string{"100 JPY = 0.93 CAD", "‸1 JPY = 0.93 CAD"},
		`@: exchange: rates 1: equation "1 JPY = 0.93 CAD" is not possible: fetched.csv has 1 JPY = 0.009585 CAD: did you mean 100 JPY = 0.93 CAD?`},
	{"the reference rate turned round", []string{"100 JPY = 0.93 CAD", "100 JPY = 0.93 CAD\n    - ‸1 EUR = 0.64 CAD"},
		`@: warning: exchange: rates 2: equation "1 EUR = 0.64 CAD" is strange: fetched.csv has 1 EUR = 1.566 CAD: did you mean 1 CAD = 0.64 EUR?`},
	{"the table of the file goes before the fetched one", []string{"100 JPY = 0.93 CAD", "‸100 JPY = 0.93 CAD\n  table: odd.csv"},
		`@: exchange: rates 1: equation "100 JPY = 0.93 CAD" is not possible: odd.csv has 1 JPY = 0.9585 CAD: did you mean 1 JPY = 0.93 CAD?`},
	{"customs' own rate", []string{"charges:", "customs: {rates: [‸1 JPY = 0.93 CAD]}\ncharges:"},
		`@: customs: rates 1: equation "1 JPY = 0.93 CAD" is not possible: fetched.csv has 1 JPY = 0.009585 CAD: did you mean 100 JPY = 0.93 CAD?`},

	{"a rate for which no table was fetched", []string{"100 JPY = 0.93 CAD", "100 JPY = 0.93 CAD\n    - ‸1 GBP = 185 CAD"},
		`@: warning: exchange: rates 2: equation "1 GBP = 185 CAD" is strange: the table of 9 May 2025 that comes with lotcost has 1 GBP = 1.847 CAD: did you mean 100 GBP = 185 CAD?`},

	{"settled with a slipped point", []string{"price: 4200 JPY", "price: 4200 JPY\n    settled: ‸440.32 CAD"},
		"@: warning: lot crate-a: settled: 440.32 CAD is far from 4200 JPY with its premium, which makes 44.04 CAD by equation 100 JPY = 0.93 CAD: correct the amount that is wrong, or the rate"},
	{"settled with a slipped comma", []string{"home: CAD", "decimal: comma\nhome: CAD", "2.5%", `"2,5%"`, "1.9 kg", `"1,9 kg"`, "100 JPY = 0.93 CAD", `"100 JPY = 0,93 CAD"`, "price: 4200 JPY", "price: 4200 JPY\n    settled: ‸\"440,32 CAD\""},
		"@: warning: lot crate-a: settled: 440,32 CAD is far from 4200 JPY with its premium, which makes 44,04 CAD by equation 100 JPY = 0,93 CAD: correct the amount that is wrong, or the rate"},
	{"a price with a slipped point", []string{"price: 4200 JPY", "price: 42000 JPY\n    settled: ‸44.04 CAD"},
		"@: warning: lot crate-a: settled: 44.04 CAD is far from 42000 JPY with its premium, which makes 440.40 CAD by equation 100 JPY = 0.93 CAD: correct the amount that is wrong, or the rate"},
	{"a charge settled with a slipped point, at home", []string{"amount: 7400 JPY", "amount: 74 CAD\n    settled: ‸7400 CAD"},
		`@: warning: charge "Parcel": settled: 7400.00 CAD is far from 74.00 CAD: correct the amount that is wrong, or the rate`},
	{"what a parcel cost with a slipped point", []string{"charges:", "parcels: [{id: one, lots: [crate-a], freight: 2000 JPY, settled: {freight: ‸1.86 CAD}}]\ncharges:"},
		"@: warning: parcel one: settled: freight: 1.86 CAD is far from 2000 JPY, which makes 19.07 CAD by equation 100 JPY = 0.93 CAD: correct the amount that is wrong, or the rate"},
	{"a rate from which all that was settled is far", []string{"100 JPY = 0.93 CAD", "100 KWD = 4.45 CAD", "  rates:", "  ‸rates:", "price: 4200 JPY", "price: 9 KWD\n    settled: 40.10 CAD", "amount: 7400 JPY", "amount: 8 KWD\n    settled: 35.80 CAD"},
		"@: warning: exchange: all 2 amounts that the bank took for KWD are far from what they should be at its rate, as 40.10 CAD is from 9.000 KWD with its premium, which makes 0.45 CAD by equation 100 KWD = 4.45 CAD: correct the rate"},
	{"a strange rate, from which what was settled is far too", []string{"100 JPY = 0.93 CAD", "100 JPY = 0.93 CAD\n    - ‸1 GBP = 185 CAD", "price: 4200 JPY", "price: 42 GBP\n    settled: 79 CAD"},
		`@: warning: exchange: rates 2: equation "1 GBP = 185 CAD" is strange: the table of 9 May 2025 that comes with lotcost has 1 GBP = 1.847 CAD: did you mean 100 GBP = 185 CAD?`},
	{"settled with fees of the bank", []string{"price: 4200 JPY", "price: 4200 JPY\n    settled: 61 CAD"}, ""},

	{"from and to changed", []string{"from: JP\nto: CA-ON", "from: ‸CA-ON\nto: JP"},
		"@: warning: from: the goods come from where CAD is paid in and go to where JPY is, but the books are in CAD: from: CA-ON and to: JP may have changed places"},
	{"bought at home", []string{"from: JP\nto: CA-ON", "from: CA-ON\nto: CA-BC"}, ""},
	{"sent on from a third country", []string{"from: JP\nto: CA-ON", "from: US\nto: CA-ON"}, ""},
	{"a province that is none", []string{"to: CA-ON", "to: ‸CA-XX"},
		`@: warning: to: "XX" is no province or state of CA: write one of ISO 3166-2: AB, BC, MB, NB, NL, NS, NT, NU, ON, PE, QC, SK, YT`},
	{"a part of another country", []string{"to: CA-ON", "to: DE-BY"}, ""},

	{"letters by courier", []string{"charges:", "customs: {by: courier, post: ‸letters}\ncharges:"},
		"@: warning: customs: post: it is not counted, since all goes by courier: take it out, or write by: post"},
	{"letters by post", []string{"charges:", "customs: {by: post, post: letters}\ncharges:"}, ""},

	{"title cut at a hash mark", []string{"title: Three crates of planes", "title: ‸Planes #12"},
		`@: warning: title: the text ends before "#12", which is a note in YAML: if it belongs to the text, put it in quotes, as in "Planes #12"; else write a space behind the #`},
	{"name cut at a hash mark", []string{"- what: Parcel", "- what: ‸Parcel #3"},
		`@: warning: charges 1: what: the text ends before "#3", which is a note in YAML: if it belongs to the text, put it in quotes, as in "Parcel #3"; else write a space behind the #`},
	{"id cut at a hash mark", []string{"- id: square", "- id: ‸square #2"},
		`@: warning: lot crate-a: items 2: id: the text ends before "#2", which is a note in YAML: if it belongs to the text, put it in quotes, as in "square #2"; else write a space behind the #`},
	{"a note", []string{"title: Three crates of planes", "title: Planes # of the spring sale"}, ""},
	{"a hash mark in quotes", []string{"title: Three crates of planes", `title: "Planes #12"`}, ""},
	{"a hash mark in a word", []string{"title: Three crates of planes", `title: Planes#12`}, ""},

	{"won for ten times what it may go for", []string{"price: 4200 JPY", "price: ‸42000 JPY\n    likely: 2000..6000 JPY"},
		`@: warning: lot crate-a: price: "42000 JPY" is more than 3 times 6000 JPY, the most that the lot was expected to go for: correct it if a digit slipped, or take out what it may go for (likely) to keep it`},
	{"won for more than it may go for", []string{"price: 4200 JPY", "price: 18000 JPY\n    likely: 2000..6000 JPY"}, ""},
	{"won for ten times another currency", []string{"price: 4200 JPY", "price: 42000 JPY\n    likely: 20..60 CAD"}, ""},
	{"won, and what it may go for is nothing that is read", []string{"price: 4200 JPY", "price: 42000 JPY\n    likely: maybe 6000"}, ""},

	{"a year ahead", []string{"date: 2026-10-03", "date: ‸2062-10-03"}, "@: warning: date: 2062-10-03 is a year ahead or more: check the year, did you mean 2026-10-03?"},
	{"a leap day ahead", []string{"date: 2026-10-03", "date: ‸2028-02-29"}, "@: warning: date: 2028-02-29 is a year ahead or more: check the year, did you mean 2026-02-28?"},
	{"a year ahead to the day", []string{"date: 2026-10-03", "date: ‸2027-09-30"}, "@: warning: date: 2027-09-30 is a year ahead or more: check the year, did you mean 2026-09-30?"},
	{"a day less than a year ahead", []string{"date: 2026-10-03", "date: 2027-09-29"}, ""},
	{"arrives a year ahead", []string{"premium: 10%", "premium: 10%\n    arrived: ‸2062-01-01"}, "@: warning: lot crate-a: arrived: 2062-01-01 is a year ahead or more: check the year, did you mean 2026-01-01?"},
	{"arrives after it leaves", []string{"premium: 10%", "premium: 10%\n    arrived: ‸2026-11-02", "charges:",
		"sending: {leaves: 2026-11-01, services: [{name: s, currency: CAD, steps: [{up-to: 1 kg, price: 1}]}]}\ncharges:"},
		"@: warning: lot crate-a: arrived: the lot arrives on 2026-11-02, after the parcels leave on 2026-11-01: check both days"},
	{"kilograms that are called grams", []string{"weight: 1.9 kg", "weight: ‸0.65 g"},
		`@: warning: item jack: weight: "0.65 g" for one piece is less than a gram or more than a tonne: check its unit, as in 650 g or 1.9 kg`},
	{"grams that are called kilograms", []string{"weight: 1.9 kg", "weight: ‸1900 kg"},
		`@: warning: item jack: weight: "1900 kg" for one piece is less than a gram or more than a tonne: check its unit, as in 650 g or 1.9 kg`},
	{"little that is meant", []string{"weight: 1.9 kg", "weight: 650 mg"}, ""},
	{"a venue that may be misspelt", []string{"count: 2", "count: 2\n        sold: [{price: 9 CAD, venue: ‸gabel}]", "charges:", "selling: {venues: [{name: gable}]}\ncharges:"},
		`@: warning: item jack: sold: venue: no venue is called "gabel", so it charges nothing: if that is not meant, write gable`},
	{"a venue of which nothing is known", []string{"count: 2", "count: 2\n        sold: [{price: 9 CAD, venue: spring fair}]", "charges:", "selling: {venues: [{name: gable}]}\ncharges:"}, ""},
	{"a tariff until far ahead", []string{"charges:", "sending: {services: [{name: s, currency: CAD, until: 2062-01-01, steps: [{up-to: 1 kg, price: 1}]}]}\ncharges:"}, ""},
}

func TestStrange(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "odd.csv", "Date,JPY,CAD\n2026-10-02,1.6336,1.5658\n")
	for _, c := range strange {
		t.Run(c.name, func(t *testing.T) {
			text, at := spoil(t, c.edits)
			var reported []string
			o := lotfile.Options{Today: time.Date(2026, 9, 30, 0, 0, 0, 0, time.UTC), Reference: fetched, Warn: func(f *source.Fault) { reported = append(reported, f.Error()) }}
			_, err := lotfile.Parse("haul.yaml", []byte(text), folder, o)
			if strings.Contains(c.want, "warning") && err != nil {
				t.Errorf("a warning is a fault: %v", err)
			}
			if err != nil {
				reported = append(reported, err.Error())
			}
			if got, want := strings.Join(reported, "\n"), strings.Replace(c.want, "@", at, 1); got != want {
				t.Errorf("got  %s\nwant %s", got, want)
			}
		})
	}
}

// fetched is the table that the user fetched once, of a day long ago.
func fetched(on time.Time) *fx.Table {
	table, err := fx.ReadTable(strings.NewReader("Date,JPY,CAD\n2025-05-09,163.36,1.5658\n"), fx.Window{On: on, Lift: true, Name: "fetched.csv"})
	if err != nil {
		panic(err)
	}
	return table
}

// Nothing is reported of days, rates and provinces where nobody asks, and a file is
// read the same.
func TestNobodyAsks(t *testing.T) {
	text, _ := spoil(t, []string{"date: 2026-10-03", "date: 2062-10-03", "to: CA-ON", "to: CA-XX", "100 JPY = 0.93 CAD", "1 JPY = 0.93 CAD"})
	h, err := lotfile.Parse("haul.yaml", []byte(text), ".", lotfile.Options{})
	if err != nil || h.To != "CA-XX" || h.Date.Year() != 2062 {
		t.Errorf("got %v", err)
	}
}

// A line that sums up a list is named as such, and is no item.
func TestTotals(t *testing.T) {
	const above = "id,what,count,weight,value\njack,Jack plane,2,1.9 kg,38\nsquare,Try square,3,310 g,12\n"
	const total = "this line sums up those above it and is no item: take the row out; if it is a piece, call it something else"
	for _, c := range []struct{ name, list, want string }{
		{"by its id", above + "‸total,,5,,\n", total},
		{"by its words", above + ",‸Total:,5,4.73 kg,112\n", total},
		{"in capitals", above + "‸SUB-TOTAL,,,,\n", total},
		{"in another language", above + "‸Summe:,,5,,\n", total},
		{"in another script", above + ",‸合計,5,,\n", total},
		{"with a figure that cannot be read", above + "‸Gesamt,,5,,\"112,00\"\n", total},
		{"in the middle", above + "‸subtotal,,5,,\nbrace,Brace,1,1 kg,9\n", total},
		{"by its count alone", above + "‸,,5,,\n", total},
		{"by its weight alone", above + "‸,,,4.73 kg,\n", total},
		{"by the sum of a column", above + "‸,,,,50\n", total},
		{"no name, and no sum", above + "‸,,7,1 kg,3\n", "item: the id is missing: give each item a short id of its own, as in id: item-1"},
		{"the first line", "id,what,count\n‸,,5\n", "item: the id is missing: give each item a short id of its own, as in id: item-1"},
		{"one line above", "id,what,count\njack,Jack plane,2\n‸,,2\n", "item: the id is missing: give each item a short id of its own, as in id: item-1"},
		{"an item in itself", "id,what,count\nsum,Sum,5\n", ""},
		{"a word in a name", above + "station,Total station,1,5 kg,80\n", ""},
		{"an item that weighs as much as all", above + "anvil,Anvil,5,4.73 kg,112\n", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			before, after, _ := strings.Cut(c.list, here)
			h, file, err := readItems(t, before+after)
			if c.want == "" {
				if err != nil || len(h.Lots[0].Items) != strings.Count(c.list, "\n")-1 {
					t.Errorf("got %v", err)
				}
				return
			}
			at := source.Origin{File: file, Line: 1 + strings.Count(before, "\n"), Column: 1 + len(before) - 1 - strings.LastIndexByte(before, '\n')}
			if want := at.String() + ": " + c.want; err == nil || err.Error() != want {
				t.Errorf("got  %v\nwant %s", err, want)
			}
		})
	}
}
