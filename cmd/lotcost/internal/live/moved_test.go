package live_test

import (
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/testdata/effort"

	"github.com/xuri/excelize/v2"
)

// sort turns the rows of a sheet round, from one to another, as both programs sort: a formula names
// other cells relative to where it now stands, unless they are locked. Only so many columns move.
func (b book) sort(name string, first, last, columns int) {
	b.t.Helper()
	relative := regexp.MustCompile(`([A-Z]+)(\d+)`)
	type cell struct {
		formula, value string
		isNumber       bool
	}
	moved := map[string]cell{}
	at := func(column, row int) string {
		name, _ := excelize.CoordinatesToCellName(column, row)
		return name
	}
	for r := first; r <= last; r++ {
		to := last + first - r
		for c := 1; c <= columns; c++ {
			formula, err := b.GetCellFormula(name, at(c, r))
			value, err2 := b.GetCellValue(name, at(c, r), excelize.Options{RawCellValue: true})
			kind, err3 := b.GetCellType(name, at(c, r))
			if err != nil || err2 != nil || err3 != nil {
				b.t.Fatal(err, err2, err3)
			}
			formula = relative.ReplaceAllStringFunc(formula, func(ref string) string {
				m := relative.FindStringSubmatch(ref)
				n, _ := strconv.Atoi(m[2])
				return m[1] + strconv.Itoa(n+to-r)
			})
			moved[at(c, to)] = cell{formula, value, kind == excelize.CellTypeUnset || kind == excelize.CellTypeNumber}
		}
	}
	for place, c := range moved {
		var err error
		number, isNumber := strconv.ParseFloat(c.value, 64)
		switch {
		case c.formula != "":
			err = b.SetCellFormula(name, place, c.formula)
		case c.isNumber && isNumber == nil:
			err = b.SetCellValue(name, place, number)
		default:
			err = b.SetCellValue(name, place, c.value)
		}
		if err != nil {
			b.t.Fatal(err)
		}
	}
}

// TestSortMovesFormulas: what sort takes for the rules of both programs.
func TestSortMovesFormulas(t *testing.T) {
	b := book{t, excelize.NewFile()}
	for place, formula := range map[string]string{"A2": "other!B2+C2+other!$B$2", "A3": "1"} {
		if err := b.SetCellFormula("Sheet1", place, formula); err != nil {
			t.Fatal(err)
		}
	}
	b.sort("Sheet1", 2, 3, 1)
	if got, err := b.GetCellFormula("Sheet1", "A3"); err != nil || got != "other!B3+C3+other!$B$2" {
		t.Error(got, err)
	}
}

// rowsMoved: where rows were added, taken out or sorted, or formulas typed over, the first sentence
// says so, and names the sheet; pieces and prices may be sorted.
func rowsMoved(t *testing.T) calculation {
	const sorted = "No longer right: rows were added, taken out or sorted in the sheet "
	const typedOver, wanting = "No longer right: what the pieces cost is not what was paid", "No longer right: in the sheet sharing a count, a weight or a value"
	f, err := lotfile.Read("../../../../examples/three-crates/haul.yaml", lotfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	st, err := landed.Split(f.Haul)
	if err != nil {
		t.Fatal(err)
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	set := func(b book, name, place string, value any) { t.Helper(); must(b.SetCellValue(name, place, value)) }
	rows := func(b book, name string) int { return len(b.rows(name)) }
	moves := map[string]struct {
		change func(b book)
		first  string
	}{
		"nothing":                {func(book) {}, "10 items, 22 pieces: total cost 324.33 CAD"},
		"pieces sorted":          {func(b book) { b.sort("pieces", 2, rows(b, "pieces")-1, len(b.rows("pieces")[0])) }, "10 items, 22 pieces: total cost 324.33 CAD"},
		"sharing sorted":         {func(b book) { b.sort("sharing", 2, rows(b, "sharing")-1, len(b.rows("sharing")[0])) }, sorted + "sharing"},
		"sharing sorted in part": {func(b book) { b.sort("sharing", 2, rows(b, "sharing")-1, len(b.rows("sharing")[0])-1) }, sorted + "sharing"},
		"paid sorted":            {func(b book) { b.sort("paid", 2, rows(b, "paid")-1, len(b.rows("paid")[0])) }, sorted + "paid"},
		"a row in paid":          {func(b book) { must(b.InsertRows("paid", 4, 1)); set(b, "paid", "E4", 100) }, sorted + "paid"},
		"a row above its sum":    {func(b book) { must(b.InsertRows("paid", rows(b, "paid"), 1)) }, sorted + "paid"},
		"a cost below its sum":   {func(b book) { set(b, "paid", "E20", 100) }, sorted + "paid"},
		"an item":                {func(b book) { must(b.InsertRows("sharing", 4, 1)); set(b, "sharing", "D4", 2) }, sorted + "sharing"},
		"an item twice":          {func(b book) { must(b.DuplicateRow("sharing", 4)) }, sorted + "sharing"},
		"an item less":           {func(b book) { must(b.RemoveRow("sharing", 4)) }, sorted + "sharing"},
		"a cost less":            {func(b book) { must(b.RemoveRow("paid", 4)) }, sorted + "paid"},
		"a piece less":           {func(b book) { must(b.RemoveRow("pieces", 4)) }, typedOver},
		"a cost of pieces":       {func(b book) { set(b, "pieces", "D3", 99) }, typedOver},
		"a share":                {func(b book) { set(b, "working", "I4", 99) }, typedOver},
		"no weight at all": {func(b book) {
			for r := range 10 {
				set(b, "sharing", "E"+strconv.Itoa(r+2), 0)
			}
		}, typedOver},
		"a weight cleared":         {func(b book) { set(b, "sharing", "E2", nil) }, wanting},
		"a value below 0":          {func(b book) { set(b, "sharing", "F2", -3) }, wanting},
		"a weight with a unit":     {func(b book) { set(b, "sharing", "E2", "1,9 kg") }, wanting},
		"a part of a piece":        {func(b book) { set(b, "sharing", "D2", 1.5) }, "No longer right: in the sheet sharing a count is no whole number"},
		"a price with a unit":      {func(b book) { set(b, "paid", "C2", "1000 JPY") }, "Something typed is no number"},
		"a column without figures": {func(b book) { must(b.RemoveCol("sharing", "B")) }, "10 items, 22 pieces: total cost 324.33 CAD"},
	}
	names := slices.Sorted(maps.Keys(moves))
	if !effort.All() { // one for each check of the workbook
		names = []string{"a cost below its sum", "a part of a piece", "a piece less", "a price with a unit", "a weight cleared", "pieces sorted", "sharing sorted in part"}
	}
	var books []book
	for _, name := range names {
		b := written(t, show.Split(st).Pages(false))
		moves[name].change(b)
		books = append(books, b)
	}
	return calculation{books, func(t *testing.T, again []sheets) {
		for n, b := range again {
			name := names[n]
			answer := b.rows("answer")
			if got := answer[1][0]; !strings.HasPrefix(got, moves[name].first) {
				t.Errorf("%s: %q", name, got)
			}
			if second := strings.Join(answer[2], ""); (second == "") != strings.ContainsAny(moves[name].first[:1], "NS") {
				t.Errorf("%s: %q", name, second)
			}
			if name == "pieces sorted" {
				for _, problem := range piecesDiffer(b, st) {
					t.Errorf("%s: %s", name, problem)
				}
			}
		}
	}}
}
