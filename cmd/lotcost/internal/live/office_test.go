package live_test

import (
	"context"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"

	"github.com/xuri/excelize/v2"
)

// TestMain collects garbage seldom: many workbooks are made and read, and thrown away at once.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	os.Exit(m.Run())
}

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
func (b book) column(name, head string) int {
	b.t.Helper()
	for i, cell := range b.rows(name)[0] {
		if strings.HasPrefix(cell, head) {
			return i + 1
		}
	}
	b.t.Fatalf("%s has no column %s", name, head)
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
	check func(t *testing.T, again []book)
}

// TestLibreOffice lets LibreOffice calculate all workbooks after one start, since that takes
// seconds.
func TestLibreOffice(t *testing.T) {
	if testing.Short() {
		t.Skip("LibreOffice takes long")
	}
	asked := map[string]calculation{"formulas": formulas(t), "changes": figuresChanged(t), "borders": bordersChanged(t), "bills": billsChanged(t), "prices": pricesChanged(t), "leads": leads(t), "moved": rowsMoved(t)}
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

// recalculated lets LibreOffice open workbooks, calculate and save them.
func recalculated(t testing.TB, books []book) []book {
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
	again := make([]book, 0, len(books))
	for first := 0; first < len(books); first += atOnce {
		args := []string{"-env:UserInstallation=file://" + home, "--headless", "--convert-to", "xlsx", "--outdir", to}
		part := books[first:min(first+atOnce, len(books))]
		for i, b := range part {
			path := filepath.Join(from, fmt.Sprintf("%d.xlsx", first+i))
			if err := b.SaveAs(path); err != nil {
				t.Fatal(err)
			}
			args = append(args, path)
		}
		out, err := exec.CommandContext(ctx, office, args...).CombinedOutput()
		for i := range part {
			path := filepath.Join(to, fmt.Sprintf("%d.xlsx", first+i))
			if _, missing := os.Stat(path); err != nil || missing != nil {
				t.Fatalf("%v, %v\n%s", err, missing, out[max(0, len(out)-1000):])
			}
			again = append(again, opened(t, path))
		}
	}
	return again
}

// atOnce is how many workbooks LibreOffice is given at once: of 250 it leaves out the last without
// a word.
const atOnce = 200

// same compares all cells that hold something in the first workbook.
func same(t testing.TB, name string, want, got book) {
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
