package cells_test

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// all reads a table whole: its cells in brackets, faults on lines of their own.
func all(table *cells.Table) string {
	var out strings.Builder
	for _, f := range table.Strange {
		fmt.Fprintln(&out, f)
	}
	for rows := table.Rows(); ; {
		row, err := rows.Next()
		if errors.Is(err, io.EOF) {
			return out.String()
		}
		if err != nil {
			fmt.Fprintln(&out, err)
			continue
		}
		out.WriteString(strings.TrimPrefix(rows.At(0).String(), "-"))
		for _, c := range row {
			out.WriteString(" [" + c.Text)
			if c.Shown != "" {
				out.WriteString("~" + c.Shown)
			}
			if c.Date {
				out.WriteString(" day")
			}
			if c.Exact {
				out.WriteString("!")
			}
			if c.Wrong != "" {
				out.WriteString(" WRONG " + c.Wrong)
			}
			out.WriteString("]")
		}
		out.WriteString("\n")
	}
}

func TestText(t *testing.T) {
	const converted = " and was read as such: look at names with accents, or save it as UTF-8\n"
	for _, c := range []struct{ name, data, want string }{
		{"UTF-16, the low byte first", "\xff\xfei\x00d\x00;\x00a\x00\r\x00\n\x00\xe9\x00;\x00\x49\x92\n\x00", "-: warning: the list is in UTF-16" + converted + ":1:1 [id] [a]\n:2:1 [é] [鉉]\n"},
		{"UTF-16, the high byte first", "\xfe\xff\x00i\x00d\x00\t\x00a\x00\n\xd8\x3d\xde\x00\x00\t\x00b", "-: warning: the list is in UTF-16" + converted + ":1:1 [id] [a]\n:2:1 [😀] [b]\n"},
		{"Windows-1252", "id;what\nm;b\xe9dane \x84\xd6l\x93, 5 \x80\n", "-: warning: the list is in Windows-1252" + converted + ":1:1 [id] [what]\n:2:1 [m] [bédane „Öl“, 5 €]\n"},
		{"a separator that is said", "sep=;\nid;what, and more\na;b\n", ":2:1 [id] [what, and more]\n:3:1 [a] [b]\n"},
		{"the same in quotes", "\xef\xbb\xbf\"sep=|\"\r\nid|a,b;c\r\n", ":2:1 [id] [a,b;c]\n"},
		{"lines that end in a carriage return alone", "id;what\ra;\"two\rlines\"\r\rb;c", ":1:1 [id] [what]\n:2:1 [a] [two\nlines]\n:5:1 [b] [c]\n"},
		{"cells that were copied", "id\twhat\nbrace\t10\" brace\n", ":1:1 [id] [what]\n:2:1 [brace] [10\" brace]\n"},
		{"cells that were copied with a line end", "id\twhat\nbrace\t\"two\nlines\"\n", ":1:1 [id] [what]\n:2:1 [brace] [two\nlines]\n"},
	} {
		table, f := cells.Read("-", "", []byte(c.data))
		if f != nil {
			t.Errorf("%s: %v", c.name, f)
		} else if got := all(table); got != c.want {
			t.Errorf("%s: got\n%swant\n%s", c.name, got, c.want)
		}
	}
}

