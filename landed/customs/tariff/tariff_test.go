package tariff_test

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"lotcost/landed/customs/tariff"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/testdata/effort"
)

const (
	us    = "../../../testdata/tariff/hts-lines.json"
	uk    = "../../../testdata/tariff/uk-8205300000.json"
	xi    = "../../../testdata/tariff/xi-8205300000.json"
	swine = "../../../testdata/tariff/uk-0103911000.json"
	corn  = "../../../testdata/tariff/uk-0710400020.json"
)

// lineOf reads one line of a file.
func lineOf(t *testing.T, path, code string) *tariff.Line {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, unknown, err := tariff.Read(f, code)
	if err != nil || unknown[0] != nil {
		t.Fatal(err, unknown)
	}
	return lines[0]
}

// said is a rate on one line.
func said(d *tariff.Duty) string {
	return fmt.Sprintf("%s%% %s/kg %s each %s at %s", d.Rate.Fraction.Shift(2), d.Rate.PerKilogram, d.Rate.PerPiece, d.Currency, d.Code)
}

// The rates as the sources in testdata/SOURCES.md print them.
func TestPublishedRates(t *testing.T) {
	for _, c := range []struct {
		file, code, origin string
		proof              bool
		want               string
	}{
		{us, "8205.59.55", "", false, "5.3% 0/kg 0 each  at 8205.59.55"},
		{us, "8205595560", "CN", false, "5.3% 0/kg 0 each  at 8205.59.55"}, // by indent, from the nearest
		{us, "8205.59.55.05", "", false, "5.3% 0/kg 0 each  at 8205.59.55"},
		{us, "0101.21.00.20", "", false, "0% 0/kg 0 each  at 0101.21.00"},
		{us, "8205.40", "", false, "6.2% 0/kg 0 each  at 8205.40.00.00"},
		{us, "8205 30 60", "", false, "5% 0/kg 0 each  at 8205.30.60.00"},
		{us, "8201.50.00.00", "", false, "2.8% 0/kg 0.01 each USD at 8201.50.00.00"},
		{us, "8205.59.70.00", "", false, "3.5% 0.015/kg 0 each USD at 8205.59.70.00"},
		{us, "8205.40.00.00", "JP", true, "3.1% 0/kg 0 each  at 8205.40.00.00"},
		{us, "8205.40.00.00", "AU", true, "0% 0/kg 0 each  at 8205.40.00.00"},
		{us, "8205.40.00.00", "JP", false, "6.2% 0/kg 0 each  at 8205.40.00.00"},
		{uk, "8205300000", "JP", false, "2% 0/kg 0 each  at 8205300000"},
		{uk, "8205.30", "JP", true, "0% 0/kg 0 each  at 8205300000"},
		{uk, "8205300000", "DE", true, "0% 0/kg 0 each  at 8205300000"},
		{xi, "8205300000", "US", false, "3.7% 0/kg 0 each  at 8205300000"},
		{swine, "0103911000", "US", false, "0% 0.34/kg 0 each GBP at 0103911000"},
		{swine, "0103911000", "", false, "0% 0.34/kg 0 each GBP at 0103911000"},
	} {
		d, err := lineOf(t, c.file, c.code).Duty(tariff.Goods{Origin: c.origin, Proof: c.proof})
		if err != nil {
			t.Errorf("%s %s: %v", c.code, c.origin, err)
		} else if got := said(d); got != c.want {
			t.Errorf("%s %s: %s, want %s", c.code, c.origin, got, c.want)
		}
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct {
		file, code string
		goods      tariff.Goods
		want       string
	}{
		{us, "8205.30", tariff.Goods{}, "8205.30 has several rates: 8205.30.30.00 general: 5.7%; 8205.30.60.00 general: 5%"},
		{us, "9101.11.40", tariff.Goods{}, "9101.11.40 has no plain rate: 9101.11.40 general: 51¢ each + 6.25% on the case and strap, band or bracelet + 5.3% on the battery"},
		{us, "8206", tariff.Goods{}, "8206.00.00.00 has no plain rate: 8206.00.00.00 general: The rate of duty applicable to that article in the set subject to the highest rate of duty"},
		{us, "8205.40.00.00", tariff.Goods{Origin: "CN", Proof: true}, "no rate for goods made in CN with proof of origin stands at 8205.40.00.00"},
		{us, "8205.59.70", tariff.Goods{Currency: money.MustCurrency("CAD")}, "the rate of 8205.59.70.00 is in USD, and the territory calculates in CAD: 8205.59.70.00 general: 1.5¢/kg + 3.5%"},
		{corn, "0710400020", tariff.Goods{Origin: "US"}, "0710400020 has no plain rate: 0710400020 Third country duty: 4.00 % + 7.80 GBP / 100 kg/net eda"},
		{swine, "0103911000", tariff.Goods{Origin: "JE"}, "0103911000 has several rates: 0103911000 Third country duty: 34.00 GBP / 100 kg; 0103911000 Third country duty (Channel Islands): 0.00 %"},
		{swine, "0103911000", tariff.Goods{Origin: "US", Currency: money.MustCurrency("EUR")}, "the rate of 0103911000 is in GBP, and the territory calculates in EUR: 0103911000 Third country duty: 34.00 GBP / 100 kg"},
		{swine, "0103911000", tariff.Goods{Origin: "JP", Proof: true}, "no rate for goods made in JP with proof of origin stands at 0103911000"},
		{uk, "8205300000", tariff.Goods{On: time.Date(2020, 12, 31, 0, 0, 0, 0, time.UTC)}, "no rate of duty stands at 8205300000"},
	} {
		_, err := lineOf(t, c.file, c.code).Duty(c.goods)
		if refused := (*source.Fault)(nil); !errors.As(err, &refused) || refused.Remedy != "" || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.code, err, c.want)
		}
	}
}

