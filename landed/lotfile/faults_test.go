package lotfile_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

const (
	theItems = `    items:
      - id: jack
        count: 2
        weight: 1.9 kg
        value: 38 CAD
      - id: square
        weight: 310 g
        value: 12 CAD
`
	theLots = `lots:
  - id: crate-a
    price: 4200 JPY
    premium: 10%
` + theItems

	// aFile is right as it stands; each case spoils it in one way.
	aFile = `lotcost: 1
title: Three crates of planes
home: CAD
date: 2026-10-03
from: JP
to: CA-ON
exchange:
  spread: 2.5%
  rates:
    - 100 JPY = 0.93 CAD
share:
  price: value
` + theLots + `charges:
  - what: Parcel
    kind: freight
    amount: 7400 JPY
    per: haul
    on: [crate-a]
    by: weight
`
	// here marks the place of a fault in a case; @ stands for it in what is
	// wanted, so that each place is counted from the text itself.
	here = "‸"
)

// mistakes are what people really get wrong. Each gives one message.
var mistakes = []struct {
	name  string
	edits []string // pairs: what to replace in aFile, and by what
	want  string
}{
	{"unknown currency", []string{"price: 4200 JPY", "price: ‸4200 XYZ"},
		`@: lot crate-a: price: currency "XYZ" is not an ISO 4217 code: write its three capitals, as in CAD or JPY`},
	{"currency by another name", []string{"price: 4200 JPY", "price: ‸4200 YEN"},
		`@: lot crate-a: price: "4200 YEN" has no currency code of ISO 4217 in "YEN": write 4200 JPY`},
	{"currency sign", []string{"value: 38 CAD", "value: ‸$38"},
		`@: item jack: value: "$38" is ambiguous, 29 currencies use the sign '$': write 38 CAD or 38 USD`},
	{"decimal comma", []string{"value: 38 CAD", "value: ‸38,50 CAD"},
		`@: item jack: value: "38,50 CAD" has a comma that may be a decimal or a thousands mark: write 38.50 CAD or 3850 CAD, or decimal: comma at the top of the file if all its figures are so`},
	{"point groups thousands", []string{"price: 4200 JPY", "price: ‸4.200 JPY"},
		`@: lot crate-a: price: "4.200 JPY" has decimals, but JPY has no smaller unit: write 4200 JPY or 4 JPY`},
	{"decimals in yen", []string{"price: 4200 JPY", "price: ‸4200.50 JPY"},
		`@: lot crate-a: price: "4200.50 JPY" has decimals, but JPY has no smaller unit: write 4201 JPY, or the amount rounded as it was paid`},
	{"space groups thousands", []string{"price: 4200 JPY", "price: ‸4 200 JPY"},
		`@: lot crate-a: price: "4 200 JPY" has a space inside the number: write 4200 JPY`},
	{"quote groups thousands", []string{"price: 4200 JPY", "price: ‸4'200 JPY"},
		`@: lot crate-a: price: "4'200 JPY" has "'" inside the number: write 4200 JPY`},
	{"two points", []string{"price: 4200 JPY", "price: ‸1.234.567 JPY"},
		`@: lot crate-a: price: "1.234.567 JPY" has "." inside the number: write 1234567 JPY`},
	{"too large an amount", []string{"price: 4200 JPY", "price: ‸99999999999999999999 JPY"},
		`@: lot crate-a: price: "99999999999999999999 JPY" is too large to be held exactly: the largest amount is 9223372036854775807 minor units`},
	{"words for a price", []string{"price: 4200 JPY", "price: ‸free"},
		`@: lot crate-a: price: "free" holds no number: write 0 CAD`},
	{"negative price", []string{"price: 4200 JPY", "price: ‸-4200 JPY"},
		"@: lot crate-a: price: a price is never negative: write a refund as a charge with a negative amount"},
	{"negative value", []string{"value: 38 CAD", "value: ‸-38 CAD"},
		"@: item jack: value: a value cannot be negative: write what one piece should sell for when right, or 0"},
	{"missing version", []string{"lotcost: 1\n", ""},
		"haul.yaml:1:1: lotcost is missing: begin the file with lotcost: 1"},
	{"version 2", []string{"lotcost: 1", "lotcost: ‸2"},
		`@: lotcost: version "2" of the format is not known: write lotcost: 1`},
	{"version as a word", []string{"lotcost: 1", "lotcost: ‸v1"},
		`@: lotcost: version "v1" of the format is not known: write lotcost: 1`},
	{"missing home", []string{"home: CAD\n", ""},
		"haul.yaml:1:1: home is missing: write the currency of your books, as in home: CAD"},
	{"unknown home", []string{"home: CAD", "home: ‸CDN"},
		`@: home: currency "CDN" is not an ISO 4217 code: did you mean CAD?`},
	{"home empty", []string{"home: CAD", "home:"},
		"haul.yaml:3:1: home is missing: write the currency of your books, as in home: CAD"},
	{"home as a country", []string{"home: CAD", "home: ‸Canada"},
		`@: home: currency "Canada" is not an ISO 4217 code: did you mean CAD?`},
	{"missing price", []string{"    price: 4200 JPY\n", ""},
		"haul.yaml:14:5: lot crate-a: price is missing: write what the whole lot cost, as in price: 4200 JPY (0 if it came free), or price: open while it is still to come"},
	{"missing price of a lot to come", []string{"    price: 4200 JPY\n", "    closes: 2026-10-03\n"},
		"haul.yaml:14:5: lot crate-a: price is missing: write what the whole lot cost, as in price: 4200 JPY (0 if it came free), or price: open while it is still to come"},
	{"price as a list", []string{"price: 4200 JPY", "price: ‸[4200 JPY]"},
		"@: lot crate-a: price: one value belongs here, not a list: write price: 4200 JPY"},
	{"price as a group", []string{"price: 4200 JPY", "price: ‸{amount: 4200 JPY}"},
		"@: lot crate-a: price: one value belongs here, not a group of keys: write price: 4200 JPY"},
	{"missing lot id", []string{"  - id: crate-a\n    price", "  - ‸price"},
		"@: lots 1: id is missing: give each lot a short id of its own"},
	{"missing item id", []string{"      - id: jack\n        count", "      - ‸count"},
		"@: lot crate-a: items 1: id is missing: give each item a short id of its own"},
	{"id as a list", []string{"id: jack", "id: ‸[jack]"},
		"@: lot crate-a: items 1: id: one value belongs here, not a list: write - id: jack"},
	{"empty id", []string{"      - id: jack", "      - ‸id: ''"},
		"@: item: the id is missing: give each item a short id of its own, as in id: item-1"},
	{"lot id twice", []string{"charges:", "  - id: ‸crate-a\n    price: 1 JPY\n    items: [{id: c, weight: 1 g, value: 1}]\ncharges:"},
		`@: lot crate-a: the id "crate-a" stands twice, first on line 14: give each lot an id of its own, as in crate-a-2`},
	{"item id twice", []string{"- id: square", "- id: ‸jack"},
		`@: item jack: the id "jack" stands twice, first on line 18: give each item an id of its own, as in jack-2`},
	{"unknown key", []string{"date: 2026-10-03", "‸dat: 2026-10-03"},
		`@: unknown key "dat": did you mean date?`},
	{"unknown key in a lot", []string{"premium: 10%", "‸premuim: 10%"},
		`@: lots 1: unknown key "premuim": did you mean premium?`},
	{"unknown key in an item", []string{"weight: 1.9 kg", "‸wieght: 1.9 kg"},
		`@: lot crate-a: items 1: unknown key "wieght": did you mean weight?`},
	{"unknown key in a charge", []string{"per: haul", "‸pre: haul"},
		`@: charges 1: unknown key "pre": did you mean per?`},
	{"unknown key in exchange", []string{"spread: 2.5%", "‸sprede: 2.5%"},
		`@: exchange: unknown key "sprede": did you mean spread?`},
	{"unknown basis key", []string{"share:\n  price: value", "share:\n  ‸postage: value"},
		`@: share: unknown key "postage": did you mean freight?`},
	{"key with a capital", []string{"title: Three", "‸Title: Three"},
		`@: unknown key "Title": did you mean title?`},
	{"key far from any", []string{"spread: 2.5%", "‸currency: 2.5%"},
		`@: exchange: unknown key "currency": known here: spread, rates, table`},
	{"key of a group below", []string{"to: CA-ON", "to: CA-ON\n‸budget: 200 CAD"},
		`@: unknown key "budget": it belongs under bidding: goal`},
	{"a key of the goal at the top, that is like one there", []string{"to: CA-ON", "to: CA-ON\n‸risk: 20%"},
		`@: unknown key "risk": it belongs under bidding: goal`},
	{"a key at the top that another group has too", []string{"to: CA-ON", "to: CA-ON\n‸parcel: [{id: box, lots: [crate-a]}]"},
		`@: unknown key "parcel": did you mean parcels?`},
	{"key of the entries below", []string{"premium: 10%", "‸keep: 1"},
		`@: lots 1: unknown key "keep": it belongs in an entry of items`},
	{"key of the top", []string{"premium: 10%", "‸from: GB"},
		`@: lots 1: unknown key "from": it belongs at the top of the file`},
	{"key of what has a name", []string{"spread: 2.5%", "‸surcharges: 2.5%"},
		`@: exchange: unknown key "surcharges": it belongs under customs: classes, below a name of yours`},
	{"key of entries elsewhere", []string{"to: CA-ON", "to: CA-ON\n‸floor: 5"},
		`@: unknown key "floor": it belongs in an entry of fees, in an entry of venues, under selling`},
	{"key of several groups", []string{"to: CA-ON", "to: CA-ON\n‸count: 5"},
		`@: unknown key "count": known here: lotcost, title, home, date, from, to, decimal, with, exchange, share, lots, parcels, charges, sending, customs, losses, selling, bidding, risks`},
	{"key twice", []string{"to: CA-ON", "to: CA-ON\n‸from: JP"},
		`@: the key "from" stands twice: keep one of them`},
	{"zero count", []string{"count: 2", "count: ‸0"},
		"@: item jack: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out"},
	{"negative count", []string{"count: 2", "count: ‸-2"},
		"@: item jack: count: a count of -2 makes no sense: write how many pieces there are, at least 1, or take it out"},
	{"fractional count", []string{"count: 2", "count: ‸1.5"},
		`@: item jack: count: "1.5" is not a number of pieces: write a whole number, as in count: 2`},
	{"huge count", []string{"count: 2", "count: ‸9999999999"},
		"@: item jack: count: a count of 9999999999 is too large: write how many pieces there are"},
	{"count beyond 64 bits", []string{"count: 2", "count: ‸99999999999999999999"},
		`@: item jack: count: "99999999999999999999" is not a number of pieces: write a whole number, as in count: 2`},
	{"count as a word", []string{"count: 2", "count: ‸two"},
		`@: item jack: count: "two" is not a number of pieces: write 2`},
	{"weight without unit", []string{"weight: 1.9 kg", "weight: ‸1.9"},
		`@: item jack: weight: weight "1.9": no unit: write 1.9 kg or 1.9 lb`},
	{"weight with a decimal comma", []string{"weight: 1.9 kg", "weight: ‸1,9 kg"},
		`@: item jack: weight: weight "1,9 kg": a comma may be a decimal or a thousands mark: write 1.9 kg, or decimal: comma at the top of the file if all its figures are so`},
	{"weight in a spelled unit", []string{"weight: 1.9 kg", "weight: ‸1.9 kilos"},
		`@: item jack: weight: weight "1.9 kilos": unknown unit "kilos": write 1.9 kg`},
	{"weight in an unknown unit", []string{"weight: 1.9 kg", "weight: ‸1.9 stone"},
		`@: item jack: weight: weight "1.9 stone": unknown unit "stone": use mg, g, kg, oz or lb`},
	{"negative weight", []string{"weight: 1.9 kg", "weight: ‸-1.9 kg"},
		`@: item jack: weight: weight "-1.9 kg": a weight cannot be negative: write 1.9 kg`},
	{"premium above 100", []string{"premium: 10%", "premium: ‸110%"},
		`@: lot crate-a: premium: "110%" is more than the whole: write a percentage from 0% to 100%, as in premium: 10%`},
	{"premium without sign", []string{"premium: 10%", "premium: ‸10"},
		`@: lot crate-a: premium: "10" is not a percentage: write 10%`},
	{"premium in bands", []string{"premium: 10%", "premium: ‸[{up-to: 500 CAD, rate: 25%}, {rate: 20%}]"},
		`@: lot crate-a: premium: a premium is one percentage of the price: write the one percentage that all of it comes to at this price, tax on it too, as in premium: 23.5%`},
	{"premium and tax on it", []string{"premium: 10%", "premium: ‸25% + 20% VAT"},
		`@: lot crate-a: premium: "25% + 20% VAT" is more than one percentage: write premium: 30% if the tax is on the premium alone, or premium: 50% if it is on the price too`},
	{"premium and Swedish tax", []string{"premium: 10%", "premium: ‸22.5% plus 25% moms"},
		`@: lot crate-a: premium: "22.5% plus 25% moms" is more than one percentage: write premium: 28.125% if the tax is on the premium alone, or premium: 53.125% if it is on the price too`},
	{"premium and the name of its tax before it", []string{"premium: 10%", "premium: ‸22.5% + VAT 25%"},
		`@: lot crate-a: premium: "22.5% + VAT 25%" is more than one percentage: write premium: 28.125% if the tax is on the premium alone, or premium: 53.125% if it is on the price too`},
	{"two premiums", []string{"premium: 10%", "premium: ‸20 % and 3 %"},
		`@: lot crate-a: premium: "20 % and 3 %" is more than one percentage: write premium: 23%, which is both`},
	{"premiums in bands, in words", []string{"premium: 10%", "premium: ‸25% up to 500, then 20%"},
		`@: lot crate-a: premium: "25% up to 500, then 20%" is more than one percentage: write the one percentage that all of it comes to at this price, tax on it too, as in premium: 23.5%`},
	{"negative premium", []string{"premium: 10%", "premium: ‸-10%"},
		`@: lot crate-a: premium: "-10%" is negative: write a percentage from 0% to 100%, as in premium: 10%`},
	{"premium with a decimal comma", []string{"premium: 10%", "premium: ‸12,5%"},
		`@: lot crate-a: premium: "12,5%" has a comma: write 12.5%, or decimal: comma at the top of the file if all its figures are so`},
	{"spread above 100", []string{"spread: 2.5%", "spread: ‸250%"},
		`@: exchange: spread: "250%" is more than the whole: write a percentage from 0% to 100%, as in spread: 2.5%`},
	{"charge above 100 percent", []string{"amount: 7400 JPY", "amount: ‸150% of price"},
		`@: charge "Parcel": amount: "150%" is more than the whole: write a percentage from 0% to 100%, as in 1.5% of price`},
	{"percent of nothing", []string{"amount: 7400 JPY", "amount: ‸1.5%"},
		`@: charge "Parcel": amount: "1.5%" does not say of what: write 1.5% of price`},
	{"percent of value", []string{"amount: 7400 JPY", "amount: ‸1.5% of value"},
		`@: charge "Parcel": amount: "1.5% of value" is no part of price, which is prices and premiums: write 1.5% of price if that is meant, or else an amount, as in 3 CAD`},
	{"thirteenth month", []string{"date: 2026-10-03", "date: ‸2026-13-03"},
		`@: date: "2026-13-03" is not written as year-month-day: write 2026-03-13`},
	{"30 February", []string{"date: 2026-10-03", "date: ‸2026-02-30"},
		`@: date: "2026-02-30" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day`},
	{"day first", []string{"date: 2026-10-03", "date: ‸03/10/2026"},
		`@: date: "03/10/2026" is not written as year-month-day: write 2026-10-03 or 2026-03-10`},
	{"year 0206", []string{"date: 2026-10-03", "date: ‸0206-10-03"},
		`@: date: "0206-10-03" is no day of purchase: write a year from 1900 to 2199`},
	{"short date", []string{"date: 2026-10-03", "date: ‸2026-10-3"},
		`@: date: "2026-10-3" is not written as year-month-day: write 2026-10-03`},
	{"date in words", []string{"date: 2026-10-03", "date: ‸3 October 2026"},
		`@: date: "3 October 2026" is not written as year-month-day: write 2026-10-03`},
	{"unknown kind", []string{"kind: freight", "kind: ‸frieght"},
		`@: charge "Parcel": kind: unknown kind "frieght": did you mean freight?`},
	{"kind far from any", []string{"kind: freight", "kind: ‸postage"},
		`@: charge "Parcel": kind: unknown kind "postage": did you mean freight?`},
	{"price as a kind", []string{"kind: freight", "kind: ‸price"},
		`@: charge "Parcel": kind: a price belongs to a lot: write it at the lot, as in price: …`},
	{"duty as a kind", []string{"kind: freight", "kind: ‸duty"},
		`@: charge "Parcel": kind: duty is part of the bill of the border: take the charge out, and write under customs, or at its parcel, assessed: {duty: 7400 JPY}; or kind: fee, if it is none of the border's`},
	{"VAT as a kind, of no known sum", []string{"kind: freight", "kind: ‸VAT", "amount: 7400 JPY", "amount: 2% of price"},
		`@: charge "Parcel": kind: VAT is part of the bill of the border: take the charge out, and write under customs, or at its parcel, assessed: {tax: 12 CAD}; or kind: fee, if it is none of the border's`},
	{"charge for each lot", []string{"amount: 7400 JPY", "amount: ‸740 JPY per lot"},
		`@: charge "Parcel": amount: "740 JPY per lot" holds what it is for each of: write 740 JPY, and beside it per: lot`},
	{"charge for each box", []string{"amount: 7400 JPY", "amount: ‸740 JPY per box"},
		`@: charge "Parcel": amount: "740 JPY per box" holds what it is for each of: write 740 JPY, and beside it per: parcel`},
	{"charge for each piece", []string{"amount: 7400 JPY", "amount: ‸¥ 50/piece"},
		`@: charge "Parcel": amount: "¥ 50/piece" holds what it is for each of: write 50 JPY or 50 CNY, and beside it per: piece`},
	{"price and premium", []string{"price: 4200 JPY", "price: ‸4200 JPY + 10%"},
		`@: lot crate-a: price: "4200 JPY + 10%" holds a premium: write 4200 JPY, and beside it premium: 10%`},
	{"price in a sign and premium in words", []string{"price: 4200 JPY", "price: ‸¥4200 + 10% buyer's premium"},
		`@: lot crate-a: price: "¥4200 + 10% buyer's premium" holds a premium: write 4200 JPY or 4200 CNY, and beside it premium: 10%`},
	{"freight of a lot", []string{"premium: 10%", "‸shipping: 740 JPY"},
		`@: lots 1: unknown key "shipping": write it under charges, as in - {what: shipping, kind: freight, amount: 20 CAD, on: [crate-a]}`},
	{"rates in brackets as keys", []string{"  rates:\n    - 100 JPY = 0.93 CAD\n", "  rates: {‸JPY: 0.0093}\n"},
		`@: exchange: rates: a rate is not a key and a value: write 1 JPY = 0.0093 CAD or 1 CAD = 0.0093 JPY, and square brackets around all the rates`},
	{"premium before tax", []string{"premium: 10%", "premium: ‸24 + VAT"},
		`@: lot crate-a: premium: "24 + VAT" is more than one percentage: write the one percentage that all of it comes to at this price, tax on it too, as in premium: 23.5%`},
	{"unknown per", []string{"per: haul", "per: ‸lots"},
		`@: charge "Parcel": per: unknown word "lots": did you mean lot?`},
	{"unknown basis", []string{"by: weight", "by: ‸weigth"},
		`@: charge "Parcel": by: unknown basis "weigth": did you mean weight?`},
	{"assessed, misspelt", []string{"share:\n  price: value", "share:\n  tax: ‸assesed\n  price: value"},
		`@: share: tax: unknown basis "assesed": did you mean assessed?`},
	{"assessed charge", []string{"by: weight", "by: ‸assessed"},
		`@: charge "Parcel": by: only duty and tax are shared as assessed: write weight, count, value or line`},
	{"assessed price", []string{"price: value", "price: ‸assessed"},
		"@: share: price: only duty and tax are shared as assessed: write weight, count, value or line"},
	{"UK for GB", []string{"from: JP", "from: ‸UK"},
		`@: from: "UK" is not the country's code in ISO 3166: did you mean GB?`},
	{"country in words", []string{"from: JP", "from: ‸Japan"},
		`@: from: "Japan" is not a country code: did you mean JP?`},
	{"no such country", []string{"from: JP", "from: ‸XQ"},
		`@: from: "XQ" is not a country of ISO 3166: write the ISO 3166 code, as in JP or CA-ON`},
	{"three-letter country", []string{"from: JP", "from: ‸JPN"},
		`@: from: "JPN" is not a country code: did you mean JP?`},
	{"province in words", []string{"to: CA-ON", "to: ‸CA-Ontario"},
		`@: to: "CA-Ontario" is not a country code: did you mean CA-ON?`},
	{"equation without equals", []string{"100 JPY = 0.93 CAD", "‸100 JPY is 0.93 CAD"},
		`@: exchange: rates 1: "100 JPY is 0.93 CAD" is not written as a rate: write 100 JPY = 0.93 CAD`},
	{"equation without currency", []string{"100 JPY = 0.93 CAD", "‸100 JPY = 0.93"},
		`@: exchange: rates 1: "100 JPY = 0.93" is not written as a rate: write 100 JPY = 0.93 CAD`},
	{"equation with an unknown currency", []string{"100 JPY = 0.93 CAD", "‸100 JPY = 0.93 CDN"},
		`@: exchange: rates 1: "100 JPY = 0.93 CDN" is not written as a rate: write 100 JPY = 0.93 CAD`},
	{"equation with a comma", []string{"100 JPY = 0.93 CAD", "‸100 JPY = 0,93 CAD"},
		`@: exchange: rates 1: "100 JPY = 0,93 CAD" is not written as a rate: write 100 JPY = 0.93 CAD, or decimal: comma at the top of the file if all its figures are so`},
	{"equation of nothing", []string{"100 JPY = 0.93 CAD", "‸0 JPY = 0.93 CAD"},
		`@: exchange: rates 1: equation "0 JPY = 0.93 CAD": "0" is not above zero: write it like "100 JPY = 0.93 CAD"`},
	{"equation of one currency", []string{"100 JPY = 0.93 CAD", "‸100 CAD = 0.93 CAD"},
		`@: exchange: rates 1: "100 CAD = 0.93 CAD" is not written as a rate: write 100 JPY = 0.93 CAD`},
	{"equation of home and a figure", []string{"100 JPY = 0.93 CAD", "‸1 CAD = 107.5"},
		`@: exchange: rates 1: "1 CAD = 107.5" is not written as a rate: write 1 CAD = 107.5 JPY`},
	{"equations that conflict", []string{"    - 100 JPY = 0.93 CAD\n", "    - 100 JPY = 0.93 CAD\n    - 1 EUR = 1.6 CAD\n    - ‸1 CAD = 110 JPY\n"},
		`@: exchange: rates 3: equation "1 CAD = 110 JPY" contradicts "100 JPY = 0.93 CAD": keep one of them`},
	{"equation repeated", []string{"    - 100 JPY = 0.93 CAD\n", "    - 100 JPY = 0.93 CAD\n    - ‸100 JPY = 0.93 CAD\n"},
		`@: exchange: rates 2: equation "100 JPY = 0.93 CAD" repeats "100 JPY = 0.93 CAD": keep one of them`},
	{"lots as a group", []string{"lots:\n  - id", "lots:\n  ‸crate-a:\n    id"},
		`@: lots: a list belongs here, not a group of keys: begin each entry with a dash, as in "- …"`},
	{"lots empty", []string{theLots[len("lots:\n"):], ""},
		"haul.yaml:13:1: lots is missing: list what was bought, as in lots: with - id: … below it"},
	{"no lots", []string{theLots, "lots: ‸[]\n"},
		"@: lots: the haul has no lots: add at least one lot with its items"},
	{"missing lots", []string{theLots, ""},
		"haul.yaml:1:1: lots is missing: list what was bought, as in lots: with - id: … below it"},
	{"lots as a word", []string{theLots, "lots: ‸crate-a\n"},
		`@: lots: a list belongs here, not a single value: put it in brackets, as in [ … ]`},
	{"missing items", []string{theItems, ""},
		"haul.yaml:14:5: lot crate-a: items is missing: list what is in the lot, or name a CSV file, as in items: crate-a.csv"},
	{"no items", []string{theItems, "    items: ‸[]\n"},
		"@: lot crate-a: the lot has no items: list what is in it under items"},
	{"items as a group", []string{theItems, "    items: ‸{id: jack}\n"},
		"@: lot crate-a: items: a list belongs here, not a group of keys: write items: [{id: jack}]"},
	{"item as a word", []string{"      - id: square\n        weight: 310 g\n        value: 12 CAD\n", "      - ‸square\n"},
		`@: lot crate-a: items 2: a group of keys belongs here, not a single value: write each as "key: value"`},
	{"charges as a group", []string{"charges:\n  - what: Parcel", "charges:\n    ‸what: Parcel"},
		`@: charges: this line does not begin where what belongs to it does: write "  - what: Parcel"`},
	{"missing amount", []string{"    amount: 7400 JPY\n", ""},
		`haul.yaml:26:5: charge "Parcel": amount is missing: write what it cost, as in amount: 7400 JPY, or amount: 1.5% of price`},
	{"a charge for a parcel", []string{"on: [crate-a]", "‸parcels: [box-a]"},
		`@: charges 1: unknown key "parcels": write on with the lots in it, as in on: [crate-a]`},
	{"a seller of a charge", []string{"what: Parcel", "‸seller: tidemark\n    what: Parcel"},
		`@: charges 1: unknown key "seller": write on with the lots of that seller, as in on: [crate-a]`},
	{"on an unknown id", []string{"on: [crate-a]", "on: [‸crate-b]"},
		`@: charge "Parcel": no lot or item has the id "crate-b": did you mean crate-a?`},
	{"a part of the price that comes back", []string{"amount: 7400 JPY", "amount: ‸-2% of price"},
		`@: charge "Parcel": amount: "-2% of price" is negative: write what comes back as an amount, as in -3 CAD`},
	{"a rebate that does not say of what", []string{"amount: 7400 JPY", "amount: ‸-5 %"},
		`@: charge "Parcel": amount: "-5 %" is negative: write what comes back as an amount, as in -3 CAD`},
	{"item in a percentage", []string{"    amount: 7400 JPY\n    per: haul\n    on: [crate-a]", "    amount: 1.5% of price\n    on: ‸jack"},
		`@: charge "Parcel": "jack" is an item, but a percentage of price covers lots: name the lot, or write an amount`},
	{"percentage for each piece", []string{"    amount: 7400 JPY\n    per: haul", "    amount: 1.5% of price\n    per: ‸piece"},
		`@: charge "Parcel": a percentage of price cannot be per piece: use per: haul, parcel or lot, since a price belongs to a lot`},
	{"table without a date", []string{"  rates:\n    - 100 JPY = 0.93 CAD\n", "  table: ‸rates.csv\n", "date: 2026-10-03\n", ""},
		"@: exchange: table: a table needs the day of purchase: write it at the top of the lot file, as in date: 2026-10-03"},
	{"table that is not there", []string{"  rates:\n", "  table: ‸rates.csv\n  rates:\n"},
		`@: exchange: table: there is no file "rates.csv" beside the lot file: check the name`},
	{"path above", []string{theItems, "    items: ‸../crate-a.csv\n"},
		`@: lot crate-a: items: the path "../crate-a.csv" leads out of the lot file's folder: put the file beside the lot file and write its name alone`},
	{"absolute path", []string{theItems, "    items: ‸/etc/hosts\n"},
		`@: lot crate-a: items: the path "/etc/hosts" leads out of the lot file's folder: put the file beside the lot file and write its name alone`},
	{"link out of the folder", []string{theItems, "    items: ‸link.csv\n"},
		`@: lot crate-a: items: cannot open "link.csv": path escapes from parent: the file must lie below the lot file's folder and be readable`},
	{"folder for a file", []string{theItems, "    items: ‸folder\n"},
		`@: lot crate-a: items: "folder" is a folder: name a file in it`},
	{"items file that is not there", []string{theItems, "    items: ‸crate-a.csv\n"},
		`@: lot crate-a: items: there is no file "crate-a.csv" beside the lot file: check the name`},
	{"tab for indentation", []string{"    premium: 10%", "\tpremium: 10%"},
		`haul.yaml:16:2: a tab stands before the text of this line: write "    premium: 10%"`},
	{"unclosed quote", []string{"title: Three crates of planes", `title: "Three crates of planes`},
		`haul.yaml:2:1: this line cannot be read as it stands: write title: "Three crates of planes"`},
	{"unclosed bracket", []string{"on: [crate-a]", "on: [crate-a"},
		"haul.yaml:30:5: this line cannot be read as it stands: write on: [crate-a]"},
	{"text with a colon", []string{"title: Three crates of planes", "title: Planes: three crates"},
		`haul.yaml:2:1: this line cannot be read as it stands: write title: "Planes: three crates"`},
	{"text that begins with a sign", []string{"title: Three crates of planes", "title: @home"},
		`haul.yaml:2:1: this line cannot be read as it stands: write title: "@home"`},
	{"indentation astray", []string{"    premium: 10%", "   premium: 10%"},
		`haul.yaml:16:4: this line does not begin where what belongs to it does: write "    premium: 10%"`},
	{"two documents", []string{"charges:\n", "‸---\ncharges:\n"},
		"@: a second document begins here: keep one document a file"},
	{"alias", []string{"    amount: 7400 JPY", "    amount: ‸*paid", "price: 4200", "price: &paid 4200"},
		"@: the alias *paid is not allowed: write the value out where it is needed"},
	{"alias bomb", []string{"title: Three crates of planes", "a: &a [x, x, x, x]\nb: &b [‸*a, *a, *a, *a]\nc: &c [*b, *b, *b, *b]\nd: [*c, *c, *c]"},
		"@: the alias *a is not allowed: write the value out where it is needed"},
	{"merge key", []string{"      - id: square\n", "      - <<: ‸*jack\n        id: square\n", "- id: jack", "- &jack\n        id: jack"},
		"@: the alias *jack is not allowed: write the value out where it is needed"},
	{"key that is a list", []string{"title: Three crates of planes", "‸[a, b]: c"},
		`@: a key must be a word: write "key: value"`},
	{"key too long", []string{"title: Three", "? ‸" + strings.Repeat("k", 501) + "\n: Three"},
		"@: the key is 501 characters long: check that it is a key"},
	{"id too long", []string{"id: jack", "id: ‸" + strings.Repeat("j", 501)},
		"@: lot crate-a: items 1: id: the text is 501 characters long: shorten it to 500 at most"},
	{"name too long", []string{"count: 2", "what: ‸" + strings.Repeat("平", 501)},
		"@: item jack: what: the text is 501 characters long: shorten it to 500 at most"},
}

