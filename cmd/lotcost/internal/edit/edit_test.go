package edit_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/landed/source"
	"lotcost/testdata/effort"

	"go.yaml.in/yaml/v3"
	"pgregory.net/rapid"
)

type tester interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
	Fatal(...any)
}

func doc(t tester, text string) *edit.Doc {
	t.Helper()
	d, err := edit.Parse("haul.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func path(t tester, text string) edit.Path {
	t.Helper()
	p, err := edit.ParsePath(text)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func ExampleDoc_Set() {
	d, _ := edit.Parse("haul.yaml", []byte("lots:\n  - id: crate-a   # the heavy one\n    price: 42 CAD  # asked\n"))
	p, _ := edit.ParsePath("lots[crate-a].price")
	d, err := d.Set(p, "45 CAD")
	fmt.Print(string(d.Bytes()), err)
	// Output:
	// lots:
	//   - id: crate-a   # the heavy one
	//     price: 45 CAD  # asked
	// <nil>
}

const crate = "\ufefflotcost: 1\r\ntitle: \"A crate\"   # of planes\r\n\r\nhome: CAD\r\n\r\nlots:\r\n- id: crate\r\n  price: 42   # asked\r\n  items:\r\n    # the first\r\n    - {id: jack, what: 'Jack, iron', chances: [{chance: 60%, value: 38}, {chance: rest, value: 8}]}\r\n    - id: square\r\n      weight: 310 g # alone\r\n      # what it brings\r\n      value: 24 CAD\r\n"

func TestEdits(t *testing.T) {
	for _, test := range []struct{ path, value, was, is string }{
		{"lots[crate].price", "45 CAD", "price: 42   # asked", "price: 45 CAD   # asked"},
		{"title", "The crate # 2", `"A crate"   # of`, `"The crate # 2"   # of`},
		{"lots[0].items[jack].what", "Jack's", "'Jack, iron'", "'Jack''s'"},
		{"lots[0].items[0].chances[1].value", "1,5", "value: 8", `value: "1,5"`},
		{"lots[0].items[1].value", "1,5", "24 CAD", "1,5"},
		{"title", "Crates", `"A crate"`, `"Crates"`},
		{"lots[0].items[0].chances[0].chance", "one\u2028two", "60%", `"one\u2028two"`},
		{"home", "null", "home: CAD", `home: "null"`},
		{"date", "2026-10-03", "home: CAD\r\n", "home: CAD\r\ndate: 2026-10-03\r\n"},
		{"lots[crate].seller", "tidemark", "- id: crate\r\n", "- id: crate\r\n  seller: tidemark\r\n"},
		{"lots[crate].items[jack].count", "3", "iron', ", "iron', count: 3, "},
		{"lots[crate].items[square].found.sound", "1", "value: 24 CAD\r\n", "value: 24 CAD\r\n      found: {sound: 1}\r\n"},
		{"exchange.spread", "2.5%", "home: CAD\r\n", "home: CAD\r\n\r\nexchange:\r\n  spread: 2.5%\r\n"},
		{"lots[crate].items[jack].sold[+]", "41 CAD", "8}]}", "8}], sold: [41 CAD]}"},
		{"lots[crate].items[jack].chances[+].chance", "5%", "8}]}", "8}, {chance: 5%}]}"},
		{"lots[crate].items[+].id", "plough", "24 CAD\r\n", "24 CAD\r\n    - id: plough\r\n"},
		{"customs.classes[0]", "x", "24 CAD\r\n", "24 CAD\r\n\r\ncustoms:\r\n  classes: [x]\r\n"},
	} {
		d, err := doc(t, crate).Set(path(t, test.path), test.value)
		if err != nil {
			t.Errorf("%s: %v", test.path, err)
			continue
		}
		if want := strings.Replace(crate, test.was, test.is, 1); string(d.Bytes()) != want {
			t.Errorf("%s:\n%s\nwant\n%s", test.path, d.Bytes(), want)
		}
	}
}

// noted has a note beside everything.
const noted = "rates: [\n  a, # one\n  b, # two\n  c # three\n] # all\nhome: CAD\nvalue: # of each\n  - 60 CAD # the first\n  - 45 CAD\nsold: 41 CAD\nitems:\n  - id: jack # iron\n    # never used\n    count: 2\n  - id: square # brass\n  - # wood\n    id: plough # beech\ntogether:\n  - - jack\n    - square\n  - - plough\n"

// TestNotesBelow: a new key or entry goes below the notes that stand further in than it, with what
// they are about.
func TestNotesBelow(t *testing.T) {
	for _, test := range []struct{ was, path, is string }{
		{"lotcost: 1\nlots:\n  - id: a\n    # untested\n  # no more\n# paid in June\ncharges: []\n", "parcels[0].id", "lotcost: 1\nlots:\n  - id: a\n    # untested\n  # no more\nparcels:\n  - {id: x}\n# paid in June\ncharges: []\n"},
		{"lotcost: 1\nlots:\n  - id: a\n    # untested", "parcels[0].id", "lotcost: 1\nlots:\n  - id: a\n    # untested\nparcels:\n  - {id: x}"},
		{"lotcost: 1\nlots:\n  - id: a\n    # untested\n", "lots[a].seller", "lotcost: 1\nlots:\n  - id: a\n    seller: x\n    # untested\n"},
		{"lotcost: 1\nlots:\n  - id: a\n    # untested\n  # no more\n", "lots[1].id", "lotcost: 1\nlots:\n  - id: a\n    # untested\n  - id: x\n  # no more\n"},
	} {
		d, err := doc(t, test.was).Set(path(t, test.path), "x")
		if err != nil || string(d.Bytes()) != test.is {
			t.Errorf("%s: %v\n%s\nwant\n%s", test.path, err, d.Bytes(), test.is)
		}
	}
}

// TestNotes: what is changed or taken out takes no note with it that is beside another value.
func TestNotes(t *testing.T) {
	for _, test := range []struct{ path, value, was, is string }{
		{"rates[1]", "d", "b, # two", "d, # two"},
		{"rates[+]", "d", "c # three", "c, d # three"},
		{"rates", "d", "[\n  a, # one\n  b, # two\n  c # three\n]", "d"},
		{"value", "40 CAD", "value: # of each\n  - 60 CAD # the first\n  - 45 CAD\n", "value: 40 CAD\n"},
		{"sold[1]", "30 CAD", "41 CAD", "[41 CAD, 30 CAD]"},
		{"exchange.spread", "2.5%", "home: CAD\n", "home: CAD\nexchange:\n  spread: 2.5%\n"},
		{"rates[0]", "", "a, # one\n  ", ""},
		{"rates[1]", "", "b, # two\n  ", ""},
		{"rates[2]", "", "c # three", " # three"},
		{"items[jack].id", "", "id: jack #", " #"},
		{"items[square]", "", "  - id: square # brass\n", ""},
		{"items[plough]", "", "  - # wood\n    id: plough # beech\n", ""},
		{"together[0]", "", "  - - jack\n    - square\n", ""},
		{"together[0][0]", "", "jack\n    - ", ""},
		{"together[0][1]", "", "    - square\n", ""},
	} {
		d := doc(t, noted)
		var err error
		if test.value == "" {
			d, err = d.Delete(path(t, test.path))
		} else {
			d, err = d.Set(path(t, test.path), test.value)
		}
		if err != nil {
			t.Errorf("%s: %v", test.path, err)
			continue
		}
		if want := strings.Replace(noted, test.was, test.is, 1); string(d.Bytes()) != want {
			t.Errorf("%s:\n%s\nwant\n%s", test.path, d.Bytes(), want)
		}
	}
}

// TestShort: a bare price of a sale, or the bare day of a return, becomes a group of keys once more
// is said of it; other single values do not.
func TestShort(t *testing.T) {
	const sold = "sold:\n  - 41 CAD # at the fair\n  - {price: 9, returned: 2027-01-09}\n  - price: 8\n    returned: # both\n      - 2027-02-01\n"
	for _, test := range []struct{ path, value, was, is string }{
		{"sold[0].returned.date", "2027-01-09", "41 CAD #", "{price: 41 CAD, returned: {date: 2027-01-09}} #"},
		{"sold[0].venue", "fair", "41 CAD #", "{price: 41 CAD, venue: fair} #"},
		{"sold[1].returned.refund", "8,50", "returned: 2027-01-09", `returned: {date: 2027-01-09, refund: "8,50"}`},
		{"sold[1].returned", "2027-01-10", "2027-01-09", "2027-01-10"},
		{"sold[2].returned[0].as", "dead", "2027-02-01", "{date: 2027-02-01, as: dead}"},
		{"sold[2].returned[+].date", "2027-03-01", "2027-02-01\n", "2027-02-01\n      - {date: 2027-03-01}\n"},
	} {
		d, err := doc(t, sold).Set(path(t, test.path), test.value)
		if err != nil {
			t.Errorf("%s: %v", test.path, err)
			continue
		}
		if want := strings.Replace(sold, test.was, test.is, 1); string(d.Bytes()) != want {
			t.Errorf("%s:\n%s\nwant\n%s", test.path, d.Bytes(), want)
		}
	}
	if _, err := doc(t, sold).Set(path(t, "sold[2].price.more"), "1"); err == nil {
		t.Error("a price holds no keys")
	}
}

// TestEmpty fills in what a new file leaves empty.
func TestEmpty(t *testing.T) {
	const empty = "lots:\n  - id: lot-1\n    seller:                   # who\n    items:                    # a line for each\n      -                       # as in {id: jack}\n      # untested\nrates: [\n  ]\n"
	for _, test := range []struct{ path, value, was, is string }{
		{"lots[0].seller", "tidemark", "seller:    ", "seller: tidemark    "},
		{"lots[0].items[0].what", "Jack", "-                       #", "- {what: Jack}                       #"},
		{"rates[0]", "100 JPY = 0.93 CAD", "[\n  ]", "[100 JPY = 0.93 CAD]"},
	} {
		d, err := doc(t, empty).Set(path(t, test.path), test.value)
		if err != nil {
			t.Errorf("%s: %v", test.path, err)
			continue
		}
		if want := strings.Replace(empty, test.was, test.is, 1); string(d.Bytes()) != want {
			t.Errorf("%s:\n%s\nwant\n%s", test.path, d.Bytes(), want)
		}
	}
}

func TestDeletes(t *testing.T) {
	for _, test := range []struct{ path, was, is string }{
		{"lots[crate].price", "  price: 42   # asked\r\n", ""},
		{"lots[crate].id", "id: crate\r\n  ", ""},
		{"lots[crate].items[square].weight", "      weight: 310 g # alone\r\n", ""},
		{"lots[crate].items[square].id", "id: square\r\n      ", ""},
		{"lots[crate].items[jack].chances[0]", "{chance: 60%, value: 38}, ", ""},
		{"lots[crate].items[jack].chances[1].chance", "chance: rest, ", ""},
		{"lots[crate].items[jack].chances[1].value", ", value: 8", ""},
		{"lots[crate].items[square]", "    - id: square\r\n      weight: 310 g # alone\r\n      # what it brings\r\n      value: 24 CAD\r\n", ""},
		{"home", "home: CAD\r\n", ""},
		{"lots[crate].seller", "", ""},
	} {
		d, err := doc(t, crate).Delete(path(t, test.path))
		if err != nil {
			t.Errorf("%s: %v", test.path, err)
			continue
		}
		if want := strings.Replace(crate, test.was, test.is, 1); string(d.Bytes()) != want {
			t.Errorf("%s:\n%s\nwant\n%s", test.path, d.Bytes(), want)
		}
	}
}

func TestRefused(t *testing.T) {
	for _, test := range []struct{ text, path, want string }{
		{"items: list.csv\n", "items[0].count", `haul.yaml:1:8: items[0].count: "list.csv" stands here, and nothing can be put into it: where it names a file, change that file, or write the list in its place`},
		{"lots: [{id: a}]\n", "lots[b].price", `haul.yaml:1:7: lots[b].price: there is no entry with the id "b": add one first`},
		{"lots: [{id: a}]\n", "lots[4].price", "haul.yaml:1:7: lots[4].price: the list has 1 entries: add them in order"},
		{"lots: [{id: a}]\n", "lots.price", "haul.yaml:1:7: lots.price: what stands here is of another shape: change it in the file itself"},
		{"lots: [{id: a}]\n", "charges[2].what", "haul.yaml:1:1: charges[2].what: the list is not there yet: begin it with its first entry"},
		{"a: x\n", "a.b", `haul.yaml:1:4: a.b: "x" stands here, and nothing can be put into it: where it names a file, change that file, or write the list in its place`},
		{"? a\n: x\n", "a", ""},
	} {
		d, err := doc(t, test.text).Set(path(t, test.path), "9")
		if test.want == "" && err == nil {
			continue // it could be done
		}
		if err == nil || err.Error() != test.want {
			t.Errorf("%s: %v, %v", test.path, d, err)
		}
	}
}

// TestRefusedOut: a note that would become a part of the text above it keeps its key.
func TestRefusedOut(t *testing.T) {
	_, err := doc(t, "what: |\n  iron\ncount: 2\n  # never used\nkeep: 1\n").Delete(path(t, "count"))
	if want := "haul.yaml:3:8: count: this place cannot be changed without changing others: change it in the file itself"; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// TestAt finds the path of each place that a fault may name.
func TestAt(t *testing.T) {
	d := doc(t, crate)
	for _, test := range []struct {
		line, column int
		want         string
	}{{2, 1, "title"}, {8, 10, "lots[crate].price"}, {8, 3, "lots[crate].price"}, {11, 8, "lots[crate].items[jack].id"}, {11, 56, "lots[crate].items[jack].chances[0].chance"}, {15, 14, "lots[crate].items[square].value"}} {
		if got := d.At(source.Origin{Line: test.line, Column: test.column}).String(); got != test.want {
			t.Errorf("%d:%d is %s, want %s", test.line, test.column, got, test.want)
		}
	}
}

// TestPaths: a path reads as it is written, and what is none is told.
func TestPaths(t *testing.T) {
	for text, want := range map[string]edit.Path{
		`lots[crate-a].items[0].value`: {{Key: "lots"}, {ID: "crate-a"}, {Key: "items"}, {Index: 0}, {Key: "value"}},
		`[+]."a b"["7"]["+"]`:          {{Index: edit.New}, {Key: "a b"}, {ID: "7"}, {ID: "+"}},
		`a[-1]`:                        {{Key: "a"}, {ID: "-1"}},
	} {
		if p, err := edit.ParsePath(text); err != nil || !slices.Equal(p, want) {
			t.Errorf("%s: %v, %v", text, p, err)
		} else if again, err := edit.ParsePath(p.String()); err != nil || !slices.Equal(again, want) {
			t.Errorf("%s: %s, %v", text, p, err)
		}
	}
	for _, text := range []string{"", ".", ".a", "a.", "a..b", "a[", "a[]", "a[0", "a]", "[0]b", `a"b"`, `"a"b`} {
		if p, err := edit.ParsePath(text); err == nil {
			t.Errorf("%s is taken for %v", text, p)
		}
	}
}

// TestExamples sets every single value of the examples to another, and deletes each.
func TestExamples(t *testing.T) {
	files, _ := filepath.Glob("../../../../examples/*/*.yaml")
	if len(files) < 5 {
		t.Fatal("no examples")
	}
	at, nth := 0, effort.Cases(1, 5, 16)
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		d := doc(t, string(data))
		every(t, data, func(p edit.Path) {
			if at++; at%nth != 0 {
				return
			}
			for _, text := range []string{"7 CAD", "a: b # c", "", "[", "é “x”\nline"} {
				check(t, d, p, text)
			}
		})
	}
}

// every calls do with the path of every single value.
func every(t tester, data []byte, do func(p edit.Path)) {
	t.Helper()
	var tree any
	if err := yaml.Unmarshal(data, &tree); err != nil {
		t.Fatal(err)
	}
	var walk func(v any, p edit.Path)
	walk = func(v any, p edit.Path) {
		switch v := v.(type) {
		case map[string]any:
			for k, e := range v {
				walk(e, append(p[:len(p):len(p)], edit.Step{Key: k}))
			}
		case []any:
			for i, e := range v {
				walk(e, append(p[:len(p):len(p)], edit.Step{Index: i}))
			}
		default:
			do(p)
		}
	}
	walk(tree, nil)
}

// check sets a value and sees that nothing else changed: no value, and no other line.
func check(t tester, d *edit.Doc, p edit.Path, text string) {
	t.Helper()
	after, err := d.Set(p, text)
	if err != nil {
		t.Errorf("%s: %v", p, err)
		return
	}
	var was, is any
	if err := yaml.Unmarshal(d.Bytes(), &was); err != nil {
		t.Fatal(err)
	}
	if err := yaml.Unmarshal(after.Bytes(), &is); err != nil {
		t.Fatalf("%s: %v in\n%s", p, err, after.Bytes())
	}
	if got, ok := after.Text(p); !ok || got != text {
		t.Fatalf("%s reads %q, want %q in\n%s", p, got, text, after.Bytes())
	}
	if !reflect.DeepEqual(put(was, p, "x"), put(is, p, "x")) {
		t.Fatalf("%s: another value changed too:\n%s\n%s", p, d.Bytes(), after.Bytes())
	}
	before, now := bytes.SplitAfter(d.Bytes(), []byte("\n")), bytes.SplitAfter(after.Bytes(), []byte("\n"))
	if len(before) != len(now) {
		return // it stood on several lines
	}
	changed := 0
	for i := range before {
		if !bytes.Equal(before[i], now[i]) {
			changed++
		}
	}
	if changed > 1 {
		t.Fatalf("%s: %d lines changed", p, changed)
	}
}

// put returns a tree with another value at a path.
func put(v any, p edit.Path, with any) any {
	if len(p) == 0 {
		return with
	}
	switch v := v.(type) {
	case map[string]any:
		v[p[0].Key] = put(v[p[0].Key], p[1:], with)
	case []any:
		v[p[0].Index] = put(v[p[0].Index], p[1:], with)
	}
	return v
}

// TestRandom edits texts of every style that YAML has for groups, lists and values.
func TestRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := random(t)
		d, err := edit.Parse("haul.yaml", []byte(text))
		if err != nil {
			t.Skip("no YAML: ", err)
		}
		every(t, d.Bytes(), func(p edit.Path) {
			check(t, d, p, rapid.SampledFrom([]string{"7 CAD", "1,5 CAD", "x: y", "~", "#", "'", "two\nlines", " "}).Draw(t, "text"))
			removed(t, d, p)
			added(t, d, p)
		})
	})
}

