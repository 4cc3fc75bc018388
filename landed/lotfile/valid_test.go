package lotfile_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

var (
	cad = money.MustCurrency("CAD")
	jpy = money.MustCurrency("JPY")
)

func parse(t testing.TB, text string) *lotfile.File {
	t.Helper()
	h, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Every key of the format, with each value what it says.
func TestEveryKey(t *testing.T) {
	h := parse(t, `lotcost: 1
title: 鉋 three crates
home: CAD
date: 2026-10-03
from: JP
to: CA-ON
exchange:
  spread: 2.5%
  rates:
    - 100 JPY = 0.93 CAD
share:
  price: weight
  freight: count
  insurance: equal
  fee: value
  repair: weight
  duty: assessed
  tax: value
lots:
  - id: crate-a
    title: Crate A
    seller: tidemark
    price: 4200 JPY
    premium: 10%
    settled: 41.37 CAD
    items:
      - id: jack
        what: Jack plane
        count: 2
        weight: 1.9 kg
        value: 38
        class: hand-tool
charges:
  - what: Surface parcel
    kind: freight
    amount: 7400 JPY
    settled: 70.02
    per: lot
    on: [crate-a]
    by: weight
  - kind: insurance
    amount: 1.5% of price
    on: crate-a
  - amount: -3.20 CAD
    per: piece
  - kind: repair
    settled: 12 CAD
    per: item
  - kind: fee
    amount: 0
    per: parcel
`)
	at := func(line, column int) source.Origin {
		return placeIn(h, line, column)
	}
	jack := landed.Item{ID: "jack", What: "Jack plane", Count: 2, Weight: 1900 * measure.Gram, Weighed: true,
		Value: money.New(3800, cad), Class: "hand-tool", At: at(27, 9)}
	lots := []landed.Lot{{ID: "crate-a", Title: "Crate A", Seller: "tidemark", Price: money.New(4200, jpy),
		Premium: h.Lots[0].Premium, Settled: money.New(4137, cad), Items: []landed.Item{jack}, At: at(20, 5)}}
	charges := []landed.Charge{
		{What: "Surface parcel", Kind: landed.Freight, Amount: money.New(7400, jpy), Settled: money.New(7002, cad), Per: landed.PerLot,
			On: []string{"crate-a"}, By: landed.ByWeight, At: at(34, 5)},
		{What: "insurance", Kind: landed.Insurance, Percent: h.Charges[1].Percent, OfPrice: true, On: []string{"crate-a"}, At: at(41, 5)},
		{What: "fee", Kind: landed.Fee, Amount: money.New(-320, cad), Per: landed.PerPiece, At: at(44, 5)},
		{What: "repair", Kind: landed.Repair, Settled: money.New(1200, cad), Per: landed.PerItem, At: at(46, 5)},
		{What: "fee", Kind: landed.Fee, Amount: money.New(0, cad), Per: landed.PerParcel, At: at(49, 5)},
	}
	share := landed.Bases{landed.Price: landed.ByWeight, landed.Premium: landed.ByWeight, landed.Freight: landed.ByCount,
		landed.Insurance: landed.ByEqual, landed.Fee: landed.ByValue, landed.Repair: landed.ByWeight,
		landed.Duty: landed.ByAssessed, landed.Tax: landed.ByValue}
	for _, c := range []struct{ got, want any }{
		{h.Title, "鉋 three crates"}, {h.Home, cad}, {h.From, "JP"}, {h.To, "CA-ON"},
		{h.Date, time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)},
		{h.Share, share}, {h.Lots, lots}, {h.Charges, charges}, {h.At.String(), "haul.yaml"},
	} {
		if !reflect.DeepEqual(c.got, c.want) {
			t.Errorf("got  %+v\nwant %+v", c.got, c.want)
		}
	}
	for _, c := range []struct {
		got  decimal.Decimal
		want string
	}{{h.Spread, "0.025"}, {h.Lots[0].Premium, "0.1"}, {h.Charges[1].Percent, "0.015"}} {
		if !c.got.Equal(decimal.RequireFromString(c.want)) {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
	if rate, err := h.Market.Rate("JPY", "CAD"); err != nil || !rate.Num.Equal(decimal.RequireFromString("0.93")) || !rate.Den.Equal(decimal.NewFromInt(100)) {
		t.Errorf("rate %v, %v", rate, err)
	}
}

// What may be left out or written another way.
func TestOtherWays(t *testing.T) {
	const rest = "lots: [{id: a, price: 10, items: [{id: b}]}]\n"
	cases := []struct {
		name, text string
		ok         func(*lotfile.File) bool
	}{
		{"least of all", "lotcost: 1\nhome: CAD\n" + rest, func(h *lotfile.File) bool {
			return h.Lots[0].Price == money.New(1000, cad) && h.Lots[0].Items[0].Count == 1 && !h.Lots[0].Items[0].Weighed && h.Date.IsZero()
		}},
		{"settled alone", "lotcost: 1\nhome: CAD\nlots: [{id: a, settled: 41.37, items: [{id: b}]}]\n", func(h *lotfile.File) bool {
			return h.Lots[0].Settled == money.New(4137, cad) && h.Lots[0].Price.Currency() == 0 && h.Lots[0].At.Key("price") == h.Lots[0].At
		}},
		{"byte order mark and CR LF", "\xef\xbb\xbflotcost: 1\r\nhome: CAD\r\n" + rest, func(h *lotfile.File) bool { return h.Home == cad }},
		{"JSON", `{"lotcost": 1, "home": "CAD", "lots": [{"id": "a", "price": "10 CAD", "items": [{"id": "b", "count": 2}]}]}`, func(h *lotfile.File) bool {
			return h.Lots[0].Items[0].Count == 2
		}},
		{"document marks", "---\nlotcost: 1\nhome: CAD\n" + rest + "...\n", func(h *lotfile.File) bool { return len(h.Lots) == 1 }},
		{"words that YAML might take for others", "lotcost: 1\nhome: CAD\nlots: [{id: no, title: 1e3, seller: 0x10, price: 10, items: [{id: 007, what: on}]}]\n", func(h *lotfile.File) bool {
			l := h.Lots[0]
			return l.ID == "no" && l.Title == "1e3" && l.Seller == "0x10" && l.Items[0].ID == "007" && l.Items[0].What == "on"
		}},
		{"an anchor that nothing uses", "lotcost: 1\nhome: &home CAD\n" + rest, func(h *lotfile.File) bool { return h.Home == cad }},
		{"one rate without a list", "lotcost: 1\nhome: CAD\nexchange: {rates: 100 JPY = 0.93 CAD}\n" + rest, func(h *lotfile.File) bool {
			_, err := h.Market.Rate("CAD", "JPY")
			return err == nil
		}},
		{"empty keys", "lotcost: 1\nhome: CAD\ntitle:\ndate:\nexchange:\nshare:\ncharges:\n" + rest, func(h *lotfile.File) bool { return h.Title == "" && h.Charges == nil }},
		{"zero without its sign", "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, premium: 0, items: [{id: b}]}]\n", func(h *lotfile.File) bool { return h.Lots[0].Premium.IsZero() }},
		{"500 characters", "lotcost: 1\nhome: CAD\ntitle: " + strings.Repeat("鉋", input.MaxText) + "\n" + rest, func(h *lotfile.File) bool { return h.Title == strings.Repeat("鉋", input.MaxText) }},
		{"the day of a leap year", "lotcost: 1\nhome: CAD\ndate: 2028-02-29\n" + rest, func(h *lotfile.File) bool { return h.Date.Day() == 29 }},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if h := parse(t, c.text); !c.ok(h) {
				t.Errorf("read %+v", h)
			}
		})
	}
}