func TestMistakes(t *testing.T) {
	folder := t.TempDir()
	for _, name := range []string{"folder", "outside"} {
		if err := os.Mkdir(filepath.Join(folder, name), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("/etc/hosts", filepath.Join(folder, "link.csv")); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	for _, c := range mistakes {
		t.Run(c.name, func(t *testing.T) {
			text, at := spoil(t, c.edits)
			_, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
			if err == nil {
				t.Fatalf("no fault in\n%s", text)
			}
			want := c.want
			if rest, placed := strings.CutPrefix(want, "@"); placed {
				want = at + rest
			}
			if err.Error() != want {
				t.Errorf("got  %s\nwant %s", err, want)
			}
			var faults source.Faults
			if !errors.As(err, &faults) || len(faults) != 1 {
				t.Errorf("one mistake gives %d messages", len(faults))
			}
		})
	}
}

// spoil edits aFile and finds the mark of the fault: its line and column,
// counted in characters.
func spoil(t testing.TB, edits []string) (text, at string) {
	t.Helper()
	text = aFile
	for i := 0; i < len(edits); i += 2 {
		if strings.Count(text, edits[i]) != 1 {
			t.Fatalf("%q stands %d times in the file", edits[i], strings.Count(text, edits[i]))
		}
		text = strings.Replace(text, edits[i], edits[i+1], 1)
	}
	before, after, marked := strings.Cut(text, here)
	if !marked {
		return text, ""
	}
	line := before[strings.LastIndexByte(before, '\n')+1:]
	return before + after, fmt.Sprintf("haul.yaml:%d:%d", 1+strings.Count(before, "\n"), 1+utf8.RuneCountInString(line))
}

// Files that are no lot file at all.
func TestNotALotFile(t *testing.T) {
	const (
		begin  = "the file is empty: check that it is the file you meant; \"lotcost new\" writes a lot file to start from"
		binary = "this is a binary file: name a text file in UTF-8"
	)
	cases := []struct{ name, data, want string }{
		{"empty", "", "haul.yaml: " + begin},
		{"blank", " \n\n", "haul.yaml: " + begin},
		{"byte order mark alone", "\xef\xbb\xbf", "haul.yaml: " + begin},
		{"only comments", "# lotcost: 1\n", "haul.yaml: the file holds only comments: \"lotcost new\" writes one to start from"},
		{"document marker alone", "---\n", "haul.yaml: " + begin},
		{"null", "null\n", "haul.yaml: " + begin},
		{"binary", "PK\x03\x04\x00\x00", "haul.yaml: " + binary},
		{"UTF-16, little end first", "\xff\xfel\x00o\x00", "haul.yaml: the file is in UTF-16: save it as UTF-8 text"},
		{"UTF-16, big end first", "\xfe\xff\x00l\x00o", "haul.yaml: the file is in UTF-16: save it as UTF-8 text"},
		{"UTF-16 without a mark", "l\x00o\x00t\x00", "haul.yaml: " + binary},
		{"Latin-1", "lotcost: 1\ntitle: Rabot \xe0 moulures\n", "haul.yaml:2:14: this is not UTF-8 text: save the file as UTF-8"},
		{"Shift JIS after good text", "title: \u5e73\u925e \x95\xbd\n", "haul.yaml:1:11: this is not UTF-8 text: save the file as UTF-8"},
		{"too large", strings.Repeat("#\n", input.MaxBytes/2) + "\n", "haul.yaml: the file is larger than 16 MiB: check that it is the file you meant"},
		{"a million values", strings.Repeat("- a\n", 1_000_001), "haul.yaml: the file holds more than a million values: put long lists in CSV files, or check that it is the file you meant"},
		{"10 000 lists deep", strings.Repeat("[", 10_000) + strings.Repeat("]", 10_000), "haul.yaml:1:42: this is nested too deeply: close the brackets, or check that it is the file you meant"},
		{"10 000 lists never closed", strings.Repeat("[", 10_000), "haul.yaml:1: this is not YAML: did not find expected node content: look at the indentation, quotes and brackets from this line on"},
		{"10 001 lists deep", strings.Repeat("[", 10_001), "haul.yaml: this is nested too deeply: close the brackets, or check that it is the file you meant"},
		{"42 lists deep", "lotcost:\n  " + strings.Repeat("[", 42) + strings.Repeat("]", 42), "haul.yaml:2:43: this is nested too deeply: close the brackets, or check that it is the file you meant"},
		{"a list", "- lotcost: 1\n", "haul.yaml:1:1: a group of keys belongs here, not a list: write each as \"key: value\""},
		{"a word", "lotcost\n", "haul.yaml:1:1: a group of keys belongs here, not a single value: write each as \"key: value\""},
		{"an item list", "id,what,count\njack,Jack plane,2\n", "haul.yaml:1:1: a group of keys belongs here, not a single value: write each as \"key: value\""},
		{"control characters", "title: a\x01b\n", "haul.yaml: this is not YAML: control characters are not allowed: look at the indentation, quotes and brackets from this line on"},
		{"tabs from the start", "lotcost: 1\nhome: CAD\nlots:\n\t- {id: a, price: 1, items: [{id: b}]}\n", "haul.yaml:4:2: a tab stands before the text of this line: write \"  - {id: a, price: 1, items: [{id: b}]}\""},
	}
	for _, c := range cases {
		if len(c.data) > 1<<20 && testing.Short() {
			continue // it takes long
		}
		t.Run(c.name, func(t *testing.T) {
			if _, err := lotfile.Parse("haul.yaml", []byte(c.data), ".", lotfile.Options{}); err == nil || err.Error() != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// TestUTF16InAFolder: a haul that an editor saved as UTF-16 is told, and no other text is.
func TestUTF16InAFolder(t *testing.T) {
	folder := t.TempDir()
	for _, c := range []struct {
		text     string
		reported bool
	}{
		{"\xff\xfe" + wide("\x00", "", "title: x\nlotcost: 1\n"), true}, {"\xfe\xff" + wide("", "\x00", "lotcost: 1\n"), true},
		{"\xff\xfe" + wide("\x00", "", "a note\n"), false}, {"\xff\xfe", false}, {"", false},
	} {
		write(t, folder, "haul.yaml", c.text)
		f, err := lotfile.ReadHaul(filepath.Join(folder, "haul.yaml"), lotfile.Options{})
		if reported := err != nil && strings.HasSuffix(err.Error(), "haul.yaml: the file is in UTF-16: save it as UTF-8 text"); f != nil || reported != c.reported || err != nil && !reported {
			t.Errorf("%q: %v, %v", c.text, f, err)
		}
	}
}

// wide puts something behind and before each letter.
func wide(behind, before, text string) string {
	var b strings.Builder
	for _, r := range text {
		b.WriteString(before + string(r) + behind)
	}
	return b.String()
}

// All faults of a file are reported at once, in the order of the text, and those of
// a file that it names after its own.
func TestAllFaultsAtOnce(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "crate-a.csv", "id,count,weight\njack,two,1.9\n")
	text := `lotcost: 1
home: CDN
date: 2026-13-03
lots:
  - id: crate-a
    price: 4,5 JPY
    items: crate-a.csv
  - id: crate-b
    price: 100
    items:
      - id: square
        count: 0
charges:
  - what: Parcel
    amount: 12
    by: wieght
`
	want := `haul.yaml:2:7: home: currency "CDN" is not an ISO 4217 code: did you mean CAD?
haul.yaml:3:7: date: "2026-13-03" is not written as year-month-day: write 2026-03-13
haul.yaml:6:12: lot crate-a: price: "4,5 JPY" has a comma that may be a decimal or a thousands mark: write 45 JPY
haul.yaml:12:16: item square: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out
haul.yaml:16:9: charge "Parcel": by: unknown basis "wieght": did you mean weight?
` + filepath.Join(folder, "crate-a.csv") + `:2:6: item jack: count: "two" is not a number of pieces: write 2
` + filepath.Join(folder, "crate-a.csv") + `:2:10: item jack: weight: "1.9" has no unit: write 1.9 kg, or the unit of all in the head, as in weight (kg)`
	_, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// Lines that have lost the space behind a colon are told each by what cures it, not by what makes
// as many lines readable and leaves other faults behind.
func TestBrokenAtOnce(t *testing.T) {
	const text = "lotcost: 1\nhome: CAD\nlots:\n- id: a\n  price: 10 CAD\n  items:\n  - id:jack\n    count: 2\n    value: 9 CAD\n    found:\n      sound:1\n      dead: 1\n- id:b\n  price: 12 CAD\n  items:\n  - id: joe\n    value: 1 CAD\n"
	const unread = "this line cannot be read as it stands: write "
	want := "haul.yaml:7:3: " + unread + "- id: jack\nhaul.yaml:11:7: " + unread + "sound: 1\nhaul.yaml:13:1: " + unread + "- id: b"
	if _, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{}); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	parse(t, strings.NewReplacer("id:jack", "id: jack", "sound:1", "sound: 1", "id:b", "id: b").Replace(text))
}

// A line that is not of the shape of what stands there is mended though a key above it is misspelt,
// of which it cannot be said whether that is all.
func TestShapesAtOnce(t *testing.T) {
	const text = "lotcost: 1\nhome: CAD\nlots:\n- id: a\n  pirce: 10 CAD\n  items:\n  - id: jack\n    value: 9 CAD\n    found:\n      dead 1\n"
	const want = `haul.yaml:5:3: lots 1: unknown key "pirce": did you mean price?
haul.yaml:10:7: item jack: found: a group of keys belongs here, not a single value: write dead: 1`
	if _, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{}); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	parse(t, strings.NewReplacer("pirce", "price", "dead 1", "dead: 1").Replace(text))
}

// A weight or a value that is missing is told beside other mistakes, as far as that is certain: not
// of an item whose own cannot be read, nor because of a charge that cannot.
func TestWeightsAtOnce(t *testing.T) {
	const begin = "lotcost: 1\nhome: CAD\n"
	for _, c := range []struct{ name, text, want string }{
		{"beside an amount", begin + "lots: [{id: a, price: 10, items: [{id: b, value: 1 CDA}, {id: c, weight: 1 kgs}, {id: d, wieght: 1 kg}, {id: e, weight: 1 kg}]}]\ncharges: [{what: Parcel, kind: freight, amount: 5}]\n",
			`haul.yaml:3:35: item b: has no weight, but the freight "Parcel" is shared by weight: write what one piece weighs, as in weight: 1.9 kg, or share that cost by count, value or line
haul.yaml:3:50: item b: value: "1 CDA" has no currency code of ISO 4217 in "CDA": write 1 CAD
haul.yaml:3:74: item c: weight: weight "1 kgs": unknown unit "kgs": write 1 kg
haul.yaml:3:82: item d: has no value, but the price of lot a is shared by value: write what one piece should sell for when right, as in value: 38 CAD, or share that cost by weight, count or line
haul.yaml:3:90: lot a: items 3: unknown key "wieght": did you mean weight?
haul.yaml:3:105: item e: has no value, but the price of lot a is shared by value: write what one piece should sell for when right, as in value: 38 CAD, or share that cost by weight, count or line`},
		{"of a charge without an amount", begin + "lots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\ncharges: [{what: Parcel, kind: freight}]\n",
			`haul.yaml:3:35: item b: has no weight, but the freight "Parcel" is shared by weight: write what one piece weighs, as in weight: 1.9 kg, or share that cost by count, value or line
haul.yaml:4:11: charge "Parcel": amount is missing: write what it cost, as in amount: 74 CAD, or amount: 1.5% of price`},
		{"of values that cannot be read", begin + "lots: [{id: a, price: 10, items: [{id: b, valeu: 1}, {id: c, chances: [{chance: 60%}]}]}]\n",
			`haul.yaml:3:43: lot a: items 1: unknown key "valeu": did you mean value?
haul.yaml:3:72: item c: chances 1: value is missing: write what one piece then sells for, as in value: 8 CAD, or value: 0`},
		{"of a charge that is wrong", begin + "lots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\ncharges: [{what: Parcel, kind: freight, amount: 5, by: weihgt}]\n",
			`haul.yaml:4:56: charge "Parcel": by: unknown basis "weihgt": did you mean weight?`},
		{"while it is not known what costs are shared by", begin + "share: {freight: wight}\nlots: [{id: a, price: 10, items: [{id: b}]}]\ncharges: [{what: Parcel, kind: freight, amount: 5}]\n",
			`haul.yaml:3:18: share: freight: unknown basis "wight": did you mean weight?`},
		{"beside a lot with an open price", begin + "date: soon\nlots: [{id: a, price: open, items: [{id: b}]}]\nparcels: [{id: box, lots: [a], freight: 5}]\n",
			`haul.yaml:3:7: date: "soon" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day
haul.yaml:4:37: item b: has no weight, but the freight "parcel box" is shared by weight: write what one piece weighs, as in weight: 1.9 kg, or share that cost by count, value or line`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := lotfile.Parse("haul.yaml", []byte(c.text), t.TempDir(), lotfile.Options{}); err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
		})
	}
}

// A rate of the border that is missing is told beside other mistakes, and each once: by way of home
// where that is what is missing, and not where customs' own rates cannot be read.
func TestRatesAtOnce(t *testing.T) {
	const begin = "lotcost: 1\nhome: DKK\ndate: 2026-10-03\nfrom: JP\nto: DE\n"
	const customs = "customs: {use: personal, by: post, class: plane, classes: {plane: {duty: 2%}}}\n"
	const lots = "lots:\n- {id: a, price: 42 USD, items: [{id: b, value: 1, class: planes}]}\n- {id: c, price: 900 JPY, settled: 70 DKK, items: [{id: d, value: 1}]}\n"
	const plain = `haul.yaml:8:59: item b: there is no customs class "planes": did you mean plane?`
	for _, c := range []struct{ name, text, want string }{
		{"by way of home", begin + customs + lots + "exchange: {rates: [1 USD = 7 DKK, 100 JPY = 5 DKK]}\n", `haul.yaml:6:10: customs: the price of lot a: no rate from DKK to EUR: write it under exchange: rates, as in 100 DKK = … EUR, or name a table that holds it
` + plain},
		{"of what the bank settled", begin + customs + lots + "exchange: {rates: [1 USD = 7 DKK, 1 EUR = 7.46 DKK]}\n", plain + `
haul.yaml:9:18: customs: the price of lot c: no rate from JPY to DKK: write it under exchange: rates, as in 100 JPY = … DKK, or name a table that holds it`},
		{"beside one to home", begin + customs + lots, `haul.yaml:6:10: customs: the price of lot a: no rate from DKK to EUR: write it under exchange: rates, as in 100 DKK = … EUR, or name a table that holds it
haul.yaml:8:18: lot a: price: no rate from USD to DKK: write it under exchange: rates, as in 100 USD = … DKK, or name a table that holds it
` + plain + `
haul.yaml:9:18: customs: the price of lot c: no rate from JPY to DKK: write it under exchange: rates, as in 100 JPY = … DKK, or name a table that holds it`},
		{"with rates of customs", begin + strings.Replace(customs, "}}}", "}}, rates: [1 DKK = 0.134 EUR, 1 USD = 0.9 EUR, 1 JPY = 0.006 EUR]}", 1) + lots + "exchange: {rates: [1 USD = 7 DKK]}\n", plain},
		{"with rates of customs that cannot be read", begin + strings.Replace(customs, "}}}", "}}, rates: [1 DKK is 0.134 EUR]}", 1) + lots + "exchange: {rates: [1 USD = 7 DKK]}\n",
			`haul.yaml:6:88: customs: rates 1: "1 DKK is 0.134 EUR" is not written as a rate: write 1 DKK = 0.134 EUR
` + plain},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := lotfile.Parse("haul.yaml", []byte(c.text), t.TempDir(), lotfile.Options{}); err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
		})
	}
	f := parse(t, begin+customs+strings.Replace(lots, ", class: planes", "", 1)) // Split tells them together too
	_, err := landed.Split(f.Haul)
	const want = `haul.yaml:6:10: customs: the price of lot a: no rate from DKK to EUR: state one ("100 DKK = … EUR") or give a table that holds it
haul.yaml:8:18: lot a: price: no rate from USD to DKK: state one ("100 USD = … DKK") or give a table that holds it
haul.yaml:9:18: customs: the price of lot c: no rate from JPY to DKK: state one ("100 JPY = … DKK") or give a table that holds it`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// One mistake in a class is one message, however many items name it: where the class is misspelt as
// it is written, or is not written at all. Where items of that class are there, each that is
// misspelt is told where it stands.
func TestClassesAtOnce(t *testing.T) {
	const begin = "lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\ncustoms:\n  use: personal\n  by: post\n  classes:\n    brace: {duty: 7%}\n    hand-tol: {duty: 6.5%}\n"
	const lots = `lots:
  - id: a
    price: 90 CAD
    items:
      - {id: jack, value: 1, class: hand-tool}
      - {id: block, value: 1, class: hand-tool}
      - {id: drill, value: 1, class: brace}
      - {id: square, value: 1, class: hand-tool}
      - {id: plough, value: 1, class: hand-tool}
`
	const there = `haul.yaml:%d:%d: item %s: there is no customs class "hand-tool": did you mean hand-tol?`
	for _, c := range []struct{ name, text, want, old, new string }{
		{"misspelt where it is written", begin + lots, `haul.yaml:11:15: customs: classes: no item is of class "hand-tol", and 4 name a class "hand-tool" that is not there: jack, block, square and 1 more: did you mean hand-tool?`, "hand-tol:", "hand-tool:"},
		{"not written", strings.Replace(begin, "    hand-tol: {duty: 6.5%}\n", "", 1) + lots, `haul.yaml:15:37: item jack: there is no customs class "hand-tool", which 4 items name: jack, block, square and 1 more: write it under customs: classes; known here: brace`, "    brace: {duty: 7%}\n", "    brace: {duty: 7%}\n    hand-tool: {duty: 6.5%}\n"},
		{"of one item", begin + strings.Replace(lots, ": hand-tool", ": brace", 3), fmt.Sprintf(there, 20, 39, "plough"), ": hand-tool", ": hand-tol"},
		{"where others are of it", begin + strings.Replace(strings.Replace(lots, "hand-tool", "hand-tol", 1), ": hand-tool", ": brace", 1), fmt.Sprintf(there, 19, 39, "square") + "\n" + fmt.Sprintf(there, 20, 39, "plough"), ": hand-tool", ": hand-tol"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := lotfile.Parse("haul.yaml", []byte(c.text), t.TempDir(), lotfile.Options{}); err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
			if _, err := landed.Split(parse(t, strings.ReplaceAll(c.text, c.old, c.new)).Haul); err != nil {
				t.Errorf("mended: %v", err)
			}
		})
	}
}

// TestClassOfDefaults: a class that several items name and that the defaults do not hold is one
// mistake, of this haul: theirs may be for others.
func TestClassOfDefaults(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "book.yaml", "lotcost-book: 1\nhome: CAD\nto: CA-ON\ncustoms:\n  classes:\n    hand-tol: {duty: 6.5%}\n")
	const haul = "lotcost: 1\nwith: book.yaml\ndate: 2026-10-03\nfrom: JP\nlots: [{id: a, price: 42, items: [{id: jack, value: 9, class: hand-tool}, {id: block, value: 9, class: hand-tool}]}]\n"
	_, err := lotfile.Parse("haul.yaml", []byte(haul), folder, lotfile.Options{})
	const want = `haul.yaml:5:63: item jack: there is no customs class "hand-tool", which 2 items name: jack, block: write it under customs: classes; did you mean hand-tol?`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// A percentage that cannot be, and steps of bids that do, are told beside other mistakes: each is
// judged by itself, and of what could not be read nothing more is said.
func TestTermsAtOnce(t *testing.T) {
	const begin = "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\n"
	paid := strings.Replace(begin, "price: 10", "price: 10 CAD", 1)
	for _, c := range []struct{ name, text, want string }{
		{"a venue", begin + "selling:\n  venues:\n  - name: gable\n    fees: [{what: commission, percent: 120%}, {what: bands, tiers: [{up-to: 5x, rate: 130%}, {rate: 3%}]}]\n    sales-tax: {rate: 200%}\n    postage: {steps: [{up-to: 1 kgs, cost: 5}]}\n",
			`haul.yaml:7:40: venue gable: fee "commission", band 1, rate: "120%" takes the whole price or more, so no price exists: write a rate below 100%
haul.yaml:7:77: venue gable: fee "bands": tiers 1: up-to: currency "x" is not an ISO 4217 code: write its three capitals, as in CAD or JPY
haul.yaml:7:87: venue gable: fee "bands", band 1, rate: "130%" takes the whole price or more, so no price exists: write a rate below 100%
haul.yaml:8:23: venue gable: sales tax: "200%" doubles the price or more: write a rate below 100%
haul.yaml:9:31: venue gable: postage: steps 1: up-to: weight "1 kgs": unknown unit "kgs": write 1 kg`},
		{"a venue in no currency", begin + "selling: {venues: [{name: gable, currency: CDN, fees: [{what: commission, percent: 120%, fixed: 1}]}]}\n",
			`haul.yaml:4:44: venue gable: currency: currency "CDN" is not an ISO 4217 code: did you mean CAD?
haul.yaml:4:84: venue gable: fee "commission", band 1, rate: "120%" takes the whole price or more, so no price exists: write a rate below 100%`},
		{"a fee both ways", begin + "selling: {venues: [{name: gable, fees: [{what: commission, percent: 12%, tiers: [{rate: 120%}]}]}]}\n",
			`haul.yaml:4:69: venue gable: fee "commission": percent: a fee has either percent or tiers: write a single rate as percent, bands as tiers`},
		{"a goal", begin + "bidding: {goal: {return: -150%, margin: 120%, risk: 300%, profit: much}}\n",
			`haul.yaml:4:26: bidding: goal: return: -150% on cost makes no sense: write what is to be gained on the cost, as in 30%
haul.yaml:4:41: bidding: goal: margin: 120% of the proceeds leaves nothing to pay with: write less than 100%, as in 20%
haul.yaml:4:53: bidding: goal: risk: a chance of 300% makes no sense: write the greatest chance of a loss you take, from 0% to 100%
haul.yaml:4:67: bidding: goal: profit: "much" holds no number: write an amount and its currency, as in 42 CAD`},
		{"steps", paid + "bidding:\n  steps:\n  - {from: 100 JPY, step: 0 JPY}\n  - {from: 1000 JPYX, step: 12 JPY}\n  - {from: 900 JPY}\n  - {from: 900 JPY, step: -5 JPY}\n",
			`haul.yaml:6:12: bidding: steps: the first steps begin at 100 JPY: begin at 0, as in from: 0 JPY
haul.yaml:6:27: bidding: steps: a step of 0 JPY gets nowhere: write by how much bids rise, as in step: 100 JPY
haul.yaml:7:12: bidding: steps 2: from: currency "JPYX" is not an ISO 4217 code: write its three capitals, as in CAD or JPY
haul.yaml:8:5: bidding: steps 3: step is missing: write by how much bids rise, as in step: 100 JPY
haul.yaml:9:12: bidding: steps: steps from 900 JPY stand after those from 900 JPY: write them by rising amounts
haul.yaml:9:27: bidding: steps: a step of -5 JPY gets nowhere: write by how much bids rise, as in step: 100 JPY`},
		{"steps of which the first is none", paid + "bidding: {start: 500 JPY, steps: [{step: much}, {from: 1000 JPY, step: 100 JPY}]}\n",
			`haul.yaml:4:42: bidding: steps 1: step: "much" holds no number: write an amount and its currency, as in 4200 JPY`},
	} {
		t.Run(c.name, func(t *testing.T) {
			if _, err := lotfile.Parse("haul.yaml", []byte(c.text), t.TempDir(), lotfile.Options{}); err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
		})
	}
}

// Pieces that do not add up are told beside what else is wrong with their item, unless it is the
// count that cannot be read, or what was found.
func TestCountsAtOnce(t *testing.T) {
	const sum = "item b: found: 3 pieces found, but the count is 2: sound, parts, dead and missing must sum to the count; write extra for pieces beyond it"
	for _, c := range []struct {
		item string
		want []string
	}{
		{"count: 2, weight: 1 kgs, value: 3 CDA, repair: -1, found: {sound: 3}", []string{`"1 kgs"`, `"3 CDA"`, `"-1.00 CAD" is negative`, sum}},
		{"count: 2, value: 3, chances: [{chance: 2, value: 1}], keep: 2, found: {sound: 1, dead: 1}", []string{`"2"`, "2 are to be kept, but 1 are sound"}},
		{"quantity: 3, value: 3, keep: 2, found: {sound: 3}", []string{`unknown key "quantity"`}},
		{"count: two, value: 3, found: {sound: 3}", []string{`"two"`}},
		{"count: 2, value: 3, keep: 2, found: {sound: one}", []string{`"one"`}},
		{"count: 2, value: 3, keep: 2, found: {sound: 1, broken: 1}", []string{`"broken"`}},
	} {
		_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: [{id: b, "+c.item+"}]}]\n"), t.TempDir(), lotfile.Options{})
		got := strings.Split(fmt.Sprint(err), "\n")
		for _, want := range c.want {
			if !strings.Contains(fmt.Sprint(err), want) {
				t.Errorf("%s: not told: %s", c.item, want)
			}
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: got %q", c.item, got)
		}
	}
	_, _, err := readItems(t, "id,count,weight,sound\nb,2,1 kgs,3\n")
	if got := fmt.Sprint(err); !strings.Contains(got, `"1 kgs"`) || !strings.Contains(got, sum) {
		t.Errorf("a list: got %s", got)
	}
}

