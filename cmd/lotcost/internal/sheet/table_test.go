package sheet_test

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"lotcost/cmd/lotcost/internal/sheet"

	"golang.org/x/text/width"
	"pgregory.net/rapid"
)

func row(kind sheet.RowKind, texts ...string) sheet.Row {
	r := sheet.Row{Kind: kind}
	for _, s := range texts {
		r.Cells = append(r.Cells, sheet.Cell{Text: s})
	}
	return r
}

// haul is an invented haul that has every kind of block, row and column.
func haul() *sheet.Sheet {
	t := &sheet.Table{
		Title: "What each piece cost",
		Columns: []sheet.Column{
			{Head: "Piece", Key: "piece", Wrap: true, Min: 8},
			{Head: "Kilos", Key: "kilos", Align: sheet.Decimal, Optional: 2},
			{Head: "Bought", Key: "bought", Optional: 1},
			{Head: "Landed cost", Key: "landed_cost", Align: sheet.Right},
		},
		Rows: []sheet.Row{
			row(sheet.Group, "Lot 12"),
			row(sheet.Body, "平鉋 two-inch plane 台付き", "0.85", "2026-03-02", "1,204.50"),
			row(sheet.Body, "Brace", "1.2", "2026-03-02", "38.07"),
			row(sheet.Group, "Lot 13"),
			row(sheet.Body, "製図器セット（中古・未確認）", "12", "", "9.99"),
			row(sheet.Sum, "Together", "14.05", "", "1,252.56"),
		},
	}
	t.Rows[1].Cells[3].Data = "1204.50"
	t.Rows[2].Cells[3].Tone = sheet.Good
	return &sheet.Sheet{Blocks: []sheet.Block{
		sheet.Heading("Parcel of March"),
		sheet.Text("Every amount is in CAD and holds all that left the bank."),
		t,
		sheet.Note{Kind: sheet.Caution, Text: "duty was estimated from the table of rates that was in force in January"},
		sheet.Note{Kind: sheet.Hint, Text: "add the weight of lot 13"},
	}}
}