func TestUnknownCodes(t *testing.T) {
	for code, want := range map[string]string{
		"8205.5":    `"8205.5" is only the beginning of a code: write a whole one, such as 8205.51, 8205.51.15.00, 8205.51.30, 8205.51.30.30, 8205.51.30.60`,
		"9999":      `no line of the tariff has the code "9999": check the code, and that the file is the tariff of its territory`,
		"":          `no line of the tariff has the code "": check the code, and that the file is the tariff of its territory`,
		"8205.59.6": `no line of the tariff has the code "8205.59.6": check the code, and that the file is the tariff of its territory`,
	} {
		f, err := os.Open(us)
		if err != nil {
			t.Fatal(err)
		}
		lines, unknown, err := tariff.Read(f, "8205.59.55", code)
		f.Close()
		if err != nil || lines[0] == nil || lines[1] != nil || unknown[0] != nil || unknown[1].Error() != want {
			t.Errorf("%q: %v %v, want %s", code, err, unknown, want)
		}
	}
}

func TestAlsoNamed(t *testing.T) {
	for _, c := range []struct {
		file, code string
		goods      tariff.Goods
		want       string
	}{
		{us, "0101.30.00.00", tariff.Goods{Origin: "CN"}, "column 2, for countries without normal trade relations: 15%\nfootnote: See 9903.88.15."},
		{us, "8205.59.55.60", tariff.Goods{Origin: "AU"}, "column 2, for countries without normal trade relations: 40%\nspecial (A, AU, BH, CL, CO, D, E, IL, JO, KR, MA, OM, P, PA, PE, S, SG): Free"},
		{uk, "8205300000", tariff.Goods{Origin: "JP"}, "Tariff preference (Japan): 0.00 %"},
		{swine, "0103911000", tariff.Goods{Origin: "US"}, "Veterinary control, with conditions"},
		{swine, "0103911000", tariff.Goods{Origin: "IE"}, ""},
	} {
		l := lineOf(t, c.file, c.code)
		d, err := l.Duty(c.goods)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(l.Also(c.goods, d), "\n"); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.code, got, c.want)
		}
	}
}

func TestPath(t *testing.T) {
	for code, want := range map[string]string{
		"8205.59.55.60": "Other handtools (including glass cutters) and parts thereof: Other: Other: Of iron or steel: Other: Other (including parts)",
		"8205.30":       "Planes, chisels, gouges and similar cutting tools for working wood, and parts thereof",
		"8206":          "Tools of two or more of headings 8202 to 8205, put up in sets for retail sale",
	} {
		if got := lineOf(t, us, code).Path(); got != want {
			t.Errorf("%s: %q, want %q", code, got, want)
		}
	}
	if got := lineOf(t, swine, "0103911000").Path(); got != "Weighing less than 50 kg: Domestic species" {
		t.Error(got)
	}
}

