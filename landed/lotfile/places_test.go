package lotfile_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/doubles"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/landed/together"
)

// whole has every section. It is right as it stands; each case spoils it in one
// way and marks the key, the entry or the cell that is then wrong.
const whole = `lotcost: 1
title: Three crates
home: CAD
date: 2026-10-03
from: JP
to: CA-ON
exchange:
  spread: 2.5%
  rates:
    - 100 JPY = 0.93 CAD
    - 1 EUR = 1.62 CAD
share:
  fee: count
lots:
  - id: crate-a
    price: 4200 JPY
    premium: 10%
    packed: 4 kg
    size: 40x30x20 cm
    arrived: 2026-10-05
    items:
      - id: jack
        what: Jack plane
        count: 3
        weight: 1.2 kg
        value: 38 CAD
        class: hand-tool
        found:
          sound: 2
          parts: 1
        repair: 2 CAD
        parts-value: 4 CAD
        keep: 1
        worth: 60 CAD
        sold: [41 CAD]
      - id: square
        weight: 310 g
        value: 12 CAD
        chances:
          - {chance: 60%, what: works, value: 12 CAD, repair: 1 CAD}
          - {chance: 40%, what: dead, value: 0 CAD}
  - id: box-b
    price: 900 JPY
    arrived: 2026-10-06
    items:
      - id: pen
        weight: 90 g
        value: 9..15 CAD
parcels:
  - id: one
    lots: [crate-a]
    fees: 300 JPY
  - id: two
    lots:
      - box-b
customs:
  use: personal
  by: post
  class: hand-tool
  classes:
    hand-tool: {code: "8205.59", duty: 6.5%}
charges:
  - what: Parcel
    kind: freight
    amount: 2000 JPY
    on: [crate-a, box-b]
  - what: Bank
    amount: 1.5% of price
sending:
  services:
    - name: surface
      currency: JPY
      steps:
        - {up-to: 2 kg, price: 1200}
        - {up-to: 9 kg, price: 3500}
      further: {each: 1 kg, price: 350}
      limits: {weight: 20 kg, longest: 1.05 m}
      insurance: {steps: [{up-to: 20000, price: 400}]}
      days: 5..9
  packing: {share: 8%, fixed: 200 g}
  forwarder: {parcel: 300 JPY, lot: 90 JPY, storage: {free: 14, day: 20 JPY}}
  leaves: 2026-10-20
  latest: 2026-12-20
  together: [[crate-a, box-b]]
risks:
  - {chance: 2%, what: rain, keeps: 30%, on: [box-b]}
bidding:
  start: 500 JPY
  steps:
    - {from: 0 JPY, step: 100 JPY}
    - {from: 2000 JPY, step: 250 JPY}
  goal: {return: 30%, budget: 200 CAD}
selling:
  venue: gable
  target: 10%
  venues:
    - name: gable
      currency: CAD
      fees:
        - {what: commission, percent: 9%, fixed: 0.30}
        - what: bands
          tiers:
            - {up-to: 50, rate: 2%}
            - {rate: 1%}
      postage: {steps: [{up-to: 1 kg, cost: 9}, {up-to: 4 kg, cost: 14}]}
`

