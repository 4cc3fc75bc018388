package lotfile_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"
)

// TestMendedBeside: of files that a lot file names and that are no YAML the line is told that puts
// them right, and what else is wrong as if it stood there.
func TestMendedBeside(t *testing.T) {
	const book = "lotcost-book: 1\nhome: CAD\nlosses: lot\nselling:\n  venues: venues.yaml\n  packing: 0.80 CAD\npremiums: {tidemark: 10%}\n"
	const venues = "- name: gable\n  fees:\n    - {percent: 12%}\n  postage: 14.95\n- name: fair\n  ships: no\n"
	const haul = "lotcost: 1\nwith: book.yaml\nlots: [{id: a, price: 42, items: [{id: jack, weight: 1 kg, value: 9}]}]\n"
	for _, c := range []struct{ file, good, bad, want string }{
		{"book.yaml", "\nlosses: lot\n", "\n losses: lot\n", `:3:2: this line does not begin where what belongs to it does: write "losses: lot"`},
		{"book.yaml", "  packing: 0.80", "   packing: 0.80", `:6:4: this line does not begin where what belongs to it does: write "  packing: 0.80 CAD"`},
		{"venues.yaml", "  fees:\n", "   fees:\n", `:2:4: this line does not begin where what belongs to it does: write "  fees:"`},
		{"venues.yaml", "  postage: 14.95", "  postage:14.95", `:4:3: this line cannot be read as it stands: write postage: 14.95`},
		{"venues.yaml", "- name: fair", "-name: fair", `:5:1: this line cannot be read as it stands: write - name: fair`},
	} {
		folder := t.TempDir()
		texts := map[string]string{"book.yaml": book, "venues.yaml": venues, "haul.yaml": haul}
		path := filepath.Join(folder, "haul.yaml")
		reported := func(file, text string) string {
			for name, whole := range texts {
				if name == file {
					whole = text
				}
				if err := os.WriteFile(filepath.Join(folder, name), []byte(whole), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			if _, err := lotfile.Read(path, lotfile.Options{}); err != nil {
				return err.Error()
			}
			return ""
		}
		bad := strings.Replace(texts[c.file], c.good, c.bad, 1)
		if got, want := reported(c.file, bad), filepath.Join(folder, c.file)+c.want; got != want {
			t.Errorf("%q: got\n%s\nwant\n%s", c.bad, got, want)
		}
		if c.file == "venues.yaml" {
			bad = strings.Replace(bad, "ships: no", "shipss: no", 1)
			if got := reported(c.file, bad); !strings.HasSuffix(got, `venues 2: unknown key "shipss": did you mean ships?`) || strings.Count(got, "\n") != 1 {
				t.Errorf("%q with another mistake: got\n%s", c.bad, got)
			}
		}
		if got := reported("", ""); got != "" {
			t.Fatal(got)
		}
	}
}

// TestMendedRules: a rule file of the user's own is mended as other files are, and a bracket that
// makes a list of what is none goes.
func TestMendedRules(t *testing.T) {
	rules, err := os.ReadFile("../customs/rules/no.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const haul = "lotcost: 1\nhome: NOK\ndate: 2026-10-03\nfrom: JP\nto: \"NO\"\nlots: [{id: a, price: 42, items: [{id: jack, weight: 1 kg, value: 9}]}]\ncustoms: {rules: no.yaml, class: t, classes: {t: {duty: 5%}}}\n"
	for _, c := range []struct{ of, good, bad, want string }{
		{"no.yaml", "currency: NOK", "currency NOK", "no.yaml:5:1: this line cannot be read as it stands: write currency: NOK"},
		{"haul.yaml", "from: JP", "from: [JP", "haul.yaml:4:1: this line cannot be read as it stands: write from: JP"},
	} {
		folder := t.TempDir()
		texts := map[string]string{"no.yaml": string(rules), "haul.yaml": haul}
		texts[c.of] = strings.Replace(texts[c.of], c.good, c.bad, 1)
		write(t, folder, "no.yaml", texts["no.yaml"])
		_, err := lotfile.Parse("haul.yaml", []byte(texts["haul.yaml"]), folder, lotfile.Options{})
		if err == nil || strings.TrimPrefix(err.Error(), folder+string(filepath.Separator)) != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
}

// TestTypo: a key of which a letter is wrong is not read into the text before it, though no file
// that is named was looked into.
func TestTypo(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "items.csv", "id,weight,value\njack,1 kg,9\n")
	_, err := lotfile.Parse("haul.yaml", []byte("lotcost: 1\nhome: CAD\nlots: [{id: a, price: 42, items: items.csv}]\nparcels:\n  - {id: one, lotss: [a], freight: 3}\n"), folder, lotfile.Options{})
	if want := `haul.yaml:5:15: parcels 1: unknown key "lotss": did you mean lots?`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// TestTopOfTheHaul: what the border asks of the haul is told where that is to be written, also
// where the section stands in the defaults, and what has a key without a value at the key.
func TestTopOfTheHaul(t *testing.T) {
	folder := t.TempDir()
	write(t, folder, "book.yaml", "lotcost-book: 1\nhome: CAD\nto: CA-ON\ncustoms: {use: personal, by: post, class: t, classes: {t: {duty: 5%}}}\n")
	const haul = "lotcost: 1\nwith: book.yaml\nfrom: JP\ndate: 2026-10-03\nlots: [{id: a, price: 42, items: [{id: jack, weight: 1 kg, value: 9}]}]\n"
	for _, c := range []struct{ date, want string }{{"", "haul.yaml:1:10"}, {"date:\n", "haul.yaml:4:1"}} {
		f, err := lotfile.Parse("haul.yaml", []byte(strings.Replace(haul, "date: 2026-10-03\n", c.date, 1)), folder, lotfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		_, err = landed.Split(f.Haul)
		if want := c.want + ": customs: the day of purchase is missing, and it picks the rules: write it at the top"; err == nil || err.Error() != want {
			t.Errorf("got  %v\nwant %s", err, want)
		}
	}
}

// TestMendedWithin: what cures a fault within a group in braces takes none of the group's keys for
// a part of a text.
func TestMendedWithin(t *testing.T) {
	const haul = "lotcost: 1\nhome: CAD\nlots: [{id: a, price: 42, items: [{id: jack, weight: 1 kg, value: 9}]}]\nparcels:\n" +
		"  - {id: box, lots: a, freight: 3 kg, assessed: 12 CAD}\n"
	const want = `haul.yaml:5:33: parcel box: freight: currency "kg" is not an ISO 4217 code: write its three capitals, as in CAD or JPY
haul.yaml:5:49: parcel box: assessed: a group of keys belongs here, not a single value: write each as "key: value", of the keys duty, tax, fee`
	if _, err := lotfile.Parse("haul.yaml", []byte(haul), "", lotfile.Options{}); err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}
