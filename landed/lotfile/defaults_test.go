package lotfile_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/testdata/reworded"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// movable are the sections that may stand in the defaults.
var movable = []string{"home", "to", "exchange", "share", "losses", "customs", "sending", "selling", "bidding", "risks"}

// moved takes some sections out of a lot file and puts them into defaults. It
// tells where each line then stands.
func moved(text string, sections []string) (lot, book string, place func(line int) (file string, to int)) {
	lotLines, bookLines := []string{"with: book.yaml"}, []string{"# mine", "lotcost-book: 1"}
	places := map[int]source.Origin{}
	to := &lotLines
	for i, line := range strings.SplitAfter(text, "\n") {
		if key, _, isKey := strings.Cut(line, ":"); isKey && !strings.ContainsAny(line[:1], " -#") {
			if to = &lotLines; slices.Contains(sections, key) {
				to = &bookLines
			}
		}
		*to = append(*to, strings.TrimSuffix(line, "\n"))
		at := source.Origin{File: "haul.yaml", Line: len(*to)}
		if to == &bookLines {
			at.File = "book.yaml"
		}
		places[i+1] = at
	}
	return strings.Join(lotLines, "\n"), strings.Join(bookLines, "\n"), func(line int) (string, int) { return places[line].File, places[line].Line }
}

// TestMoved: whichever sections stand in the defaults, the account is the same,
// and each mistake is reported in the same words, at its line of the file in which it
// stands.
func TestMoved(t *testing.T) {
	account := func(text, folder string) (map[string]string, *lotfile.File) {
		f, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		st, err := landed.Split(f.Haul)
		if err != nil {
			t.Fatal(err)
		}
		costs := map[string]string{"total": st.Total.String()}
		for i := range st.Items {
			costs[st.Items[i].ID] = st.Items[i].Cost.String()
		}
		return costs, f
	}
	want, _ := account(whole, t.TempDir())
	folder := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		sections := rapid.SliceOfDistinct(rapid.SampledFrom(movable), rapid.ID).Draw(rt, "sections")
		c := rapid.SampledFrom(misplaced).Draw(rt, "mistake")
		lot, book, _ := moved(whole, sections)
		write(t, folder, "book.yaml", book)
		if got, _ := account(lot, folder); !reflect.DeepEqual(got, want) {
			rt.Fatalf("%v in the defaults: %v, want %v", sections, got, want)
		}

		text, _ := edited(t, whole, []string{c.from, c.to})
		alone := firstFaults(t, text, folder)
		lot, book, place := moved(text, sections)
		write(t, folder, "book.yaml", book)
		found := firstFaults(t, lot, folder)
		if len(found) != 1 || len(alone) != 1 {
			rt.Fatalf("%s with %v in the defaults: %v, want %v", c.name, sections, found, alone)
		}
		f := *found[0]
		f.At.File = filepath.Base(f.At.File)
		at := alone[0].At
		at.File, at.Line = place(at.Line)
		if f.At.String() != at.String() || !strings.Contains(f.Error(), c.words) {
			rt.Fatalf("%s with %v in the defaults:\n%v\nwant %v: %s", c.name, sections, f.Error(), at, c.words)
		}
	})
}

// shortLot is a haul that says nothing which defaults can say.
const shortLot = `lotcost: 1
with: book.yaml
date: 2026-10-03
from: JP
lots:
  - id: crate
    seller: tidemark
    price: 60000 JPY
    items:
      - {id: jack, weight: 1 kg, value: 9 EUR, class: tool}
`

const shortBook = `lotcost-book: 1
home: EUR
to: DE
exchange:
  spread: 2%
  rates: [100 JPY = 0.60 EUR, 1 USD = 0.90 EUR]
customs:
  use: personal
  by: post
  classes:
    tool: {duty: 2.7%}
    pen: {duty: 3.7%}
premiums: {tidemark: 20%, gable: 5%}
wanted: {default: 1, jack-5: 2}
`