func text(t interface{ Fatal(...any) }, s *sheet.Sheet, term sheet.Terminal) string {
	var b bytes.Buffer
	if err := s.WriteText(&b, term); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

const wide = `Parcel of March

Every amount is in CAD and holds all that left the bank.

What each piece cost
Piece                         Kilos  Bought      Landed cost
────────────────────────────────────────────────────────────
Lot 12
平鉋 two-inch plane 台付き     0.85  2026-03-02     1,204.50
Brace                          1.2   2026-03-02        38.07

Lot 13
製図器セット（中古・未確認）  12                        9.99
                              ─────              ───────────
Together                      14.05                 1,252.56

caution: duty was estimated from the table of rates that was in force in January
hint: add the weight of lot 13
`

const forty = `Parcel of March

Every amount is in CAD and holds all
that left the bank.

What each piece cost
Piece       Kilos  Bought        Landed
                                   cost
───────────────────────────────────────
Lot 12
平鉋         0.85  2026-03-02  1,204.50
two-inch
plane 台付
き
Brace        1.2   2026-03-02     38.07

Lot 13
製図器セッ  12                     9.99
ト（中古・
未確認）
            ─────              ────────
Together    14.05              1,252.56

caution: duty was estimated from the
         table of rates that was in
         force in January
hint: add the weight of lot 13
`

const twenty = `Parcel of March

Every amount is in
CAD and holds all
that left the bank.

What each piece cost
Piece         Landed
                cost
────────────────────
Lot 12
平鉋        1,204.50
two-inch
plane 台付
き
Brace          38.07

Lot 13
製図器セッ      9.99
ト（中古・
未確認）
            ────────
Together    1,252.56
hidden columns
(window too narrow):
Kilos, Bought

caution: duty was
         estimated
         from the
         table of
         rates that
         was in
         force in
         January
hint: add the weight
      of lot 13
`

// The pages were checked by eye against the rules in the doc comments; the properties below
// measure the same rules with another library's widths.
func TestWriteText(t *testing.T) {
	for _, c := range []struct {
		width int
		want  string
	}{{0, wide}, {80, wide}, {40, forty}, {20, twenty}} {
		if got := text(t, haul(), sheet.Terminal{Width: c.width}); got != c.want {
			t.Errorf("width %d: got\n%s\nwant\n%s", c.width, got, c.want)
		}
	}
}

func TestColour(t *testing.T) {
	s := &sheet.Sheet{Blocks: []sheet.Block{&sheet.Table{
		Columns: []sheet.Column{{Head: "Piece"}, {Head: "Gain", Align: sheet.Decimal}},
		Rows: []sheet.Row{
			{Cells: []sheet.Cell{{Text: "鉋", Tone: sheet.Faint}, {Text: "5", Tone: sheet.Bad}}},
			{Cells: []sheet.Cell{{}, {Text: "1.5"}}},
		},
	}}}
	want := "\x1b[1mPiece\x1b[0m  \x1b[1mGain\x1b[0m\n" +
		"\x1b[2m───────────\x1b[0m\n" +
		"\x1b[2m鉋\x1b[0m      \x1b[31m5\x1b[0m\n" +
		"        1.5\n"
	if got := text(t, s, sheet.Terminal{Colour: true}); got != want {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}

func TestSmallTables(t *testing.T) {
	for name, c := range map[string]struct {
		table sheet.Table
		width int
		want  string
	}{
		"no heads": {sheet.Table{
			Columns: []sheet.Column{{Key: "what"}, {Key: "how_much", Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Body, "hammer", "1000"), row(sheet.Body, "duty", "65")},
		}, 0, "hammer  1000\nduty      65\n"},
		"decimals with units and a dash": {sheet.Table{
			Columns: []sheet.Column{{Align: sheet.Decimal}, {}},
			Rows: []sheet.Row{row(sheet.Body, "12.5 %", "a"), row(sheet.Body, "3 %", "b"), row(sheet.Body, "-0.125", "c"),
				row(sheet.Body, "–", "d")},
		}, 0, "12.5 %  a\n 3 %    b\n-0.125  c\n     –  d\n"},
		"newlines in cells": {sheet.Table{
			Columns: []sheet.Column{{}, {Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Body, "one\r\ntwo", "1"), row(sheet.Body, "three", "2\n3")},
		}, 0, "one    1\ntwo\nthree  2\n       3\n"},
		"a long word is cut where it must be": {sheet.Table{
			Columns: []sheet.Column{{Wrap: true}, {Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Body, "drawinginstruments", "12.00")},
		}, 15, "drawingi  12.00\nnstrumen\nts\n"},
		"figures are never broken": {sheet.Table{
			Columns: []sheet.Column{{Wrap: true}, {Align: sheet.Right, Wrap: true}},
			Rows:    []sheet.Row{row(sheet.Body, "brace", "1 234 567.00")},
		}, 18, "brace\n  1 234 567.00\n"},
		"what has no room stands one below the other": {sheet.Table{
			Columns: []sheet.Column{{Head: "item"}, {Head: "what it is", Optional: 1}, {Head: "cost,\nCAD", Align: sheet.Right}, {Key: "lot", Machine: true}, {Head: "each", Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Group, "crate-a"), row(sheet.Body, "bench-chisel", "a set", "1234.56", "x", "2 x 3.10\n1 x 3.09"), row(sheet.Body, "brace", "", "1.00"), row(sheet.Sum, "sum", "", "1235.56")},
		}, 25, "crate-a\n\nbench-chisel\n  what it is  a set\n  cost, CAD   1234.56\n  each        2 x 3.10\n              1 x 3.09\n\nbrace\n  cost, CAD   1.00\n\nsum\n  cost, CAD   1235.56\n"},
		"a row that begins with a figure says of what": {sheet.Table{
			Columns: []sheet.Column{{Head: "bid, JPY", Align: sheet.Right}, {Head: "costs", Align: sheet.Right}, {Head: "chance", Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Body, "6750", "144.34", "12.5%")},
		}, 18, "bid, JPY 6750\n  costs   144.34\n  chance  12.5%\n"},
		"text that had better stay whole is wrapped last, between words": {sheet.Table{
			Columns: []sheet.Column{{Head: "goal"}, {Head: "CAD", Align: sheet.Right}},
			Rows:    []sheet.Row{row(sheet.Body, "a return on the cost", "158.72"), row(sheet.Body, "crate-and-box", "1.00")},
		}, 21, "goal              CAD\n─────────────────────\na return on    158.72\nthe cost\ncrate-and-box    1.00\n"},
		"bars are drawn shorter, in proportion": {sheet.Table{
			Columns: []sheet.Column{{Align: sheet.Right}, {Bar: true}},
			Rows:    []sheet.Row{row(sheet.Body, "23.6%", sheet.Bar(40)), row(sheet.Body, "11.9%", sheet.Bar(21)), row(sheet.Body, "0.1%", sheet.Bar(1)), row(sheet.Body, "0.0%", "")},
		}, 17, "23.6%  ██████████\n11.9%  █████\n 0.1%  ▌\n 0.0%\n"},
		"the highest number is left out first, the later of equals": {sheet.Table{
			Columns: []sheet.Column{{Head: "aaaa"}, {Head: "bbbb", Optional: 1}, {Head: "cccc", Optional: 2}, {Key: "dddd", Optional: 2}},
			Rows:    []sheet.Row{row(sheet.Body, "1", "2", "3", "4444")},
		}, 16, "aaaa  bbbb  cccc\n────────────────\n1     2     3\nhidden columns\n(window too\nnarrow): dddd\n"},
		"figures without room follow below where a table is continued": {sheet.Table{
			Continued: true,
			Columns:   []sheet.Column{{Head: "item"}, {Head: "what", Optional: 9}, {Head: "duty", Align: sheet.Right, Optional: 1}, {Head: "tax", Align: sheet.Right, Optional: 2}},
			Rows:      []sheet.Row{row(sheet.Group, "crate"), row(sheet.Body, "jack", "a plane", "1.00", "2.00"), row(sheet.Sum, "sum", "", "1.00", "2.00")},
		}, 11, "item  duty\n──────────\ncrate\njack  1.00\n      ────\nsum   1.00\n\nitem   tax\n──────────\njack  2.00\n      ────\nsum   2.00\nhidden\ncolumns\n(window too\nnarrow):\nwhat\n"},
		"texts alone do not": {sheet.Table{
			Continued: true,
			Columns:   []sheet.Column{{Head: "item"}, {Head: "what", Optional: 1}},
			Rows:      []sheet.Row{row(sheet.Body, "jack", "a smoothing plane")},
		}, 20, "item\n────\njack\nhidden columns\n(window too narrow):\nwhat\n"},
		"a short text column needs no more than its text": {sheet.Table{
			Columns: []sheet.Column{{Wrap: true}, {Align: sheet.Right, Optional: 1}},
			Rows:    []sheet.Row{row(sheet.Body, "plane", "12.00")},
		}, 12, "plane  12.00\n"},
		"text columns share the room": {sheet.Table{
			Columns: []sheet.Column{{Wrap: true, Min: 2}, {Wrap: true, Min: 2}},
			Rows:    []sheet.Row{row(sheet.Body, "aa bb cc dd", "aa bb cc dd")},
		}, 12, "aa bb  aa bb\ncc dd  cc dd\n"},
		"missing cells are empty": {sheet.Table{
			Columns: []sheet.Column{{Head: "a"}, {Head: "b"}},
			Rows:    []sheet.Row{row(sheet.Body), row(sheet.Sum, "x")},
		}, 0, "a  b\n────\n\nx\n"},
	} {
		s := &sheet.Sheet{Blocks: []sheet.Block{&c.table}}
		if got := text(t, s, sheet.Terminal{Width: c.width}); got != c.want {
			t.Errorf("%s: got\n%s\nwant\n%s", name, got, c.want)
		}
		if got, want := text(t, s.WithCommas(), sheet.Terminal{Width: c.width}), sheet.Commas(c.want); got != want {
			t.Errorf("%s, with commas: got\n%s\nwant\n%s", name, got, want)
		}
	}
}

// The pictures are those of the Unicode block Control Pictures (U+2400 to U+2421).
func TestHostileText(t *testing.T) {
	for in, want := range map[string]string{
		"\x1b]0;title\a":      "␛]0;title␇",
		"a\x00b\x7fc":         "a␀b␡c",
		"\u009b31m":           `\u009b31m`,
		"pay \u202e00.1":      `pay \u202e00.1`,
		"\U000e0041":          `\U000e0041`,
		"tab\there":           "tab here",
		"bad \xff byte":       "bad \ufffd byte",
		"family 👩\u200d👧":     "family 👩\u200d👧",
		"line\u2028separator": `line\u2028separator`,
	} {
		if got := text(t, &sheet.Sheet{Blocks: []sheet.Block{sheet.Text(in)}}, sheet.Terminal{}); got != want+"\n" {
			t.Errorf("%q: got %q, want %q", in, got, want)
		}
	}
}

func TestMisshapenTable(t *testing.T) {
	defer func() {
		if got, want := recover(), `table "Costs": a row has 3 cells, want at most 2`; got != want {
			t.Errorf("got %v, want %q", got, want)
		}
	}()
	table := &sheet.Table{Title: "Costs", Columns: make([]sheet.Column, 2)}
	table.Add("a", "b")
	table.Add("a", "b", "c")
}

// runeCells is the width of a rune after UAX #11 by the tables of golang.org/x/text.
func runeCells(r rune) int {
	if unicode.In(r, unicode.Mn, unicode.Me) {
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// grid spreads a line over terminal cells; the second cell of a wide character is empty.
func grid(line string) []string {
	var g []string
	for _, r := range line {
		switch runeCells(r) {
		case 0:
			g[len(g)-1] += string(r)
		case 1:
			g = append(g, string(r))
		case 2:
			g = append(g, string(r), "")
		}
	}
	return g
}

func bare(s string) string { return strings.Join(strings.Fields(s), "") }

var (
	word   = rapid.StringMatching(`[a-zàü]{1,14}|([a-z]\x{301}?){1,9}|[鉋鑿製図器のセッー（）、]{1,14}|[a-z]{2}[鉋鑿の「]{3}[a-z]{2}`)
	phrase = rapid.Map(rapid.SliceOfN(word, 0, 6), func(w []string) string { return strings.Join(w, " ") })
	figure = rapid.StringMatching(`[0-9]{1,7}\.[0-9]{2}`)
)

// Two text columns with figures between them, which makes it possible to find the columns again
// in what was drawn.
func TestNothingLostAndAllAligned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := &sheet.Table{Columns: []sheet.Column{{Head: "A", Wrap: true}, {Head: "B", Align: sheet.Right}, {Head: "C", Wrap: true, Min: 4}}}
		need := 8 + 2 + 1 + 2 + 4
		var first, third string
		var figures []string
		for range rapid.IntRange(1, 6).Draw(t, "rows") {
			a, b, c := phrase.Draw(t, "a"), figure.Draw(t, "b"), phrase.Draw(t, "c")
			table.Rows = append(table.Rows, row(sheet.Body, a, b, c))
			first, third, figures = first+bare(a), third+bare(c), append(figures, b)
			need = max(need, 8+2+len(b)+2+4)
		}
		limit := need + rapid.IntRange(0, 80).Draw(t, "spare")
		out := text(t, &sheet.Sheet{Blocks: []sheet.Block{table}}, sheet.Terminal{Width: limit})

		drawn := strings.Split(strings.TrimSuffix(out, "\n"), "\n")
		b, c := strings.Index(drawn[0], "B")+1, strings.Index(drawn[0], "C")
		var gotFirst, gotThird string
		var gotFigures []string
		for i, line := range drawn {
			g := grid(line)
			if len(g) > limit {
				t.Fatalf("line %q takes %d cells of %d", line, len(g), limit)
			}
			if i < 2 {
				continue
			}
			for len(g) < c {
				g = append(g, " ")
			}
			if gap := strings.Join(g[b:c], ""); gap != "  " {
				t.Fatalf("%q stands between the columns in line %q", gap, line)
			}
			left := strings.Join(g[:b], "")
			if i := strings.IndexAny(left, "0123456789"); i >= 0 {
				gotFigures, left = append(gotFigures, left[i:]), left[:i]
			}
			gotFirst, gotThird = gotFirst+bare(left), gotThird+bare(strings.Join(g[c:], ""))
		}
		if gotFirst != first || gotThird != third || fmt.Sprint(gotFigures) != fmt.Sprint(figures) {
			t.Fatalf("lost in\n%s\nwant %q, %q, %q\ngot %q, %q, %q", out, first, figures, third, gotFirst, gotFigures, gotThird)
		}
	})
}

func TestDecimalPointsMeet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := &sheet.Table{Columns: []sheet.Column{{Align: sheet.Decimal}}}
		for _, f := range rapid.SliceOfN(rapid.StringMatching(`-?[0-9]{1,9}(\.[0-9]{1,6})?`), 1, 8).Draw(t, "figures") {
			table.Rows = append(table.Rows, row(sheet.Body, f))
		}
		units := -1
		out := text(t, &sheet.Sheet{Blocks: []sheet.Block{table}}, sheet.Terminal{})
		for line := range strings.Lines(out) {
			whole, _, _ := strings.Cut(strings.TrimSuffix(line, "\n"), ".")
			if units >= 0 && len(whole) != units {
				t.Fatalf("points do not meet in\n%s", out)
			}
			units = len(whole)
		}
	})
}

