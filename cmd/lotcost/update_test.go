package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/xuri/excelize/v2"
)

// enter types into cells of a workbook, as a spreadsheet does: enter BOOK, and for each cell SHEET
// HEAD ROW TEXT, the row by what its first cell says. An empty text empties the cell; -ROW takes
// the row out, +ROW adds one below all others that says TEXT.
func enter(ts *testscript.TestScript, _ bool, args []string) {
	f, err := excelize.OpenFile(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	for cell := range slices.Chunk(args[1:], 4) {
		enterOne(ts, f, cell[0], cell[1], cell[2], cell[3])
	}
	ts.Check(f.Save())
}

func enterOne(ts *testscript.TestScript, f *excelize.File, page, head, name, text string) {
	rows, err := f.GetRows(page)
	ts.Check(err)
	at := slices.IndexFunc(rows, func(row []string) bool { return len(row) > 0 && row[0] == name[1:] || len(row) > 0 && row[0] == name })
	column := slices.Index(rows[0], head)
	if column < 0 || at < 0 && name[0] != '+' {
		ts.Fatalf("%s has no column %q or no row %q", page, head, name)
	}
	switch name[0] {
	case '-':
		ts.Check(f.RemoveRow(page, at+1))
	case '+':
		ts.Check(f.SetCellValue(page, "A"+strconv.Itoa(len(rows)+1), text))
	default:
		cell, err := excelize.CoordinatesToCellName(column+1, at+1)
		ts.Check(err)
		var value any = text
		if number, err := strconv.ParseFloat(text, 64); err == nil {
			value = number
		} else if text == "" {
			value = nil
		}
		ts.Check(f.SetCellValue(page, cell, value))
	}
}

// listBook makes a workbook with a list of two items: listbook BOOK.
func listBook(ts *testscript.TestScript, _ bool, args []string) {
	f := excelize.NewFile()
	defer f.Close()
	ts.Check(f.SetSheetName("Sheet1", "list"))
	for i, row := range [][]any{{"id", "weight", "value"}, {"plane", "1.9 kg", 38}, {"square", "310 g", 12}} {
		ts.Check(f.SetSheetRow("list", "A"+strconv.Itoa(i+1), &row))
	}
	ts.Check(f.SaveAs(ts.MkAbs(args[0])))
}

// office lets LibreOffice open workbooks, calculate them and save them again in its own way: office
// BOOK..., all after one start, which takes seconds.
func office(ts *testscript.TestScript, _ bool, args []string) {
	home, to := ts.MkAbs("office-home"), ts.MkAbs("office-out")
	asked := []string{"-env:UserInstallation=file://" + home, "--headless", "--convert-to", "xlsx", "--outdir", to}
	for _, book := range args {
		asked = append(asked, ts.MkAbs(book))
	}
	if out, err := exec.Command("soffice", asked...).CombinedOutput(); err != nil {
		ts.Fatalf("%v: %s", err, out)
	}
	for _, book := range args {
		ts.Check(os.Rename(filepath.Join(to, filepath.Base(book)), ts.MkAbs(book)))
	}
}