func withBook(t testing.TB, lot, book string) (*lotfile.File, error) {
	t.Helper()
	folder := t.TempDir()
	write(t, folder, "book.yaml", book)
	f, err := lotfile.Parse("haul.yaml", []byte(lot), folder, lotfile.Options{})
	var faults source.Faults
	if errors.As(err, &faults) {
		for _, f := range faults {
			f.At.File = filepath.Base(f.At.File)
		}
	}
	return f, err
}

// What a lot file says itself goes before the defaults: a section as a whole, but
// for rates, by pair, and customs classes, by name.
func TestDefaultsGiveWay(t *testing.T) {
	base, err := withBook(t, shortLot, shortBook)
	if err != nil {
		t.Fatal(err)
	}
	if base.Home.Code() != "EUR" || base.To != "DE" || base.Spread.String() != "0.02" || !base.Lots[0].Premium.Equal(decimal.RequireFromString("0.2")) ||
		!reflect.DeepEqual(base.InBook("").Wanted, map[string]int64{"default": 1, "jack-5": 2}) {
		t.Errorf("not as the defaults have it: %+v", base.Haul)
	}
	rate := func(f *lotfile.File, from string) string {
		r, err := f.Market.Rate("USD", "EUR")
		if from == "JPY" {
			r, err = f.Market.Rate("JPY", "EUR")
		}
		if err != nil {
			return "none"
		}
		return r.String()
	}
	for _, c := range []struct {
		name, from, to string
		got            func(*lotfile.File) any
		want           any
	}{
		{"home", "date:", "home: USD\ndate:", func(f *lotfile.File) any { return f.Home.Code() }, "USD"},
		{"to", "date:", "to: FR\ndate:", func(f *lotfile.File) any { return f.To }, "FR"},
		{"premium of its own", "price:", "premium: 0%\n    price:", func(f *lotfile.File) any { return f.Lots[0].Premium.String() }, "0"},
		{"another seller", "tidemark", "gable", func(f *lotfile.File) any { return f.Lots[0].Premium.String() }, "0.05"},
		{"an unknown seller", "tidemark", "nobody", func(f *lotfile.File) any { return f.Lots[0].Premium.String() }, "0"},
		{"a section as a whole", "date:", "exchange: {rates: [100 JPY = 0.50 EUR]}\ndate:", func(f *lotfile.File) any { return f.Spread.String() }, "0"},
		{"a rate of its own", "date:", "exchange: {rates: [1 EUR = 200 JPY]}\ndate:", func(f *lotfile.File) any { return rate(f, "JPY") }, rate(mustParse(t, "1 EUR = 200 JPY"), "JPY")},
		{"a rate beside", "date:", "exchange: {rates: [1 EUR = 200 JPY]}\ndate:", func(f *lotfile.File) any { return rate(f, "USD") }, rate(base, "USD")},
		{"no border is crossed", "from: JP", "from: FR", func(f *lotfile.File) any { return f.Border == nil }, true},
		{"no border, whatever is said of one", "from: JP", "from: FR\ncustoms: {use: personal, by: post}", func(f *lotfile.File) any { return f.Border == nil }, true},
		{"a class of its own", "date:", "customs: {classes: {tool: {duty: 1%}}}\ndate:", func(f *lotfile.File) any {
			return fmt.Sprint(f.Border.Classes["tool"].Duty.Fraction, len(f.Border.Classes))
		}, "0.01 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := withBook(t, strings.Replace(shortLot, c.from, c.to, 1), shortBook)
			if err != nil {
				t.Fatal(err)
			}
			if got := c.got(f); got != c.want {
				t.Errorf("got %v, want %v", got, c.want)
			}
		})
	}
}

func mustParse(t *testing.T, rate string) *lotfile.File {
	return parse(t, "lotcost: 1\nhome: EUR\nexchange: {rates: ["+rate+"]}\nlots: [{id: a, price: 1, items: [{id: b}]}]\n")
}

