package input_test

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

func parse(t testing.TB, text string) (input.Node, *collect.Report) {
	t.Helper()
	var report collect.Report
	n, err := input.ParseYAML("a.yaml", []byte(text), &report)
	if err != nil {
		t.Fatal(err)
	}
	return n, &report
}

// group is a value as a group of keys.
func group(n input.Node, keys ...string) *input.Map {
	return n.Map(keys...)
}

// A reader that wants another kind of value than there is gets nothing, and a
// fault says what belongs there.
func TestWrongKinds(t *testing.T) {
	text := func(n input.Node) bool { _, ok := n.Text(); return ok }
	list := func(n input.Node) bool { return n.List(false) != nil }
	keys := func(n input.Node) bool { return group(n, "a").Has("a") }
	cases := []struct {
		name, text string
		read       func(input.Node) bool
		want       string
	}{
		{"text of text", "v: x", text, ""},
		{"text of a list", "v: [x]", text, "a.yaml:1:4: v: one value belongs here, not a list: write it on one line, as in key: value"},
		{"text of a group", "v: {a: x}", text, "a.yaml:1:4: v: one value belongs here, not a group of keys: write it on one line, as in key: value"},
		{"list of text", "v: x", list, `a.yaml:1:4: v: a list belongs here, not a single value: put it in brackets, as in [ … ]`},
		{"list of a list", "v: [x]", list, ""},
		{"list of a group", "v: {a: x}", list, `a.yaml:1:4: v: a list belongs here, not a group of keys: put it in brackets, as in [ … ]`},
		{"list of a group on lines of its own", "v:\n  a: x\n", list, `a.yaml:2:3: v: a list belongs here, not a group of keys: begin each entry with a dash, as in "- …"`},
		{"keys of text", "v: x", keys, `a.yaml:1:4: v: a group of keys belongs here, not a single value: write each as "key: value", of the keys a`},
		{"keys of a list", "v: [x]", keys, `a.yaml:1:4: v: a group of keys belongs here, not a list: write each as "key: value", of the keys a`},
		{"keys of a group", "v: {a: x}", keys, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			n, report := parse(t, c.text)
			ok, got := c.read(group(n, "v").Get("v")), ""
			if err := report.Err(); err != nil {
				got = err.Error()
			}
			if got != c.want || ok != (c.want == "") {
				t.Errorf("read %v\ngot  %s\nwant %s", ok, got, c.want)
			}
		})
	}
}

// What is not given is no fault in itself, of whatever kind it is wanted.
func TestNotGiven(t *testing.T) {
	for _, text := range []string{"w: x", "v:", "v: null", "v: ~"} {
		n, report := parse(t, text)
		v := group(n, "v", "w").Get("v")
		if _, ok := v.Text(); ok || v.Given() || v.IsText() || v.IsList() || v.IsMap() || v.List(true) != nil || group(v, "a").Has("a") {
			t.Errorf("%q: a value was found", text)
		}
		if report.Len() != 0 {
			t.Errorf("%q: %v", text, report.Err())
		}
		if group(v, "a").Require("a", "write it"); report.Len() != 1 {
			t.Errorf("%q: what is required was not missed", text)
		}
	}
	var none input.Node
	if none.Given() || none.Origin() != (source.Origin{}) {
		t.Error("the zero node is something")
	}
}

func TestCells(t *testing.T) {
	var report collect.Report
	where := func() (source.Origin, string) {
		return source.Origin{File: "a.csv", Line: 2, Column: 5}, "item a: count"
	}
	cell := input.Cell("two", &report, where)
	if text, ok := cell.Text(); !ok || text != "two" || !cell.IsText() || len(cell.List(true)) != 1 || report.Len() != 0 {
		t.Errorf("the cell reads %q, %v", text, report.Err())
	}
	cell.Map("a")
	cell.List(false)
	input.Scalar(cell, strconv.Atoi)
	input.Cell(strings.Repeat("鉋", input.MaxText+1), &report, where).Text()
	input.Missing(&report, where).Fail("count is missing", "write it")
	want := `a.csv:2:5: item a: count: a group of keys belongs here, not a single value: write each as "key: value", of the keys a
a.csv:2:5: item a: count: a list belongs here, not a single value: put it in brackets, as in [ … ]
a.csv:2:5: item a: count: strconv.Atoi: parsing "two": invalid syntax
a.csv:2:5: item a: count: the text is 501 characters long: shorten it to 500 at most
a.csv:2:5: item a: count: count is missing: write it`
	if got := report.Err().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if !errors.Is(report.Err(), strconv.ErrSyntax) {
		t.Error("the parser's own error is lost")
	}
}

func TestEntries(t *testing.T) {
	n, report := parse(t, "b: 1\na: 2\nb: 3\n[c]: 4\n")
	var names []string
	n.Entries(func(name string, key, value input.Node) {
		text, _ := value.Text()
		names = append(names, fmt.Sprint(name, "=", text, " at ", key.Origin()))
	})
	if got, want := strings.Join(names, "; "), "b=1 at a.yaml:1:1; a=2 at a.yaml:2:1"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	want := `a.yaml:3:1: the key "b" stands twice: keep one of them` + "\n" + `a.yaml:4:1: a key must be a word: write "key: value"`
	if got := report.Err().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestQuote(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"a \"b\"\t", `"a \"b\"\t"`},
		{strings.Repeat("鉋", 500), `"` + strings.Repeat("鉋", 500) + `"`},
		{strings.Repeat("鉋", 501), `"` + strings.Repeat("鉋", 60) + `…"`},
	} {
		if got := input.Quote(c.text); got != c.want {
			t.Errorf("got %s, want %s", got, c.want)
		}
	}
}

