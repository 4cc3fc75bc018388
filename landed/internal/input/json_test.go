package input

import (
	"encoding/json"
	"strings"
	"testing"

	"lotcost/landed/internal/collect"

	"go.yaml.in/yaml/v3"
	"pgregory.net/rapid"
)

// sameTree compares what reading needs of two trees.
func sameTree(t interface{ Fatalf(string, ...any) }, text string, a, b *value) {
	if a.kind != b.kind || a.text != b.text || a.line != b.line || a.column != b.column || a.kind == aText && a.plain != b.plain || a.null != b.null || len(a.kids) != len(b.kids) {
		t.Fatalf("%s\nYAML: %+v\nJSON: %+v", text, a, b)
	}
	for i := range a.kids {
		sameTree(t, text, &a.kids[i], &b.kids[i])
	}
}

// anyJSON draws a value, and writes it with blanks and line ends between.
func anyJSON(t *rapid.T, depth int) string {
	blank := func() string { return rapid.SampledFrom([]string{"", " ", "\n", "\n  ", "\r\n"}).Draw(t, "blank") }
	text := func() string {
		return rapid.SampledFrom([]string{`""`, `"null"`, `"jack"`, `"鉋 4200 JPY"`, `"a\"b\\c d\n\u00e9\t"`, `"4200"`, `"a: b # c"`, `"12.5%"`, `"\u5e73\b\f\r"`}).Draw(t, "text")
	}
	kind := rapid.IntRange(0, 6).Draw(t, "kind")
	if depth == 0 {
		kind %= 4
	}
	switch kind {
	case 0, 1:
		return text()
	case 2:
		return rapid.SampledFrom([]string{"0", "-1", "12.50", "4200", "1e3", "-0.5E-2", "1.0E+5"}).Draw(t, "number")
	case 3:
		return rapid.SampledFrom([]string{"null", "true", "false"}).Draw(t, "word")
	}
	ends := map[bool]string{true: "{}", false: "[]"}[kind < 6]
	var parts []string
	for range rapid.IntRange(0, 3).Draw(t, "entries") {
		part := blank() + anyJSON(t, depth-1) + blank()
		if kind < 6 {
			part = blank() + text() + ": " + strings.TrimLeft(part, "\r\n ") // YAML wants a value on the line of its key
		}
		parts = append(parts, part)
	}
	return ends[:1] + strings.Join(parts, ",") + blank() + ends[1:]
}

// JSON is YAML: both readers make the same tree of it.
func TestJSONAsYAML(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := anyJSON(t, 4)
		var doc yaml.Node
		if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		p := &jsonParser{text: text, line: 1, nursery: nurseryFor(text)}
		got := p.whole("a.json")
		if p.fault != nil {
			t.Fatalf("%s: %v", text, p.fault)
		}
		sameTree(t, text, treeFrom(doc.Content[0]), got)
	})
}

