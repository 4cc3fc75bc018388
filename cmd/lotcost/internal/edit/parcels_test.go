package edit_test

import (
	"errors"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"
	"lotcost/testdata/reworded"
)

func withParcels(text string, parcels []landed.Parcel, notes ...string) (string, error) {
	d, err := edit.Parse("haul.yaml", []byte(text))
	if err != nil {
		return "", err
	}
	if d, err = d.WithParcels(parcels, notes, strings.Contains(text, "decimal: comma")); err != nil {
		return "", err
	}
	return string(d.Bytes()), nil
}

// placed are the parcels that the next tests write.
var placed = []landed.Parcel{
	{ID: "box-1", Lots: []string{"crate-a", "平, 鉋"}, Carriage: landed.Carriage{Freight: money.New(5500, money.MustCurrency("JPY")), Fees: money.New(305, money.MustCurrency("CAD"))},
		Billed: 4861 * measure.Gram, Size: measure.Size{L: 34 * measure.Centimetre, W: 26 * measure.Centimetre, H: 16 * measure.Centimetre}},
	{ID: "box-2", Lots: []string{"null"}, Carriage: landed.Carriage{Freight: money.New(0, money.MustCurrency("JPY")), Insurance: money.New(200, money.MustCurrency("JPY"))}},
}

const written = `parcels:
  # by surface
  - {id: box-1, lots: [crate-a, "平, 鉋"], freight: 5500 JPY, fees: 3.05 CAD, billed: 4.861 kg, size: 34x26x16 cm}
  - {id: box-2, lots: ["null"], freight: 0 JPY, insurance: 200 JPY}
`

func TestWithParcels(t *testing.T) {
	const head = "lotcost: 1 # version\nhome: CAD\n"
	const lots = "lots: # three\n  - {id: crate-a, price: 1, items: [{id: a}]}\n  # mine\n  - {id: \"平, 鉋\", price: 1, items: [{id: b}]}\n  - {id: \"null\", price: 1,\n     items: [{id: c}]}\n"
	for _, c := range []struct{ name, text, want string }{
		{"below the lots", head + lots + "\n# what it cost\ncharges: []\n", head + lots + written + "\n# what it cost\ncharges: []\n"},
		{"at the end", head + lots, head + lots + written},
		{"at the end without a newline", head + strings.TrimSuffix(lots, "\n"), head + lots + written},
		{"in place of others", head + "parcels: [{id: p,\n  lots: [a]}\n  ]\n\n# the lots\n" + lots, head + written + "\n# the lots\n" + lots},
		{"in place of others, notes kept below", head + lots + "parcels:\n  - id: p\n    lots: [a]\n  # not yet\ncharges: []\n", head + lots + written + "  # not yet\ncharges: []\n"},
		{"in place of nothing", head + "\"parcels\":\n" + lots, head + written + lots},
		{"before the end of the document", head + lots + "...\n", head + lots + written + "...\n"},
		{"a text with a hash mark", head + lots + "  - id: d\n    title: |\n      one\n      # two\n", head + lots + "  - id: d\n    title: |\n      one\n      # two\n" + written},
		{"with the title of a key", head + "title: lots\n" + lots, head + "title: lots\n" + lots + written},
		{"with the title of its key", head + "title: parcels\n" + lots, head + "title: parcels\n" + lots + written},
		{"with other line ends", strings.ReplaceAll(head+lots+"charges: []\n", "\n", "\r\n"), strings.ReplaceAll(head+lots+written+"charges: []\n", "\n", "\r\n")},
		{"with the line ends of old", strings.ReplaceAll(head+lots+"charges: []\n", "\n", "\r"), strings.ReplaceAll(head+lots+written+"charges: []\n", "\n", "\r")},
		{"with a line separator in a title", head + "title: \"a\u2028  b\"\n" + lots + "charges: []\n", head + "title: \"a\u2028  b\"\n" + lots + written + "charges: []\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := withParcels(c.text, placed, "by\nsurface")
			if err != nil || got != c.want {
				t.Fatalf("%v, got\n%s\nwant\n%s", err, got, c.want)
			}
			if strings.Contains(c.text, "id: d") {
				return // that lot travels in no parcel
			}
			h, err := lotfile.Parse("haul.yaml", []byte(got), t.TempDir(), lotfile.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for i := range h.Parcels {
				h.Parcels[i].At = source.Origin{}
			}
			if !reflect.DeepEqual(h.Parcels, placed) {
				t.Errorf("read back as %+v", h.Parcels)
			}
		})
	}
	for _, c := range []struct{ text, want string }{
		{"{lotcost: 1, home: CAD, lots: []}\n", "haul.yaml:1:1: the parcels have no place here: the keys do not stand on lines of their own: write each key of the file on its own line, without braces round them all"},
		{"lotcost: 1\n", "haul.yaml: lots: there are no lots below which the parcels could stand: list what was bought"},
		{"", `haul.yaml: the file is empty: check that it is the file you meant; "lotcost new" writes a lot file to start from`},
	} {
		if _, err := withParcels(c.text, placed); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// A plan is written into a file in the marks of the file.
func TestCommaParcels(t *testing.T) {
	parcels := []landed.Parcel{{ID: "box-1", Lots: []string{"a"}, Carriage: landed.Carriage{Freight: money.New(7002, money.MustCurrency("EUR"))}, Billed: 1900 * measure.Gram}}
	out, err := withParcels("lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - {id: a, price: 1, items: [{id: x, weight: 1 kg}]}\n", parcels)
	if err != nil || !strings.Contains(out, `{id: box-1, lots: [a], freight: "70,02 EUR", billed: "1,9 kg"}`) {
		t.Fatalf("%s, %v", out, err)
	}
	h, err := lotfile.Parse("haul.yaml", []byte(out), t.TempDir(), lotfile.Options{})
	if err != nil || h.Parcels[0].Freight != parcels[0].Freight || h.Parcels[0].Billed != parcels[0].Billed {
		t.Errorf("%+v, %v", h, err)
	}
}

// FuzzWithParcels: whatever text is a valid lot file stays one, with the
// parcels written and everything else as it was.
func FuzzWithParcels(f *testing.F) {
	border, err := os.ReadFile("../../../../examples/at-the-border/haul.yaml")
	if err != nil {
		f.Fatal(err)
	}
	texts := []string{
		string(border), lotfile.Starter(),
		"home: CAD\nlots:\n- {id: a, price: 1, items: [{id: b, value: 1}]}\nparcels:\n- {id: p, lots: [a]}\n# end\nlotcost: 1",
		"  lotcost: 1\n  home: CAD\n  lots:\n  - id: a\n    title: >\n      # text\n\n    price: 1\n    items: [{id: b, value: 1}]\n",
	}
	ends := []string{"\n", "\r\n", "\r"}
	for which := range texts {
		for end := range ends {
			f.Add(uint8(which), uint8(end), []byte{})
		}
	}
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, which, end uint8, changes []byte) {
		text := reworded.Text(texts[int(which)%len(texts)], changes)
		text = strings.ReplaceAll(text, "\n", ends[int(end)%len(ends)])
		before, err := lotfile.Parse("haul.yaml", []byte(text), folder, lotfile.Options{})
		if err != nil {
			return
		}
		parcel := landed.Parcel{ID: "box-1", Lots: before.LotIDs()}
		out, err := withParcels(text, []landed.Parcel{parcel}, "all")
		if err != nil {
			if _, reported := errors.AsType[source.Faults](err); !reported {
				t.Fatalf("not faults: %v", err)
			}
			return
		}
		after, err := lotfile.Parse("haul.yaml", []byte(out), folder, lotfile.Options{})
		if err != nil {
			t.Fatalf("%q became %q: %v", text, out, err)
		}
		if len(after.Parcels) != 1 || !slices.Equal(after.Parcels[0].Lots, parcel.Lots) || after.Title != before.Title || len(after.Charges) != len(before.Charges) {
			t.Fatalf("%q became %q", text, out)
		}
		before.Parcels, after.Parcels = nil, nil
		was, errWas := landed.Split(before.Haul)
		is, errIs := landed.Split(after.Haul)
		if (errWas == nil) != (errIs == nil) || errIs == nil && was.Total != is.Total {
			t.Fatalf("%q became %q: %v, %v", text, out, errWas, errIs)
		}
	})
}

