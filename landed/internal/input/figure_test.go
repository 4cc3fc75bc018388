package input_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"pgregory.net/rapid"
)

func TestCloseUp(t *testing.T) {
	for text, want := range map[string]string{
		"1 250,50 EUR":           "1250,50 EUR",
		"1\u00a0250\u202f000":    "1250000",
		"1'250.50":               "1250.50",
		"100 JPY = 0.93 CAD":     "100 JPY = 0.93 CAD",
		"1 000 JPY = 9 300 CAD":  "1000 JPY = 9300 CAD",
		"4 lb 6 oz":              "4 lb 6 oz",
		"12 34":                  "12 34",
		"1 2500":                 "1 2500",
		"0 250":                  "0 250",
		"1,5 250":                "1,5 250",
		"30 x 250":               "30 x 250",
		"1 250..2 500 CAD":       "1250..2500 CAD",
		"12 September 2026":      "12 September 2026",
		"call 123 456 7890 now":  "call 123 456 7890 now",
		"1’250’000 g and 2 kg":   "1250000 g and 2 kg",
		"2026-10-03 250 minutes": "2026-10-03 250 minutes",
	} {
		if got := input.CloseUp(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

// An amount written as any of our countries writes it is read as the same one, and
// turning the marks round twice changes nothing.
// TestWithCommas: a comma within brackets would part a figure in two, but for quotes.
func TestWithCommas(t *testing.T) {
	for advice, want := range map[string]string{
		"as in weight: 1.9 kg": "as in weight: 1,9 kg",
		"as in - {id: jack, count: 2, weight: 1.9 kg, value: 38 EUR}":  `as in - {id: jack, count: 2, weight: "1,9 kg", value: 38 EUR}`,
		"as in rates: [100 JPY = 0.93 EUR, 1 GBP = 1.16 EUR]":          `as in rates: ["100 JPY = 0,93 EUR", "1 GBP = 1,16 EUR"]`,
		"as in sold: [41.50 EUR]":                                      `as in sold: ["41,50 EUR"]`,
		"as in postage: {steps: [{up-to: 2 kg, cost: 1,209.80}]}":      `as in postage: {steps: [{up-to: 2 kg, cost: "1.209,80"}]}`,
		"write their ids in brackets, as in lots: [crate-a, box-b]":    "write their ids in brackets, as in lots: [crate-a, box-b]",
		`put it in quotes, as in {value: "46.50 EUR"}, or 1.5% of one`: `put it in quotes, as in {value: "46,50 EUR"}, or 1,5% of one`,
	} {
		if got := input.WithCommas(advice); got != want {
			t.Errorf("%s\ngot  %s\nwant %s", advice, got, want)
		}
	}
}

func TestMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		minor := rapid.Int64Range(0, 999_999_999_99).Draw(t, "minor")
		if rapid.Bool().Draw(t, "whole") {
			minor -= minor % 100
		}
		whole := strconv.FormatInt(minor/100, 10)
		comma := rapid.Bool().Draw(t, "comma")
		group := rapid.SampledFrom([]string{"", "mark", " ", "\u00a0", "\u202f", "'", "’"}).Draw(t, "group")
		decimal := "."
		if comma {
			decimal = ","
		}
		if group == "mark" {
			group = map[bool]string{true: ".", false: ","}[comma]
		}
		for i := len(whole) - 3; i > 0 && group != ""; i -= 3 {
			whole = whole[:i] + group + whole[i:]
		}
		cents := fmt.Sprintf("%02d", minor%100)
		if comma && minor%100 == 0 {
			cents = rapid.SampledFrom([]string{"00", "-", "--", "–"}).Draw(t, "cents")
		}
		text := whole + decimal + cents + " EUR"
		var report collect.Report
		cell := input.Cell(text, &report, func() (source.Origin, string) { return source.Origin{}, "" }).Marked(&input.Marks{Comma: comma, Apart: true})
		if got, ok := input.Scalar(cell, money.Parse); !ok || got.Minor() != minor {
			t.Fatalf("%q is read as %v: %v", text, got, report.Err())
		}
		if twice := input.OtherMarks(input.OtherMarks(text)); twice != text {
			t.Fatalf("%q became %q", text, twice)
		}
	})
}

// What is said of a figure is said in the marks of its document; the rest stays.
func TestSaid(t *testing.T) {
	var report collect.Report
	cell := input.Cell("1.5", &report, func() (source.Origin, string) {
		return source.Origin{File: "list-1.5.csv", Line: 2}, "item a-2.5: weight"
	}).Marked(&input.Marks{Comma: true})
	cell.Figure().Fail(`"1,5" has a comma`, "write it with a point, as in 1.5 kg")
	cell.Fail("the name 1.5 is taken", "write 2.5")
	const want = "list-1.5.csv:2: item a-2.5: weight: \"1.5\" has a point: write it with a comma, as in 1,5 kg\nlist-1.5.csv:2: item a-2.5: weight: the name 1.5 is taken: write 2,5"
	if got := report.Err().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, strings.TrimSpace(want))
	}
}

// TestPartedText: a text that a comma parts in braces is told of once, with all that belongs to it;
// where known keys stand behind it, and only those, they may be meant. The rest is read.
func TestPartedText(t *testing.T) {
	for _, c := range []struct{ text, want, warned string }{
		{"{what: Draw knife, old, price: 9}", `a.yaml:1:8: what: in brackets the comma of "Draw knife, old" parts two values: put the text in quotes, as in what: "Draw knife, old"`, ""},
		{`{price: 9, what: 'Draw', knife, 9", sold}`, `a.yaml:1:18: what: in brackets the comma of "\"Draw\", knife, 9\", sold" parts two values: put the text in quotes, as in what: "\"Draw\", knife, 9\", sold"`, ""},
		{"{what: Draw knife, sold, price: 9}", "", `a.yaml:1:8: warning: what: in brackets the comma of "Draw knife, sold" parts two values: put the text in quotes, as in what: "Draw knife, sold", or give sold a value`},
		{"{what: Draw knife, sold: , price: 9}", "", ""},
		{"{what: Draw knife, olde: 1, price: 9}", `a.yaml:1:20: unknown key "olde": known here: what, price, sold`, ""},
		{"{price: 9, olde}", `a.yaml:1:12: unknown key "olde": known here: what, price, sold`, ""},
	} {
		var report collect.Report
		n, err := input.ParseYAML("a.yaml", []byte(c.text), &report)
		if err != nil {
			t.Fatal(err)
		}
		n = n.Marked(&input.Marks{Comma: true})
		m := n.Map("what", "price", "sold")
		got, warned := "", ""
		if err := report.Err(); err != nil {
			got = err.Error()
		}
		if len(report.Warnings()) > 0 {
			warned = report.Warnings().Error()
		}
		if got != c.want || warned != c.warned {
			t.Errorf("%s:\n got %s\nwant %s\n got %s\nwant %s", c.text, got, c.want, warned, c.warned)
		}
		if price, _ := m.Get("price").Text(); price != "9" {
			t.Errorf("%s: the price is read as %q", c.text, price)
		}
	}
}