// Columns are counted in characters, also behind Japanese text in one line.
func TestOriginsBehindJapaneseText(t *testing.T) {
	h := parse(t, "lotcost: 1\nhome: CAD\nlots: [{title: 平鉋, id: 箱, price: 10, items: [{what: 寸八, id: 鉋}, {id: b}]}]\ncharges: [{what: 送料, amount: 5}]\n")
	line := []rune("lots: [{title: 平鉋, id: 箱, price: 10, items: [{what: 寸八, id: 鉋}, {id: b}]}]")
	column := func(text []rune, mark string) int {
		i := strings.Index(string(text), mark)
		return 1 + len([]rune(string(text)[:i]))
	}
	charge := []rune("charges: [{what: 送料, amount: 5}]")
	for _, c := range []struct {
		got          source.Origin
		line, column int
	}{
		{h.Lots[0].At, 3, column(line, "{title")},
		{h.Lots[0].At.Key("price"), 3, column(line, "10,")},
		{h.Lots[0].Items[0].At, 3, column(line, "{what")},
		{h.Lots[0].Items[1].At, 3, column(line, "{id: b")},
		{h.Charges[0].At, 4, column(charge, "{what")},
		{h.Charges[0].At.Key("amount"), 4, column(charge, "5}")},
	} {
		if want := placeIn(h, c.line, c.column); c.got != want {
			t.Errorf("at %v, want %v", c.got, want)
		}
	}
}

