package live_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"
)

// book is a workbook as an independent reader sees it.
type book struct {
	t testing.TB
	*excelize.File
}

// written writes sheets and reads them again.
func written(t testing.TB, tables []*sheet.Table) book {
	t.Helper()
	return opened(t, saved(t, tables))
}

// saved writes sheets into a file.
func saved(t testing.TB, tables []*sheet.Table) string {
	t.Helper()
	file, err := os.Create(filepath.Join(t.TempDir(), "book.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	if err := sheet.WriteWorkbook(file, tables); err != nil {
		t.Fatal(err)
	}
	file.Close()
	return file.Name()
}

func opened(t testing.TB, path string) book {
	t.Helper()
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return book{t, f}
}

// sheets are the rows of each sheet of a workbook, cells as they are held.
type sheets struct {
	t      testing.TB
	byName map[string][][]string
}

// read reads all sheets.
func (b book) read() sheets {
	b.t.Helper()
	s := sheets{b.t, map[string][][]string{}}
	for _, name := range b.GetSheetList() {
		s.byName[name] = b.rows(name)
	}
	return s
}

// rows are those of a sheet, which must be there.
func (s sheets) rows(name string) [][]string {
	s.t.Helper()
	rows, ok := s.byName[name]
	if !ok {
		s.t.Fatal("there is no sheet ", name)
	}
	return rows
}

// rows are the cells of a sheet as they are held.
func (b book) rows(name string) [][]string {
	b.t.Helper()
	rows, err := b.GetRows(name, excelize.Options{RawCellValue: true})
	if err != nil {
		b.t.Fatal(err)
	}
	return rows
}

// column finds a column by its head, counted from 1.
func (s sheets) column(name, head string) int {
	s.t.Helper()
	for i, cell := range s.rows(name)[0] {
		if strings.HasPrefix(cell, head) {
			return i + 1
		}
	}
	s.t.Fatalf("%s has no column %s", name, head)
	return 0
}

// enter types a number into a cell, which must be one that may be changed.
func (b book) enter(name string, column, row int, value string) {
	b.t.Helper()
	cell, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		b.t.Fatal(err)
	}
	id, err := b.GetCellStyle(name, cell)
	if err != nil {
		b.t.Fatal(err)
	}
	if style, err := b.GetStyle(id); err != nil || style.Protection == nil || style.Protection.Locked {
		b.t.Fatalf("%s!%s may not be changed", name, cell)
	}
	number, err := strconv.ParseFloat(value, 64)
	if err == nil {
		err = b.SetCellValue(name, cell, number)
	}
	if err != nil {
		b.t.Fatal(err)
	}
}

// calculateAll makes LibreOffice calculate what it opens; else it takes the numbers that a file
// holds for true until something is changed by hand.
const calculateAll = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>
`

// calculation is what LibreOffice is asked to calculate, and what must come of it.
type calculation struct {
	books []book
	check func(t *testing.T, again []sheets)
}

// TestLibreOffice lets LibreOffice calculate all workbooks after one start, since that takes
// seconds.
func TestLibreOffice(t *testing.T) {
	if testing.Short() {
		t.Skip("LibreOffice takes long")
	}
	asked := map[string]calculation{"formulas": formulas(t), "changes": figuresChanged(t), "borders": bordersChanged(t), "bills": billsChanged(t), "prices": pricesChanged(t), "fees": feesChanged(t), "leads": leads(t), "moved": rowsMoved(t)}
	var books []book
	for _, name := range slices.Sorted(maps.Keys(asked)) {
		books = append(books, asked[name].books...)
	}
	again := recalculated(t, books)
	for _, name := range slices.Sorted(maps.Keys(asked)) {
		n := len(asked[name].books)
		t.Run(name, func(t *testing.T) { asked[name].check(t, again[:n]) })
		again = again[n:]
	}
}

// asCSV saves each sheet of a workbook in a file of its own, texts in quotes, numbers as they are
// held and percentages as they are typed: LibreOffice writes that in a third of the work of another
// workbook.
const asCSV = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,true,false,false,false,false,-1"

// recalculated lets LibreOffice open workbooks, calculate and save them.
func recalculated(t testing.TB, books []book) []sheets {
	t.Helper()
	office, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("LOTCOST_OFFICE") == "must" {
			t.Fatal("LibreOffice is not installed: ", err)
		}
		t.Skip("LibreOffice is not installed, so that nothing else calculates these workbooks")
	}
	from, to := t.TempDir(), t.TempDir()
	ctx, cancel := context.WithTimeout(context.Background(), 25*time.Minute)
	defer cancel()
	home := t.TempDir()
	if err := os.MkdirAll(filepath.Join(home, "user"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(home, "user", "registrymodifications.xcu"), []byte(calculateAll), 0o600); err != nil {
		t.Fatal(err)
	}
	again := make([]sheets, 0, len(books))
	for first := 0; first < len(books); first += atOnce {
		args := []string{"-env:UserInstallation=file://" + home, "--headless", "--convert-to", asCSV, "--outdir", to}
		part := books[first:min(first+atOnce, len(books))]
		for i, b := range part {
			path := filepath.Join(from, fmt.Sprintf("%d.xlsx", first+i))
			b.withoutTitles()
			if err := b.SaveAs(path); err != nil {
				t.Fatal(err)
			}
			args = append(args, path)
		}
		out, err := exec.CommandContext(ctx, office, args...).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out[max(0, len(out)-1000):])
		}
		for i, b := range part {
			s := sheets{t, map[string][][]string{}}
			for _, name := range b.GetSheetList() {
				s.byName[name] = csvRows(t, filepath.Join(to, fmt.Sprintf("%d-%s.csv", first+i, name)))
			}
			again = append(again, s)
		}
	}
	return again
}

// withoutTitles takes out what is printed on each page: LibreOffice needs as long for that as for
// all formulas.
func (b book) withoutTitles() {
	b.t.Helper()
	for _, name := range b.GetDefinedName() {
		if err := b.DeleteDefinedName(&name); err != nil {
			b.t.Fatal(err)
		}
	}
}

func csvRows(t testing.TB, path string) [][]string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(path, ": ", err)
	}
	for _, row := range rows {
		for c := range row {
			if figure, percent := strings.CutSuffix(row[c], "%"); percent {
				if d, err := decimal.NewFromString(figure); err == nil {
					row[c] = d.Shift(-2).String()
				}
			}
		}
	}
	return rows
}

// atOnce is how many workbooks LibreOffice is given at once: of 250 it leaves out the last without
// a word.
const atOnce = 200

// same compares all cells that hold something in the first workbook.
func same(t testing.TB, name string, want book, got sheets) {
	t.Helper()
	for _, page := range want.GetSheetList() {
		rows, others := want.rows(page), got.rows(page)
		for r := range rows {
			for c, cell := range rows[r] {
				other := ""
				if r < len(others) && c < len(others[r]) {
					other = others[r][c]
				}
				if !alike(cell, other) {
					at, _ := excelize.CoordinatesToCellName(c+1, r+1)
					formula, _ := want.GetCellFormula(page, at)
					t.Errorf("%s: %s!%s is %q, not %q: %s", name, page, at, other, cell, formula)
				}
			}
		}
	}
}

// alike compares two cells: numbers to the 12th digit, which is far below a cent.
func alike(a, b string) bool {
	x, err := strconv.ParseFloat(a, 64)
	y, other := strconv.ParseFloat(b, 64)
	if err != nil || other != nil {
		return a == b || a == "" && y == 0
	}
	gap := x - y
	return gap <= 1e-12*max(1, x, -x) && -gap <= 1e-12*max(1, x, -x)
}
