package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"lotcost/testdata/effort"

	"go.yaml.in/yaml/v3"
)

// marked is a figure with a decimal point or with commas that group thousands.
var marked = regexp.MustCompile(`\d[.,]\d`)

// withCommas writes a YAML document again with decimal commas; every figure that
// has one stands in quotes, as it must within braces.
func withCommas(t *testing.T, text []byte) []byte {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal(text, &doc); err != nil {
		t.Fatal(err)
	}
	var walk func(n *yaml.Node)
	walk = func(n *yaml.Node) {
		for i, child := range n.Content {
			if n.Kind == yaml.MappingNode && i%2 == 1 && strings.Contains(" title what name code ", " "+n.Content[i-1].Value+" ") {
				continue
			}
			walk(child)
		}
		if n.Kind == yaml.ScalarNode && marked.MatchString(n.Value) {
			n.Tag = "!!str"
			n.Value, n.Style = strings.NewReplacer(".", ",", ",", ".").Replace(n.Value), yaml.DoubleQuotedStyle
			n.Value = strings.ReplaceAll(n.Value, ",,", "..") // a range
		}
	}
	walk(&doc)
	if root := doc.Content[0]; root.Kind == yaml.MappingNode && root.Content[0].Value == "lotcost" {
		root.Content = append(root.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: "decimal"}, &yaml.Node{Kind: yaml.ScalarNode, Value: "comma"})
	}
	out, err := yaml.Marshal(&doc)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// semicolons writes an item list as a spreadsheet of such a country exports it.
func semicolons(t *testing.T, text []byte) []byte {
	t.Helper()
	records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.Comma, w.UseCRLF = ';', true
	for _, record := range records {
		for i, cell := range record {
			if marked.MatchString(cell) && !strings.ContainsAny(cell, "\"") {
				record[i] = strings.NewReplacer(".", ",", ",", ".").Replace(cell)
			}
		}
		if err := w.Write(record); err != nil {
			t.Fatal(err)
		}
	}
	w.Flush()
	return out.Bytes()
}

// places are where warnings stand; written again, a file is set in otherwise.
var places = regexp.MustCompile(`:\d+:\d+: `)

// remedies are what to write into the file, in its own marks.
var remedies = regexp.MustCompile(`("write":"[^"]*\d),(\d)`)

// TestCommaExamples: every shipped haul written with decimal commas gives the
// same figures as with points, by every command that takes it.
func TestCommaExamples(t *testing.T) {
	dir := t.TempDir()
	points, commas := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	var hauls []string
	err := fs.WalkDir(os.DirFS("../../examples"), ".", func(path string, entry fs.DirEntry, err error) error {
		if err == nil && entry.Name() == "first-bid" {
			return fs.SkipDir // it has them
		}
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(filepath.Join("../../examples", path))
		if err != nil {
			return err
		}
		other := text
		switch filepath.Ext(path) {
		case ".yaml":
			other = withCommas(t, text)
		case ".csv":
			other = semicolons(t, text)
		}
		if filepath.Base(path) == "haul.yaml" {
			hauls = append(hauls, path)
		}
		for root, text := range map[string][]byte{points: text, commas: other} {
			if err := os.MkdirAll(filepath.Join(root, filepath.Dir(path)), 0o700); err != nil {
				return err
			}
			if err := os.WriteFile(filepath.Join(root, path), text, 0o600); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	answers := 0
	commands := []string{"split", "check", "duty", "bid", "price", "together"}
	every := effort.Cases(1, 2, 12)
	for i, haul := range hauls {
		for j, command := range commands {
			if (i+j)%every != 0 {
				continue
			}
			run := func(root string) (int, string) {
				var out, said bytes.Buffer
				code := lotcost(context.Background(), streams{in: strings.NewReader(""), out: &out, err: &said, env: func(string) string { return "" }},
					[]string{command, filepath.Join(root, haul), "--format", "json"})
				text := places.ReplaceAllString(strings.ReplaceAll(out.String()+said.String(), root, ""), ": ")
				return code, remedies.ReplaceAllString(text, "$1.$2")
			}
			code, want := run(points)
			other, got := run(commas)
			if code > exitNo {
				continue // this haul has nothing for this command
			}
			if answers++; other != code || got != want {
				t.Errorf("%s %s: exit %d instead of %d, and\n%s\ninstead of\n%s", command, haul, other, code, got, want)
			}
		}
	}
	if answers < 12/every {
		t.Errorf("only %d answers were compared", answers)
	}
}

var pointed = regexp.MustCompile(`(^|[ |(])-?\d+\.\d\d( CAD|%| *\n| \|)`)

// TestCommaResults: with --decimal comma every result in CSV has the same cells as
// with points, but that figures have commas, and JSON is the same to the byte.
func TestCommaResults(t *testing.T) {
	run := func(args ...string) string {
		var out, said bytes.Buffer
		if code := lotcost(context.Background(), streams{in: strings.NewReader(""), out: &out, err: &said, env: func(string) string { return "" }}, args); code > exitNo {
			t.Fatalf("%q: exit %d: %s", args, code, said.String())
		}
		return out.String()
	}
	changed := 0
	for _, line := range []string{"split three-crates", "split three-crates --paid", "split three-crates --compare", "bid before-bidding", "duty at-the-border", "price bench-day", "together three-lots"} {
		words := strings.Fields(line)
		args := append([]string{words[0], "../../examples/" + words[1] + "/haul.yaml"}, words[2:]...)
		if a, b := run(append(args, "--format", "json")...), run(append(args, "--format", "json", "--decimal", "comma")...); a != b {
			t.Errorf("%s: JSON changes", line)
		}
		points, err := csv.NewReader(strings.NewReader(run(append(args, "--format", "csv")...))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		text := run(append(args, "--format", "csv", "--decimal", "comma")...)
		body, marked := strings.CutPrefix(text, "\ufeff")
		in := csv.NewReader(strings.NewReader(body))
		in.Comma = ';'
		commas, err := in.ReadAll()
		if err != nil || !marked || len(commas) != len(points) {
			t.Fatalf("%s: %v, %d rows instead of %d", line, err, len(commas), len(points))
		}
		plain := regexp.MustCompile(`^-?\d+\.\d+$`)
		for i, row := range points {
			for j, cell := range row {
				switch got := commas[i][j]; {
				case plain.MatchString(cell):
					changed++
					if got != strings.Replace(cell, ".", ",", 1) {
						t.Errorf("%s: %q became %q", line, cell, got)
					}
				case !marked || !strings.Contains(cell, ".") && got != cell:
					t.Errorf("%s: %q became %q", line, cell, got)
				}
			}
		}
		for _, format := range []string{"table", "markdown"} {
			for out := range strings.Lines(run(append(args, "--format", format, "--decimal", "comma")...)) {
				if pointed.MatchString(out) && !strings.Contains(out, "tariff code") {
					t.Errorf("%s as %s has a point: %s", line, format, out)
				}
			}
		}
	}
	if changed < 100 {
		t.Errorf("only %d figures have commas", changed)
	}
}
