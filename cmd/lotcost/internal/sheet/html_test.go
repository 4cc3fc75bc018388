package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
)

func TestTypeset(t *testing.T) {
	for _, c := range []struct {
		in  string
		all bool
		out string
	}{
		{"Bid up to 4700 JPY for crate", false, "Bid up to 4 700 JPY for crate"},
		{"a loss of 1234567.89 CAD", false, "a loss of 1 234 567.89 CAD"},
		{"profit -0.50 CAD, -1234 JPY", false, "profit −0.50 CAD, −1 234 JPY"},
		{"rules of 2026, section 10345", false, "rules of 2026, section 10345"},
		{"on 2026-10-03", true, "on 2026-10-03"},
		{"lot-1234 JPY", false, "lot-1234 JPY"},
		{"id4711.50", false, "id4711.50"},
		{"-1234567", true, "−1 234 567"},
		{"1234,50", true, "1 234,50"},
		{"999", true, "999"},
		{"2 x 1234.56", true, "2 x 1 234.56"},
		{"12345.6%", true, "12 345.6%"},
		{"1 JPY = 0.93 / 100 CAD", false, "1 JPY = 0.93 / 100 CAD"},
		{"+800", true, "+800"},
		{"007", true, "007"},
		{"a return of -3,9%, 1.5% less", false, "a return of −3,9%, 1.5% less"},
		{"tariff code 8205.59", false, "tariff code 8205.59"},
	} {
		if got := strings.ReplaceAll(typeset(c.in, c.all), thin, " "); got != c.out {
			t.Errorf("%q: %q, want %q", c.in, got, c.out)
		}
	}
}

