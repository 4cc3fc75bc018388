package lotfile_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/testdata/effort"
)

var someDay = time.Date(2026, 10, 3, 12, 0, 0, 0, time.UTC)

// empty is a line of a new file on which something is still to be written, with
// what may be written there.
var empty = regexp.MustCompile(`(?m)^([^#\n]*[:-]) +#.* as in ((?:[^{,\n]|,\d)+|\{.*\}).*$`)

// filledIn writes the example on each such line.
func filledIn(text string) string { return empty.ReplaceAllString(text, "$1 $2") }

// blocks are the sections, and the single lines, that stand as notes in a file.
func blocks(text string) []string {
	return regexp.MustCompile(`(?m)^( *)# [a-z-]+:.*(\n# .*)*`).FindAllString(text, -1)
}

// valid reads a file and splits it; nothing in it may be strange.
func valid(t testing.TB, name, text, folder string) *lotfile.File {
	t.Helper()
	f, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{Today: someDay, Warn: func(f *source.Fault) { t.Errorf("%s: %v", name, f) }})
	if err == nil {
		_, err = landed.Split(f.WithoutOpen())
	}
	if err != nil {
		t.Fatalf("%s: %v in\n%s", name, err, text)
	}
	return f
}

// TestNew: for whatever case, a new file is valid once what is empty is filled in,
// and so it is with any of its notes taken for text, and with all of them.
func TestNew(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "book.yaml", shortBook)
	write(t, folder, "poor.yaml", "lotcost-book: 1\nhome: EUR\nexchange: {spread: 1.75%}\nbidding: {goal: {margin: 10%, risk: 20%}}\n")
	write(t, folder, "comma.yaml", "lotcost-book: 1\ndecimal: comma\nhome: EUR\nexchange: {spread: '1,75%', rates: ['1 GBP = 1,16 EUR']}\nbidding: {goal: {margin: '10,5%', risk: 20%}}\n")
	ways := [][2]string{{"GB", "DE"}, {"JP", "US"}, {"GB", "CA-ON"}, {"FR", "DE"}, {"US", "US"}, {"JP", "MX"}, {"de", "jp"}, {"KW", "CH"}}
	for _, step := range lotfile.Steps()[:4] {
		for i, way := range ways[:effort.Cases(8, 4, 2)] {
			for j, with := range []string{"", "book.yaml", "poor.yaml", "comma.yaml", ""} {
				if with != "" && i%2 == 1 {
					continue
				}
				name := fmt.Sprint(step, way, with)
				of := lotfile.Figures{"for": {step}, "from": {way[0]}, "to": {way[1]}, "with": {with}}
				if j >= 3 {
					of["decimal"] = []string{[]string{"", "comma"}[j%2]}
				}
				text, err := lotfile.New(of, folder, lotfile.Options{Today: someDay})
				if err != nil {
					t.Fatal(name, err)
				}
				text = filledIn(text)
				f := valid(t, name, text, folder)
				if open := len(f.Open()) > 0; open != (step == "bid") {
					t.Errorf("%s: a price is open: %v", name, open)
				}
				all := text
				for _, block := range blocks(text) {
					as := regexp.MustCompile(`(?m)^( *)# `).ReplaceAllString(block, "$1")
					valid(t, name+" "+block, strings.Replace(text, block, as, 1), folder)
					all = strings.Replace(all, block, as, 1)
				}
				valid(t, name+" all", all, folder)
			}
		}
	}
}

// Figures are written as the defaults have it, or as the case does.
func TestNewDecimals(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "comma.yaml", "lotcost-book: 1\ndecimal: comma\nhome: EUR\nto: DE\nexchange: {spread: '1,75%'}\nbidding: {goal: {margin: '10,5%', risk: 20%}}\n")
	for _, c := range []struct{ decimal, spread, goal, duty, line string }{
		{"", "spread: 1,75% ", `goal: {margin: "10,5%", risk: 20%} `, "as in 2,7%, or free", ""},
		{"comma", "spread: 1,75% ", `goal: {margin: "10,5%", risk: 20%} `, "as in 2,7%, or free", "\ndecimal: comma\n"},
		{"point", "spread: 1.75% ", `goal: {margin: 10.5%, risk: 20%} `, "as in 2.7%, or free", "\ndecimal: point\n"},
	} {
		text, err := lotfile.New(lotfile.Figures{"from": {"GB"}, "with": {"comma.yaml"}, "decimal": {c.decimal}}, folder, lotfile.Options{Today: someDay})
		for _, part := range []string{c.spread, c.goal, c.duty, c.line} {
			if err != nil || !strings.Contains(text, part) {
				t.Errorf("%s: %v, no %q in\n%s", c.decimal, err, part, text)
			}
		}
	}
}

