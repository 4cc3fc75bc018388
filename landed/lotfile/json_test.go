package lotfile_test

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/internal/input"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/testdata/reworded"

	"go.yaml.in/yaml/v3"
	"pgregory.net/rapid"
)

// asJSON writes a YAML document as JSON on one line; false where it is none.
func asJSON(text string) (string, bool) {
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil || len(doc.Content) == 0 {
		return "", false
	}
	var b strings.Builder
	ok := writeAsJSON(&b, doc.Content[0])
	return b.String(), ok
}

func writeAsJSON(b *strings.Builder, n *yaml.Node) bool {
	switch {
	case n.Style&yaml.TaggedStyle != 0 || n.Anchor != "":
		return false
	case n.Kind == yaml.ScalarNode:
		word, err := json.Marshal(n.Value)
		if n.ShortTag() == "!!null" {
			word = []byte("null")
		}
		b.Write(word)
		return err == nil
	case n.Kind != yaml.SequenceNode && n.Kind != yaml.MappingNode:
		return false
	}
	ends := map[yaml.Kind]string{yaml.SequenceNode: "[]", yaml.MappingNode: "{}"}[n.Kind]
	b.WriteByte(ends[0])
	for i, child := range n.Content {
		switch {
		case i > 0 && n.Kind == yaml.MappingNode && i%2 == 1:
			b.WriteString(": ")
		case i > 0:
			b.WriteString(", ")
		}
		if n.Kind == yaml.MappingNode && i%2 == 0 && child.Kind != yaml.ScalarNode {
			return false
		}
		if n.Kind == yaml.MappingNode && i%2 == 0 {
			b.WriteString(strconv.Quote(child.Value))
		} else if !writeAsJSON(b, child) {
			return false
		}
	}
	b.WriteByte(ends[1])
	return true
}

// goodFiles are the examples and what stands for every key, each with its folder.
func goodFiles(t testing.TB) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, pattern := range []string{"../../examples/*/*.yaml", "../../examples/*/*/*.yaml"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range found {
			if data, err := os.ReadFile(path); err != nil {
				t.Fatal(err)
			} else if strings.Contains("\n"+string(data), "\nlotcost: 1") {
				files[path] = string(data)
			}
		}
	}
	if len(files) < 10 {
		t.Fatalf("%d examples", len(files))
	}
	return files
}

// wrong are the faults of an error, without their places, and whether one is of shape.
func wrong(t interface{ Fatalf(string, ...any) }, err error, places bool) (reported []string, shape bool) {
	var faults source.Faults
	if err != nil && !errors.As(err, &faults) {
		t.Fatalf("not faults: %v", err)
	}
	for _, f := range faults {
		var s *input.ShapeError
		shape = shape || errors.As(f, &s)
		if places {
			reported = append(reported, f.Error())
		} else {
			reported = append(reported, f.Field+": "+quotedFigure.ReplaceAllString(onLine.ReplaceAllString(f.What, "")+": "+f.Remedy, "$1"))
		}
	}
	return reported, shape
}

// quotedFigure is one that stands in quotes because it is to be written in brackets.
var quotedFigure = regexp.MustCompile(`"(-?[0-9][^"]*,[^"]*)"`)

var onLine = regexp.MustCompile(` on line \d+`)