var sgr = regexp.MustCompile("\x1b\\[[0-9]+m")

func anySheet(t *rapid.T) *sheet.Sheet {
	s := &sheet.Sheet{}
	table := &sheet.Table{Title: rapid.String().Draw(t, "title")}
	for range rapid.IntRange(0, 4).Draw(t, "columns") {
		table.Columns = append(table.Columns, sheet.Column{
			Head: rapid.String().Draw(t, "head"), Align: sheet.Align(rapid.IntRange(0, 2).Draw(t, "align")),
			Wrap: rapid.Bool().Draw(t, "wrap"), Optional: rapid.IntRange(0, 2).Draw(t, "optional"),
		})
	}
	for range rapid.IntRange(0, 4).Draw(t, "rows") {
		r := sheet.Row{Kind: rapid.SampledFrom([]sheet.RowKind{sheet.Body, sheet.Sum}).Draw(t, "kind")}
		for range table.Columns {
			r.Cells = append(r.Cells, sheet.Cell{Text: rapid.String().Draw(t, "cell"), Tone: sheet.Tone(rapid.IntRange(0, 4).Draw(t, "tone"))})
		}
		table.Rows = append(table.Rows, r)
	}
	note := sheet.Note{Kind: sheet.NoteKind(rapid.IntRange(0, 2).Draw(t, "note kind")), Text: rapid.String().Draw(t, "note")}
	s.Blocks = append(s.Blocks, sheet.Text(rapid.String().Draw(t, "text")), table, note)
	return s
}