// TestUnbroken: a line breaks neither in a figure nor between it and its currency, in a page's
// prose and in what the desk sets itself.
func TestUnbroken(t *testing.T) {
	var out bytes.Buffer
	if err := (&Sheet{}).Add(Text("It cost 1234.56 EUR, 20 EUR a piece, in 2026 EURO; bid 4700 JPY.")).WriteHTML(&out, true); err != nil {
		t.Fatal(err)
	}
	if got, want := out.String(), "<p>It cost <data value=\"1234.56\">1\u2009234,56 EUR</data>, <data value=\"20\">20 EUR</data> a piece, in 2026 EURO; bid <data value=\"4700\">4\u2009700 JPY</data>.</p>\n"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := Typeset("total cost 1234.56 EUR of 20 EUR, -3.50"), "total cost 1\u202f234.56\u00a0EUR of 20\u00a0EUR, −3.50"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestFolds: the records of a table that folds stand in folds on a page where they are many, each
// below its heading and once, with the sums behind; few stand as they are.
func TestFolds(t *testing.T) {
	for n, want := range map[int]string{
		30: "<table",
		31: `crate: 31 items, p1 to p31</summary><table<th colspan="1" scope="rowgroup">the crate</details><table<tr id="sum-sum"`,
		80: `crate: 50 items, p1 to p50</summary><table<th colspan="1" scope="rowgroup">the crate</details>` + `crate: 30 items, p51 to p80</summary><table<th colspan="1" scope="rowgroup">the crate</details><table<tr id="sum-sum"`,
	} {
		table := &Table{Topic: "costs", Folds: true, Columns: []Column{{Head: "item", Key: "id"}}}
		table.AddRow(Group, Cell{Text: "the crate", Data: "crate"})
		for i := range n {
			table.Add(fmt.Sprintf("p%d", i+1))
		}
		table.AddSum("sum")
		var out bytes.Buffer
		if err := New(table).WriteHTML(&out, false); err != nil {
			t.Fatal(err)
		}
		got := strings.Join(regexp.MustCompile(`crate: [0-9]+ items[^/]*</summary>|<table|<th colspan[^<]*|</details>|<tr id="sum-sum"`).FindAllString(out.String(), -1), "")
		if n > AtOnce && got != want || n == AtOnce && strings.Contains(out.String(), "<details") || strings.Count(out.String(), `id="item-p`) != n {
			t.Errorf("%d records: %s, want %s", n, got, want)
		}
	}
}

// TestFoldsOfHauls: of many hauls each fold says of which it is, or of which days, and neither a
// haul nor a day is parted by any.
func TestFoldsOfHauls(t *testing.T) {
	table := &Table{Topic: "stock", Folds: true, Columns: []Column{{Head: "haul", Key: "haul"}, {Head: "item", Key: "id"}}}
	for i := range 90 {
		table.Add(fmt.Sprintf("h%d", i/30+1), fmt.Sprintf("p%d", i%30+1))
	}
	days := &Table{Topic: "sales", Folds: true, Columns: []Column{{Head: "day", Key: "date"}, {Head: "haul", Key: "haul"}, {Head: "item", Key: "id"}}}
	for i := range 60 {
		days.Add(fmt.Sprintf("2026-10-%02d", i/10+1), fmt.Sprintf("h%d", i%7), "jack")
	}
	var out bytes.Buffer
	if err := New(table, days).WriteHTML(&out, false); err != nil {
		t.Fatal(err)
	}
	if got, want := regexp.MustCompile(`<summary>[^<]*`).FindAllString(out.String(), -1), []string{"<summary>h1: 30 items, p1 to p30", "<summary>h2: 30 items, p1 to p30", "<summary>h3: 30 items, p1 to p30", "<summary>2026-10-01 to 2026-10-03: 30 items", "<summary>2026-10-04 to 2026-10-06: 30 items"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestTight: a table that has room beside an answer in small letters alone is stacked no sooner
// than it has none.
func TestTight(t *testing.T) {
	for columns, want := range map[int]string{4: `class="s46"`, 5: `class="tight s52"`, 6: `class="s70"`} {
		table := &Table{Columns: make([]Column, columns)}
		row := make([]any, columns)
		for i := range row {
			table.Columns[i], row[i] = Column{Head: "cost", Align: Right}, "1,234,567,890,123"
		}
		table.Add(row...)
		var out bytes.Buffer
		if err := New(table).WriteHTML(&out, false); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(out.String(), want) {
			t.Errorf("%d columns: no %s in %.60s", columns, want, out.String())
		}
	}
}

// TestNamedAxis: a year under a chart is no figure, with a space between its thousands.
func TestNamedAxis(t *testing.T) {
	for names, want := range map[bool]string{true: ">2026</text>", false: ">2\u2009026</text>"} {
		var out bytes.Buffer
		plot := &Plot{X: Axis{What: "year", Print: func(int64) string { return "2026" }, Names: names}, Points: []Point{{X: 1, Y: 1}, {X: 2, Y: 1}}}
		if err := (&Sheet{}).Add(&Chart{Title: "years", Drawing: plot}).WriteHTML(&out, false); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(out.String(), want) {
			t.Errorf("names %t: no %s in\n%s", names, want, out.String())
		}
	}
}

// hostile are names that others may have written.
var hostile = []string{`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onmouseover='alert(1)`, "\u202egnp.exe", "a&amp;b", "]]>", "<!--", "javascript:alert(1)", "平鉋 <b>", "&#x3c;script>", "-->", "</style>", "</title>"}

// TestHostile wants names to be text in every place that takes one.
func TestHostile(t *testing.T) {
	for _, name := range hostile {
		table := &Table{Title: name, Columns: []Column{{Head: name, Key: "id"}, {Head: "cost", Key: "cost", Align: Right}},
			Rows: []Row{{Group, []Cell{{Text: name}}}, {Body, []Cell{{Text: name, Link: name}, {Text: name}}}, {Sum, []Cell{{Text: name}, {Text: "1"}}}}}
		doc := (&Sheet{}).Add(Heading(name), Text(name), Note{Caution, name}, Glance{{name, name}}, table, &Folded{Title: name, Blocks: []Block{Text(name)}},
			&Chart{Title: name, Says: name, Legend: []Key{{Loss, name}}, Remarks: []string{name}, Figures: table,
				Drawing: &Bars{Rows: []BarRow{{Label: name, Figure: name, Parts: []Part{{0, 1, 0, name}}, Marks: []Mark{{1, Tick, name}, {0, Dot, name}}}}, Axis: Axis{What: name}}},
			&Chart{Title: name, Drawing: &Plot{X: Axis{What: name}, Columns: []PlotColumn{{0, 1, 1, Loss, name}}, Rules: []Rule{{1, name}}, Points: []Point{{X: 1, Y: 1, What: name}}}})
		var out bytes.Buffer
		if err := doc.WriteHTML(&out, false); err != nil {
			t.Fatal(err)
		}
		// A fragment is XML but for its line breaks, so a reader of that finds what names became.
		texts := 0
		d := xml.NewDecoder(strings.NewReader("<all>" + strings.ReplaceAll(out.String(), "<br>", "<br/>") + "</all>"))
		d.Entity = map[string]string{}
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%q: %v\n%s", name, err, out.String())
			}
			if text, ok := token.(xml.CharData); ok && strings.Contains(string(text), strings.TrimSpace(strings.Trim(Visible(name), "<b> 平鉋"))) {
				texts++
			}
			e, ok := token.(xml.StartElement)
			if ok && slices.Contains([]string{"script", "style", "img", "b"}, e.Name.Local) {
				t.Errorf("%q became an element %s", name, e.Name.Local)
			}
			for _, a := range e.Attr {
				if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "style" || a.Name.Local == "href" && !strings.HasPrefix(a.Value, "#") {
					t.Errorf("%q became %s=%q", name, a.Name.Local, a.Value)
				}
			}
		}
		if texts < 15 {
			t.Errorf("%q stands in %d texts:\n%s", name, texts, out.String())
		}
		if strings.ContainsRune(out.String(), '\u202e') {
			t.Errorf("%q turns the text around", name)
		}
	}
}

// TestAddresses wants each row and each figure to have an address of its own.
func TestAddresses(t *testing.T) {
	table := func(title string) *Table {
		return &Table{Title: title, Columns: []Column{{Head: "item", Key: "id"}, {Head: "cost", Key: "cost", Align: Right}},
			Rows: []Row{{Body, []Cell{{Text: "jack"}, {Text: "1.00"}}}, {Body, []Cell{{Text: "jack"}, {Text: "2.00"}}}, {Sum, []Cell{{Text: "sum"}, {Text: "3.00"}}}}}
	}
	var out bytes.Buffer
	if err := (&Sheet{}).Add(table("Costs"), table("Prices")).WriteHTML(&out, false); err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"item-jack", "item-jack:cost", "costs", "costs-jack", "costs-sum:cost", "prices-jack", "prices-jack-2:cost"} {
		if strings.Count(out.String(), ` id="`+id+`"`) != 1 {
			t.Errorf("id %s stands %d times in\n%s", id, strings.Count(out.String(), ` id="`+id+`"`), out.String())
		}
	}
}

func TestLinks(t *testing.T) {
	var out bytes.Buffer
	if err := (&Sheet{}).Add(Text("see https://example.org/a?b=1&c=2, and (http://example.org).")).WriteHTML(&out, false); err != nil {
		t.Fatal(err)
	}
	want := `<p>see <a href="https://example.org/a?b=1&amp;c=2" rel="noreferrer">https://example.org/a?b=1&amp;c=2</a>, and (<a href="http://example.org" rel="noreferrer">http://example.org</a>).</p>` + "\n"
	if out.String() != want {
		t.Errorf("got  %s\nwant %s", out.String(), want)
	}
}
