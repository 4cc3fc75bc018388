package customs_test

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/source"
)

// TestShipped proves that each shipped file parses, that its dates have neither
// gap nor overlap, and that each figure names a source.
func TestShipped(t *testing.T) {
	files, err := filepath.Glob("rules/*.yaml")
	if err != nil || len(files) != 15 {
		t.Fatal(files, err)
	}
	shipped := customs.Shipped()
	if said, are := customs.ShippedFor(); !slices.Equal(said, are) {
		t.Errorf("the rules are said to hold in %v, and hold in %v", said, are)
	}
	for i, file := range files {
		data, err := os.ReadFile(file)
		must(t, data, err)
		set, err := customs.Parse(file, data)
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		if set.Entries()[0].Territory != shipped[i].Entries()[0].Territory || len(set.Entries()) != len(shipped[i].Entries()) {
			t.Errorf("%s is not what is embedded", file)
		}
		for j := range set.Entries() {
			checkEntry(t, set, j)
		}
	}
}

func checkEntry(t *testing.T, set *customs.RuleSet, at int) {
	e := &set.Entries()[at]
	name := set.Entries()[0].Territory + " " + e.From.Format(time.DateOnly)
	if at > 0 && !set.Entries()[at-1].To.AddDate(0, 0, 1).Equal(e.From) {
		t.Errorf("%s: does not begin the day after the entry before", name)
	}
	if last := at == len(set.Entries())-1; e.To.IsZero() && !last {
		t.Errorf("%s: has no end", name)
	}
	if e.Published == "" || e.Checked.Year() != 2026 || e.About == "" || len(e.Notes) == 0 {
		t.Errorf("%s: lacks what sets it apart, where it was published, when it was checked, or its notes", name)
	}
	for _, w := range e.Figures() {
		if w.Topic == "" || w.What == "" || w.Text == "" || w.Source == "" {
			t.Errorf("%s: says too little: %+v", name, w)
		}
		if w.Confidence == customs.Published && strings.Contains(w.Source, "memory") {
			t.Errorf("%s: published, from memory: %+v", name, w)
		}
	}
}