// removed deletes a value and sees that the others stay.
func removed(t *rapid.T, d *edit.Doc, p edit.Path) {
	after, err := d.Delete(p)
	if err != nil {
		return // refused, and nothing was changed
	}
	var was, is any
	if err := errors.Join(yaml.Unmarshal(d.Bytes(), &was), yaml.Unmarshal(after.Bytes(), &is)); err != nil {
		t.Fatalf("%s: %v in\n%s", p, err, after.Bytes())
	}
	if want := without(was, p); !reflect.DeepEqual(is, want) {
		t.Fatalf("without %s it is %v, want %v:\n%s\n%s", p, is, want, d.Bytes(), after.Bytes())
	}
	if notes, left := bytes.Count(d.Bytes(), []byte("# above")), bytes.Count(after.Bytes(), []byte("# above")); notes > left+3 {
		t.Fatalf("%s took %d notes with it:\n%s\n%s", p, notes-left, d.Bytes(), after.Bytes())
	}
}

// without is a tree without what stands at a path, and what that leaves empty.
func without(v any, p edit.Path) any {
	switch v := v.(type) {
	case map[string]any:
		if len(p) > 1 {
			if v[p[0].Key] = without(v[p[0].Key], p[1:]); v[p[0].Key] != nil {
				return v
			}
		}
		if delete(v, p[0].Key); len(v) > 0 {
			return v
		}
	case []any:
		if len(p) > 1 {
			if v[p[0].Index] = without(v[p[0].Index], p[1:]); v[p[0].Index] != nil {
				return v
			}
		}
		if v = slices.Delete(v, p[0].Index, p[0].Index+1); len(v) > 0 {
			return v
		}
	}
	return nil
}

