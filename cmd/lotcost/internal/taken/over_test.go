package taken_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/taken"
	"lotcost/testdata/effort"

	"github.com/xuri/excelize/v2"
)

// TestOver: of a random half of the cells of each workbook in which an independent reader finds a
// formula, a figure typed over it is told, at that cell, and no other is; nothing of it is taken.
func TestOver(t *testing.T) {
	for n, path := range examples(t) {
		if n%effort.Cases(1, 2, 6) > 0 {
			continue
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		f := book(t, path, text)
		rng := rand.New(rand.NewPCG(7, uint64(n)))
		var over []string
		for _, page := range f.GetSheetList() {
			rows, err := f.GetRows(page)
			if err != nil || page == "answer" {
				continue // sentences
			}
			for r := range rows {
				for c := range rows[r] {
					cell, _ := excelize.CoordinatesToCellName(c+1, r+1)
					formula, err := f.GetCellFormula(page, cell)
					if err != nil {
						t.Fatal(err)
					}
					if style, _ := f.GetCellStyle(page, cell); formula == "" || rows[0][c] == "row" || rng.IntN(2) == 0 || unlocked(t, f, style) {
						continue
					}
					if err := f.SetCellValue(page, cell, 98765.4321); err != nil {
						t.Fatal(err)
					}
					over = append(over, page+"!"+cell)
				}
			}
		}
		r, err := taken.Read(taken.File{Path: path, Text: text}, "costs.xlsx", bytesOf(t, f))
		if err != nil {
			t.Fatal(err)
		}
		var told []string
		for _, l := range r.Left {
			told = append(told, l.Cell)
			if !strings.HasPrefix(l.Why, "98") || !strings.Contains(l.Why, " was typed over a formula: change ") {
				t.Errorf("%s, %s: %s", path, l.Cell, l.Why)
			}
		}
		slices.Sort(over)
		slices.Sort(told)
		if !slices.Equal(over, told) || len(over) < 10 || len(r.Changes) > 0 {
			t.Errorf("%s: typed over %d, told of %d; changes %v; %v", path, len(over), len(told), r.Changes, slices.DeleteFunc(over, func(c string) bool { return slices.Contains(told, c) }))
		}
	}
}

// TestOverMany: of thousands of items no cell, seen or not, holds more than the 32767 signs that
// spreadsheets take, and what was typed over the formula of the last item is told.
func TestOverMany(t *testing.T) {
	if testing.Short() {
		t.Skip("a large workbook")
	}
	text := strings.Builder{}
	text.WriteString("lotcost: 1\nhome: EUR\nlots:\n  - id: a\n    price: 5000 EUR\n    items:\n")
	items := effort.Cases(7000, 2000, 2000)
	for i := range items {
		fmt.Fprintf(&text, "      - {id: p%d, value: 9 EUR}\n", i)
	}
	f := book(t, "haul.yaml", []byte(text.String()))
	rows, err := f.GetRows(live.Written)
	if err != nil || len(rows) < items {
		t.Fatal(len(rows), err)
	}
	for _, row := range rows {
		for _, cell := range row {
			if len(cell) > 32767 {
				t.Errorf("%d signs: %.40s", len(cell), cell)
			}
		}
	}
	last := fmt.Sprintf("D%d", items+1)
	if err := f.SetCellValue("pieces", last, 98); err != nil {
		t.Fatal(err)
	}
	r, err := taken.Read(taken.File{Path: "haul.yaml", Text: []byte(text.String())}, "costs.xlsx", bytesOf(t, f))
	if err != nil || len(r.Left) != 1 || r.Left[0].Cell != "pieces!"+last {
		t.Error(r, err)
	}
}

// TestOverNot: formulas with other results, and a workbook without formulas.
func TestOverNot(t *testing.T) {
	every := regexp.MustCompile(`(<f>[^<]*</f>)(<v>[^<]*</v>)`)
	read := func(formula *regexp.Regexp, change string) *taken.Result {
		parts := partsOf(t, bytesOf(t, book(t, "haul.yaml", []byte(small))))
		names := slices.Sorted(maps.Keys(parts))
		found := 0
		for _, name := range names {
			if strings.HasPrefix(name, "xl/worksheets/") {
				found += len(formula.FindAll(parts[name], -1))
				parts[name] = formula.ReplaceAll(parts[name], []byte(change))
			}
		}
		if found < 20 {
			t.Fatal(found, "formulas")
		}
		r, err := taken.Read(taken.File{Path: "haul.yaml", Text: []byte(small)}, "costs.xlsx", zipped(t, names, parts, "", nil))
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	if r := read(formula, "$1<v>98765</v>"); len(r.Left) > 0 || len(r.Changes) > 0 {
		t.Error(r.Left, r.Changes)
	}
	if r := read(every, "<v>98765</v>"); len(r.Left) != 2 || r.Left[1].Of != "all formulas" || len(r.Changes) > 0 {
		t.Error(r.Left, r.Changes)
	}
	if r := read(every, "$2"); len(r.Left) > 0 || len(r.Changes) > 0 { // the figures of before in their place
		t.Error(r.Left, r.Changes)
	}
}

// formula is that of a cell of figures that is more than the name of another, and its result.
var formula = regexp.MustCompile(`(<f>[^<]{4,}</f>)(<v>-?[0-9.E+-]*</v>)`)

// unlocked reports whether a style is that of a cell that may be changed.
func unlocked(t *testing.T, f *excelize.File, style int) bool {
	t.Helper()
	s, err := f.GetStyle(style)
	if err != nil {
		t.Fatal(err)
	}
	return s.Protection != nil && !s.Protection.Locked
}

// TestOverSays: what is said names the cell to change instead, where that is by now, and nothing is
// said of formulas that say otherwise by now, nor where the same figure stands in their place.
func TestOverSays(t *testing.T) {
	for _, c := range []struct {
		page, cell string
		value      any
		want       string
	}{
		{"sharing", "G2", 5000, "sharing!G2|jack: g in all|5000 was typed over a formula: change what it is calculated from, such as sharing!E2 (weight, g) and sharing!D2 (count)"},
		{"paid", "E2", 41, "paid!E2|crate: home|41 was typed over a formula: change what it is calculated from, such as paid!G2 (settled), paid!C2 (asked) and paid!D2 (rate)"},
		{"pieces", "J3", "12,50", "pieces!J3|square: the others, each|12,50 was typed over a formula: change what it is calculated from, such as sharing!D3 (count), paid!G2 (settled), paid!C2 (asked) and paid!D2 (rate)"},
		{"working", "C4", 7, "working!C4|jack: counts as|7 was typed over a formula: change what it is calculated from, such as sharing!F2 (value) and sharing!D2 (count)"},
		{"sharing", "G2", 1900, ""},
	} {
		f := book(t, "haul.yaml", []byte(small))
		if err := f.SetCellValue(c.page, c.cell, c.value); err != nil {
			t.Fatal(err)
		}
		r, err := taken.Read(taken.File{Path: "haul.yaml", Text: []byte(small)}, "costs.xlsx", bytesOf(t, f))
		if err != nil {
			t.Fatal(err)
		}
		got := ""
		for _, l := range r.Left {
			got += l.Cell + "|" + l.Of + "|" + l.Why
		}
		if got != c.want {
			t.Errorf("%s!%s: got\n%s\nwant\n%s", c.page, c.cell, got, c.want)
		}
	}
}