func TestColourChangesNothingElse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, w := anySheet(t), rapid.IntRange(0, 90).Draw(t, "width")
		plain, coloured := text(t, s, sheet.Terminal{Width: w}), text(t, s, sheet.Terminal{Width: w, Colour: true})
		if got := sgr.ReplaceAllString(coloured, ""); got != plain {
			t.Fatalf("got %q, want %q", got, plain)
		}
		if again := text(t, s, sheet.Terminal{Width: w}); again != plain {
			t.Fatalf("a second time %q, first %q", again, plain)
		}
	})
}

func FuzzWriteText(f *testing.F) {
	f.Add("平鉋 two-inch\nplane", "1,204.50", 20)
	f.Add("\x1b[2J\u202e", "\u009b1m\xff", 1)
	f.Add("a\U0001f3fb\U0001f3fb\u0301", "👩\u200d👧", 3)
	f.Fuzz(func(t *testing.T, a, b string, width int) {
		s := &sheet.Sheet{Blocks: []sheet.Block{
			sheet.Heading(a), sheet.Text(b), sheet.Note{Kind: sheet.Caution, Text: a},
			&sheet.Table{
				Title:   b,
				Columns: []sheet.Column{{Head: a, Wrap: true}, {Head: b, Align: sheet.Decimal, Optional: 1}, {Align: sheet.Right}},
				Rows:    []sheet.Row{row(sheet.Group, a), row(sheet.Body, a, b, a), row(sheet.Sum, b, a, b)},
			},
		}}
		out := text(t, s, sheet.Terminal{Width: width})
		if !utf8.ValidString(out) {
			t.Fatalf("not UTF-8: %q", out)
		}
		for _, r := range out {
			if r != '\n' && r != '\u200c' && r != '\u200d' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) {
				t.Fatalf("%U goes to the terminal in %q", r, out)
			}
		}
		for line := range strings.Lines(out) {
			if n := sheet.Cells(strings.TrimSuffix(line, "\n")); width >= 30 && n > width {
				t.Fatalf("%d cells in a terminal of %d: %q", n, width, line)
			}
		}
	})
}