var misplaced = []struct{ name, from, to, words string }{
	{"version", "lotcost: 1", "lotcost: ‸2", "version"},
	{"home", "home: CAD", "home: ‸CDN", "ISO 4217"},
	{"date", "date: 2026-10-03", "date: ‸2026-10-33", "not a date"},
	{"country", "from: JP", "from: ‸XQ", "country"},
	{"spread", "spread: 2.5%", "spread: ‸2.5", "percentage"},
	{"rate", "- 1 EUR = 1.62 CAD", "- ‸1 EUR = 1,62 CAD", "comma"},
	{"rate twice", "- 1 EUR = 1.62 CAD", "- ‸1 JPY = 0.0094 CAD", "contradicts"},
	{"rate missing of a price", "price: 900 JPY", "price: ‸900 SEK", "no rate from SEK"},
	{"rate missing of a charge", "amount: 2000 JPY", "amount: ‸2000 SEK", "no rate from SEK"},
	{"rate missing of a parcel", "fees: 300 JPY", "fees: ‸300 SEK", "no rate from SEK"},
	{"rate missing of a repair", "repair: 2 CAD", "repair: ‸2 SEK", "no rate from SEK"},
	{"rate missing of parts", "parts-value: 4 CAD", "parts-value: ‸4 SEK", "no rate from SEK"},
	{"rate missing of a bill", "  by: post\n", "  by: post\n  assessed:\n    duty: 3 CAD\n    tax: ‸2 SEK\n", "no rate from SEK"},
	{"rate missing of the bill of a parcel", "fees: 300 JPY", "assessed: {fee: ‸3 SEK}", "no rate from SEK"},
	{"basis", "fee: count", "fee: ‸weihgt", "unknown basis"},
	{"lot twice", "parcels:\n", "  - {id: ‸crate-a, price: 1 CAD, items: [{id: other, weight: 1 g, value: 1}]}\nparcels:\n", "stands twice"},
	{"item twice", "id: pen", "id: ‸jack", "stands twice"},
	{"price", "price: 900 JPY", "price: ‸9.00 JPY", "no smaller unit"},
	{"price open", "price: 900 JPY", "price: ‸open", "still open"},
	{"premium", "premium: 10%", "premium: ‸110%", "more than the whole"},
	{"size", "size: 40x30x20 cm", "size: ‸40x30 cm", "2 sides"},
	{"count", "count: 3", "count: ‸0", "count of 0"},
	{"weight", "weight: 310 g", "weight: ‸310", "no unit"},
	{"value", "value: 38 CAD", "value: ‸-38 CAD", "negative"},
	{"range", "value: 9..15 CAD", "value: ‸15..9 CAD", "lesser one first"},
	{"class", "class: hand-tool\n        found", "class: ‸handtools\n        found", "no customs class"},
	{"class of the section", "class: hand-tool\n  classes", "class: ‸handtools\n  classes", "no customs class"},
	{"found in all", "        found:\n          sound: 2", "        ‸found:\n          sound: 3", "4 pieces found"},
	{"found in one line", "found:\n          sound: 2\n          parts: 1", "found: ‸{sound: 1, parts: 1}", "2 pieces found"},
	{"found in words", "sound: 2", "sound: ‸two", "number of pieces"},
	{"keep", "keep: 1", "keep: ‸4", "are to be kept"},
	{"keep before it was found", "        found:\n          sound: 2\n          parts: 1\n        repair: 2 CAD\n        parts-value: 4 CAD\n        keep: 1", "        keep: ‸4", "are to be kept"},
	{"sold", "sold: [41 CAD]", "sold: [41 CAD, 20 CAD, 30 CAD, ‸2 CAD]", "were sold"},
	{"chances in all", "        chances:\n          - {chance: 60%", "        ‸chances:\n          - {chance: 70%", "come to 110%"},
	{"chance", "{chance: 60%", "{chance: ‸-60%", "negative"},
	{"repair of a chance", "repair: 1 CAD", "repair: ‸-1 CAD", "negative"},
	{"lot of a parcel", "lots: [crate-a]", "lots: [‸crate-q]", "no lot has the id"},
	{"lot of a parcel below", "      - box-b", "      - ‸box-q", "no lot has the id"},
	{"lot in two parcels", "      - box-b", "      - box-b\n      - ‸crate-a", "travels in parcel one already"},
	{"parcel of nothing", "lots: [crate-a]", "lots: ‸[]", "no lots"},
	{"use", "use: personal", "use: ‸privat", "no use"},
	{"duty", "duty: 6.5%", "duty: ‸0.065", "write 6.5% or 0.065%"},
	{"class with an empty rate", "hand-tool: {code: \"8205.59\", duty: 6.5%}", "hand-tool: {code: \"8205.59\", ‸duty: }", "has no duty rate"},
	{"class without a rate", "hand-tool: {code: \"8205.59\", duty: 6.5%}", "hand-tool: ‸{code: \"8205.59\"}", "has no duty rate"},
	{"no rules for the day", "date: 2026-10-03", "date: ‸1999-10-03", "known from"},
	{"no rules for the country", "to: CA-ON", "to: ‸MX", "no customs rules"},
	{"no province", "to: CA-ON", "to: ‸CA", "which part of the territory"},
	{"charge on an unknown item", "on: [crate-a, box-b]", "on: [crate-a, ‸box-q]", "no lot or item"},
	{"charge on a list below", "on: [crate-a, box-b]", "on:\n      - crate-a\n      - ‸nosuch", "no lot or item"},
	{"charge on one", "on: [crate-a, box-b]", "on: ‸nosuch", "no lot or item"},
	{"percentage on an item", "amount: 1.5% of price", "amount: 1.5% of price\n    on: [crate-a, ‸jack]", "covers lots"},
	{"percentage per item", "amount: 1.5% of price", "amount: 1.5% of price\n    per: ‸item", "cannot be per item"},
	{"kind of a charge", "kind: freight", "kind: ‸postage", "unknown kind"},
	{"settled abroad", "amount: 2000 JPY", "amount: 2000 JPY\n    settled: ‸2000 JPY", "home is CAD"},
	{"settled of a lot abroad", "price: 900 JPY", "price: 900 JPY\n    settled: ‸900 JPY", "home is CAD"},
	{"service without a currency", "    - name: surface\n      currency: JPY\n", "    - ‸name: surface\n", "currency is missing"},
	{"price step that falls", "{up-to: 9 kg, price: 3500}", "{up-to: ‸1 kg, price: 3500}", "beyond the step before"},
	{"price step in another currency", "{up-to: 9 kg, price: 3500}", "{up-to: 9 kg, price: ‸35 CAD}", "not in the service's currency"},
	{"further price without a unit", "further: {each: 1 kg, price: 350}", "further: {each: 1 kg, price: ‸3 EUR}", "not in the service's currency"},
	{"limit", "longest: 1.05 m", "longest: ‸1.05", "no unit"},
	{"insurance twice", "insurance: {steps: ", "insurance: {rate: 2%, steps: ‸", "both steps and a percentage"},
	{"insurance in another currency", "{up-to: 20000, price: 400}", "{up-to: 20000, price: ‸4 CAD}", "not in the service's currency"},
	{"days", "days: 5..9", "days: ‸9..5", "time in transit"},
	{"packing", "share: 8%", "share: ‸0.08", "write 8% or 0.08%"},
	{"packing too heavy", "fixed: 200 g", "fixed: ‸20000 kg", "packing weighs"},
	{"forwarder in two currencies", "forwarder: {parcel: 300 JPY, lot: 90 JPY", "forwarder: {parcel: 300 JPY, lot: ‸1 CAD", "not in JPY"},
	{"first charge of a forwarder in another currency", "forwarder: {parcel: 300 JPY", "forwarder: {parcel: ‸5", "not in JPY"},
	{"latest", "latest: 2026-12-20", "latest: ‸2026-10-19", "before they leave"},
	{"no service left", "  services:\n    - name: surface\n", "  ‸services:\n    - name: surface\n      until: 2026-10-19\n", "none is left"},
	{"group of one", "together: [[crate-a, box-b]]", "together: [‸[crate-a]]", "fewer than two"},
	{"group below", "together: [[crate-a, box-b]]", "together:\n    - [crate-a, ‸box-q]", "no lot has the id"},
	{"twice in a group", "together: [[crate-a, box-b]]", "apart: [[crate-a, ‸crate-a]]", "stands twice"},
	{"a lot too late", "arrived: 2026-10-06", "arrived: ‸2026-10-26", "after the parcels leave"},
	{"risk on nothing", "on: [box-b]", "on: [‸box-q]", "no lot or item"},
	{"what a risk leaves", "keeps: 30%", "keeps: ‸130%", "more than the whole"},
	{"lot of the bid", "  start: 500 JPY", "  lot: ‸crate-q\n  start: 500 JPY", "no lot has the id"},
	{"first bid in another currency", "start: 500 JPY", "start: ‸5 CAD", "the steps are in JPY"},
	{"step of nothing", "step: 250 JPY", "step: ‸0 JPY", "gets nowhere"},
	{"step in another currency", "step: 250 JPY", "step: ‸2 CAD", "several currencies"},
	{"first step in another currency", "step: 100 JPY", "step: ‸2 CAD", "several currencies"},
	{"beginning of steps in another currency", "from: 0 JPY", "from: ‸1 CAD", "several currencies"},
	{"steps that fall", "from: 2000 JPY", "from: ‸0 JPY", "by rising amounts"},
	{"first step not from 0", "from: 0 JPY", "from: ‸10 JPY", "begin at 0"},
	{"goal", "return: 30%", "return: ‸-100%", "makes no sense"},
	{"budget abroad", "budget: 200 CAD", "budget: ‸200 JPY", "not in CAD"},
	{"usual venue", "venue: gable", "venue: ‸lantern", "no venue is called"},
	{"target", "target: 10%", "target: ‸10", "write 10% or"},
	{"rate missing of a sale", "sold: [41 CAD]", "sold: [‸41 SEK]", "from SEK"},
	{"rate missing of what went back", "sold: [41 CAD]", "sold: [{price: 41 CAD, date: 2026-11-02, returned: {date: 2026-12-01, refund: ‸20 SEK}}]", "from SEK"},
	{"rate missing of the way back", "sold: [41 CAD]", "sold: [{price: 41 CAD, date: 2026-11-02, returned: {date: 2026-12-01, postage: ‸20 SEK}}]", "from SEK"},
	{"rate missing of what was made", "parts: 1\n", "dead: 1\n          yields: [{what: iron, value: 1 CAD}, {what: cap, value: ‸4 SEK}]\n", "from SEK"},
	{"rate missing of a chance", "        value: 12 CAD\n        chances:\n          - {chance: 60%, what: works, value: 12 CAD, repair: 1 CAD}", "        chances:\n          - {chance: 60%, what: works, value: ‸12 SEK, repair: 1 CAD}", "from SEK"},
	{"rate missing of a price that is settled", "price: 900 JPY", "price: ‸90 SEK\n    settled: 9 CAD", "from SEK"},
	{"rate missing of a parcel that is settled", "lots: [crate-a]\n    fees: 300 JPY", "lots: [crate-a]\n    fees: 300 JPY\n    freight: ‸30 SEK\n    settled: {freight: 4 CAD}", "from SEK"},
	{"rate missing of a charge that is settled", "amount: 2000 JPY", "amount: ‸200 SEK\n    settled: 30 CAD", "from SEK"},
	{"rate missing of a venue", "      currency: CAD\n      fees", "      currency: ‸SEK\n      fees", "to SEK"},
	{"rate missing of postage", "  target: 10%", "  charged: ‸5 SEK\n  target: 10%", "from SEK"},
	{"venue twice", "    - name: gable", "    - {name: gable, currency: CAD}\n    - ‸name: gable", "stands twice"},
	{"fee above the whole", "percent: 9%", "percent: ‸109%", "109%"},
	{"fee in another currency", "fixed: 0.30", "fixed: ‸3 JPY", "JPY"},
	{"cap in another currency", "percent: 9%, fixed: 0.30", "percent: 9%, floor: 2, cap: ‸3 JPY", "JPY"},
	{"end of a band in another currency", "{up-to: 50, rate: 2%}", "{up-to: ‸50 JPY, rate: 2%}", "JPY"},
	{"end of a band at its beginning", "- {up-to: 50, rate: 2%}\n            - {rate: 1%}", "- {up-to: ‸0, rate: 2%}\n            - {from: 50, rate: 1%}", "where it begins"},
	{"bands that fall", "{up-to: 50, rate: 2%}\n            - {rate: 1%}", "{up-to: 50, rate: 2%}\n            - {up-to: ‸40, rate: 1%}", "40"},
	{"rate of a band", "rate: 2%", "rate: ‸0.02", "write 2% or 0.02%"},
	{"postage step that falls", "{up-to: 4 kg, cost: 14}", "{up-to: ‸1 kg, cost: 14}", "beyond the one before"},
	{"postage abroad", "{up-to: 4 kg, cost: 14}", "{up-to: 4 kg, cost: ‸14 JPY}", "JPY"},
	{"unknown key", "repair: 2 CAD", "‸repiar: 2 CAD", "unknown key"},
}