func TestDifferences(t *testing.T) {
	book := customs.NewBook()
	entry := func(to, on string) *customs.Rules {
		r, err := book.For(to, day(on))
		return must(t, r, err)
	}
	before, from := entry("DE", "2026-06-30"), entry("DE", "2026-07-01")
	var got []string
	for _, d := range customs.Differences(before, from) {
		got = append(got, d[1].Topic+": "+d[1].What+": "+d[0].Text+" -> "+d[1].Text)
	}
	want := []string{
		"relief: duty and tax relieved, for gifts:  -> up to 45.00 EUR of goods in the parcel; above, as many whole pieces as fit are relieved",
		"duty: duty, by post, for personal use and resale, up to 150.00 EUR of goods in the parcel:  -> 3.00 EUR for each tariff heading",
		"duty: duty, for personal use and resale, where the seller has charged the tax, up to 150.00 EUR of goods in the parcel:  -> 3.00 EUR for each tariff heading",
		"duty: duty, for personal use, if the Commission's guidance, as it is reported, is followed: EUR 3 for each item in any sale to a private person, whoever carries it, up to 150.00 EUR of goods in the parcel:  -> 3.00 EUR for each tariff heading",
		"relief: duty relieved, for gifts, above 150.00 EUR of goods in the parcel: up to 45.00 EUR of goods in the parcel; above, as many whole pieces as fit are relieved -> ",
		"relief: tax relieved, for gifts: up to 45.00 EUR of goods in the parcel; above, as many whole pieces as fit are relieved -> ",
		"relief: duty relieved: up to 150.00 EUR of goods in the parcel -> ",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if d := customs.Differences(from, from); len(d) != 0 {
		t.Errorf("an entry differs from itself: %v", d)
	}
	back := customs.Differences(from, before)
	if len(back) != len(want) {
		t.Errorf("the way back has %d differences, not %d", len(back), len(want))
	}
}

// TestOwn lays own rules over shipped ones.
func TestOwn(t *testing.T) {
	data, err := os.ReadFile("testdata/rules/gb-2012.yaml")
	must(t, data, err)
	text := strings.NewReplacer("from: 2011-01-04", "from: 2026-03-01", "to: 2012-12-31", "to: 2026-03-31").Replace(string(data))
	own, err := customs.Parse("own.yaml", []byte(text))
	must(t, own, err)
	book := customs.NewBook(own)
	for on, name := range map[string]string{
		"2026-02-28": "United Kingdom", "2026-03-01": "United Kingdom in 2012", "2026-03-31": "United Kingdom in 2012", "2026-04-01": "United Kingdom",
	} {
		if r, err := book.For("GB", day(on)); err != nil || r.Name != name {
			t.Errorf("%s: %v, %v, want %s", on, r, err, name)
		}
	}
	var entries []*customs.Rules
	for _, r := range book.Entries() {
		if r.Territory == "GB" {
			entries = append(entries, r)
		}
	}
	if len(entries) != 3 {
		t.Fatalf("%d entries, want 3", len(entries))
	}
	for j := 1; j < len(entries); j++ {
		if !entries[j-1].To.AddDate(0, 0, 1).Equal(entries[j].From) {
			t.Errorf("entry %d does not follow the one before", j)
		}
	}
	if r, err := customs.NewBook().For("GB", day("2026-03-01")); err != nil || r.Name != "United Kingdom" {
		t.Errorf("the shipped set was changed: %v, %v", r, err)
	}
	member := strings.NewReplacer("territory: GB", "territory: DE", "currency: GBP", "currency: EUR", " GBP", " EUR").Replace(text)
	state, err := customs.Parse("own.yaml", []byte(member))
	must(t, state, err)
	if r, err := customs.NewBook(state).For("DE", day("2026-03-05")); err != nil || r.Territory != "DE" {
		t.Errorf("a country comes before its union: %v, %v", r, err)
	}
	union, err := customs.Parse("own.yaml", []byte(strings.Replace(member, "territory: DE", "territory: EU", 1)))
	must(t, union, err)
	for on, name := range map[string]string{"2026-03-05": "United Kingdom in 2012", "2026-04-05": "European Union"} {
		if r, err := customs.NewBook(union).For("DE", day(on)); err != nil || r.Name != name {
			t.Errorf("a union that names no members keeps them: %v, %v, want %s", r, err, name)
		}
	}
}

// plainRules is a rule file with nothing wrong, in which the tests put faults.
const plainRules = `customs: 1
territory: XA
name: Somewhere
currency: EUR
tariff: the tariff
sources:
  act: the act
entries:
  - from: 2026-01-01
    published: the act
    checked: 2026-11-25
    value:
      - { holds: [goods], source: act, confidence: published }
    relief:
      - { of: duty, upto: 10 EUR, source: act, confidence: memory }
    duty:
      base: { to: 1 EUR, over: heading, source: act, confidence: memory }
      ways:
        - { by: class, source: act, confidence: memory }
    taxes:
      - name: VAT
        base: [value, duty]
        source: act
        confidence: memory
        rates:
          - { rate: 20%, source: act, confidence: memory }
    fees:
      - { name: handling, amount: 5 EUR, source: act, confidence: memory }
    collect:
      - { of: duty, least: 1 EUR, source: act, confidence: memory }
`

func TestFaults(t *testing.T) {
	if _, err := customs.Parse("f", []byte(plainRules)); err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct{ old, new, want string }{
		{"customs: 1", "customs: 2", `f:1:10: customs: version "2" of the schema is not known: write customs: 1`},
		{"territory: XA", "territory: Canada", `f:2:12: territory: "Canada" is not a country code: write two capitals, as in CA`},
		{"tariff: the tariff\n", "", `f:1:1: tariff is missing: name the tariff in which duty rates are found`},
		{"tariff: the tariff\n", "tariff: the tariff\ntarif: x\n", `f:6:1: unknown key "tarif": did you mean tariff?`},
		{"  act: the act", "  act: the act\n  law: the law", `f:8:3: sources: no figure is from "law": take it out, or name it as a source`},
		{"upto: 10 EUR, source: act", "upto: 10 EUR, source: acts", `f:15:43: entries 1: relief 1: source: "acts" is not among the sources: did you mean act?`},
		{"upto: 10 EUR, source: act, confidence: memory", "upto: 10 EUR, source: act", `f:15:9: entries 1: relief 1: confidence is missing: write published, if the figure was read in the authority's own text, reported, if elsewhere, or memory`},
		{"upto: 10 EUR, source: act, confidence: memory", "upto: 10 EUR, source: act, confidence: given", `f:15:60: entries 1: relief 1: confidence: "given" is no confidence: known here: memory, reported, published, custom`},
		{"upto: 10 EUR", "upto: 10 CAD", `f:15:27: entries 1: relief 1: upto: "10.00 CAD" is not in EUR: write it in the currency of the territory`},
		{"upto: 10 EUR", "upto: 10", `f:15:27: entries 1: relief 1: upto: "10" has no currency: write the code behind it, as in 10 JPY`},
		{"upto: 10 EUR", "upto: -10 EUR", `f:15:27: entries 1: relief 1: upto: "-10.00 EUR" is no sum for a rule: write a sum of zero or more, and not absurdly large`},
		{"upto: 10 EUR, ", "", `f:15:9: entries 1: relief 1: the threshold is missing: write upto: and a sum, or below: and a sum`},
		{"upto: 10 EUR", "upto: 10 EUR, below: 9 EUR", `f:15:42: entries 1: relief 1: below: upto and below exclude each other: keep one`},
		{"upto: 10 EUR", "upto: 10 EUR, beyond: pieces, over: day", `f:15:43: entries 1: relief 1: beyond: only a threshold of the goods of one parcel can be taken off: leave out measure and over, or write beyond: full`},
		{"of: duty, upto", "of: duties, upto", `f:15:15: entries 1: relief 1: of: "duties" is no charge: did you mean duty?`},
		{"holds: [goods]", "holds: [freight]", `f:13:18: entries 1: value 1: holds: the value for customs holds no goods: write goods first`},
		{"holds: [goods]", "holds: [goods], when: { use: gift }", `f:13:7: entries 1: value: there are parcels to which none of these applies: write a last one without when`},
		{"holds: [goods]", "holds: [goods], when: { upto: { amount: 5 EUR, of: value } }, source: act, confidence: memory }\n      - { holds: [goods]", `f:13:33: entries 1: value 1: when: the value for customs depends on itself: compare the goods, with of: goods`},
		{"holds: [goods]", "holds: [goods], without: [goods]", `f:13:36: entries 1: value 1: without: a part of the value is left out of it too: keep it in one of holds and without`},
		{"by: class", "by: heading, amount: 1 EUR, digits: 20", `f:19:49: entries 1: duty: ways 1: digits: "20" is no number of digits of a tariff code: write 4, 6, 8 or 10`},
		{"by: class", "by: parcel, bands: [{ amount: 1 EUR, source: act, confidence: memory }, { amount: 2 EUR, source: act, confidence: memory }]", `f:19:32: entries 1: duty: ways 1: bands: a band without a bound stands before others: put it last`},
		{"by: class", "by: parcel, bands: [{ upto: 5%, amount: 1 EUR, source: act, confidence: memory }, { upto: 5%, amount: 2 EUR, source: act, confidence: memory }, { amount: 3 EUR, source: act, confidence: memory }]", `f:19:32: entries 1: duty: ways 1: bands: the bounds do not rise: put the lowest first`},
		{"by: class", "when: { paid-at-sale: maybe }, by: class", `f:19:35: entries 1: duty: ways 1: when: paid-at-sale: "maybe" is neither yes nor no: write yes or no`},
		{"rate: 20%", "rate: 3.3333333%, part: 33.3333333%", `f:26:39: entries 1: taxes 1: rates 1: part: the part of the rate has too many decimals: write rate: with the rate that results`},
		{"by: class", "by: heading", `f:19:11: entries 1: duty: ways 1: amount is missing: write the sum for each heading, as in amount: 3 EUR`},
		{"by: class", "by: rate, rate: 22/78", `f:19:29: entries 1: duty: ways 1: rate: "22/78" is no percentage: write the rate as in 2.5 %`},
		{"by: class", "by: parcel, bands: [{ upto: 5%, amount: 1 EUR, source: act, confidence: memory }]", `f:19:32: entries 1: duty: ways 1: bands: no band holds for the highest rates: leave out the bound of the last`},
		{"rate: 20%", "rate: 20", `f:26:21: entries 1: taxes 1: rates 1: rate: "20" is not a percentage: write 20%`},
		{"rate: 20%", "rate: 78/22", `f:26:21: entries 1: taxes 1: rates 1: rate: "78/22" is no fraction: write a percentage, or a part of a whole as in 22/78`},
		{"rate: 20%", "rate: 2000%", `f:26:21: entries 1: taxes 1: rates 1: rate: "2000%" is above 1000 %: check the decimal point`},
		{"rate: 20%", "rate: 0.00000001%", `f:26:21: entries 1: taxes 1: rates 1: rate: "0.00000001%" has more than seven decimals: round it to seven`},
		{"rate: 20%", "rate: 20%, places: [Ontario]", `f:26:35: entries 1: taxes 1: rates 1: places 1: "Ontario" is not a place: write an ISO 3166 code, as in CA-ON or DE`},
		{"base: [value, duty]", "base: [goods]", `f:22:15: entries 1: taxes 1: base: the base of a tax holds neither goods nor tax: write value for the value for customs, and of: for a part of another tax`},
		{"base: [value, duty]", "of: GST", `f:22:13: entries 1: taxes 1: of: no tax above is named "GST": name the tax that this one is a part of`},
		{"amount: 5 EUR, source", "source", `f:28:9: entries 1: fees 1: the fee has neither amount nor percent: write one of them, or both`},
		{"amount: 5 EUR, source", "percent: 3%, source", `f:28:36: entries 1: fees 1: percent: the percentage is of nothing: write of: [value], say`},
		{"amount: 5 EUR, source", "amount: 5 EUR, least: 2 EUR, most: 1 EUR, source", `f:28:62: entries 1: fees 1: most: the most is less than the least: swap them`},
		{"from: 2026-01-01", "from: 2026-02-30", `f:9:11: entries 1: from: "2026-02-30" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day`},
		{"    published: the act\n", "    to: 2025-01-01\n    published: the act\n", `f:9:5: the entry ends before it begins: swap from and to`},
		{"    published: the act\n", "    like: 2020-01-01\n    published: the act\n", `f:10:11: entries 1: like: no entry above begins on 2020-01-01: name the from of an entry above this one`},
		{"  act: the act", "  act: { title: the act, dated: once }", `f:7:33: sources: act: dated: "once" is no day, month or year: write 2018-05-01, 2018-05 or 2018`},
		{"  act: the act", "  act: { title: the act }", `f:7:8: sources: act: dated is missing: write the day, month or year of the page, as in dated: 2018`},
		{"by: class", "by: rate, rate: 5%, less: 1 EUR, lower: yes", `f:19:53: entries 1: duty: ways 1: lower: what is on all goods, or less a sum, is not compared with the class's own rate: leave out lower, or free-goods and less`},
		{"by: class", "by: rate, rate: 5%, less: 1 USD", `f:19:39: entries 1: duty: ways 1: less: "1.00 USD" is not in EUR: write it in the currency of the territory`},
		{"upto: 10 EUR", "wholly: yes, upto: 10 EUR", `f:15:40: entries 1: relief 1: upto: what is relieved wholly has no threshold: leave it out, or wholly`},
		{"    published: the act\n", "    published: the act\n    refunds: [{ of: duty, part: 101%, where: so, source: act, confidence: memory }]\n", `f:11:33: entries 1: refunds 1: part: more than all of it cannot be paid back: write 100% at most`},
		{"upto: 10 EUR", "when: { open: tomorrow }, upto: 10 EUR", `f:15:35: entries 1: relief 1: when: open: no open question is named "tomorrow": write it under open: of the entry, as in tomorrow: what it would mean`},
		{"upto: 10 EUR", "not-made-in: CN, upto: 10 EUR, beyond: pieces", `f:15:60: entries 1: relief 1: beyond: a threshold for goods of some countries of making cannot be taken off: write beyond: full`},
		{"upto: 10 EUR", "when: { above: { weight: 2 kg, of: goods } }, upto: 10 EUR", `f:15:56: entries 1: relief 1: when: above: of: a bound of the weight has nothing beside it: leave it out`},
		{"upto: 10 EUR", "when: { goods: books }, upto: 10 EUR", `f:15:36: entries 1: relief 1: when: goods: "books" is no beginning of a tariff code: write its digits, as in 8205`},
		{"upto: 10 EUR", "when: { post: any }, upto: 10 EUR", `f:15:35: entries 1: relief 1: when: post: "any" is no stream of the post: known here: letters, parcels`},
		{"amount: 5 EUR, source", "amount: 5 EUR, headings-above: some, source", `f:28:58: entries 1: fees 1: headings-above: "some" is no number of tariff headings: write 0 where each one counts`},
		{"    published: the act\n", "    published: the act\n    notes: [{ note: a, caution: b }]\n", `f:11:13: entries 1: notes 1: there is not one text: write note: or caution: and the text`},
		{"over: heading", "over: heading, keep-total: yes", `f:17:53: entries 1: duty: base: keep-total: the total can only be kept when goods at one rate are rounded together, to the nearest: write over: rate, and leave out mode`},
	} {
		text := strings.Replace(plainRules, k.old, k.new, 1)
		if text == plainRules {
			t.Fatalf("%q is not in the file", k.old)
		}
		_, err := customs.Parse("f", []byte(text))
		var faults source.Faults
		if !errors.As(err, &faults) {
			t.Errorf("%q for %q: no faults: %v", k.new, k.old, err)
			continue
		}
		if got := faults[0].Error(); got != k.want {
			t.Errorf("%q for %q:\n got %s\nwant %s", k.new, k.old, got, k.want)
		}
	}
}

// TestDates finds gaps and overlaps between entries.
func TestDates(t *testing.T) {
	second := func(from string) string {
		return plainRules + "  - { from: " + from + ", like: 2026-01-01, published: the act, checked: 2026-11-25 }\n"
	}
	ended := func(s string) string {
		return strings.Replace(s, "    published", "    to: 2026-06-30\n    published", 1)
	}
	for _, k := range []struct{ text, want string }{
		{ended(second("2026-07-01")), ""},
		{second("2026-07-01"), "f:31:5: the entry overlaps the one from 2026-01-01: end that one with to: 2026-06-30"},
		{ended(second("2026-06-30")), "f:32:5: the entry overlaps the one from 2026-01-01: end that one with to: 2026-06-29"},
		{ended(second("2026-07-02")), "f:32:5: no entry covers the days from 2026-07-01: begin this entry there, or add one between"},
	} {
		_, err := customs.Parse("f", []byte(k.text))
		got := ""
		if err != nil {
			got = err.Error()
		}
		if got != k.want {
			t.Errorf("got %q, want %q", got, k.want)
		}
	}
}
