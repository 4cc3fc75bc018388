// Package published reads the cases from outside the project that its tests
// check against: files under the module's testdata that name, for each case, its
// source and how sure we are of it.
//
// Most tests need [Read], and [Case] inlined in their own type of case.
package published

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"go.yaml.in/yaml/v3"
)

// Case is what every case tells of its origin.
type Case struct {
	Name       string
	Source     string // key of the file's sources
	Grade      string // one of Grades
	SecondHand bool   `yaml:"second_hand"` // seen in a reprint or a quotation
}

// Grades say where a case's answer comes from: the source prints it; we
// computed it from inputs that the source prints, or by a rule that it states;
// or it is from memory.
func Grades() []string { return []string{"published", "computed", "derived", "memory"} }

// Check fails the test when a case does not tell its origin.
func (c Case) Check(t testing.TB, sources map[string]string) {
	t.Helper()
	if sources[c.Source] == "" {
		t.Errorf("source %q is not among the sources of the file", c.Source)
	}
	if !slices.Contains(Grades(), c.Grade) {
		t.Errorf("grade %q is none of %v", c.Grade, Grades())
	}
}

// Path is where a file of cases lies, by its name below the module's testdata. A
// test runs in the folder of its package.
func Path(t testing.TB, name string) string {
	t.Helper()
	for up := ".."; ; up = filepath.Join(up, "..") {
		if _, err := os.Stat(filepath.Join(up, "go.mod")); err == nil {
			return filepath.Join(up, "testdata", name)
		}
		if len(up) > 100 {
			t.Fatal("no go.mod above the test")
		}
	}
}

func open(t testing.TB, name string) *os.File {
	t.Helper()
	f, err := os.Open(Path(t, name))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// Read reads a file of cases strictly: a misspelt field fails the test.
func Read(t testing.TB, name string, into any) {
	t.Helper()
	d := yaml.NewDecoder(open(t, name))
	d.KnownFields(true)
	if err := d.Decode(into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// Rows reads a table of cases, each of so many fields (0: as many as the first),
// whose comments name its source.
func Rows(t testing.TB, name string, fields int) [][]string {
	t.Helper()
	r := csv.NewReader(open(t, name))
	r.Comment, r.FieldsPerRecord = '#', fields
	rows, err := r.ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	return rows
}
