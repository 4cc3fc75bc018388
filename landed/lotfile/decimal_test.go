package lotfile_test

import (
	"path/filepath"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
)

// commaFile is the beginning of a file with decimal commas.
const commaFile = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - id: a\n"

// Each mistake in a file with decimal commas is reported in the marks of that file.
func TestCommaMistakes(t *testing.T) {
	cases := []struct{ name, lot, want string }{
		{"a point for decimals", "price: 38.50\n    items: [{id: x}]", `price: "38.50" has a point that may be a decimal or a thousands mark: write 38,50 EUR or 3850 EUR`},
		{"too fine", "price: 1,255 EUR\n    items: [{id: x}]", `price: "1,255 EUR" has 3 decimals, but EUR has 2: write 1255 EUR or 1,26 EUR`},
		{"a percentage", "price: 1\n    premium: 17.5%\n    items: [{id: x}]", `premium: "17.5%" has a point: write 17,5%`},
		{"hours", "price: 1\n    items: [{id: x, hours: 1.5}]", `hours: "1.5" is not a number of hours: write "1,5"`},
		{"a weight", "price: 1\n    items: [{id: x, weight: 1.9 kg}]", `item x: weight: weight "1.9 kg": a point may be a decimal or a thousands mark: write "1,9 kg"`},
		{"within braces", "price: 1\n    items: [{id: x, value: 46,50 EUR}]", `items 1: value: in brackets the comma of 46,50 EUR parts two values: put the figure in quotes, as in value: "46,50 EUR"`},
		{"within brackets", "price: 1\n    items: [{id: x, sold: [41,50 EUR, 9 EUR]}]", `item x: sold 1: in brackets the comma of 41,50 EUR parts two values: put the figure in quotes, as in "41,50 EUR"`},
		{"a rate of duty within brackets", "price: 1\n    items: [{id: x, value: 1}]\nfrom: JP\nto: DE\ncustoms: {use: personal, by: post, classes: {tool: {duty: 2 JPY per kg}}}", `duty: "2 JPY per kg" has no sum in EUR before per kg: write it so, as in "1,50 EUR per kg"`},
		{"advice within brackets", "price: 1\n    items:\n      -", `items 1: no item stands here yet: write one, as in - {id: jack, count: 2, weight: "1,9 kg", value: 38 EUR}`},
		{"advice for what is not there", "items: [{id: x}]\n  - id: b\n    price: 1\n    items: [{id: y, chances: [{chance: \"10,5%\"}]}]", `chances 1: value is missing: write what one piece then sells for, as in value: 8 EUR, or value: 0`},
	}
	for _, c := range cases {
		_, err := lotfile.Parse("haul.yaml", []byte(commaFile+"    "+c.lot+"\n"), t.TempDir(), lotfile.Options{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got\n%v\nwant\n%s", c.name, err, c.want)
		}
	}
}

// TestCommaRemediesFollowed: what a figure is told to be written as is right where it stands, in
// brackets too, where a comma outside quotes would part it.
func TestCommaRemediesFollowed(t *testing.T) {
	for _, c := range []struct{ lot, typed, want string }{
		{"id: a\n    price: 40\n    premium: %s\n    items: [{id: x, value: 3}]", "12.5%", `12,5%`},
		{"{id: a, price: 40, premium: %s, items: [{id: x, value: 3}]}", "12.5%", `"12,5%"`},
		{"{id: a, price: %s, items: [{id: x, value: 3}]}", "38.50 EUR", `"38,50 EUR" or 3850 EUR`},
		{"{id: a, price: 40, items: [{id: x, value: [40, %s]}]}", "38.50", `"38,50 EUR" or 3850 EUR`},
		{"{id: a, price: 40, items: [{id: x, value: 3, weight: %s}]}", "1.9 kg", `"1,9 kg"`},
		{"{id: a, price: 40, items: [{id: x, value: 3, weight: '%s'}]}", "1.9 kg", `1,9 kg`},
		{"{id: a, price: 40, items: [{id: x, value: 3, hours: %s}]}", "1.5", `"1,5"`},
		{"{id: a, price: 40, items: [{id: x, value: 3}]}\ncharges: [{what: fee, amount: %s}]", "1.5% of price", `"1,5% of price"`},
		{"{id: a, price: 40, items: [{id: x, value: 3}]}\nselling: {target: '%s on cost', venues: [{name: gable}]}", "12.5%", `12,5%`},
	} {
		for figure := c.typed; ; {
			text := commaFile[:strings.Index(commaFile, "id: a")] + strings.Replace(c.lot, "%s", figure, 1) + "\n"
			_, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
			if figure != c.typed {
				if err != nil {
					t.Errorf("%s: told to write %s: %v", c.lot, figure, err)
				}
				break
			}
			if err == nil || !strings.HasSuffix(err.Error(), ": write "+c.want) {
				t.Fatalf("%s: got\n%v\nwant the remedy\n%s", c.lot, err, c.want)
			}
			figure, _, _ = strings.Cut(c.want, " or ")
		}
	}
}

// TestCommaDash: no hundredths, as shops in Germany and in Sweden write it.
func TestCommaDash(t *testing.T) {
	for _, price := range []string{"28,-", "28,-- EUR", "28:-", "28:- EUR"} {
		h, err := lotfile.Parse("haul.yaml", []byte(commaFile+"    price: "+price+"\n    items: [{id: x, value: 1}]\n"), t.TempDir(), lotfile.Options{})
		if err != nil || h.Lots[0].Price != money.New(2800, money.MustCurrency("EUR")) {
			t.Errorf("%s: %v", price, err)
		}
	}
}

// TestCommaBetweenNames: names that end or begin with a digit are no figure, close together or with
// letters of more than one byte before them.
func TestCommaBetweenNames(t *testing.T) {
	const text = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - {id: 1, price: 3, items: [{id: né-8, weight: 1 kg, value: 1, hours: \"1,5\"}]}\n  - {id: 2, price: 4, items: [{id: 7-b, weight: 1 kg, value: 1}]}\n" +
		"parcels: [{id: p, lots: [1,2]}]\ncharges: [{what: fee, amount: 5, on: [né-8, 7-b]}]\n"
	h, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	if err != nil || len(h.Parcels[0].Lots) != 2 || len(h.Charges[0].On) != 2 || h.Lots[0].Items[0].Hours.String() != "1.5" {
		t.Errorf("%v, %v", h, err)
	}
}

// A figure that a comma parts in a list is reported once, and neither half is looked at.
func TestCommaPartsOnce(t *testing.T) {
	for _, lines := range []string{"exchange: {rates: [1 GBP = 0,85 EUR]}", "bidding: {steps: [100,5 EUR]}"} {
		_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\ndecimal: comma\nhome: EUR\n"+lines+"\nlots: [{id: a, price: 1, items: [{id: x, value: 1}]}]\n"), t.TempDir(), lotfile.Options{})
		if err == nil || strings.Count(err.Error(), "haul.yaml:") != 1 || !strings.Contains(err.Error(), "parts two values") {
			t.Errorf("%s: got\n%v", lines, err)
		}
	}
}

// Where the comma is not declared both ways out are named, and the second one
// works as well as the first.
func TestCommaUndeclared(t *testing.T) {
	const text = "lotcost: 1\nhome: EUR\nlots: [{id: a, price: \"38,50 EUR\", items: [{id: x}]}]\n"
	_, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	const want = `haul.yaml:3:23: lot a: price: "38,50 EUR" has a comma that may be a decimal or a thousands mark: write 38.50 EUR or 3850 EUR, or decimal: comma at the top of the file if all its figures are so`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	h, err := lotfile.Parse("haul.yaml", []byte("decimal: comma\n"+text), t.TempDir(), lotfile.Options{})
	if err != nil || h.Lots[0].Price != money.New(3850, money.MustCurrency("EUR")) {
		t.Errorf("%v, %v", h, err)
	}
	_, err = lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: EUR\nlots: [{id: a, price: 38,50 EUR, items: [{id: x}]}]\n"), t.TempDir(), lotfile.Options{})
	const parted = `haul.yaml:3:23: lots 1: price: in brackets the comma of 38,50 EUR parts two values: write price: 38.50 EUR, or decimal: comma at the top of the file if all its figures are so, and here price: "38,50 EUR"`
	if err == nil || err.Error() != parted {
		t.Errorf("got\n%v\nwant\n%s", err, parted)
	}
}

// TestThousandsInBrackets: thousands that a comma parts in brackets are told of, in a list too,
// where they would be two sales; what is to be written instead means what they mean elsewhere.
func TestThousandsInBrackets(t *testing.T) {
	read := func(item string) (*lotfile.File, error) {
		text := "lotcost: 1\nhome: EUR\nlots: [{id: a, price: 9, items: [{id: x, count: 2, " + item + "}]}]\n"
		return lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{})
	}
	for _, c := range []struct{ item, mended string }{
		{"weight: 1,500 g", "weight: 1500 g"},
		{"value: 1,250.50 EUR", "value: 1250.50 EUR"},
		{"value: 41,50 EUR", "value: 41.50 EUR"},
		{"sold: [1,250.50 EUR]", "sold: [1250.50 EUR]"},
		{"sold: [1,250 EUR, 30 EUR]", "sold: [1250 EUR, 30 EUR]"},
		{"sold: [41,50 EUR]", "sold: [41.50 EUR]"},
	} {
		_, figure, _ := strings.Cut(c.mended, ": ")
		figure, _, _ = strings.Cut(strings.Trim(figure, "[]"), ", ")
		_, err := read(c.item)
		if err == nil || strings.Count(err.Error(), "haul.yaml:") != 1 || !strings.Contains(err.Error(), "parts two values") || !strings.Contains(err.Error(), figure+", or") {
			t.Errorf("%s: got\n%v\nwant advice to write %s", c.item, err, figure)
		}
		if _, err := read(c.mended); err != nil {
			t.Errorf("%s: %v", c.mended, err)
		}
	}
	if h, err := read("sold: [41, 250 EUR]"); err != nil || len(h.Lots[0].Items[0].Sold) != 2 {
		t.Errorf("two sales: %v", err)
	}
}

// That the comma is not declared is one mistake, however many figures there are; a
// word that is like it is taken, and what stands wrong beside it is reported too.
func TestCommaUndeclaredOnce(t *testing.T) {
	const lots = "home: EUR\nlots:\n  - id: a\n    price: 38,50 EUR\n    premium: 17,5%\n    items: [{id: x, weight: \"1,9 kg\", cont: 2, value: 1}]\n"
	const rest = "\nhaul.yaml:@:39: lot a: items 1: unknown key \"cont\": did you mean count?"
	for _, c := range []struct{ head, want string }{
		{"lotcost: 1\n", `haul.yaml:5:12: lot a: price: "38,50 EUR" and 2 more of the file's figures have decimal commas: write decimal: comma at the top of the file` + strings.Replace(rest, "@", "7", 1)},
		{"lotcost: 1\ndecimal: vírgula\n", `haul.yaml:2:10: decimal: unknown word "vírgula": did you mean comma?` + strings.Replace(rest, "@", "8", 1)},
		{"lotcost: 1\ndecimal: Komma\n", `haul.yaml:2:10: decimal: unknown word "Komma": did you mean comma?` + strings.Replace(rest, "@", "8", 1)},
		{"lotcost: 1\ndecimal: ,\n", `haul.yaml:2:1: this line cannot be read as it stands: write decimal: comma` + strings.Replace(rest, "@", "8", 1)},
		{"lotcost: 1\ndecimal: comma\n", strings.Replace(rest[1:], "@", "8", 1)},
	} {
		_, err := lotfile.Parse("haul.yaml", []byte(c.head+lots), t.TempDir(), lotfile.Options{})
		if err == nil || err.Error() != c.want {
			t.Errorf("%q: got\n%v\nwant\n%s", c.head, err, c.want)
		}
	}
	const short = "lotcost: 1\nhome: EUR\nlots:\n  - id: a\n    price: 38,50 EUR\n    premium: 17,5%\n    items: [{id: x, count: 3, found: {dead: 1}}]\n"
	_, err := lotfile.Parse("haul.yaml", []byte(short), t.TempDir(), lotfile.Options{})
	const both = `haul.yaml:5:12: lot a: price: "38,50 EUR" and 1 more of the file's figures have decimal commas: write decimal: comma at the top of the file
haul.yaml:7:38: item x: found: 1 piece found, but the count is 3: sound, parts, dead and missing must sum to the count; write extra for pieces beyond it`
	if err == nil || err.Error() != both {
		t.Errorf("what is checked of figures that can be read: got\n%v\nwant\n%s", err, both)
	}
	const mixed = "lotcost: 1\nhome: EUR\nlots:\n  - id: a\n    price: 38,50 EUR\n    premium: 17,5%\n    items: [{id: x, weight: 1.9 kg, value: 12.50 EUR, repair: 3.20 EUR}]\n"
	_, err = lotfile.Parse("haul.yaml", []byte(mixed), t.TempDir(), lotfile.Options{})
	if err == nil || strings.Count(err.Error(), "\n") != 1 {
		t.Errorf("figures of which more have points: %v", err)
	}
}

// Of a list with figures of both marks those that are fewer are reported.
func TestListOfBothMarks(t *testing.T) {
	for _, c := range []struct{ list, want string }{
		{"id;weight;value\na;1,9 kg;12,50\nb;0.7 kg;3,20\n", `list.csv:3:3: item b: weight: weight "0.7 kg": a point may be a decimal or a thousands mark: write 0,7 kg`},
		{"id;weight;value\na;1.9 kg;12.50\nb;0.7 kg;3,20\n", `list.csv:3:10: item b: value: "3,20" has a comma that may be a decimal or a thousands mark: write 3.20 EUR or 320 EUR`},
	} {
		folder := t.TempDir()
		write(t, folder, "list.csv", c.list)
		_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: EUR\nlots: [{id: a, price: 1, items: list.csv}]\n"), folder, lotfile.Options{})
		if err == nil || err.Error() != filepath.Join(folder, c.want) {
			t.Errorf("%q: got\n%v\nwant\n%s", c.list, err, c.want)
		}
	}
}

// Thousands stand apart in many ways.
func TestCommaThousands(t *testing.T) {
	for _, price := range []string{"1.250,50 EUR", "1250,50 EUR", "1 250,50 EUR", "1\u00a0250,50 EUR", "1\u202f250,50 EUR", "1'250,50 EUR", "1’250,50"} {
		h, err := lotfile.Parse("haul.yaml", []byte(commaFile+"    price: "+price+"\n    items: [{id: x, weight: 2 500 g}]\n"), t.TempDir(), lotfile.Options{})
		if err != nil || h.Lots[0].Price.Minor() != 125050 || h.Lots[0].Items[0].Weight != 2500*measure.Gram {
			t.Errorf("%s: %v", price, err)
		}
	}
}

// The defaults say for themselves how they are written, and for a file that does
// not.
func TestCommaDefaults(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "book.yaml", "lotcost-book: 1\ndecimal: comma\nhome: EUR\npremiums: {tidemark: \"17,5%\"}\n")
	for _, c := range []struct{ head, price string }{{"", `"1.250,50"`}, {"decimal: comma\n", `"1.250,50"`}, {"decimal: point\n", `"1,250.50"`}} {
		h, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nwith: book.yaml\n"+c.head+"lots: [{id: a, seller: tidemark, price: "+c.price+", items: [{id: x}]}]\n"), folder, lotfile.Options{})
		if err != nil || h.Lots[0].Price.Minor() != 125050 || h.Lots[0].Premium.String() != "0.175" {
			t.Errorf("%q: %v", c.head, err)
		}
	}
}

// A remedy that is calculated is written with the file's own mark.
func TestCommaPremium(t *testing.T) {
	_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\ndecimal: comma\nhome: EUR\nlots: [{id: a, price: 1, premium: \"22,5% + 25% moms\", items: [{id: x, value: 1}]}]\n"), t.TempDir(), lotfile.Options{})
	if err == nil || !strings.HasSuffix(err.Error(), "write premium: 28,125% if the tax is on the premium alone, or premium: 53,125% if it is on the price too") {
		t.Error(err)
	}
}