// misplanned are mistakes in what is still to come, as all is where nothing was found.
var misplanned = []struct{ name, from, to, words string }{
	{"together and apart", "together: [[crate-a, box-b]]", "together: [[crate-a, box-b]]\n  apart: ‸[[crate-a, box-b]]", "must share a parcel"},
	{"a lot too heavy", "packed: 4 kg", "packed: ‸20000 kg", "the lot weighs"},
	{"a lot too heavy for any service", "- id: crate-a\n    price: 4200 JPY\n    premium: 10%\n    packed: 4 kg", "- ‸id: crate-a\n    price: 4200 JPY\n    premium: 10%\n    packed: 30 kg", "over the 20 kg allowed"},
	{"a lot too long for any service", "- id: crate-a\n    price: 4200 JPY\n    premium: 10%\n    packed: 4 kg\n    size: 40x30x20 cm", "- ‸id: crate-a\n    price: 4200 JPY\n    premium: 10%\n    packed: 4 kg\n    size: 140x30x20 cm", "over the 1.05 m allowed"},
}

func TestMisplaced(t *testing.T) {
	if f := firstFaults(t, whole, ""); f != nil {
		t.Fatalf("the file is not right: %v", f)
	}
	unopened := strings.NewReplacer("        found:\n          sound: 2\n          parts: 1\n", "", "        sold: [41 CAD]\n", "").Replace(whole)
	for i, c := range slices.Concat(misplaced, misplanned) {
		t.Run(c.name, func(t *testing.T) {
			from := whole
			if i >= len(misplaced) {
				from = unopened
			}
			if strings.Count(from, c.from) != 1 {
				t.Fatalf("%q stands %d times in the file", c.from, strings.Count(from, c.from))
			}
			text, at := edited(t, from, []string{c.from, c.to})
			found := firstFaults(t, text, "")
			if len(found) != 1 {
				t.Fatalf("%d faults, want one at %s:\n%v", len(found), at, found)
			}
			if found[0].At.String() != at || !strings.Contains(found[0].Error(), c.words) {
				t.Errorf("got  %v\nwant %s, %q", found[0], at, c.words)
			}
		})
	}
}

