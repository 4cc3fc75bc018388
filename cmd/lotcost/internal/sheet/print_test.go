package sheet

import (
	"archive/zip"
	"bytes"
	"io"
	"strings"
	"testing"
)

// TestPrinted: only numbers may be typed where there is room for one; a sheet is printed across a
// page where it can be read there, and what is wider at the least size that can be, over several,
// each with the heads and the first column.
func TestPrinted(t *testing.T) {
	table := func(topic string, columns int) *Table {
		t := &Table{Topic: topic}
		for range columns {
			t.Columns = append(t.Columns, Column{Head: "a column of some width", Align: Left})
		}
		t.Add(strings.Repeat("wide ", 10))
		return t
	}
	typed := &Table{Topic: "typed", Guarded: true, Columns: []Column{{Head: "pieces"}, {Head: "price"}}}
	typed.Add(Cell{Data: "1", Format: "#,##0", Input: true}, Cell{Data: "4200", Format: `#,##0 "JPY"`, Input: true})
	typed.Add(Cell{Data: "2", Format: "#,##0", Input: true}, Cell{Data: "1.5", Format: `#,##0.00 "CAD"`, Input: true})
	typed.Add(Cell{Data: "3", Format: "#,##0"})
	var out bytes.Buffer
	if err := WriteWorkbook(&out, []*Table{table("few", 4), table("it's many", 20), typed}); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"xl/worksheets/sheet3.xml": `<dataValidations count="2"><dataValidation type="whole" allowBlank="1" showErrorMessage="1" errorTitle="A number" error="Type the figure alone, without a unit or a currency." sqref="A2:A3 B2:B2">` +
			`<formula1>-1000000000000</formula1><formula2>1000000000000</formula2></dataValidation><dataValidation type="decimal" allowBlank`,
		"xl/worksheets/sheet1.xml": `<pageSetup paperSize="9" orientation="landscape" fitToHeight="0"/>`,
		"xl/worksheets/sheet2.xml": `<pageSetup paperSize="9" orientation="landscape" scale="60"/>`,
		"xl/workbook.xml":          `<definedName name="_xlnm.Print_Titles" localSheetId="1">&#39;it&#39;&#39;s many&#39;!$A:$A,&#39;it&#39;&#39;s many&#39;!$1:$1</definedName>`,
	} {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(f)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), want) {
			t.Errorf("%s has no %s:\n%s", name, want, text)
		}
		if fits := strings.Contains(string(text), "fitToPage"); fits != (name == "xl/worksheets/sheet1.xml" || name == "xl/worksheets/sheet3.xml") {
			t.Errorf("%s is fitted: %v", name, fits)
		}
	}
}