// lines splits text where YAML ends a line. What is not UTF-8 is no YAML, and
// only line feeds count.
func lines(text string) []string {
	text = strings.TrimPrefix(text, "\uFEFF")
	if !utf8.ValidString(text) {
		return strings.Split(text, "\n")
	}
	return strings.Split(strings.NewReplacer("\r\n", "\n", "\r", "\n", "\u0085", "\n", "\u2028", "\n", "\u2029", "\n").Replace(text), "\n")
}

// FuzzYAML: nothing panics, and every value and fault lies inside the text. A
// value that was left out at its end may be at the beginning of a next line.
func FuzzYAML(f *testing.F) {
	for _, seed := range []string{"a: 1\n", "- 平鉋: {b: [c, 'd']}\n", "\xef\xbb\xbfa: |\r\n  b\r\n", "? [a]\n: b", "a: &x 1\nb: *x", "\ta: 1", "[a", "--- a\n--- b", "'", "a:\n\t- b"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 16<<10 {
			t.Skip()
		}
		all := lines(text)
		inside := func(at source.Origin) {
			if at.Line == len(all)+1 && at.Column == 1 {
				return
			}
			if at.Line < 0 || at.Line > len(all) || at.Column < 0 {
				t.Fatalf("%v lies outside %d lines of %q", at, len(all), text)
			}
			if at.Line > 0 && at.Column > utf8.RuneCountInString(all[at.Line-1])+1 {
				t.Fatalf("%v lies outside line %q", at, all[at.Line-1])
			}
		}
		var report collect.Report
		n, err := input.ParseYAML("a.yaml", []byte(text), &report)
		if err == nil {
			walk(n, inside)
			findsKeys(t, n)
			err = report.Err()
		} else if n.Given() {
			t.Error("a document beside an error")
		}
		var faults source.Faults
		if err != nil && !errors.As(err, &faults) {
			t.Fatalf("not faults: %v", err)
		}
		for _, fault := range faults {
			inside(fault.At)
		}
	})
}

// findsKeys: a group of keys is found again by where it begins, and each key
// in it.
func findsKeys(t *testing.T, n input.Node) {
	if n.IsList() {
		for _, entry := range n.List(false) {
			findsKeys(t, entry)
		}
	}
	if !n.IsMap() {
		return
	}
	n.Entries(func(name string, key, value input.Node) {
		want := key.Origin()
		if value.Given() && value.Origin().Line == want.Line {
			want = value.Origin()
		}
		if got := n.Origin().Key(name); got.String() != want.String() {
			t.Errorf("the key %q of the group at %v is found at %v, not at %v", name, n.Origin(), got, want)
		}
		findsKeys(t, value)
	})
}

func walk(n input.Node, inside func(source.Origin)) {
	inside(n.Origin())
	inside(n.Origin().Key("a"))
	inside(n.Origin().Entry(1))
	inside(n.Origin().Entry(0, "a", "b"))
	switch {
	case n.IsList():
		for _, entry := range n.List(false) {
			walk(entry, inside)
		}
	case n.IsMap():
		n.Entries(func(_ string, key, value input.Node) {
			inside(key.Origin())
			walk(value, inside)
		})
	default:
		n.Text()
	}
}

// What could keep the parser busy is answered soon: these are the worst found
// of 16 MiB, or of a million values.
func BenchmarkHostile(b *testing.B) {
	whole := func(s string) string { return strings.Repeat(s, input.MaxBytes/len(s)-1) }
	for _, c := range []struct{ name, text string }{
		{"open brackets", whole("[")},
		{"empty entries", whole("- \n")},
		{"a million entries", strings.Repeat("-\n", 999_999)},
		{"a million keys", "{" + strings.Repeat("a,", 999_998) + "}"},
		{"words", whole("x ")},
		{"long key", "? " + whole("k") + "\n"},
		{"long number", "a: " + whole("9")[3:]},
		{"anchors", strings.Repeat("&a b: c\n", 499_999)},
		{"comments", whole("# a\n")[8:] + "a: 1\n"},
		{"deep", strings.Repeat("[", 9_999) + strings.Repeat("]", 9_999)},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				var report collect.Report
				if n, err := input.ParseYAML("a.yaml", []byte(c.text), &report); err == nil {
					n.Map("a")
				}
			}
		})
	}
}

func ExampleParseYAML() {
	text := "title: Three crates\ncuont: two\ncount: 2\n"
	var report collect.Report
	n, err := input.ParseYAML("crates.yaml", []byte(text), &report)
	if err != nil {
		fmt.Println(err)
		return
	}
	m := n.Map("title", "count")
	count, _ := input.Scalar(m.Get("count"), strconv.Atoi)
	fmt.Println(count)
	fmt.Println(report.Err())
	// Output:
	// 2
	// crates.yaml:2:1: unknown key "cuont": did you mean count?
}

// TestBrief: a value in a few words, whatever it is, and none of it is reported to
// be wrong.
func TestBrief(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"v: 2%", "2%"},
		{"v:", ""},
		{"v: [a, b c]", "a, b c"},
		{"v: [{a: b}, {a: c}]", "2 of them"},
		{"v: {a: b, c: [d]}", "a: b, c"},
		{"v: {a: b, a: c}", "a: b, a: c"},
		{"v: " + strings.Repeat("long", 200), strings.Repeat("long", 15) + "…"},
	} {
		n, report := parse(t, c.text)
		n.Each(func(_ string, v input.Node) {
			if got := v.Brief(); got != c.want || report.Len() > 0 {
				t.Errorf("%s: got %q, want %q", c.text, got, c.want)
			}
		})
	}
}
