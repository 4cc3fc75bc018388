package taken_test

import (
	"strconv"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/taken"

	"github.com/xuri/excelize/v2"
)

// swapped changes two rows of a sheet for each other, from a column on.
func swapped(t *testing.T, f *excelize.File, page string, a, b, from int) {
	t.Helper()
	rows, err := f.GetRows(page, excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	for column := from; column <= len(rows[0]); column++ {
		one, _ := excelize.CoordinatesToCellName(column, a)
		other, _ := excelize.CoordinatesToCellName(column, b)
		for cell, of := range map[string]int{one: b, other: a} {
			value := ""
			if column <= len(rows[of-1]) {
				value = rows[of-1][column-1]
			}
			if _, err := strconv.ParseFloat(value, 64); err == nil {
				err = f.SetCellDefault(page, cell, value)
				if err != nil {
					t.Fatal(err)
				}
				continue
			}
			if err := f.SetCellStr(page, cell, value); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestMoved: what was typed is known by its row and its column wherever those are by now, and rows
// that were sorted without their number are refused.
func TestMoved(t *testing.T) {
	read := func(change func(f *excelize.File) error) (*taken.Result, error) {
		f := book(t, "haul.yaml", []byte(small))
		if err := change(f); err != nil {
			t.Fatal(err)
		}
		return taken.Read(taken.File{Path: "haul.yaml", Text: []byte(small)}, "costs.xlsx", bytesOf(t, f))
	}
	one := func(r *taken.Result, err error, cell string) {
		t.Helper()
		if err != nil || len(r.Changes) != 1 || r.Changes[0].Of != "item jack: weight" || r.Changes[0].New != "2 kg" || r.Changes[0].Cell != cell {
			t.Errorf("%+v, %v", r, err)
		}
	}
	r, err := read(func(f *excelize.File) error {
		if err := f.SetCellValue("sharing", "E2", 2000); err != nil {
			return err
		}
		return f.InsertCols("sharing", "B", 2)
	})
	one(r, err, "sharing!G2")
	r, err = read(func(f *excelize.File) error {
		if err := f.SetCellValue("sharing", "E2", 2000); err != nil {
			return err
		}
		return f.InsertRows("sharing", 2, 3)
	})
	one(r, err, "sharing!E5")
	r, err = read(func(f *excelize.File) error {
		if err := f.SetCellValue("sharing", "E2", 2000); err != nil {
			return err
		}
		swapped(t, f, "sharing", 2, 3, 1)
		return nil
	})
	one(r, err, "sharing!E3")
	if _, err = read(func(f *excelize.File) error { swapped(t, f, "sharing", 2, 3, 2); return nil }); err == nil || !strings.Contains(err.Error(), "sorted without the column row") {
		t.Error(err)
	}
	if _, err = read(func(f *excelize.File) error { return f.RemoveCol("sharing", "E") }); err == nil || !strings.Contains(err.Error(), `there is no column "weight, g" any more`) {
		t.Error(err)
	}
	if _, err = read(func(f *excelize.File) error { return f.SetSheetName("sharing", "Anteile") }); err == nil || !strings.Contains(err.Error(), `there is no sheet "sharing": give the sheet that was called so its name again, or write it again with`) {
		t.Error(err)
	}
	for text, want := range map[string]string{
		"13.000":   "type the figure alone, in JPY: 13000",
		"4.300,00": "type the figure alone, in JPY: 4300",
		"4300 JPY": "type the figure alone, in JPY: 4300",
		"4300":     "type the figure alone, in JPY: 4300, as your spreadsheet writes numbers, and give the cell its number format again, since it holds a text",
	} {
		if _, err = read(func(f *excelize.File) error { return f.SetCellStr("paid", "C2", text) }); err == nil || !strings.HasSuffix(err.Error(), "is no figure: "+want) {
			t.Errorf("%s: %v", text, err)
		}
	}
	if _, err = read(func(f *excelize.File) error { return f.SetCellValue("sharing", "E2", "2,1 kg") }); err == nil || err.Error() != `costs.xlsx#sharing:E2: item jack: weight: "2,1 kg" is no figure: type the figure alone, in g: 2100` {
		t.Error(err)
	}
}