// added puts a new key beside a value, and sees that all lines stay.
func added(t *rapid.T, d *edit.Doc, p edit.Path) {
	if p[len(p)-1].Key == "" {
		p = append(p[:len(p)-1:len(p)-1], edit.Step{Index: edit.New})
	} else {
		p = append(p[:len(p)-1:len(p)-1], edit.Step{Key: "fresh"}, edit.Step{Key: "deep"})
	}
	after, err := d.Set(p, "1,5 CAD")
	if err != nil {
		t.Fatalf("%s: %v in\n%s", p, err, d.Bytes())
	}
	rest := after.Bytes()
	for _, c := range d.Bytes() { // all that stood there stands there still, in order
		at := bytes.IndexByte(rest, c)
		if at < 0 {
			t.Fatalf("%s: something is gone:\n%s\n%s", p, d.Bytes(), after.Bytes())
		}
		rest = rest[at+1:]
	}
}

// random writes a text in a mixture of styles.
func random(t *rapid.T) string {
	end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
	words := rapid.SampledFrom([]string{"4200 JPY", "x", "'it''s, so'", `"a \"b\""`, "60%", "2026-10-03", "é", "平鉋 寸八", "a#b", "http://x", "", "~", "|block", ">folded", "long\\text"})
	var b strings.Builder
	note := func(indent int) {
		switch rapid.IntRange(0, 5).Draw(t, "note") {
		case 0:
			b.WriteString(" # beside" + end)
		case 1:
			b.WriteString(end + strings.Repeat(" ", indent) + "# above" + end)
		case 2:
			b.WriteString(end + end)
		default:
			b.WriteString(end)
		}
	}
	var inFlow func(depth int) string
	inFlow = func(depth int) string {
		kind := rapid.IntRange(0, 3).Draw(t, "kind")
		var parts []string
		n := rapid.IntRange(0, 3).Draw(t, "entries")
		switch {
		case kind == 0 && depth > 0:
			for i := range n {
				parts = append(parts, fmt.Sprintf("k%d: %s", i, inFlow(depth-1)))
			}
			return "{" + strings.Join(parts, rapid.SampledFrom([]string{", ", ",", " ," + end + "      "}).Draw(t, "comma")) + "}"
		case kind == 1 && depth > 0:
			for range n {
				parts = append(parts, inFlow(depth-1))
			}
			return "[ " + strings.Join(parts, ", ") + " ]"
		}
		w := words.Draw(t, "word")
		if w == "" || w[0] == '|' || w[0] == '>' || strings.Contains(w, ":") {
			return "w"
		}
		return w
	}
	var group func(indent, depth int)
	value := func(indent, depth int) {
		kind := rapid.IntRange(0, 4).Draw(t, "kind")
		pad := strings.Repeat(" ", indent)
		switch {
		case kind == 0 && depth > 0:
			note(indent)
			b.WriteString(pad)
			group(indent, depth-1)
		case kind == 1 && depth > 0:
			in := indent - rapid.SampledFrom([]int{0, 2}).Draw(t, "dashes")
			for i := range rapid.IntRange(1, 3).Draw(t, "entries") {
				if i == 0 {
					b.WriteString(end)
				}
				b.WriteString(strings.Repeat(" ", in) + "- ")
				if rapid.Bool().Draw(t, "group") {
					group(in+2, depth-1)
				} else {
					b.WriteString(inFlow(1))
					note(in)
				}
			}
		case kind == 2:
			b.WriteString(" " + inFlow(2))
			note(indent)
		default:
			switch w := words.Draw(t, "word"); w {
			case "|block", ">folded":
				b.WriteString(" " + w[:1] + end + pad + "one" + end + pad + "two" + end)
			case "long\\text":
				b.WriteString(" begins" + end + pad + "and ends")
				note(indent)
			default:
				b.WriteString(" " + w)
				note(indent)
			}
		}
	}
	group = func(indent, depth int) {
		for i := range rapid.IntRange(1, 3).Draw(t, "keys") {
			if i > 0 {
				b.WriteString(strings.Repeat(" ", indent))
			}
			b.WriteString(rapid.SampledFrom([]string{"key%d:", `"key %d":`, "'k.%d':"}).Draw(t, "key"))
			text := strings.Replace(b.String(), "%d", fmt.Sprint(i), 1)
			b.Reset()
			b.WriteString(text)
			value(indent+2, depth)
		}
	}
	group(0, 3)
	text := b.String()
	if rapid.Bool().Draw(t, "mark") {
		text = "\ufeff" + text
	}
	if !strings.Contains(text, "two") && rapid.Bool().Draw(t, "ends at once") { // a line end is part of some texts
		text = strings.TrimRight(text, "\r\n")
	}
	return text
}