// A haul is the same in YAML and in JSON: its statement, and else its faults, which in a text that
// is both stand in the same places. Where a fault is of shape YAML tries other ways to write a
// line.
func TestJSON(t *testing.T) {
	files := goodFiles(t)
	var names []string
	for name := range files {
		names = append(names, name)
	}
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "file")
		changes := rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(t, "changes")
		text := reworded.Text(files[name], changes)
		asFlow, ok := asJSON(text)
		if !ok {
			t.Skip("no such document")
		}
		folder := filepath.Dir(name)
		fromYAML, yamlErr := lotfile.Parse("h", []byte(text), folder, lotfile.Options{})
		fromFlow, flowErr := lotfile.Parse("h", []byte(asFlow), folder, lotfile.Options{})
		fromJSON, jsonErr := lotfile.ParseJSON("h", 1, []byte(asFlow), folder, lotfile.Options{})
		want, shape := wrong(t, flowErr, true)
		got, isShape := wrong(t, jsonErr, true)
		if (flowErr == nil) != (jsonErr == nil) || !shape && !isShape && !reflect.DeepEqual(got, want) {
			t.Fatalf("%s\nas YAML: %q\nas JSON: %q", asFlow, want, got)
		}
		want, shape = wrong(t, yamlErr, false)
		got, _ = wrong(t, jsonErr, false)
		if (yamlErr == nil) != (jsonErr == nil) || !shape && !isShape && !reflect.DeepEqual(got, want) {
			t.Fatalf("%s\nin YAML: %q\nin JSON: %q", text, want, got)
		}
		if jsonErr != nil {
			return
		}
		for _, other := range []*lotfile.File{fromYAML, fromFlow} {
			a, errA := landed.Split(other.WithoutOpen())
			b, errB := landed.Split(fromJSON.WithoutOpen())
			want, _ := wrong(t, errA, false)
			got, _ := wrong(t, errB, false)
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("split in YAML: %q\nin JSON: %q", want, got)
			}
			if errA == nil && !reflect.DeepEqual(figures(a), figures(b)) {
				t.Fatalf("%v\n%v", figures(a), figures(b))
			}
		}
	})
}

// figures are those of a statement.
func figures(st *landed.Statement) []string {
	all := []string{st.Haul.Title, st.Total.String()}
	for i := range st.Lines {
		all = append(all, st.Lines[i].What, st.Lines[i].Asked(), st.Lines[i].Home.String())
	}
	for i := range st.Items {
		all = append(all, st.Items[i].ID, st.Items[i].Cost.String())
	}
	return all
}

// A fault in one of many hauls is reported at its line, in that line's columns.
func TestJSONLine(t *testing.T) {
	_, err := lotfile.ParseJSON("hauls.ndjson", 17, []byte(`{"lotcost": 1, "home": "CAD", "lots": [{"id": "a", "price": "4200 JPX", "items": [{"id": "b", "count": 0.5}]}]}`), ".", lotfile.Options{})
	const want = `hauls.ndjson:17:61: lot a: price: "4200 JPX" has no currency code of ISO 4217 in "JPX": write 4200 JPY
hauls.ndjson:17:104: item b: count: "0.5" is not a number of pieces: write a whole number, as in count: 2`
	if errText(err) != want {
		t.Errorf("got\n%v", err)
	}
}

// tenItems is a haul of ten items as programs hand one over.
const tenItems = `{"lotcost":1,"title":"Haul 17","home":"CAD","date":"2026-10-03","exchange":{"spread":"2.5%","rates":["100 JPY = 0.93 CAD"]},` +
	`"lots":[{"id":"crate-a","title":"Crate A","seller":"tidemark","price":"4200 JPY","premium":"10%","items":[` +
	`{"id":"i0","what":"Jack plane, untested","count":1,"weight":"1.9 kg","value":"38 CAD"},{"id":"i1","what":"Jack plane, untested","count":2,"weight":"1.8 kg","value":"39 CAD"},` +
	`{"id":"i2","what":"Smoothing plane","count":3,"weight":"1.7 kg","value":"40 CAD"},{"id":"i3","what":"Try square","count":1,"weight":"310 g","value":"12.50 CAD"},` +
	`{"id":"i4","what":"Brace","count":1,"weight":"900 g","value":"22 CAD"}]},{"id":"box-b","title":"Box B","seller":"tidemark","price":"2600 JPY","premium":"10%","items":[` +
	`{"id":"i5","what":"Chisel","count":6,"weight":"210 g","value":"9 CAD"},{"id":"i6","what":"Gouge","count":2,"weight":"190 g","value":"11 CAD"},` +
	`{"id":"i7","what":"Compasses","count":1,"weight":"120 g","value":"14 CAD"},{"id":"i8","what":"Ruling pen","count":2,"weight":"60 g","value":"16 CAD"},` +
	`{"id":"i9","what":"Scale, boxwood","count":1,"weight":"80 g","value":"8 CAD"}]}],` +
	`"charges":[{"what":"Surface parcel","kind":"freight","amount":"7400 JPY"},{"what":"Transfer","kind":"fee","amount":"4.50 CAD"}]}`

func BenchmarkJSON(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := lotfile.ParseJSON("hauls.ndjson", 1, []byte(tenItems), ".", lotfile.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