// What is in another encoding than those, or is none, is refused rather than
// read as something else.
func TestNoText(t *testing.T) {
	for _, c := range []struct{ name, data, want string }{
		{"Shift JIS", "id,what\nkanna,\x95\xbd\x8a\xd9\x82\xa9\x82\xf1\x82\xc8\n", "l.csv:2:7: this is not UTF-8 text: save the file as UTF-8"},
		{"UTF-8 that was cut", "id,what\nkanna,\xe5\xb9\xb3\xe9\x89\nb\xc3\xa9\n", "l.csv:2:8: this is not UTF-8 text: save the file as UTF-8"},
		{"binary", "\x7fELF\x00", "l.csv: this is a binary file: name a text file in UTF-8"},
		{"an old workbook", "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "l.csv: this is an old workbook (.xls), or one with a password: save it as .xlsx without a password, or as CSV"},
		{"half a workbook", "PK\x03\x04\x00", "l.csv: the workbook is damaged: zip: not a valid zip file: open it in a spreadsheet program and save it as .xlsx or CSV"},
	} {
		if _, f := cells.Read("l.csv", "", []byte(c.data)); f == nil || f.Error() != c.want {
			t.Errorf("%s: got %v, want %s", c.name, f, c.want)
		}
	}
	if _, f := cells.Read("l.csv", "Sheet1", []byte("id\na\n")); f == nil || f.Error() != `l.csv: this is no workbook, and has no sheet "Sheet1": leave out what stands behind the #, or name a .xlsx file` {
		t.Errorf("got %v", f)
	}
}

// workbook makes one of some parts; those that are not given are the least that
// is needed.
func workbook(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	const relation = `http://schemas.openxmlformats.org/officeDocument/2006/relationships`
	for name, text := range map[string]string{
		"_rels/.rels":                `<Relationships><Relationship Id="r1" Type="` + relation + `/officeDocument" Target="/xl/workbook.xml"/></Relationships>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="r1" Type="` + relation + `/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="` + relation + `/sharedStrings" Target="sharedStrings.xml"/><Relationship Id="r3" Type="` + relation + `/styles" Target="styles.xml"/></Relationships>`,
		"xl/workbook.xml":            `<workbook xmlns:r="` + relation + `"><sheets><sheet name="S" sheetId="7" r:id="r1"/></sheets></workbook>`,
		"xl/sharedStrings.xml":       `<sst/>`,
		"xl/styles.xml":              `<styleSheet/>`,
	} {
		if _, given := parts[name]; !given {
			parts[name] = text
		}
	}
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, text := range parts {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, text); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

const sheet1 = "xl/worksheets/sheet1.xml"

func TestWorkbook(t *testing.T) {
	parts := map[string]string{
		"xl/sharedStrings.xml": `<sst><si><t>id</t></si><si><r><t>two </t></r><r><t xml:space="preserve">runs</t></r></si><si><t>鉋</t><rPh><t>かんな</t></rPh></si><si><t>a_x000D_b</t></si></sst>`,
		"xl/styles.xml": `<styleSheet><numFmts><numFmt numFmtId="164" formatCode="0.0&quot; kg&quot;"/><numFmt numFmtId="165" formatCode="_-* #,##0.00\ [$€-407]_-;-* #,##0.00"/>` +
			`<numFmt numFmtId="166" formatCode="[$-411]yyyy&quot;年&quot;m&quot;月&quot;"/><numFmt numFmtId="167" formatCode="[Red]0.00&quot; pieces&quot;"/><numFmt numFmtId="168" formatCode="[$CAD] 0.00"/></numFmts>` +
			`<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs><cellXfs><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="165"/><xf numFmtId="14"/><xf numFmtId="166"/><xf numFmtId="10"/><xf numFmtId="167"/><xf numFmtId="168"/></cellXfs></styleSheet>`,
		sheet1: `<worksheet><sheetData>
<row r="1"><c r="A1" t="s"><v>0</v></c><c r="C1" t="s"><v>1</v></c><c t="s"><v>2</v></c><c t="s"><v>3</v></c></row>
<row r="3"><c r="A3"><v>1.8999999999999999</v></c><c r="B3"><v>0.30000000000000004</v></c><c r="C3"><v>1.1E-2</v></c><c r="D3"><v>1E+16</v></c><c r="E3"><v>-2</v></c></row>
<row r="4" hidden="1"><c r="A4" s="1"><v>1.85</v></c><c r="B4" s="2"><v>1250.5</v></c><c r="C4" s="3"><v>46298</v></c><c r="D4" s="4"><v>46298.75</v></c><c r="E4" s="5"><v>0.175</v></c><c r="F4" s="6"><v>2</v></c><c r="G4" s="7"><v>38.125</v></c></row>
<row r="5"><c r="A5"><f>1+1</f><v>2</v></c><c r="B5"><f>1+1</f></c><c r="C5" t="e"><v>#DIV/0!</v></c><c r="D5" t="b"><v>1</v></c><c r="E5" t="str"><f>A1</f><v>x</v></c><c r="F5" t="inlineStr"><is><t>in</t></is></c><c r="G5" t="d"><v>2026-10-03T00:00:00</v></c><c r="H5" t="s"><v>99</v></c><c r="I5"><v>abc</v></c></row>
<row r="6"><c r="A6" s="1"/></row>
</sheetData></worksheet>`,
	}
	const want = `-#S: warning: row 4 is hidden, and is read like the others: take out what is not in the lot
#S:A1 [id] [] [two runs] [鉋] [a` + "\r" + `b]
#S:A3 [1.9!] [0.3!] [0.011!] [10000000000000000!] [-2!]
#S:A4 [1.85 kg~1.9 kg!] [1250.5 €!] [2026-10-03 day!] [2026-10-03 day!] [17.5%!] [2!] [38.125 CAD~38.13 CAD!]
#S:A5 [2!] [ WRONG the formula has no stored result] [#DIV/0! WRONG the cell holds the error #DIV/0!] [yes] [x] [in] [2026-10-03 day!] [ WRONG the cell's text is lost] [abc WRONG the number "abc" cannot be read]
`
	table, f := cells.Read("-", "", workbook(t, parts))
	if f != nil {
		t.Fatal(f)
	}
	if got := all(table); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
	row, at := table.Row(source.Origin{Line: 4})
	if len(row) != 7 || at.At(1).String() != "-#S:B4" {
		t.Errorf("row 4 is %v at %s", row, at.At(1))
	}
}

// What is made to fill the memory, or is no workbook after all, ends in a fault.
func TestHostileWorkbook(t *testing.T) {
	for _, c := range []struct {
		name  string
		parts map[string]string
		want  string
	}{
		{"wide rows", map[string]string{sheet1: "<worksheet>" + strings.Repeat(`<row><c r="XFD1"><v>1</v></c></row>`, 20_000) + "</worksheet>"}, "l.xlsx: the workbook has more than two million cells: keep the list alone in a workbook of its own, or save it as CSV"},
		{"rows out of order", map[string]string{sheet1: `<worksheet><row r="2"><c><v>1</v></c></row><row r="1"><c><v>1</v></c></row></worksheet>`}, `l.xlsx: the sheet "S" cannot be read: its row 1 is out of order: open it in a spreadsheet program and save it as .xlsx or CSV`},
		{"a row of no number", map[string]string{sheet1: `<worksheet><row r="-5"><c><v>1</v></c></row></worksheet>`}, `l.xlsx: the sheet "S" cannot be read: its row -5 is out of order: open it in a spreadsheet program and save it as .xlsx or CSV`},
		{"another kind", map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet"}, "l.xlsx: this is a workbook of another kind (.ods): save it as .xlsx or CSV"},
		{"no sheet", map[string]string{}, `l.xlsx: the sheet "S" cannot be read: it has no part xl/worksheets/sheet1.xml: open it in a spreadsheet program and save it as .xlsx or CSV`},
		{"cut off", map[string]string{sheet1: `<worksheet><row r="1"><c>`}, `l.xlsx: the sheet "S" cannot be read: XML syntax error on line 1: unexpected EOF: open it in a spreadsheet program and save it as .xlsx or CSV`},
		{"empty", map[string]string{sheet1: `<worksheet><sheetData/></worksheet>`}, "l.xlsx#S: the sheet is empty: name the one that holds the list, as in items: list.xlsx#Sheet1"},
	} {
		if c.name == "wide rows" && testing.Short() {
			continue // it takes long
		}
		if _, f := cells.Read("l.xlsx", "", workbook(t, c.parts)); f == nil || f.Error() != c.want {
			t.Errorf("%s: got %v, want %s", c.name, f, c.want)
		}
	}
}

// TestBomb: what unzips to more than is allowed ends there, wherever in the
// workbook it is, and whatever size the archive tells.
func TestBomb(t *testing.T) {
	long := strings.Repeat("x", 1<<20)
	for name, parts := range map[string]map[string]string{
		"sheet":   {sheet1: "<worksheet>" + strings.Repeat(`<row><c t="inlineStr"><is><t>x</t></is></c></row>`, 1<<15) + "</worksheet>"},
		"text":    {sheet1: `<worksheet><row><c t="inlineStr"><is><t>` + long + "</t></is></c></row></worksheet>"},
		"strings": {"xl/sharedStrings.xml": "<sst><si><t>" + long + "</t></si></sst>", sheet1: "<worksheet/>"},
		"skipped": {sheet1: "<worksheet><row><x>" + long + "</x></row></worksheet>"},
	} {
		err := cells.ReadWithin(workbook(t, parts), 1<<20)
		if err == nil || err.Error() != "l.xlsx: the workbook is larger than 128 MiB once it is unzipped: keep the list alone in a workbook of its own, or save it as CSV" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// FuzzRead: nothing panics, and every fault lies in the file.
func FuzzRead(f *testing.F) {
	f.Add([]byte("sep=;\nid;what\na;\"b\n"), "")
	f.Add([]byte("\xff\xfei\x00d\x00"), "")
	f.Add([]byte("m\xe9;1\n"), "")
	f.Add([]byte("a\t\"b"), "")
	f.Add([]byte(`<worksheet><row r="2" hidden="1"><c r="B2" s="1" t="s"><v>0</v></c></row><mergeCell ref="A1:B2"/></worksheet>`), "x")
	f.Add([]byte(`<styleSheet><numFmts><numFmt numFmtId="164" formatCode="[$\"_*"/></numFmts><cellXfs><xf numFmtId="164"/></cellXfs></styleSheet>`), "y")
	f.Fuzz(func(t *testing.T, data []byte, as string) {
		if len(data) > 1<<16 || len(data) > input.MaxBytes {
			t.Skip()
		}
		switch as {
		case "x":
			data = workbook(t, map[string]string{sheet1: string(data)})
		case "y":
			data = workbook(t, map[string]string{"xl/styles.xml": string(data), sheet1: `<worksheet><row><c s="0"><v>46298.5</v></c></row></worksheet>`})
		}
		table, fault := cells.Read("a", "", data)
		if fault != nil {
			return
		}
		all(table)
		table.Merged(1, []int{0, 1})
		table.Row(source.Origin{Line: 1})
		table.Lines()
	})
}