// What follows from another mistake is not reported: these have many consequences.
func TestNoCascades(t *testing.T) {
	cases := []struct{ name, text, want string }{
		{"home missing, all amounts bare", "lotcost: 1\nlots: [{id: a, price: 10, settled: 11, items: [{id: b, value: 1.50}]}]\ncharges: [{amount: 5}, {amount: \"1,000.00\"}]\n",
			"haul.yaml:1:1: home is missing: write the currency of your books, as in home: CAD"},
		{"home wrong, and a sign that is wrong in any", "lotcost: 1\nhome: CDN\nlots: [{id: a, price: 10, items: [{id: b, value: $1}]}]\n",
			"haul.yaml:2:7: home: currency \"CDN\" is not an ISO 4217 code: did you mean CAD?\n" +
				"haul.yaml:3:50: item b: value: \"$1\" is ambiguous, 29 currencies use the sign '$': write 1 USD or 1 CAD"},
		{"items not there, a charge on one of them", "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: none.csv}]\ncharges: [{amount: 5, on: jack}]\n",
			"haul.yaml:3:34: lot a: items: there is no file \"none.csv\" beside the lot file: check the name"},
		{"an id not given, a charge on it", "lotcost: 1\nhome: CAD\nlots: [{price: 10, items: [{id: b}]}]\ncharges: [{amount: 5, on: a}]\n",
			"haul.yaml:3:8: lots 1: id is missing: give each lot a short id of its own"},
		{"bad date, and a table", "lotcost: 1\nhome: CAD\ndate: soon\nexchange: {table: rates.csv}\nlots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\n",
			"haul.yaml:3:7: date: \"soon\" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day"},
		{"steps as words, which no other way to write the line makes a group", "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: [{id: b, weight: 1 kg, value: 1}]}]\nsending:\n  services: [{name: small, currency: CAD, steps: [5 kg = 20, 8 kg = 30]}]\n",
			"haul.yaml:5:51: service small: steps 1: a group of keys belongs here, not a single value: write each as \"key: value\", of the keys up-to, price\n" +
				"haul.yaml:5:62: service small: steps 2: a group of keys belongs here, not a single value: write each as \"key: value\", of the keys up-to, price"},
		{"home wrong, and bare postage", "lotcost: 1\nhome: CDN\nlots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\nselling: {charged: 12 CAD, venues: [{name: gable, postage: 11.50}]}\n",
			"haul.yaml:2:7: home: currency \"CDN\" is not an ISO 4217 code: did you mean CAD?"},
		{"postage for all venues wrong", "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: [{id: b, value: 1}]}]\nselling: {charged: 12 CAD, postage: 14.50 CDN, venues: [{name: gable}]}\n",
			"haul.yaml:4:37: selling: postage: \"14.50 CDN\" has no currency code of ISO 4217 in \"CDN\": write 14.50 CAD"},
		{"amount given but wrong", "lotcost: 1\nhome: CAD\nlots: [{id: a, price: [1], items: [{id: b}]}]\ncharges: [{amount: [2]}]\n",
			"haul.yaml:3:23: lot a: price: one value belongs here, not a list: write it on one line, as in key: value\n" +
				"haul.yaml:4:20: charges 1: amount: one value belongs here, not a list: write it on one line, as in key: value"},
	}
	folder := t.TempDir()
	write(t, folder, "rates.csv", "Date,JPY,CAD\n2026-10-02,163.36,1.52\n")
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if _, err := lotfile.Parse("haul.yaml", []byte(c.text), folder, lotfile.Options{}); err == nil || err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
		})
	}
}

func write(t testing.TB, folder, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}
