package main

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/testdata/effort"
)

// bookCell is a cell as a spreadsheet program reads it.
type bookCell struct {
	value, format string
	isText        bool
}

// readBook reads the sheets of a workbook, by name: an independent reader of what
// ECMA-376 says of such files.
func readBook(t *testing.T, data []byte) map[string][][]bookCell {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	read := func(name string, into any) {
		f, err := z.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		text, err := io.ReadAll(f)
		if err == nil {
			err = xml.Unmarshal(text, into)
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	var styles struct {
		Formats []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	read("xl/styles.xml", &styles)
	var book struct {
		Sheets []struct {
			Name string `xml:"name,attr"`
			ID   string `xml:"http://schemas.openxmlformats.org/officeDocument/2006/relationships id,attr"`
		} `xml:"sheets>sheet"`
	}
	read("xl/workbook.xml", &book)
	type relation struct {
		ID     string `xml:"Id,attr"`
		Target string `xml:"Target,attr"`
	}
	var parts struct {
		All []relation `xml:"Relationship"`
	}
	read("xl/_rels/workbook.xml.rels", &parts)
	sheets := map[string][][]bookCell{}
	for _, s := range book.Sheets {
		i := slices.IndexFunc(parts.All, func(r relation) bool { return r.ID == s.ID })
		var body struct {
			Rows []struct {
				Cells []struct {
					Ref   string `xml:"r,attr"`
					Style int    `xml:"s,attr"`
					Type  string `xml:"t,attr"`
					Value string `xml:"v"`
					Text  string `xml:"is>t"`
				} `xml:"c"`
			} `xml:"sheetData>row"`
		}
		read("xl/"+parts.All[i].Target, &body)
		var rows [][]bookCell
		for _, r := range body.Rows {
			var row []bookCell
			for _, c := range r.Cells {
				column := 0
				for _, letter := range strings.TrimRight(c.Ref, "0123456789") {
					column = column*26 + int(letter-'A') + 1
				}
				for len(row) < column {
					row = append(row, bookCell{})
				}
				row[column-1] = bookCell{value: c.Value + c.Text, isText: c.Type == "inlineStr"}
				for _, f := range styles.Formats {
					if f.ID == styles.Cells[c.Style].Format {
						row[column-1].format = f.Code
					}
				}
			}
			rows = append(rows, row)
		}
		sheets[s.Name] = rows
	}
	return sheets
}

// texts are the values of a row.
func texts(row []bookCell) []string {
	var all []string
	for _, c := range row {
		all = append(all, c.value)
	}
	return all
}

// TestWorkbookAgrees: the workbook of what pieces cost says what JSON says, in
// numbers, with the sheets and columns where others look for them.
func TestWorkbookAgrees(t *testing.T) {
	hauls, err := filepath.Glob("../../examples/*/haul.yaml")
	if err != nil || len(hauls) < 6 {
		t.Fatal(len(hauls), err)
	}
	for _, haul := range hauls {
		file := filepath.Join(t.TempDir(), "result.xlsx")
		if code, said := quietly([]string{"split", haul, "-o", file}); code != exitFine {
			t.Fatal(said)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		book := readBook(t, data)
		var result struct {
			Total   string
			Charges []struct{ What, Kind, Home string }
			Items   []struct {
				ID   string
				Each []struct {
					State string
					Count int
					Cost  string
				}
			}
		}
		if err := json.Unmarshal([]byte(jsonOf(t, haul)), &result); err != nil {
			t.Fatal(err)
		}
		paid, pieces := book["paid"], book["pieces"]
		if got := texts(paid[0])[:5]; !slices.Equal(got, []string{"what", "kind", "asked", "rate", "home"}) {
			t.Errorf("%s: paid begins with %q", haul, got)
		}
		if got := texts(pieces[0])[:4]; !slices.Equal(got, []string{"id", "state", "count", "cost"}) {
			t.Errorf("%s: pieces begins with %q", haul, got)
		}
		paid = slices.DeleteFunc(paid, func(row []bookCell) bool { // what may be asked once other figures change
			return len(row) > 11 && row[4].value == "0.00" && (row[11].value == "yes" || row[1].value == "premium")
		})
		if len(paid) != len(result.Charges)+2 {
			t.Fatalf("%s: %d rows for %d charges", haul, len(paid), len(result.Charges))
		}
		for i, c := range result.Charges {
			if row := paid[i+1]; row[0].value != c.What || row[1].value != c.Kind || rat(t, row[4].value).Cmp(rat(t, c.Home)) != 0 || row[4].isText {
				t.Errorf("%s: %v instead of %v", haul, row, c)
			}
		}
		sum := new(big.Rat)
		for _, row := range pieces[1 : len(pieces)-1] {
			sum.Add(sum, rat(t, row[3].value))
		}
		last := pieces[len(pieces)-1]
		if last[0].value != "" || sum.Cmp(rat(t, result.Total)) != 0 || rat(t, last[3].value).Cmp(sum) != 0 || last[3].format != "#,##0.00" {
			t.Errorf("%s: the pieces come to %s and %v, not %s", haul, sum.FloatString(2), last, result.Total)
		}
	}
}

// jsonOf is what split says of a haul.
func jsonOf(t *testing.T, haul string) string {
	t.Helper()
	var out, said bytes.Buffer
	if code := lotcost(context.Background(), streams{in: strings.NewReader(""), out: &out, err: &said, env: func(string) string { return "" }}, []string{"split", haul, "--format", "json"}); code != exitFine {
		t.Fatal(said.String())
	}
	return out.String()
}

func rat(t *testing.T, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no number", s)
	}
	return r
}

// TestWorkbookCells: what is a number, a day or text, and that text stays as it is,
// whatever it begins with.
func TestWorkbookCells(t *testing.T) {
	right, dec := sheet.Right, sheet.Decimal
	names := []string{"=1+1", "+49", "-5", "@x", "\ttab", "<b>&\"'", "two\nlines", "_x000D_", "平鉋 😀", "\u202eevil", "\x1b[2J", " edge ", "light", "heavy", "rare", "rarer"}
	table := &sheet.Table{Topic: "a:b/c*d[e]f?g\\ and much more than there is room for", Columns: []sheet.Column{{Head: "what"}, {Key: "cost", Align: right}, {Head: "weight", Align: dec}}}
	figures := []struct{ text, data, value, format string }{
		{"38.64", "", "38.64", "#,##0.00"}, {"4200 JPY", "", "4200", `#,##0 "JPY"`}, {"-0.05", "", "-0.05", "#,##0.00"}, {"26.4%", "", "0.264", "#,##0.0%"},
		{"26.4%", "0.264321", "0.264321", "#,##0.0%"}, {"4.861 kg", "", "4.861", `#,##0.000 "kg"`}, {"12", "", "12", "#,##0"}, {"2 x 3.10", "", "2 x 3.10", ""},
		{"", "", "", ""}, {"1e5", "", "1e5", ""}, {"+1500", "", "1500", "#,##0"}, {"–", "", "–", ""},
		{"600 g", "599.8 g", "0.5998", `#,##0.000 "kg"`}, {"7.18 kg", "7.1718 kg", "7.1718", `#,##0.000 "kg"`}, // exact, and in one unit
		{"<0.1%", "0.000321", "0.000321", "#,##0.0%"}, {"<0.1%", "", "<0.1%", ""},
	}
	for i, f := range figures {
		table.Rows = append(table.Rows, sheet.Row{Cells: []sheet.Cell{{Text: names[i]}, {Text: f.text, Data: f.data}, {}}})
	}
	days := &sheet.Table{Topic: "days", Columns: []sheet.Column{{Key: "date"}, {Key: "what"}}, Rows: []sheet.Row{{Cells: []sheet.Cell{{Text: "2026-10-03"}, {Text: "100%"}}}, {Cells: []sheet.Cell{{Text: "2026-13-03"}}}, {Cells: []sheet.Cell{{Text: "2026-10-03 18:00"}}},
		{Cells: []sheet.Cell{{Text: "+1500", Data: "+1500", Format: "+#,##0;-#,##0"}}}, {Cells: []sheet.Cell{{Text: "9.975%"}}}}}
	var out, again bytes.Buffer
	if err := sheet.WriteWorkbook(&out, []*sheet.Table{table, days, {Topic: "Days"}}); err != nil {
		t.Fatal(err)
	}
	if err := sheet.WriteWorkbook(&again, []*sheet.Table{table, days, {Topic: "Days"}}); err != nil || !bytes.Equal(out.Bytes(), again.Bytes()) {
		t.Error("the same tables give other bytes")
	}
	book := readBook(t, out.Bytes())
	rows := book["a b c d e f g  and much more"]
	if len(book) != 3 || book["Days 2"] == nil || len(rows) != len(figures)+1 {
		t.Fatalf("the sheets are %v", book)
	}
	for i, f := range figures {
		row := append(rows[i+1], bookCell{}, bookCell{})
		want := strings.NewReplacer("\u202e", `\u202e`, "\x1b", "␛", "_x000D_", "_x005F_x000D_").Replace(names[i])
		if row[0].value != want || !row[0].isText {
			t.Errorf("%q became %+v", names[i], row[0])
		}
		if row[1].value != f.value || row[1].format != f.format || row[1].isText != (f.format == "" && f.value != "") {
			t.Errorf("%+v became %+v", f, row[1])
		}
	}
	// 3 October 2026 is day 46298 where 1 January 1900 is day 1 and 29 February 1900 counts.
	if got := book["days"]; got[1][0].value != "46298" || got[1][0].format != "yyyy-mm-dd" || !got[2][0].isText {
		t.Errorf("days are %v", got)
	} else if got[3][0].value != "46298.75" || got[3][0].format != "yyyy-mm-dd hh:mm" || got[4][0].value != "1500" {
		t.Errorf("an hour of a day and a signed figure are %v", got[3:])
	} else if rate, name := got[5][0], got[1][1]; rate.value != "0.09975" || rate.format != "#,##0.000%" || !name.isText {
		t.Errorf("a percentage among texts is %v, a name that looks like one %v", rate, name)
	}
}

// TestWorkbookCommas: with decimal commas no text of a workbook has points, and numbers stay
// numbers.
func TestWorkbookCommas(t *testing.T) {
	point := regexp.MustCompile(`\d\.\d`)
	for _, args := range [][]string{{"bid", "../../examples/one-crate/1-before/haul.yaml"}, {"price", "../../examples/one-crate/2-opened/haul.yaml"}} {
		file := filepath.Join(t.TempDir(), "result.xlsx")
		if code, said := quietly(append(args, "--decimal", "comma", "-o", file)); code != exitFine {
			t.Fatal(said)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		marked, numbers := 0, 0
		for name, rows := range readBook(t, data) {
			for _, row := range rows {
				for _, cell := range row {
					switch {
					case !cell.isText && cell.format != "":
						numbers++
					case cell.isText && point.MatchString(cell.value) && name != live.Written:
						t.Errorf("%v: %s says %q", args, name, cell.value)
					case strings.Contains(cell.value, ","):
						marked++
					}
				}
			}
		}
		if marked < 3 || numbers < 20 {
			t.Errorf("%v: %d texts with commas and %d numbers", args, marked, numbers)
		}
	}
}

// TestSheetNames: the name of a sheet is a topic, or the whole title of its table.
func TestSheetNames(t *testing.T) {
	books, every := 0, effort.Cases(1, 2, 6)
	for n, args := range wideLines(t) {
		if n%every > 0 {
			continue
		}
		var text, book bytes.Buffer
		for _, out := range []struct {
			format string
			into   *bytes.Buffer
		}{{"table", &text}, {"xlsx", &book}} {
			s := streams{in: strings.NewReader(""), out: out.into, err: io.Discard, env: func(string) string { return "" }}
			if lotcost(context.Background(), s, append(slices.Clone(args), "--format", out.format)) > exitNo {
				book.Reset()
			}
		}
		if !bytes.HasPrefix(book.Bytes(), []byte("PK")) { // what makes no tables
			continue
		}
		books++
		titles := strings.Split(text.String(), "\n")
		for name := range readBook(t, book.Bytes()) {
			if first := name[:1]; first != strings.ToLower(first) && !slices.Contains(titles, name) {
				t.Errorf("%s: no title is %q", strings.Join(args, " "), name)
			}
		}
	}
	if books < 30/every {
		t.Errorf("only %d workbooks were read", books)
	}
}