// The defaults are a new file too, and a haul that names them needs little else.
func TestNewDefaults(t *testing.T) {
	folder := t.TempDir()
	for _, to := range []string{"DE", "US", "CA-ON", "MX", "JP"} {
		text, err := lotfile.New(lotfile.Figures{"for": {"defaults"}, "to": {to}}, folder, lotfile.Options{Today: someDay})
		if err != nil {
			t.Fatal(err)
		}
		book := filledIn(text)
		for _, block := range append(blocks(book), "") {
			write(t, folder, "book.yaml", strings.Replace(book, block, regexp.MustCompile(`(?m)^( *)# `).ReplaceAllString(block, "$1"), 1))
			haul, err := lotfile.New(lotfile.Figures{"from": {"GB"}, "with": {"book.yaml"}}, folder, lotfile.Options{Today: someDay})
			if err != nil {
				t.Fatal(to, block, err)
			}
			f := valid(t, to+block, filledIn(haul), folder)
			if f.Lots[0].Premium.String() != "0.2" || strings.Contains(haul, "\nhome:") || strings.Contains(haul, "\nto:") || strings.Contains(haul, "premium: ") || to != "MX" && f.Border == nil {
				t.Errorf("it says again what the defaults say, or not what they do:\n%s", haul)
			}
		}
	}
}

// A rate of a table at hand is in the file, exact and with its day.
func TestNewRate(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("../../testdata/rates", "eurofxref-2025.csv"))
	if err != nil {
		t.Fatal(err)
	}
	o := lotfile.Options{Today: someDay, Reference: func(on time.Time) *fx.Table {
		table, err := fx.ReadTable(strings.NewReader(string(data)), fx.Window{On: on, Lift: true, Name: "eurofxref-2025.csv"})
		if err != nil {
			t.Fatal(err)
		}
		return table
	}}
	for _, c := range []struct{ from, to, want string }{
		{"JP", "CA-ON", "    - 163.36 JPY = 1.5658 CAD # of 2025-05-09, by eurofxref-2025.csv"},
		{"JP", "DE", "    - 163.36 JPY = 1 EUR      # of 2025-05-09, by eurofxref-2025.csv"},
		{"DE", "JP", "    - 1 EUR = 163.36 JPY      # of 2025-05-09, by eurofxref-2025.csv"},
	} {
		text, err := lotfile.New(lotfile.Figures{"from": {c.from}, "to": {c.to}, "date": {"2025-05-10"}}, ".", o)
		later, _ := lotfile.New(lotfile.Figures{"from": {c.from}, "to": {c.to}, "date": {"2026-10-03"}}, ".", o)
		if !strings.Contains(later, c.want+", days away: lotcost rates fetch brings newer ones\n") {
			t.Errorf("the rate is not told to be old in\n%s", later)
		}
		if err != nil || !strings.Contains(text, "\n"+c.want+"\n") {
			t.Errorf("%v, no %q in\n%s", err, c.want, text)
		}
	}
}

// What a case cannot be is reported of its flag.
func TestNewMistakes(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "bad.yaml", "lotcost-book: 1\nhome: EURO\n")
	for _, c := range []struct {
		of   lotfile.Figures
		want string
	}{
		{lotfile.Figures{"to": {"DE"}}, "--from: from is missing: write where it comes from, as in --from JP"},
		{lotfile.Figures{"from": {"GB"}}, "--to: to is missing: write where it goes, as in --to DE or --to CA-ON"},
		{lotfile.Figures{"from": {"GB"}, "to": {"DE"}, "for": {"bit"}}, `--for: unknown word "bit": did you mean bid?`},
		{lotfile.Figures{"from": {"GB"}, "to": {"DE"}, "home": {"EURO"}}, `--home: currency "EURO" is not an ISO 4217 code: did you mean EUR?`},
		{lotfile.Figures{"from": {"GB"}, "to": {"CA"}}, "--to: "},
		{lotfile.Figures{"from": {"GB"}, "to": {"DE"}, "with": {"none.yaml"}}, `--with: there is no file "none.yaml" beside the lot file: check the name`},
		{lotfile.Figures{"from": {"GB"}, "to": {"DE"}, "with": {"bad.yaml"}}, filepath.Join(folder, "bad.yaml") + `:2:7: home: currency "EURO"`},
		{lotfile.Figures{"from": {"GB"}, "to": {"DE"}, "decimal": {"dot"}}, `--decimal: unknown word "dot": did you mean point?`},
		{lotfile.Figures{"from": {"GB"}, "to": {"DE"}, "date": {"soon"}}, "--date: "},
	} {
		text, err := lotfile.New(c.of, folder, lotfile.Options{Today: someDay})
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || strings.Contains(err.Error(), "\n") || text != "" {
			t.Errorf("%+v: got %v, want %s", c.of, err, c.want)
		}
	}
}