func TestFind(t *testing.T) {
	for words, want := range map[string]string{
		"plane":            "8205.30",
		"Wood chromium":    "8205.30.30.00",
		"aluminum":         "8205.51.60.00 8205.59.70.00",
		"iron caulking":    "8205.59.45.00",
		"":                 "",
		"spectroscope":     "",
		"other handtools ": "8201 8205 8205.30.60.00 8205.51.30 and 6 more",
	} {
		f, err := os.Open(us)
		if err != nil {
			t.Fatal(err)
		}
		lines, more, err := tariff.Find(f, words, 4)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, l := range lines {
			got = append(got, l.Code)
		}
		text := strings.Join(got, " ")
		if more > 0 {
			text += fmt.Sprintf(" and %d more", more)
		}
		if text != want {
			t.Errorf("%q: %s, want %s", words, text, want)
		}
	}
}

func TestNoTariff(t *testing.T) {
	row := func(fields string) string {
		return `[{"htsno":"1","indent":"0"},{"htsno":"2",` + fields + `}]`
	}
	for text, want := range map[string]string{
		"":                            "the file ends before the tariff does",
		"[":                           "the file ends before the tariff does",
		"[]":                          "the list has no rows",
		`"x"`:                         "the file is no published tariff",
		"[} ":                         "the file is no JSON at byte 1",
		row(`"indent":null`):          `row 2, "2", has no indent, and only that tells what it is below`,
		row(`"indent":"-1"`):          `row 2, "2", has no indent, and only that tells what it is below`,
		row(`"indent":100`):           `row 2, "2", has no indent, and only that tells what it is below`,
		row(`"indent":[1]`):           "a list or an object stands where the published layout has a text",
		row(`"indent":0`) + "[]":      "more follows behind the end of the tariff",
		`{"data":{"type":"chapter"}}`: "the file holds no commodity",
		`{"included":{}}`:             "included is no list",
	} {
		_, _, err := tariff.Read(strings.NewReader(text), "2")
		if bad := (*source.Fault)(nil); !errors.As(err, &bad) || bad.What != want {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
	if _, _, err := tariff.Read(strings.NewReader("\ufeff"+row(`"indent":1`)), "2"); err != nil {
		t.Error("a byte order mark:", err)
	}
}

// A measure that hangs on a quota, on conditions or on an additional code is no rate by itself.
func TestHangs(t *testing.T) {
	text, err := os.ReadFile(uk)
	if err != nil {
		t.Fatal(err)
	}
	for with, want := range map[string]string{
		`"measure_conditions": {"data": [{"id": "1", "type": "measure_condition"}]}`: "with conditions",
		`"order_number": {"data": {"id": "054003", "type": "order_number"}}`:         "with a quota",
		`"additional_code": {"data": {"id": "1", "type": "additional_code"}}`:        "with an additional code",
	} {
		name, _, _ := strings.Cut(with, ":")
		at := strings.Index(string(text), `"duty_expression": {`) // of the first measure
		changed := string(text[:at]) + with + ", " + strings.Replace(string(text[at:]), name+":", `"other":`, 1)
		lines, _, err := tariff.Read(strings.NewReader(changed), "8205300000")
		if err != nil {
			t.Fatal(err)
		}
		_, err = lines[0].Duty(tariff.Goods{Origin: "US"})
		if want := "the rate of 8205300000 depends on more than the goods: 8205300000 Third country duty, " + want + ": 2.00 %"; err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

// The forms in which the schedule prints plain rates, and some of those in which it prints others.
func TestPlain(t *testing.T) {
	for text, want := range map[string]string{
		"Free":                                 "0% 0/kg 0 each ",
		"3.2%":                                 "3.2% 0/kg 0 each ",
		"34.2¢/kg":                             "0% 0.342/kg 0 each USD",
		"$1.05/kg + 2.3%":                      "2.3% 1.05/kg 0 each USD",
		"51¢ each":                             "0% 0/kg 0.51 each USD",
		"$1.61 each + 3%":                      "3% 0/kg 1.61 each USD",
		"2% + 3%":                              "5% 0/kg 0 each ",
		"1¢ each + 2¢/kg":                      "0% 0.02/kg 0.01 each USD",
		"free":                                 "",
		"Free + 5%":                            "",
		"5% +":                                 "",
		"5%+2%":                                "",
		"$5%":                                  "",
		"5":                                    "",
		"5¢":                                   "",
		"5/kg":                                 "",
		"$5¢/kg":                               "",
		"5%/kg":                                "",
		"3¢/liter":                             "",
		"46.3¢/pf.liter":                       "",
		"22.5¢/doz.":                           "",
		"51¢ each on case":                     "",
		"0.9¢/kg + 2.4% on the drained weight": "",
		"The duty provided in the applicable subheading + 25%": "",
		"See 9903.88.15": "",
		"51¢ each + 6.25% on the case and strap + 5.3% on the battery": "",
	} {
		lines, _, err := tariff.Read(strings.NewReader(fmt.Sprintf(`[{"htsno":"1","indent":"0","general":%q}]`, text)), "1")
		if err != nil {
			t.Fatal(err)
		}
		d, err := lines[0].Duty(tariff.Goods{})
		got := ""
		if err == nil {
			got = strings.TrimSuffix(said(d), " at 1")
		}
		if got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}

type spaces struct{}

func (spaces) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

func TestTooLarge(t *testing.T) {
	if !effort.All() {
		t.Skip("it reads 128 MiB")
	}
	_, _, err := tariff.Read(spaces{}, "2")
	if err == nil || !strings.HasPrefix(err.Error(), "the file is larger than 128 MiB: ") {
		t.Error(err)
	}
}

// Marks of pages are left out of texts; what only looks like one is not.
func TestWords(t *testing.T) {
	text := `[{"htsno":"1","indent":"0","description":"<i>Of iron</i>,  of a value &lt; 5 &amp; > 3 <br/>each","general":"5% "}]`
	lines, _, err := tariff.Read(strings.NewReader(text), "1")
	if err != nil || lines[0].Text != "Of iron, of a value < 5 & > 3 each" || lines[0].Duties[0].Text != "5%" {
		t.Errorf("%+v, %v", lines, err)
	}
}

// What follows a row has no bearing on it unless it is indented more.
func TestNeverFromTheRowBefore(t *testing.T) {
	text := `[{"htsno":"1","indent":"0","description":"a"},
	 {"htsno":"1.1","indent":"1","general":"5%"},
	 {"htsno":"1.2","indent":"1"},
	 {"htsno":"1.2.1","indent":"4","general":"7%"},
	 {"htsno":"1.2.2","indent":"2"},
	 {"htsno":"1.2.2.1","indent":"3"}]`
	lines, _, err := tariff.Read(strings.NewReader(text), "1.2.2.1", "1.2")
	if err != nil {
		t.Fatal(err)
	}
	if d, err := lines[0].Duty(tariff.Goods{}); err == nil {
		t.Error("a rate from elsewhere:", d)
	}
	if d, err := lines[1].Duty(tariff.Goods{}); err != nil || d.Text != "7%" {
		t.Error(d, err)
	}
}

// A file is read again only for a code that was not sought in it, and in another state.
func TestCache(t *testing.T) {
	text, err := os.ReadFile(us)
	if err != nil {
		t.Fatal(err)
	}
	var c tariff.Cache
	look := func(key, text, code, want string) {
		t.Helper()
		lines, unknown, err := c.Read(key, strings.NewReader(text), code, "0101.21.00")
		got := ""
		switch {
		case err != nil:
			got = "unreadable"
		case unknown[0] != nil:
			got = "unknown"
		default:
			got = lines[0].Duties[0].Text
		}
		if got != want || err == nil && lines[1].Code != "0101.21.00" {
			t.Errorf("%s: %s: %s, want %s", key, code, got, want)
		}
	}
	look("a", string(text), "8205.59.55", "5.3%")
	look("a", "gone", "8205.59.55", "5.3%")
	look("a", "gone", "8205.10.00", "unreadable")
	look("a", string(text), "9999", "unknown")
	look("a", "gone", "9999", "unknown")
	look("b", "gone", "8205.59.55", "unreadable")
	look("b", strings.ReplaceAll(string(text), "5.3%", "6%"), "8205.59.55", "6%")
	if lines, _, err := (*tariff.Cache)(nil).Read("a", strings.NewReader(string(text)), "8205.59.55"); err != nil || lines[0].Code != "8205.59.55" {
		t.Error(lines, err)
	}
}

func ExampleRead() {
	f, err := os.Open("../../../testdata/tariff/hts-lines.json")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer f.Close()
	lines, _, err := tariff.Read(f, "8201.50.00")
	if err != nil {
		fmt.Println(err)
		return
	}
	duty, err := lines[0].Duty(tariff.Goods{Origin: "JP"})
	fmt.Println(lines[0].Code, duty, err)
	// Output: 8201.50.00.00 general: 1¢ each + 2.8% <nil>
}