// TestPutSection: what is short stands on one line, and all else on lines of its own.
func TestPutSection(t *testing.T) {
	from := doc(t, "selling: {venues: [{name: gable, fees: [{what: commission, percent: 10%}], postage: {steps: [{up-to: 1 kg, cost: 9}]}}, {name: fair, ships: no}], target: 10%}\n")
	got, err := doc(t, "home: CAD\n\nlots: 1\n").Put(path(t, "selling"), from, path(t, "selling"))
	if err != nil {
		t.Fatal(err)
	}
	const want = `home: CAD

lots: 1

selling:
  venues:
    - name: gable
      fees:
        - {what: commission, percent: 10%}
      postage:
        steps:
          - {up-to: 1 kg, cost: 9}
    - {name: fair, ships: no}
  target: 10%
`
	if string(got.Bytes()) != want {
		t.Errorf("%s\nwant\n%s", got.Bytes(), want)
	}
}

// TestPut: an entry that is made apart and put in whole stands as if each of its values was set
// where it belongs, in a list that is empty, one line, or many.
func TestPut(t *testing.T) {
	values := [][2]string{{"what", "Plane, broad"}, {"id", "plane"}, {"count", "3"}, {"weight", "0,87 kg"}, {"chances[0].chance", "80%"}, {"chances[0].value", "31,50 EUR"}, {"chances[1].chance", "rest"}, {"note", "yes"}}
	for _, text := range []string{"items: []\nlots: 1\n", "items:\n  -   # none yet\nlots: 1\n", "items: [{id: a}]   # one\n", "items:\n  - id: a\n    what: A\n\nlots: 1\n"} {
		doc, err := edit.Parse("", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		apart, err := edit.Parse("", []byte("items: []\n"))
		if err != nil {
			t.Fatal(err)
		}
		n := doc.Len(edit.Path{{Key: "items"}})
		if !doc.Has(edit.Path{{Key: "items"}, {Index: 0}}) {
			n = 0
		}
		one := doc
		for _, v := range values {
			at := func(i int) edit.Path {
				p, err := edit.ParsePath(fmt.Sprintf("items[%d].%s", i, v[0]))
				if err != nil {
					t.Fatal(err)
				}
				return p
			}
			if one, err = one.Set(at(n), v[1]); err != nil {
				t.Fatal(err)
			}
			if apart, err = apart.Set(at(0), v[1]); err != nil {
				t.Fatal(err)
			}
		}
		whole, err := doc.Put(edit.Path{{Key: "items"}, {Index: n}}, apart, edit.Path{{Key: "items"}, {Index: 0}})
		if err != nil || string(whole.Bytes()) != string(one.Bytes()) {
			t.Errorf("%q: %v\n%s\nwant\n%s", text, err, whole.Bytes(), one.Bytes())
		}
		if same, err := doc.Put(edit.Path{{Key: "title"}}, apart, edit.Path{{Key: "title"}}); err != nil || string(same.Bytes()) != text {
			t.Errorf("nothing was put, and it is %s, %v", same.Bytes(), err)
		}
	}
}