// What is reported of text that is no JSON, and where: in characters, on the line that the text
// begins on.
func TestNoJSON(t *testing.T) {
	for text, want := range map[string]string{
		`{"a": "鉋", b: 1}`:      "17:12: this is not JSON: a key belongs here: put it in double quotes, as in \"id\": \"jack\"",
		`{"a": 鉋}`:              "17:7: this is not JSON: no value begins with '鉋': put text in double quotes, as in \"4200 JPY\"",
		`{"a": 1`:               "17:8: this is not JSON: it ends before it is whole: close what is open: quotes, brackets and braces",
		`{"a" 1}`:               "17:6: this is not JSON: a colon is missing behind the key: write \"key\": value",
		`{"a": 1 "b": 2}`:       "17:9: this is not JSON: a comma or } belongs here: part entries by commas, and close what is open",
		`{"a": 1}, {`:           "17:9: this is not JSON: something stands behind the value: write one value a line, and close it where it ends",
		`[1, 2,]`:               "17:7: this is not JSON: a comma stands behind the last entry: take it out",
		`{"a": 1, }`:            "17:10: this is not JSON: a comma stands behind the last entry: take it out",
		`[01]`:                  "17:4: this is not JSON: a number has no such digits: write it without zeros before it, as in 0.5 or 12",
		`[1.]`:                  "17:4: this is not JSON: digits are missing behind the point: write them, as in 12.5",
		`[1e]`:                  "17:4: this is not JSON: the exponent is missing: write the number without one, as in 12.5",
		`["a`:                   "17:4: this is not JSON: the text is not closed: put a quote behind it",
		`["\ud83d"]`:            `17:9: this is not JSON: a character is not whole: write \u and four hexadecimal digits, and both halves of a character that needs two`,
		`["\x"]`:                `17:3: this is not JSON: a backslash stands before what it has no meaning for: write \\ for a backslash`,
		"[\"a\tb\"]":            `17:4: this is not JSON: the control character U+0009 stands in a text: write it as \u0009, or take it out`,
		"{\n \"a\": tru}":       "18:7: this is not JSON: no value begins with 't': put text in double quotes, as in \"4200 JPY\"",
		"\xff":                  "17:1: this is not UTF-8 text: save the file as UTF-8",
		"null":                  `17: there is no haul here, but null: write the lot file's content, as in {"lotcost": 1, …}`,
		strings.Repeat("[", 60): "17:42: this is not JSON: it is nested too deeply: close the brackets, or check that it is the file you meant",
	} {
		if _, err := ParseJSON("a.json", 17, []byte(text), &collect.Report{}); err == nil || err.Error() != "a.json:"+want {
			t.Errorf("%q: got  %v\nwant a.json:%s", text, err, want)
		}
	}
}

// The tree is that of the standard library's reader, and there is one for the same texts; but for
// texts that are too deep, and half characters, which that one replaces in silence.
func FuzzJSON(f *testing.F) {
	for _, text := range []string{`{"a":[1,-2.5e3,"x\u00e9\ud83d\ude00",null,true,{}]}`, `[`, `"\"`, `{"a":1,"a":2}`, `[01]`, ` [ ] `, `"\ud83d"`, `-`} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p := &jsonParser{text: text, line: 1, nursery: nurseryFor(text)}
		root := p.whole("a.json")
		fault := p.fault
		if CheckText("a.json", []byte(text)) != nil || strings.Count(text, "[")+strings.Count(text, "{") > maxDepth || strings.Contains(text, `\u`) && fault != nil {
			return
		}
		if valid := json.Valid([]byte(text)); valid != (fault == nil) {
			t.Fatalf("%q: %v, but valid is %v", text, fault, valid)
		}
		if fault == nil {
			sameValue(t, json.NewDecoder(strings.NewReader(text)), root)
		}
	})
}

// sameValue compares a tree with what the standard library reads.
func sameValue(t *testing.T, dec *json.Decoder, v *value) {
	dec.UseNumber()
	token, err := dec.Token()
	if err != nil {
		t.Fatal(err)
	}
	if delim, is := token.(json.Delim); is {
		for i := range v.kids {
			sameValue(t, dec, &v.kids[i])
		}
		if end, err := dec.Token(); err != nil || v.kind == aGroup != (delim == '{') {
			t.Fatalf("%v, %v in the place of %v", end, err, v)
		}
		return
	}
	want := map[any]string{nil: "null", true: "true", false: "false"}[token]
	switch word := token.(type) {
	case string:
		want = word
	case json.Number:
		want = string(word)
	}
	if v.kind != aText || v.text != want {
		t.Fatalf("got %q, want %q", v.text, want)
	}
}

// Each byte at each of eight places is told apart as the table of bytes tells it.
func TestPlainASCII(t *testing.T) {
	for c := range 256 {
		for place := range 8 {
			for _, behind := range []byte{'a', '"', 0x80, 0x1f, '\\'} {
				text := []byte("abc~ {\x7f:")
				text[place] = byte(c)
				if place < 7 {
					text[7] = behind
				}
				want := 0
				for want < 8 && text[want] < 0x80 && bytesOfText[text[want]] == 1 {
					want++
				}
				if got := plainASCII("é"+string(text), len("é")) - len("é"); got != want {
					t.Fatalf("%q: %d, want %d", text, got, want)
				}
			}
		}
	}
}
