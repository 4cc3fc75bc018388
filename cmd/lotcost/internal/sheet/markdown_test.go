package sheet_test

import (
	"bytes"
	"html"
	"reflect"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"

	"pgregory.net/rapid"
)

func markdown(t interface{ Fatal(...any) }, blocks ...sheet.Block) string {
	var b bytes.Buffer
	if err := (&sheet.Sheet{Blocks: blocks}).WriteMarkdown(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWriteMarkdown(t *testing.T) {
	want := `## Parcel of March

Every amount is in CAD and holds all that left the bank.

### What each piece cost

| Piece | Kilos | Bought | Landed cost |
| --- | --: | --- | --: |
| **Lot 12** |  |  |  |
| 平鉋 two-inch plane 台付き | 0.85 | 2026-03-02 | 1,204.50 |
| Brace | 1.2 | 2026-03-02 | 38.07 |
| **Lot 13** |  |  |  |
| 製図器セット（中古・未確認） | 12 |  | 9.99 |
| **Together** | **14.05** |  | **1,252.56** |

> **Caution:** duty was estimated from the table of rates that was in force in January

> **Hint:** add the weight of lot 13
`
	if got := markdown(t, haul().Blocks...); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestMarkdownStaysText(t *testing.T) {
	for in, want := range map[string]string{
		"a | b \\ c":               `a \| b \\ c`,
		"<img src=x onerror=y> &c": `&lt;img src=x onerror=y&gt; &amp;c`,
		"*bold* _and_ `code`":      "\\*bold\\* \\_and\\_ \\`code\\`",
		"[here](http://x.example)": `\[here\](http://x.example)`,
		"# no heading":             `\# no heading`,
		"- no list":                `\- no list`,
		"   1. no list":            `1\. no list`,
		"12.50 stays":              "12.50 stays",
		"7)":                       `7\)`,
		"3 pieces":                 "3 pieces",
		"two\r\n=====":             "two\\\n\\=====",
		"\x1b[2J":                  `␛\[2J`,
	} {
		if got := markdown(t, sheet.Text(in)); got != want+"\n" {
			t.Errorf("%q: got %q, want %q", in, got, want+"\n")
		}
	}
	if got, want := markdown(t, sheet.Note{Text: "one\ntwo"}), "> one\\\n> two\n"; got != want {
		t.Errorf("note: got %q, want %q", got, want)
	}
}

// readRow reads a table row by the rules of GitHub Flavored Markdown 0.29, 4.10 (cells are parted
// by pipes without a backslash and trimmed) and CommonMark 0.31, 2.4 and 2.5 (backslash escapes,
// entities).
func readRow(line string) []string {
	var row []string
	var cell strings.Builder
	for i := 1; i < len(line); i++ {
		switch {
		case line[i] == '\\' && i+1 < len(line) && strings.IndexByte("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~", line[i+1]) >= 0:
			i++
			cell.WriteByte(line[i])
		case line[i] == '|':
			row = append(row, html.UnescapeString(strings.TrimSpace(cell.String())))
			cell.Reset()
		default:
			cell.WriteByte(line[i])
		}
	}
	return row
}

func TestMarkdownRowsReadBack(t *testing.T) {
	cell := rapid.StringMatching("([a-z鉋|\\\\<>&*_`~\\[\\]#$;]{0,8})")
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.SliceOfN(cell, 1, 4).Draw(t, "cells")
		out := markdown(t, &sheet.Table{Columns: make([]sheet.Column, len(want)), Rows: []sheet.Row{row(sheet.Body, want...)}})
		rows := strings.Split(strings.TrimSuffix(out, "\n"), "\n")
		if got := readRow(rows[len(rows)-1]); len(rows) != 3 || !reflect.DeepEqual(got, want) {
			t.Fatalf("got %q from\n%s\nwant %q", got, out, want)
		}
	})
}