// firstFaults are those of the first step at which a file fails, of reading it,
// splitting it, planning and pricing.
func firstFaults(t testing.TB, text, folder string) source.Faults {
	t.Helper()
	h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{Today: time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)})
	if err == nil {
		var st *landed.Statement
		if st, err = landed.Split(h.Haul); err == nil && h.Selling != nil {
			_, err = doubles.Price(h.Haul, h.Selling, st, doubles.Options{})
		}
	}
	if err == nil && h.Sending != nil {
		_, err = together.Plan(context.Background(), h.Haul, h.Sending, together.Options{})
	}
	var found source.Faults
	if err != nil && !errors.As(err, &found) {
		t.Fatalf("no fault with a place: %v", err)
	}
	return found
}

// In an item list it is the cell.
func TestMisplacedCells(t *testing.T) {
	const list = "id,what,count,weight,value,class,sound,dead,keep,parts-value\njack,\"Jack plane,\niron\",3,1.2 kg,38 CAD,tool,2,1,1,4 CAD\npen,平鉋,1,90 g,9 CAD,tool,1,,,\n"
	const text = "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\nlots: [{id: a, price: 10, items: items.csv}]\ncustoms: {classes: {tool: {duty: 1%}}}\n"
	for _, c := range []struct{ name, from, to, words string }{
		{"keep", ",3,1.2 kg,38 CAD,tool,2,1,1,", ",3,1.2 kg,38 CAD,tool,2,1,‸4,", "are to be kept"},
		{"found in all", "38 CAD,tool,2,1", "38 CAD,tool,‸3,1", "4 pieces found"},
		{"class", "9 CAD,tool", "9 CAD,‸tolo", "no customs class"},
		{"id twice", "pen,", "‸jack,", "stands twice"},
		{"rate missing", "9 CAD,tool", "‸9 SEK,tool", "no rate from SEK"},
	} {
		t.Run(c.name, func(t *testing.T) {
			folder := t.TempDir()
			before, after, _ := strings.Cut(strings.Replace(list, c.from, c.to, 1), here)
			write(t, folder, "items.csv", before+after)
			last := before[strings.LastIndexByte(before, '\n')+1:]
			found := firstFaults(t, text, folder)
			want := source.Origin{Line: 1 + strings.Count(before, "\n"), Column: 1 + len([]rune(last))}
			if len(found) != 1 || found[0].At.Line != want.Line || found[0].At.Column != want.Column || !strings.Contains(found[0].Error(), c.words) {
				t.Errorf("got  %v\nwant %d:%d, %q", found, want.Line, want.Column, c.words)
			}
		})
	}
}