// theExample is the example of the format's description, as it stands there.
func theExample(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile("testdata/example.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestExampleOfTheFormat(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "rates.csv", "Date,USD,JPY,CAD\n2026-10-02,1.1717,173.05,1.6352\n")
	text := theExample(t)
	h, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if rate, err := h.Market.Rate("USD", "CAD"); err != nil || !slices.ContainsFunc(rate.Steps(), func(s string) bool { return strings.HasPrefix(s, "through EUR: ") }) {
		t.Errorf("the table is not read: %v, %v", rate, err)
	}
	st, err := landed.Split(h.Haul)
	if err != nil {
		t.Fatal(err)
	}
	if want := money.New(4137+7002, cad); st.Total != want {
		t.Errorf("total %s, want %s: both amounts are settled", st.Total, want)
	}
	lists := strings.Index(text, "    items:\n")
	text = text[:lists] + "    items: crate-a.csv\n" + text[strings.Index(text, "\ncharges:"):]
	write(t, folder, "crate-a.csv", "weight,id,what\n1.9 kg,jack,\"Jack plane, iron body\"\n")
	if h, err = lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{}); err != nil || h.Lots[0].Items[0].ID != "jack" {
		t.Errorf("with a list in a file: %v", err)
	}
}

func TestStarterSplits(t *testing.T) {
	st, err := landed.Split(parse(t, lotfile.Starter()).Haul)
	if err != nil {
		t.Fatal(err)
	}
	// 4200 JPY at 0.0093 x 1.025 is 40.0365, its premium 4.00365, 2600 JPY of freight 24.7845.
	if want := money.New(4004+400+2478, cad); st.Total != want {
		t.Errorf("total %s, want %s", st.Total, want)
	}
}

func TestShippedExamples(t *testing.T) {
	files, err := filepath.Glob("../../examples/*/haul.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range files {
		h, err := lotfile.Read(file, lotfile.Options{})
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		st, err := landed.Split(h.OpenAsFree())
		if err != nil {
			t.Errorf("%s: %v", file, err)
			continue
		}
		var items int64
		for i := range st.Items {
			items += st.Items[i].Cost.Minor()
		}
		if items != st.Total.Minor() || items == 0 {
			t.Errorf("%s: the items cost %d, the whole %s", file, items, st.Total)
		}
	}
}

func TestRead(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "items.csv", "id\njack\n")
	write(t, folder, "haul.yaml", "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: items.csv}]\n")
	h, err := lotfile.Read(filepath.Join(folder, "haul.yaml"), lotfile.Options{})
	if err != nil || h.Lots[0].Items[0].ID != "jack" {
		t.Errorf("a list beside the lot file: %+v, %v", h, err)
	}
	h, err = lotfile.Read(lotfile.Stdin, lotfile.Options{Stdin: strings.NewReader("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 10, items: [{id: jack}]}]\n")})
	if err != nil || h.At.File != "standard input" {
		t.Errorf("standard input: %+v, %v", h, err)
	}
	for _, c := range []struct{ path, want string }{
		{filepath.Join(folder, "none.yaml"), filepath.Join(folder, "none.yaml") + ": there is no such file: check the name"},
		{folder, folder + ": this is a folder: name a file in it"},
	} {
		if _, err := lotfile.Read(c.path, lotfile.Options{}); err == nil || err.Error() != c.want || !lotfile.Unreadable(err) {
			t.Errorf("got %v, unreadable %v; want %s", err, lotfile.Unreadable(err), c.want)
		}
	}
	if _, err := lotfile.Read(filepath.Join(folder, "items.csv"), lotfile.Options{}); err == nil || lotfile.Unreadable(err) {
		t.Errorf("a file that is there and wrong: %v", err)
	}
}

