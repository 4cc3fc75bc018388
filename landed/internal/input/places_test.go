package input_test

import (
	"fmt"
	"strings"
	"testing"

	"lotcost/landed/source"
)

// Each case marks in the text where it begins (from) and where it is to arrive.
func TestBelow(t *testing.T) {
	key := func(keys ...string) func(source.Origin) source.Origin {
		return func(o source.Origin) source.Origin { return o.Key(keys...) }
	}
	entry := func(i int, keys ...string) func(source.Origin) source.Origin {
		return func(o source.Origin) source.Origin { return o.Entry(i, keys...) }
	}
	cases := []struct {
		name, text string
		ask        func(source.Origin) source.Origin
	}{
		{"value on the line of its key", "- ›a: 1\n  b: ‸2\n", key("b")},
		{"first key", "- ›a: ‸1\n", key("a")},
		{"value below its key", "- ›a: 1\n  ‸b:\n    c: 2\n", key("b")},
		{"key below a key", "- ›a: 1\n  b:\n    c: ‸2\n", key("b", "c")},
		{"value left empty", "- ›a: 1\n  ‸b:\n  c: 2\n", key("b")},
		{"group in braces", "- ›a: 1\n  b: {c: 1, d: ‸2}\n", key("b", "d")},
		{"no such key", "- ‸›a: 1\n", key("b")},
		{"no such key below one", "- ›a: 1\n  b: ‸{c: 1}\n", key("b", "d")},
		{"entry in brackets", "- ›a: [x, ‸y]\n", entry(1, "a")},
		{"entry below its key", "- ›a:\n  - x\n  - ‸y\n", entry(1, "a")},
		{"value for a list of one", "- ›a: ‸x\n", entry(0, "a")},
		{"no such entry", "- ›a: ‸[x]\n", entry(3, "a")},
		{"entry of an entry", "- ›a: [[x], [y, ‸z]]\n", func(o source.Origin) source.Origin { return o.Entry(1, "a").Entry(1) }},
		{"key of an entry", "- ›a:\n    - b: 1\n    - b: ‸2\n", func(o source.Origin) source.Origin { return o.Entry(1, "a").Key("b") }},
		{"characters, not bytes", "- ›a: {平鉋: 1, b: ‸2}\n", key("b")},
		{"key below a word", "- ›a: ‸x\n", key("a", "b")},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if strings.HasPrefix(c.name, "characters") {
				c.ask = key("a", "b")
			}
			begin := mark(c.text, "›", "‸")
			text := strings.NewReplacer("›", "", "‸", "").Replace(c.text)
			n, _ := parse(t, text)
			from := n.List(false)[0].Origin()
			if from.String() != begin {
				t.Fatalf("begins at %s, not at %s", from, begin)
			}
			if got, want := c.ask(from).String(), mark(c.text, "‸", "›"); got != want {
				t.Errorf("got %s, want %s", got, want)
			}
		})
	}
}

// mark counts line and column of a mark in a text that has another mark too.
func mark(text, here, other string) string {
	before, _, _ := strings.Cut(strings.ReplaceAll(text, other, ""), here)
	line := before[strings.LastIndexByte(before, '\n')+1:]
	return fmt.Sprintf("a.yaml:%d:%d", 1+strings.Count(before, "\n"), 1+len([]rune(line)))
}

// From the file itself keys are those of the whole document; what a program
// made has nothing below it.
func TestBelowTheRoot(t *testing.T) {
	n, _ := parse(t, "a: 1\nb: [2, 3]\n")
	file := group(n, "a", "b", "c").Get("c").Origin() // not given, so it is the file
	if got := file.Entry(1, "b").String(); got != "a.yaml:2:8" {
		t.Errorf("got %s", got)
	}
	made := source.Origin{File: "a.yaml", Line: 2, Column: 1}
	if made.Key("b") != made || made.Entry(1) != made {
		t.Error("a place was found below nowhere")
	}
}

// Warnings are apart from faults, in the order of the text.
func TestWarnings(t *testing.T) {
	n, report := parse(t, "a: 1\nb: 2\n")
	m := n.Map("a", "b")
	m.Get("b").Warn("strange", "look at it")
	m.Get("a").Warn("strange", "")
	if report.Len() != 0 || report.Err() != nil {
		t.Errorf("a warning is a fault: %v", report.Err())
	}
	want := "a.yaml:1:4: warning: a: strange\na.yaml:2:4: warning: b: strange: look at it"
	if got := report.Warnings().Error(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for range source.MaxFaults {
		m.Get("a").Warn("strange", "")
	}
	if got := len(report.Warnings()); got != source.MaxFaults || report.Len() != 0 {
		t.Errorf("%d warnings are kept, %d faults", got, report.Len())
	}
}
