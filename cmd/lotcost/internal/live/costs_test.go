package live_test

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/testdata/effort"

	"github.com/xuri/excelize/v2"
)

// examples are the hauls that come with the project.
func examples(t testing.TB) map[string]*landed.Haul {
	t.Helper()
	hauls := map[string]*landed.Haul{}
	for _, pattern := range []string{"../../../../examples/*/haul.yaml", "../../../../examples/*/*/*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			if f, err := lotfile.Read(path, lotfile.Options{}); err == nil && f.Haul != nil {
				hauls[path] = f.WithoutOpen()
			}
		}
	}
	if len(hauls) < 8 {
		t.Fatal("too few examples: ", len(hauls))
	}
	return hauls
}

// formulas: LibreOffice calculates what the library says.
func formulas(t *testing.T) calculation {
	var names []string
	var books []book
	held, borders, calculated := 0, 0, 0
	hauls := examples(t)
	for n, path := range slices.Sorted(maps.Keys(hauls)) {
		st, err := landed.Split(hauls[path])
		if err != nil {
			t.Fatal(path, err)
		}
		if n%effort.Cases(1, 8, 8) > 0 { // the hauls at random have more in them
			continue
		}
		names, books = append(names, path), append(books, written(t, live.Costs(st)))
	}
	for n, h := range randomHauls(t, effort.Cases(60, 4, 4)) {
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		b := written(t, live.Costs(st))
		names, books = append(names, fmt.Sprint("random haul ", n)), append(books, b)
		for _, problem := range differs(b.read(), st) {
			t.Errorf("random haul %d: %s", n, problem)
		}
		for _, row := range b.rows("working") {
			if len(row) > 1 && strings.HasPrefix(row[1], "held") {
				held++
			}
		}
		pages := strings.Join(b.GetSheetList(), " ")
		if st.WasFound != strings.Contains(pages, "found") || st.Border == nil && strings.Contains(pages, "border") {
			t.Errorf("random haul %d: found %v, border %v: %s", n, st.WasFound, st.Border != nil, pages)
		}
		if st.Border != nil {
			borders++
		}
		if strings.Contains(pages, "border") {
			calculated++
		}
	}
	if 4*calculated < 3*borders {
		t.Errorf("only %d of %d borders are calculated", calculated, borders)
	}
	for name, text := range map[string]string{
		"half a yen":  "home: JPY\nlots: [{id: a, price: 12500 JPY, premium: 7.1%, items: [{id: x, value: 9000, count: 3}]}]\n",                                                                         // 887.5
		"half a cent": "home: CAD\nexchange: {rates: [100 JPY = 0.93 CAD]}\nlots: [{id: a, price: 90 CAD, items: [{id: x, value: 90, count: 2, found: {sound: 1, parts: 1}, parts-value: 150 JPY}]}]\n", // 1.395
	} {
		f, err := lotfile.Parse("halves.yaml", []byte("lotcost: 1\n"+text), t.TempDir(), lotfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		st, err := landed.Split(f.Haul)
		if err != nil {
			t.Fatal(err)
		}
		names, books = append(names, name), append(books, written(t, live.Costs(st)))
	}
	heavy, err := lotfile.Parse("heavy.yaml", []byte("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: US\nto: CA-ON\nlots: [{id: a, price: 90 CAD, items: [{id: x, value: 3, weight: 4 oz, count: 99999}, {id: y, value: 5, weight: 1 kg}]}]\n"+
		"charges: [{what: Parcel, kind: freight, amount: 20 CAD}]\ncustoms: {use: personal, by: post, class: t, classes: {t: {duty: 4%}}}\n"), t.TempDir(), lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(heavy.Haul) // its border cannot be calculated, once a part of it was
	if err != nil {
		t.Fatal(err)
	}
	names, books = append(names, "a heavy haul"), append(books, written(t, live.Costs(st)))
	if slices.Contains(books[len(books)-1].GetSheetList(), "border") {
		t.Error("the border of a heavy haul is calculated")
	}
	if held > len(books)/8 {
		t.Errorf("%d sharings are held as they are, of %d workbooks: these are not large", held, len(books))
	}
	return calculation{books, func(t *testing.T, again []sheets) {
		for i, b := range again {
			same(t, names[i], books[i], b)
		}
	}}
}

// TestSharingOnPaper: what the items cost is printed, and not the steps on the way behind it.
func TestSharingOnPaper(t *testing.T) {
	st, err := landed.Split(examples(t)["../../../../examples/three-crates/haul.yaml"])
	if err != nil {
		t.Fatal(err)
	}
	b := written(t, live.Costs(st))
	want, _ := excelize.CoordinatesToCellName(b.read().column("sharing", "cost"), len(st.Items)+2, true)
	if !slices.ContainsFunc(b.GetDefinedName(), func(name excelize.DefinedName) bool {
		return name.Scope == "sharing" && name.Name == "_xlnm.Print_Area" && strings.HasSuffix(name.RefersTo, ":"+want)
	}) {
		t.Errorf("the sheet sharing is not printed up to %s: %v", want, b.GetDefinedName())
	}
}

// TestAskedIsShown: of what was asked no decimal is hidden, and none is shown that is not there.
func TestAskedIsShown(t *testing.T) {
	premiums := 0
	for n, h := range randomHauls(t, effort.Cases(200, 30, 10)) {
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(err)
		}
		b := written(t, live.Costs(st)[:1]) // what was paid
		shown, err := b.GetRows("paid")
		if err != nil {
			t.Fatal(err)
		}
		paid := b.read()
		asked, of := paid.column("paid", "asked")-1, paid.column("paid", "of price")-1
		for i, row := range paid.rows("paid") {
			switch {
			case i == 0 || row[asked] == "":
				continue
			case row[1] == "premium":
				premiums++
			case row[of] != "": // a part of what comes of others
				continue
			}
			figure, code, _ := strings.Cut(shown[i][asked], " ")
			_, decimals, _ := strings.Cut(figure, ".")
			_, want, _ := strings.Cut(row[asked], ".")
			if len(decimals) != max(len(strings.TrimRight(want, "0")), currency(t, code).Digits()) {
				t.Errorf("random haul %d: row %d holds %s and shows %s", n, i+1, row[asked], shown[i][asked])
			}
		}
	}
	if premiums == 0 {
		t.Error("no premium was asked")
	}
}