func TestTableOfAnotherDay(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "rates.csv", "Date,JPY,CAD\n2026-09-01,173.05,1.6352\n")
	text := []byte("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nexchange: {table: rates.csv}\nlots: [{id: a, price: 100 JPY, items: [{id: b, value: 1}]}]\n")
	for _, anyDay := range []bool{false, true} {
		h, err := lotfile.Parse("haul.yaml", text, folder, lotfile.Options{AnyDay: anyDay})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := landed.Split(h.Haul); (err == nil) != anyDay {
			t.Errorf("any day %v: %v", anyDay, err)
		}
	}
	write(t, folder, "rates.csv", "Date,JPY,CAD\n2026-10-02,-1,1.6352\n")
	_, err := lotfile.Parse("haul.yaml", text, folder, lotfile.Options{})
	want := `haul.yaml:4:19: exchange: table: rates.csv:2:12: "-1" is not a rate: expected a plain decimal above zero for JPY, or N/A`
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestQuick(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "items.csv", "id,weight,value\njack,1.9 kg,38\nsquare,310 g,12 CAD\n")
	f := lotfile.Figures{"items": {filepath.Join(folder, "items.csv")}, "price": {"4200 JPY"}, "home": {"CAD"}, "premium": {"10%"}, "freight": {"2100 JPY"}, "insurance": {"1.5% of price"}, "fee": {"3"}, "spread": {"2.5%"}, "rate": {"100 JPY = 0.93 CAD"}}
	h, err := lotfile.Quick(f, lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(h.Haul)
	if err != nil {
		t.Fatal(err)
	}
	// 40.0365 and 4.00365, 20.01825, 1.5% of 44.04 = 0.6606, 3.
	if want := money.New(4004+400+2002+66+300, cad); st.Total != want {
		t.Errorf("total %s, want %s", st.Total, want)
	}
	f = lotfile.Figures{"items": {"-"}, "price": {"-5 JPY"}, "premium": {"ten"}, "fee": {"1%"}, "rate": {"nonsense"}}
	_, err = lotfile.Quick(f, lotfile.Options{Stdin: strings.NewReader("id,count\njack,0\n")})
	want := `--home: home is missing: write the currency of your books, as in --home CAD
--premium: "ten" is not a percentage: write it with its sign, as in 12.5%
--price: a price is never negative: write what the lot cost
--rate: equation "nonsense": "nonsense" does not have one equals sign: write it like "100 JPY = 0.93 CAD"
--fee: "1%" does not say of what: write 1% of price
standard input:2:6: item jack: count: a count of 0 makes no sense: write how many pieces there are, at least 1, or take it out`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	_, err = lotfile.Quick(lotfile.Figures{"items": {filepath.Join(folder, "none.csv")}}, lotfile.Options{})
	if !lotfile.Unreadable(err) {
		t.Errorf("a list that is not there: %v", err)
	}
}

func ExampleParse() {
	text := `
lotcost: 1
home: CAD
lots:
  - id: crate-a
    price: 4,2 JPY
    items:
      - {id: jack, wieght: 1.9 kg}
`
	_, err := lotfile.Parse("haul.yaml", []byte(text), ".", lotfile.Options{})
	fmt.Println(err)
	// Output:
	// haul.yaml:6:12: lot crate-a: price: "4,2 JPY" has a comma that may be a decimal or a thousands mark: write 42 JPY
	// haul.yaml:8:20: lot crate-a: items 1: unknown key "wieght": did you mean weight?
}

// placeIn is a place in the file of a haul.
func placeIn(h *lotfile.File, line, column int) source.Origin {
	at := h.At
	at.Line, at.Column = line, column
	return at
}