// A value that is missing is told where it would stand: at its key, where that is there.
func TestValueMissing(t *testing.T) {
	for item, column := range map[string]int{"{id: x, value: []}": 25, "{id: x, value: }": 18, "{id: x}": 10} {
		found := firstFaults(t, "lotcost: 1\nhome: CAD\nlots:\n  - id: a\n    price: 45\n    items:\n      -  "+item+"\n", t.TempDir())
		if len(found) != 1 || found[0].At.Line != 7 || found[0].At.Column != column || !strings.Contains(found[0].Error(), "has no value") {
			t.Errorf("%s: got %v", item, found)
		}
	}
}

// A rate that is missing is reported once, where it is needed first.
func TestRateMissingOnce(t *testing.T) {
	const text = "lotcost: 1\nhome: EUR\nlots: [{id: a, price: 45 GBP, premium: 10%, items: [{id: x, value: 9 EUR, weight: 1 kg}]}]\n" +
		"charges: [{what: Parcel, kind: freight, amount: 14 GBP}, {what: Packing, amount: 300 JPY}, {what: Box, amount: 3 GBP}]\n"
	f, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, err = landed.Split(f.Haul)
	var faults source.Faults
	if errors.As(err, &faults); len(faults) != 2 || faults[0].At.Column != 23 || faults[1].At.Line != 4 {
		t.Errorf("got\n%v", err)
	}
}