// Figures of the defaults are written as these say, those of the lot file as it
// says; a rate of its own goes before theirs however each is written.
func TestDefaultsMarks(t *testing.T) {
	comma := strings.NewReplacer("lotcost-book: 1\n", "lotcost-book: 1\ndecimal: comma\n", "2%", "2,5%", "[100 JPY = 0.60 EUR, 1 USD = 0.90 EUR]", `["100 JPY = 0,60 EUR", "1 USD = 0,90 EUR"]`,
		"2.7%", `"2,7%"`, "3.7%", `"3,7%"`, "20%", `"12,5%"`).Replace(shortBook)
	for decimal, rate := range map[string]string{"point": "100 JPY = 0.50 EUR", "comma": "100 JPY = 0,50 EUR"} {
		lot := strings.Replace(shortLot, "date:", "decimal: "+decimal+"\nexchange:\n  rates:\n    - "+rate+"\ndate:", 1)
		f, err := withBook(t, lot, comma)
		if err != nil {
			t.Fatal(decimal, err)
		}
		jpy, err := f.Market.Rate("JPY", "EUR")
		usd, err2 := f.Market.Rate("USD", "EUR")
		if err != nil || err2 != nil || jpy.Source() != "equation 100 JPY = 0.5 EUR" || usd.Source() != "equation 1 USD = 0.9 EUR" || f.Lots[0].Premium.String() != "0.125" || f.Border.Classes["tool"].Duty.Fraction.String() != "0.027" {
			t.Errorf("%s: %v %v, %v %v, premium %v", decimal, jpy.Source(), err, usd.Source(), err2, f.Lots[0].Premium)
		}
	}
}

// Which way to write a line is the right one is found with the marks of the defaults.
func TestDefaultsMended(t *testing.T) {
	const book = "lotcost-book: 1\ndecimal: comma\nhome: EUR\n"
	const lot = "lotcost: 1\nwith: book.yaml\nlots:\n  - id: a\n    price: 9 EUR\n    items: [{id: jack}]\ncharges:\n  - what: Parcel\n    by: count\n    amount: 14,20 EUR\n"
	if _, err := withBook(t, lot, book); err != nil {
		t.Fatal(err)
	}
	for _, spoilt := range []string{"amount 14,20 EUR", "amount:14,20 EUR", "amount = 14,20 EUR"} {
		_, err := withBook(t, strings.Replace(lot, "amount: 14,20 EUR", spoilt, 1), book)
		if err == nil || strings.Count(err.Error(), "\n") > 0 || !strings.HasSuffix(err.Error(), ": write amount: 14,20 EUR") {
			t.Errorf("%s: %v", spoilt, err)
		}
	}
}

// A bare number of the defaults is of their home, not of that of the haul.
func TestBareDefaults(t *testing.T) {
	book := shortBook + "selling: {charged: 5, postage: 4, venues: [{name: gable, fees: [{fixed: 1}]}]}\nbidding: {goal: {budget: 100}}\n"
	f, err := withBook(t, shortLot, book)
	if err != nil {
		t.Fatal(err)
	}
	if got := f.Selling.Charged.String() + ", " + f.Selling.Venues[0].Currency.Code(); got != "5.00 EUR, EUR" {
		t.Error(got)
	}
	_, err = withBook(t, strings.Replace(shortLot, "date:", "home: USD\ndate:", 1), book)
	if want := "book.yaml:16:26: bidding: goal: budget: 100.00 EUR is not in USD: "; err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s", err, want)
	}
}

