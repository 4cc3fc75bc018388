package sheet_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"reflect"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"

	"pgregory.net/rapid"
)

func csvOf(t interface{ Fatal(...any) }, table *sheet.Table) string {
	var b bytes.Buffer
	if err := sheet.WriteCSV(&b, table, false); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWriteCSV(t *testing.T) {
	table := haul().Blocks[2].(*sheet.Table)
	want := "piece,kilos,bought,landed_cost\n" +
		"平鉋 two-inch plane 台付き,0.85,2026-03-02,1204.50\n" +
		"Brace,1.2,2026-03-02,38.07\n" +
		"製図器セット（中古・未確認）,12,,9.99\n"
	if got := csvOf(t, table); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	table.Columns[1].Key, table.Columns[2].Key = "", ""
	if got := csvOf(t, table); !strings.HasPrefix(got, "piece,landed_cost\n平鉋 two-inch plane 台付き,1204.50\n") {
		t.Errorf("columns without a key are written:\n%s", got)
	}
}

// Which cells a spreadsheet runs is common practice, no source.
func TestFormulasAreDisarmed(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1":        "'=1+1",
		"  =1+1":      "'  =1+1",
		"+sum(a1)":    "'+sum(a1)",
		"-2+3":        "'-2+3",
		"--1":         "'--1",
		"@cell":       "'@cell",
		"＝1+1":        "'＝1+1",
		"=":           "'=",
		"\tx":         "' x",
		"\t=x":        "' =x",
		"\x1b[0m":     "␛[0m",
		"-12.50":      "'-12.50",
		"+1,204.50":   "'+1,204.50",
		"-":           "'-",
		"a=b":         "a=b",
		"12-inch saw": "12-inch saw",
		"":            "",
	} {
		table := &sheet.Table{
			Columns: []sheet.Column{{Key: "text"}, {Key: "figure", Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Body, in, "-1")},
		}
		records, err := csv.NewReader(strings.NewReader(csvOf(t, table))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if got := records[1]; got[0] != want || got[1] != "-1" {
			t.Errorf("%q: got %q, want %q and -1", in, got, want)
		}
	}
}

// A reader in another country takes another separator for the one of the file: what holds any of
// them, a quote or a line end is in quotes, so that no such reader finds more fields in it.
func TestCSVQuotesEverySeparator(t *testing.T) {
	table := &sheet.Table{Columns: []sheet.Column{{Key: "text"}, {Key: "more"}}}
	texts := []string{"plane; iron", "plane, iron", `6" rule`, "two\nlines", " led by a space", "plain"}
	for _, text := range texts {
		table.Rows = append(table.Rows, row(sheet.Body, text, "x"))
	}
	want := "text,more\n\"plane; iron\",x\n\"plane, iron\",x\n\"6\"\" rule\",x\n\"two\nlines\",x\n\" led by a space\",x\nplain,x\n"
	if got := csvOf(t, table); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestCSVReadsBack(t *testing.T) {
	cell := rapid.StringMatching(`([a-z鉋",;\n '|=+-]{0,8})`)
	rapid.Check(t, func(t *rapid.T) {
		table := &sheet.Table{}
		columns := rapid.IntRange(1, 4).Draw(t, "columns")
		want := [][]string{nil}
		for i := range columns {
			table.Columns = append(table.Columns, sheet.Column{Key: string(rune('a' + i)), Align: sheet.Right})
			want[0] = append(want[0], table.Columns[i].Key)
		}
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			record := rapid.SliceOfN(cell, columns, columns).Draw(t, "record")
			want = append(want, record)
			table.Rows = append(table.Rows, row(sheet.Body, record...))
		}
		got, err := csv.NewReader(strings.NewReader(csvOf(t, table))).ReadAll()
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("got %q, %v, want %q", got, err, want)
		}
	})
}

var errFull = errors.New("no room")

type fullWriter struct{}

func (fullWriter) Write([]byte) (int, error) { return 0, errFull }

func TestWriteErrorsComeBack(t *testing.T) {
	s := haul()
	lone := &sheet.Table{Columns: make([]sheet.Column, 1), Rows: []sheet.Row{row(sheet.Body, "")}}
	lone.Columns[0].Key = "k"
	for name, err := range map[string]error{
		"text":            s.WriteText(fullWriter{}, sheet.Terminal{}),
		"markdown":        s.WriteMarkdown(fullWriter{}),
		"csv":             sheet.WriteCSV(fullWriter{}, s.Blocks[2].(*sheet.Table), false),
		"csv, lone empty": sheet.WriteCSV(fullWriter{}, lone, false),
		"json":            sheet.WriteJSON(fullWriter{}, 1),
	} {
		if !errors.Is(err, errFull) {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

// TestWriteCSVMade writes rows as they are made, chosen and with decimal commas too, as it
// writes those that are held.
func TestWriteCSVMade(t *testing.T) {
	held := &sheet.Table{Columns: []sheet.Column{{Key: "id"}, {Key: "cost", Align: sheet.Right}, {Head: "note"}}}
	for _, id := range []string{"jack", "=1+1", "a;b"} {
		held.Rows = append(held.Rows, sheet.Row{Cells: []sheet.Cell{{Text: id}, {Text: "4.20"}}})
	}
	made := *held
	made.Rows, made.Made = held.Rows[:1], func(yield func(sheet.Row) bool) {
		cells := make([]sheet.Cell, 2)
		for _, r := range held.Rows[1:] {
			copy(cells, r.Cells)
			if !yield(sheet.Row{Cells: cells}) {
				return
			}
		}
	}
	text := func(commas bool, table *sheet.Table) string {
		var b strings.Builder
		if err := sheet.WriteCSV(&b, table, commas); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	chosen := func(table *sheet.Table) *sheet.Table {
		s, err := sheet.New(table).Choose([]string{"cost", "id"})
		if err != nil {
			t.Fatal(err)
		}
		return s.Tables()[0]
	}
	for _, pair := range [][2]string{
		{text(false, &made), text(false, held)},
		{text(true, &made), text(true, held)},
		{text(false, chosen(&made)), text(false, chosen(held))},
	} {
		if pair[0] != pair[1] {
			t.Errorf("got %q, want %q", pair[0], pair[1])
		}
	}
}