func BenchmarkWriteText(b *testing.B) {
	table := haul().Blocks[2].(*sheet.Table)
	for len(table.Rows) < 1000 {
		table.Rows = append(table.Rows, table.Rows[1:5]...)
	}
	s := &sheet.Sheet{Blocks: []sheet.Block{table}}
	for b.Loop() {
		text(b, s, sheet.Terminal{Width: 60})
	}
}

func ExampleSheet_WriteText() {
	s := &sheet.Sheet{Blocks: []sheet.Block{&sheet.Table{
		Columns: []sheet.Column{{Head: "Piece", Key: "piece", Wrap: true}, {Head: "CAD", Key: "landed_cad", Align: sheet.Right}},
		Rows: []sheet.Row{
			{Cells: []sheet.Cell{{Text: "平鉋 (plane)"}, {Text: "1,204.50", Data: "1204.50"}}},
			{Cells: []sheet.Cell{{Text: "brace"}, {Text: "38.07"}}},
			{Kind: sheet.Sum, Cells: []sheet.Cell{{Text: "together"}, {Text: "1,242.57"}}},
		},
	}}}
	if err := s.WriteText(os.Stdout, sheet.Terminal{Width: 60}); err != nil {
		fmt.Println(err)
	}
	// Output:
	// Piece              CAD
	// ──────────────────────
	// 平鉋 (plane)  1,204.50
	// brace            38.07
	//               ────────
	// together      1,242.57
}