// What is wrong with the defaults is reported in their file, and what makes them no
// defaults where they are named.
func TestDefaultsMistakes(t *testing.T) {
	for _, c := range []struct{ name, from, to, want string }{
		{"chain", "home: EUR", "with: other.yaml\nhome: EUR", `book.yaml:2:7: with: defaults name no defaults of their own: write all of them in one file`},
		{"premium", "gable: 5%", "gable: 5", `book.yaml:13:34: premiums: gable: "5" is not a percentage: write 5%`},
		{"wanted", "jack-5: 2", "jack-5: two", `book.yaml:14:30: wanted: jack-5: "two" is not a number of pieces: write 2`},
		{"year-from", "home: EUR", "home: EUR\nyear-from: 02-29", `book.yaml:3:12: year-from: "02-29" is no day of every year: write month-day, as in 04-06 for 6 April`},
		{"unknown key", "to: DE", "too: DE", `book.yaml:3:1: unknown key "too": did you mean to?`},
		{"twice", "to: DE", "to: DE\nto: FR", `book.yaml:4:1: the key "to" stands twice: keep one of them`},
		{"home", "home: EUR", "home: EURO", `book.yaml:2:7: home: currency "EURO" is not an ISO 4217 code: did you mean EUR?`},
		{"home, empty", "home: EUR", "home:", "book.yaml:2:1: home is missing: write the currency of your books, as in home: CAD"},
		{"rate", "0.90 EUR", "0;90 EUR", `book.yaml:6:31: exchange: rates 2: equation "1 USD = 0;90 EUR": `},
		{"no rate", "100 JPY = 0.60 EUR, ", "", `haul.yaml:8:12: lot crate: price: no rate from JPY to EUR`},
		{"class without a rate", "tool: {duty: 2.7%}", "tool: {code: \"8205.59\"}", `book.yaml:11:11: customs: `},
		{"no rules", "to: DE", "to: MX", `book.yaml:3:5: customs: `},
		{"another version", "lotcost-book: 1", "lotcost-book: 2", `haul.yaml:2:7: with: "book.yaml" does not begin with lotcost-book: 1: name a file of your defaults, and let that be its first line`},
		{"a lot file", "lotcost-book: 1", "lotcost: 1", `haul.yaml:2:7: with: "book.yaml" does not begin with lotcost-book: 1: name a file of your defaults, and let that be its first line`},
		{"not at the beginning", "lotcost-book: 1\n", "home: EUR\nlotcost-book: 1\n", `haul.yaml:2:7: with: "book.yaml" does not begin with lotcost-book: 1: name a file of your defaults, and let that be its first line`},
		{"no YAML", "to: DE", "to: \"DE", `book.yaml:3:1: this line cannot be read as it stands: write to: "DE"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			f, err := withBook(t, shortLot, strings.Replace(shortBook, c.from, c.to, 1))
			if err == nil {
				_, err = landed.Split(f.Haul)
				var faults source.Faults
				if errors.As(err, &faults) {
					faults[0].At.File = filepath.Base(faults[0].At.File)
				}
			}
			if err == nil || !strings.HasPrefix(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
}

// A class of the defaults beside the lot file's own section is reported where it
// stands.
func TestDefaultsClassPlace(t *testing.T) {
	f, err := withBook(t, strings.Replace(shortLot, "date:", "customs: {use: personal, by: post, classes: {pen: {duty: 1%}}}\ndate:", 1),
		strings.Replace(shortBook, "tool: {duty: 2.7%}", "tool: {}", 1))
	if err != nil {
		t.Fatal(err)
	}
	_, err = landed.Split(f.Haul)
	var faults source.Faults
	if !errors.As(err, &faults) || len(faults) != 1 || filepath.Base(faults[0].At.File) != "book.yaml" || faults[0].At.Line != 11 {
		t.Errorf("got %v", err)
	}
}

// TestDefaultsPlaces: the file may stand up to three folders above, and nothing
// of another file is ever told.
func TestDefaultsPlaces(t *testing.T) {
	root := t.TempDir()
	folder := filepath.Join(root, "a", "b", "c", "d")
	if err := os.MkdirAll(folder, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, at := range []string{".", "a", "a/b", "a/b/c", "a/b/c/d"} {
		write(t, filepath.Join(root, at), "book.yaml", strings.Replace(shortBook, "  rates: [", "  table: rates.csv\n  rates: [", 1))
		write(t, filepath.Join(root, at), "rates.csv", "Date,USD,JPY\n2026-10-02,1.1,160\n")
	}
	write(t, root, "secret.yaml", "password: hunter2\n")
	for _, link := range [][2]string{{filepath.Join(root, "secret.yaml"), "link.yaml"}, {folder, "../../../../near"}} {
		if err := os.Symlink(link[0], filepath.Join(folder, link[1])); err != nil {
			t.Skip(err)
		}
	}
	for _, c := range []struct{ path, with, book, want string }{
		{"haul.yaml", "book.yaml", "book.yaml", ""},
		{"haul.yaml", "./sub/../book.yaml", "book.yaml", ""},
		{"haul.yaml", "../book.yaml", "../book.yaml", ""},
		{"haul.yaml", "../../book.yaml", "../../book.yaml", ""},
		{"haul.yaml", "../../../book.yaml", "../../../book.yaml", ""},
		{"../../../../near/haul.yaml", "../book.yaml", "../../../../near/../book.yaml", ""}, // above what it links to
		{"haul.yaml", "../../../../book.yaml", "", `the path "../../../../book.yaml" leads too far away: put the file beside the lot file or up to three folders above, as in with: ../book.yaml`},
		{"haul.yaml", "/etc/passwd", "", `the path "/etc/passwd" leads too far away: put the file beside the lot file or up to three folders above, as in with: ../book.yaml`},
		{"haul.yaml", "..", "", `the path ".." leads too far away: put the file beside the lot file or up to three folders above, as in with: ../book.yaml`},
		{"haul.yaml", "none.yaml", "", `there is no file "none.yaml" beside the lot file: check the name`},
		{"haul.yaml", "../none.yaml", "", `there is no file "../none.yaml": check the name`},
		{"haul.yaml", "../d", "", `"../d" is a folder: name a file in it`},
		{"haul.yaml", "link.yaml", "", `cannot open "link.yaml": path escapes from parent: the file must be readable, and no link may lead out of its folder`},
		{"haul.yaml", "../../../../secret.yaml", "", `the path "../../../../secret.yaml" leads too far away: put the file beside the lot file or up to three folders above, as in with: ../book.yaml`},
	} {
		t.Run(c.path+" "+c.with, func(t *testing.T) {
			t.Chdir(folder)
			write(t, filepath.Dir(c.path), filepath.Base(c.path), strings.Replace(shortLot, "book.yaml", c.with, 1))
			f, err := lotfile.Read(c.path, lotfile.Options{})
			if c.want == "" {
				if err != nil {
					t.Fatal(err)
				}
				if at := f.Defaults.Figures[0].At; filepath.ToSlash(at.File) != c.book || at.Line != 2 {
					t.Errorf("home stands at %v", at)
				}
				return
			}
			if want := c.path + ":2:7: with: " + c.want; err == nil || err.Error() != want {
				t.Errorf("got  %v\nwant %s", err, want)
			}
		})
	}
	t.Run("secret", func(t *testing.T) {
		t.Chdir(folder)
		write(t, filepath.Join(root, "a"), "secret.yaml", "password: hunter2\n")
		write(t, ".", "haul.yaml", strings.Replace(shortLot, "book.yaml", "../../../secret.yaml", 1))
		_, err := lotfile.Read("haul.yaml", lotfile.Options{})
		if err == nil || strings.Contains(err.Error(), "hunter2") || strings.Contains(err.Error(), "password") || !strings.Contains(err.Error(), "does not begin with lotcost-book: 1") {
			t.Errorf("got %v", err)
		}
	})
}

// Defaults in the place of a lot file are reported for what they are.
func TestDefaultsAlone(t *testing.T) {
	_, err := lotfile.Parse("a/book.yaml", []byte(shortBook), ".", lotfile.Options{})
	if want := "a/book.yaml: this is a file of defaults, not a lot file: name it in a lot file, as in with: ../book.yaml"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// TestDefaultsFromStdin: a lot file that comes by standard input has no folder.
func TestDefaultsFromStdin(t *testing.T) {
	t.Chdir(t.TempDir())
	read := func() (*lotfile.File, error) {
		return lotfile.Read(lotfile.Stdin, lotfile.Options{Stdin: strings.NewReader(shortLot)})
	}
	_, err := read()
	if want := `standard input:2:7: with: there is no file "book.yaml" in the working folder, where it is looked for since the lot file came by standard input: check the name`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	write(t, ".", "book.yaml", shortBook)
	if f, err := read(); err != nil || !f.Defaults.Beside {
		t.Error(f, err)
	}
}

// FuzzDefaults holds defaults to the law of lot files, and that none of another
// file is reported.
func FuzzDefaults(f *testing.F) {
	f.Add(shortBook, []byte{})
	_, book, _ := moved(whole, movable)
	f.Add(book, []byte{})
	f.Add("secret: word\n", []byte{})
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, text string, changes []byte) {
		if len(text) > fuzzLimit {
			t.Skip()
		}
		text = reworded.Text(text, changes)
		write(t, folder, "book.yaml", text)
		h, err := lotfile.Parse("haul.yaml", []byte(shortLot), folder, lotfile.Options{})
		checkAnswer(t, h, err)
		if err != nil && !strings.Contains(text, "lotcost-book") && !strings.HasPrefix(err.Error(), `haul.yaml:2:7: with: "book.yaml" does not begin`) {
			t.Errorf("of another file it tells %v", err)
		}
	})
}

// What stands where is reported of all that either file may say.
func TestDefaultsFigures(t *testing.T) {
	f, err := withBook(t, strings.Replace(shortLot, "date:", "exchange: {rates: [100 JPY = 0.50 EUR]}\ndate:", 1), shortBook)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, g := range f.Defaults.Figures {
		got = append(got, fmt.Sprintf("%s:%d: %s: %s", filepath.Base(g.At.File), g.At.Line, g.What, g.Value))
	}
	want := []string{
		"book.yaml:2: home: EUR",
		"book.yaml:3: to: DE",
		"haul.yaml:3: exchange: rates: 100 JPY = 0.50 EUR",
		"book.yaml:6: exchange: rates: 1 USD = 0.90 EUR",
		"book.yaml:13: premium of crate: 20%",
		"book.yaml:8: customs: use: personal",
		"book.yaml:9: customs: by: post",
		"book.yaml:11: customs: class tool: duty: 2.7%",
		"book.yaml:12: customs: class pen: duty: 3.7%",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestForgottenPremium: a lot without a premium is warned of where its seller asks one for another
// lot of the haul, and neither the lot nor the defaults say what it is; and so is a seller
// who is spelt in two ways.
func TestForgottenPremium(t *testing.T) {
	for _, c := range []struct{ first, second, book, want string }{
		{"seller: tidemark, premium: 24%", "seller: tidemark", "", "haul.yaml:5:13: lot b: premium: none is given, and a of tidemark has 24%: write premium: 24%, or premium: 0% if none is asked"},
		{"seller: tidemark", "seller: tidemark, premium: 24%", "", "haul.yaml:4:13: lot a: premium: none is given, and b of tidemark has 24%: write premium: 24%, or premium: 0% if none is asked"},
		{"seller: tidemark, premium: 24%", "seller: tidemark, premium: 0%", "", ""},
		{"seller: tidemark, premium: 24%", "seller: tidemark, settled: 9 CAD", "", ""},
		{"seller: tidemark, premium: 24%", "seller: gable", "", ""},
		{"seller: tidemark, premium: 24%", "title: none is named", "", ""},
		{"seller: tidemark, premium: 24%", "seller: tidemark", "premiums: {tidemark: 0%}", ""},
		{"seller: tidemark, premium: 24%", "seller: Tidemark", "", `haul.yaml:5:31: lot b: seller: "Tidemark" counts as another than "tidemark": write tidemark if they are one`},
		{"seller: Tidemark", "title: none is named", "premiums: {tidemark: 10%}", `haul.yaml:4:31: lot a: seller: "Tidemark" counts as another than "tidemark": write tidemark if they are one`},
	} {
		folder := t.TempDir()
		write(t, folder, "book.yaml", "lotcost-book: 1\nhome: CAD\n"+c.book+"\n")
		text := "lotcost: 1\nwith: book.yaml\nlots:\n  - {id: a, price: 9, " + c.first + ", items: [{id: x, value: 1}]}\n  - {id: b, price: 8, " + c.second + ", items: [{id: y, value: 1}]}\n"
		var said []string
		if _, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{Warn: func(f *source.Fault) { said = append(said, f.Error()) }}); err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(said, "\n"); strings.ReplaceAll(got, "warning: ", "") != c.want {
			t.Errorf("%s; %s; %s: got %s", c.first, c.second, c.book, got)
		}
	}
}