// TestWithMoreParcels: parcels that are kept stay byte for byte, with their notes; those that are
// not go with theirs, and new ones are written in the style of the list.
func TestWithMoreParcels(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"in lines", "lots: []\nparcels:\n  # mine\n  - id: came # here\n    lots: [ d ]\n  # by air\n  # at noon\n  - id: box-9\n    lots: [a]\ncharges: []\n",
			"lots: []\nparcels:\n  # mine\n  - id: came # here\n    lots: [ d ]\n  # by surface\n  - id: box-1\n    lots: [crate-a, \"平, 鉋\"]\n    freight: 5500 JPY\n    fees: 3.05 CAD\n    billed: 4.861 kg\n    size: 34x26x16 cm\n  - id: box-2\n    lots: [\"null\"]\n    freight: 0 JPY\n    insurance: 200 JPY\ncharges: []\n"},
		{"the first goes", "parcels:\n# by air\n- {id: box-9, lots: [a]}\n- {id: came, lots: [ d ]}\n",
			"parcels:\n- {id: came, lots: [ d ]}\n# by surface\n- {id: box-1, lots: [crate-a, \"平, 鉋\"], freight: 5500 JPY, fees: 3.05 CAD, billed: 4.861 kg, size: 34x26x16 cm}\n- {id: box-2, lots: [\"null\"], freight: 0 JPY, insurance: 200 JPY}\n"},
		{"in brackets", "# what came\nparcels: [{id: box-9, lots: [a]}, {id: came, lots: [ d ]}]\n",
			"# what came\nparcels: [{id: came, lots: [ d ]}, {id: box-1, lots: [crate-a, \"平, 鉋\"], freight: 5500 JPY, fees: 3.05 CAD, billed: 4.861 kg, size: 34x26x16 cm}, {id: box-2, lots: [\"null\"], freight: 0 JPY, insurance: 200 JPY}]\n"},
	} {
		d, err := edit.Parse("haul.yaml", []byte(c.text))
		if err == nil {
			d, err = d.WithParcels(placed, []string{"by\nsurface"}, false, "came")
		}
		if err != nil || string(d.Bytes()) != c.want {
			t.Errorf("%s: %v, got\n%s\nwant\n%s", c.name, err, d.Bytes(), c.want)
		}
	}
}
