package taken_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/taken"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/testdata/effort"

	"github.com/xuri/excelize/v2"
)

// split is what a text of a lot file costs.
func split(t testing.TB, path string, text []byte) *landed.Statement {
	t.Helper()
	f, err := lotfile.ReadText(path, text, lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(f.WithoutOpen())
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// book is a workbook of a text of a lot file, as an independent program opens it.
func book(t testing.TB, path string, text []byte) *excelize.File {
	t.Helper()
	var out bytes.Buffer
	if err := show.Split(split(t, path, text)).Write(&out, sheet.FormatWorkbook, false, sheet.Terminal{}); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&out)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// enter types a number into the cell of an input.
func enter(t testing.TB, f *excelize.File, in *live.Input, data string) {
	t.Helper()
	rows, err := f.GetRows(in.Sheet)
	if err != nil {
		t.Fatal(err)
	}
	cell, err := excelize.CoordinatesToCellName(slices.Index(rows[0], in.Head)+1, in.Row)
	if err == nil && data == "" {
		err = f.SetCellValue(in.Sheet, cell, nil)
	} else if err == nil {
		number, wrong := strconv.ParseFloat(data, 64)
		if wrong != nil {
			t.Fatal(wrong)
		}
		err = f.SetCellValue(in.Sheet, cell, number)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func bytesOf(t testing.TB, f *excelize.File) []byte {
	t.Helper()
	out, err := f.WriteToBuffer()
	if err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// figures are all that a statement says, as JSON.
func figures(t testing.TB, st *landed.Statement) string {
	t.Helper()
	var out bytes.Buffer
	if err := show.Split(st).Write(&out, sheet.FormatJSON, false, sheet.Terminal{}); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// examples are the shipped lot files that something was bought in.
func examples(t testing.TB) []string {
	t.Helper()
	var paths []string
	for _, pattern := range []string{"*/haul.yaml", "*/*/*.yaml"} {
		found, err := filepath.Glob(filepath.Join("../../../../examples", pattern))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range found {
			f, err := lotfile.Read(path, lotfile.Options{})
			if err != nil {
				continue
			}
			if st, err := landed.Split(f.WithoutOpen()); err == nil && len(st.Items) > 0 {
				paths = append(paths, path)
			}
		}
	}
	if len(paths) < 5 {
		t.Fatal(paths)
	}
	return paths
}

// edited is a text with some of its figures changed by hand, without what is tested: the digits of
// single values that a workbook has a cell for.
func edited(t testing.TB, rng *rand.Rand, path string, text []byte) []byte {
	t.Helper()
	doc, err := edit.Parse(path, text)
	if err != nil {
		t.Fatal(err)
	}
	var at []edit.Path
	doc.Walk(func(p edit.Path) bool {
		key := p[len(p)-1].Key
		if len(p) == 3 && p[0].Key == "exchange" && p[1].Key == "rates" {
			at = append(at, p)
		}
		if value, single := doc.Text(p); single && strings.ContainsAny(value, "123456789") && slices.Contains([]string{"price", "premium", "settled", "weight", "value", "amount", "count", "repair", "freight", "insurance", "fees", "parts-value"}, key) {
			for _, s := range p {
				if slices.Contains([]string{"chances", "sold", "sending", "selling", "bidding", "customs", "services"}, s.Key) {
					return true
				}
			}
			if (key == "price" || key == "premium") && doc.Has(append(slices.Clone(p[:len(p)-1]), edit.Step{Key: "settled"})) {
				return true // which no cell shows then
			}
			at = append(at, p)
		}
		return true
	})
	for range 1 + rng.IntN(4) {
		p := at[rng.IntN(len(at))]
		value, _ := doc.Text(p)
		before, after, isRate := strings.Cut(value, "= ")
		if value = after; !isRate {
			before, value = "", before
		}
		end := strings.IndexFunc(value, func(r rune) bool { return !strings.ContainsRune("0123456789.", r) })
		if end < 0 {
			end = len(value)
		}
		digits := []byte(value[:end])
		for i := range digits {
			if digits[i] != '.' && (i > 0 || len(digits) > 1) {
				digits[i] = byte('1' + rng.IntN(9))
			}
		}
		if isRate {
			before += "= "
		}
		if doc, err = doc.Set(p, before+string(digits)+value[end:]); err != nil {
			t.Fatal(err)
		}
	}
	return doc.Bytes()
}

// typed is a workbook of one text with the figures of another typed in, and how many those are.
func typed(t testing.TB, path string, before, want []byte) (*excelize.File, int) {
	t.Helper()
	f := book(t, path, before)
	other := map[string]live.Input{}
	for _, in := range live.Inputs(split(t, path, want)) {
		other[in.Key] = in
	}
	changed := 0
	for _, in := range live.Inputs(split(t, path, before)) {
		if b, is := other[in.Key]; is && b.Data != in.Data && in.Not == "" {
			enter(t, f, &in, b.Data)
			changed++
		}
	}
	return f, changed
}

// TestBack: a workbook of one file, with the figures of another typed in, brings the first file to
// what the second one says, and no line that is alike in both is changed.
func TestBack(t *testing.T) {
	paths := examples(t)
	tries, taking := effort.Cases(400, len(paths), (len(paths)+2)/3), 0
	for n := range tries {
		rng := rand.New(rand.NewPCG(41, uint64(n)))
		path := paths[n%len(paths)]
		before, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		want := edited(t, rng, path, before)
		if f, err := lotfile.ReadText(path, want, lotfile.Options{}); err != nil {
			continue // such as more pieces found than there are
		} else if _, err := landed.Split(f.WithoutOpen()); err != nil {
			continue
		}
		f, changed := typed(t, path, before, want)
		r, err := taken.Read(taken.File{Path: path, Text: before}, "costs.xlsx", bytesOf(t, f))
		if err != nil {
			t.Errorf("%d, %s: %v", n, path, err)
			continue
		}
		after, lists := before, map[string][]byte{}
		for _, w := range r.Files {
			if w.Path == path {
				after = w.After
			} else {
				lists[w.Path] = w.After
			}
		}
		again, err := lotfile.ReadText(path, after, lotfile.Options{Lists: lists})
		if err != nil {
			t.Fatal(err)
		}
		st, err := landed.Split(again.WithoutOpen())
		if err != nil {
			t.Fatal(err)
		}
		if got, want := figures(t, st), figures(t, split(t, path, want)); got != want {
			t.Errorf("%d, %s: %d cells; got\n%s\nwant\n%s", n, path, changed, got, want)
		}
		was, now, meant := strings.Split(string(before), "\n"), strings.Split(string(after), "\n"), strings.Split(string(want), "\n")
		for i := range min(len(was), len(now)) {
			if len(was) == len(now) && was[i] == meant[i] && now[i] != was[i] {
				t.Errorf("%d, %s: line %d became %s", n, path, i+1, now[i])
			}
		}
		if taking += len(r.Changes); len(r.Changes) == 0 && changed > 0 {
			t.Errorf("%d, %s: nothing was taken of %d", n, path, changed)
		}
	}
	if taking < tries {
		t.Errorf("%d changes were taken in %d tries", taking, tries)
	}
}

// TestSettledToo: a price and what the bank took for it are typed at once. The file then has no row
// for the price any more, and yet what was typed.
func TestSettledToo(t *testing.T) {
	const text = "lotcost: 1\nhome: CAD\nlots:\n  - id: a\n    price: 100 CAD # asked\n    premium: 10%\n    items: [{id: x, weight: 1 kg, value: 5}]\n"
	const want = "lotcost: 1\nhome: CAD\nlots:\n  - id: a\n    price: 120 CAD # asked\n    premium: 12.5%\n    settled: 131.07 CAD\n    items: [{id: x, weight: 1 kg, value: 5}]\n"
	path := filepath.Join(t.TempDir(), "haul.yaml")
	f := book(t, path, []byte(text))
	for _, in := range live.Inputs(split(t, path, []byte(text))) {
		if data, typed := map[string]string{"lot a: price": "120", "lot a: premium": "0.125", "lot a: settled": "131.07"}[in.Key]; typed {
			enter(t, f, &in, data)
		}
	}
	r, err := taken.Read(taken.File{Path: path, Text: []byte(text)}, "costs.xlsx", bytesOf(t, f))
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Files) != 1 || string(r.Files[0].After) != want {
		t.Errorf("got\n%s\nwant\n%s", r.Files[0].After, want)
	}
}

// TestRepairOnce: a file has one amount for a repair, and so has the workbook.
func TestRepairOnce(t *testing.T) {
	const text = "lotcost: 1\nhome: CAD\nlots:\n  - id: a\n    price: 100 CAD\n    items: [{id: x, weight: 1 kg, value: 5, repair: 3 CAD}]\n"
	var heads []string
	for _, in := range live.Inputs(split(t, "haul.yaml", []byte(text))) {
		if strings.Contains(in.Key, "repair") {
			heads = append(heads, in.Head)
		}
	}
	if !slices.Equal(heads, []string{"asked"}) {
		t.Error(heads)
	}
}
