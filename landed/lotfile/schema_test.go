package lotfile_test

import (
	"bytes"
	"errors"
	"flag"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/testdata/effort"
	"lotcost/testdata/reworded"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write schema.json again")

// The schema that comes with the reader is the one that is made of the reference, and so is the
// table of where keys belong.
func TestSchemaFile(t *testing.T) {
	for name, made := range map[string][]byte{"schema.json": madeSchema(t), "groups.tsv": []byte(madeGroups())} {
		if *update {
			if err := os.WriteFile(name, made, 0o666); err != nil {
				t.Fatal(err)
			}
		} else if there, err := os.ReadFile(name); err != nil || !bytes.Equal(there, made) {
			t.Errorf("%s is not what is made of the reference: go test ./landed/lotfile -run TestSchemaFile -update (%v)", name, err)
		}
	}
}

// compiled is the schema, which an independent validator has found to be one.
func compiled(t testing.TB) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(lotfile.Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource(lotfile.SchemaName, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(lotfile.SchemaName)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asEditor is a document as an editor sees it: with YAML's own numbers and words, or all as texts.
func asEditor(n *yaml.Node, typed bool) any {
	switch n.Kind {
	case yaml.SequenceNode:
		list := []any{}
		for _, child := range n.Content {
			list = append(list, asEditor(child, typed))
		}
		return list
	case yaml.MappingNode:
		group := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			group[n.Content[i].Value] = asEditor(n.Content[i+1], typed)
		}
		return group
	}
	tag := n.ShortTag()
	number, err := strconv.ParseFloat(n.Value, 64)
	switch {
	case tag == "!!null":
		return nil
	case typed && tag == "!!bool":
		return n.Value == "true"
	case typed && err == nil && (tag == "!!int" || tag == "!!float"):
		return number
	}
	return n.Value
}

// refused is what the schema has against a text; nil when it takes it.
func refused(s *jsonschema.Schema, text string) error {
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		return err
	}
	if len(doc.Content) == 0 {
		return errors.New("no document")
	}
	return errors.Join(s.Validate(asEditor(doc.Content[0], true)), s.Validate(asEditor(doc.Content[0], false)))
}

// saysWhat finds the key of each lot file and of defaults, which says what they are.
var saysWhat = regexp.MustCompile(`lotcost(-book)?"?:`)

// validFiles are the lot files and defaults of the examples, the scripts and the reference.
func validFiles(t *testing.T) map[string]string {
	t.Helper()
	files := goodFiles(t)
	scripts, err := filepath.Glob("../../cmd/lotcost/testdata/script/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	for i, script := range scripts {
		if i%effort.Cases(1, 1, 4) > 0 {
			continue
		}
		archive, err := txtar.ParseFile(script)
		if err != nil {
			t.Fatal(err)
		}
		folder := t.TempDir()
		if err := txtar.Write(archive, folder); err != nil {
			t.Fatal(err)
		}
		for _, f := range archive.Files {
			if !saysWhat.Match(f.Data) { // to look for what else may be meant takes long
				continue
			}
			path := filepath.Join(folder, filepath.FromSlash(f.Name))
			if _, err := lotfile.Parse(path, f.Data, filepath.Dir(path), lotfile.Options{}); err == nil {
				files[filepath.Base(script)+"/"+f.Name] = string(f.Data)
			} else if strings.HasPrefix(string(f.Data), "lotcost-book: 1") && yaml.Unmarshal(f.Data, &yaml.Node{}) == nil && !strings.Contains(string(f.Data), "\nwith:") {
				files[filepath.Base(script)+"/"+f.Name] = string(f.Data)
			}
		}
	}
	sections, rows := reference(t)
	for _, section := range sections {
		for _, examples := range rows[section] {
			text := "lotcost-book: 1\n" + strings.Join(examples, "\n") + "\n"
			if frame, ok := frames[section]; ok {
				text = stands(frame, examples)
			}
			if strings.HasPrefix(examples[0], "zones:") {
				text = strings.Replace(text, "      steps: [{up-to: 20 kg, price: 2500}]\n", "", 1)
			}
			files[section+": "+strings.Join(examples, ", ")] = text
		}
	}
	files["starter"] = lotfile.Starter()
	return files
}

// What is right is right for the schema too.
func TestSchemaTakes(t *testing.T) {
	s := compiled(t)
	files := validFiles(t)
	for i, name := range slices.Sorted(maps.Keys(files)) {
		if i%effort.Cases(1, 3, 8) > 0 {
			continue
		}
		if err := refused(s, files[name]); err != nil {
			t.Errorf("%s: %v in\n%s", name, err, files[name])
		}
	}
	if len(files) < 200 {
		t.Errorf("%d files", len(files))
	}
}

// isTwice reports whether a key stands twice in a group, which JSON has no way to say.
func isTwice(text string) bool {
	var doc yaml.Node
	if yaml.Unmarshal([]byte(text), &doc) != nil {
		return false
	}
	var look func(n *yaml.Node) bool
	look = func(n *yaml.Node) bool {
		seen := map[string]bool{}
		for i, child := range n.Content {
			if n.Kind == yaml.MappingNode && i%2 == 0 && seen[child.Value] || look(child) {
				return true
			}
			seen[child.Value] = seen[child.Value] || i%2 == 0
		}
		return false
	}
	return look(&doc)
}

// ofShape are faults that a schema can see: of keys, and of what kind a value is.
var ofShape = regexp.MustCompile(`^(unknown key|the key ".*" is|a list (of [a-z ]+)?belongs here|a group of keys belongs here|one value belongs here|unknown word|unknown basis|unknown kind|\w+ is missing$)`)

// What the reader takes the schema takes, and where a fault is of shape it refuses: on files that
// were right before words of them were changed.
func TestSchemaAgrees(t *testing.T) {
	s := compiled(t)
	files := goodFiles(t)
	for section, frame := range frames {
		files[section] = strings.ReplaceAll(frame, "@\n", "\n")
	}
	var names []string
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	tried, taken, shaped := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		tried++
		name := rapid.SampledFrom(names).Draw(t, "file")
		text := reworded.Text(files[name], rapid.SliceOfN(rapid.Byte(), 3, 9).Draw(t, "changes"))
		if yaml.Unmarshal([]byte(text), &yaml.Node{}) != nil {
			t.Skip("no YAML")
		}
		root, _ := filepath.Split(name)
		_, err := lotfile.Parse("h", []byte(text), filepath.Clean("./"+root), lotfile.Options{})
		against := refused(s, text)
		var faults source.Faults
		errors.As(err, &faults)
		switch {
		case err == nil && against != nil:
			t.Fatalf("the reader takes it, but not the schema: %v in\n%s", against, text)
		case err == nil:
			taken++
		case slices.ContainsFunc(faults, func(f *source.Fault) bool { return f.At.File == "h" && ofShape.MatchString(f.What) }):
			if shaped++; against == nil && !isTwice(text) && !strings.Contains(text, "lost:") {
				t.Fatalf("the schema takes it, but not the reader: %v in\n%s", err, text)
			}
		}
	})
	if tried >= 100 && (taken == 0 || shaped == 0) { // of few it may be so by chance
		t.Errorf("of %d %d taken, %d of shape", tried, taken, shaped)
	}
}

// Every key of the reference is in the schema, in its section, and every key of the schema is in
// the reference: those of groups that it tells in one row among the examples of that row.
func TestSchemaKeys(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(lotfile.Schema()))
	if err != nil {
		t.Fatal(err)
	}
	defs := doc.(map[string]any)["$defs"].(map[string]any)
	sections, rows := reference(t)
	for _, section := range sections {
		properties := defs[slug(section)].(map[string]any)["properties"].(map[string]any)
		for _, examples := range rows[section] {
			key, _, _ := strings.Cut(examples[0], ":")
			value, ok := properties[key].(map[string]any)
			if !ok || value["description"] == nil {
				t.Errorf("the schema has no %s of %s, or says nothing of it", key, section)
			}
		}
	}
	text := lotfile.Reference()
	for name, def := range defs {
		properties, _ := def.(map[string]any)["properties"].(map[string]any)
		for key, value := range properties {
			if value.(map[string]any)["deprecated"] == nil && !regexp.MustCompile("[`{ ]"+regexp.QuoteMeta(key)+"[:`]").MatchString(text) {
				t.Errorf("the reference has no %s, as in %s", key, name)
			}
		}
	}
}
