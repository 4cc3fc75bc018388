// Package published reads the cases from outside the project that its tests
// check against: files under testdata that name, for each case, its source and
// how sure we are of it.
//
// Most tests need [Read], and [Case] inlined in their own type of case.
package published

import (
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

// Read reads a file of cases under testdata strictly: a misspelt field fails
// the test.
func Read(t testing.TB, name string, into any) {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	d := yaml.NewDecoder(f)
	d.KnownFields(true)
	if err := d.Decode(into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}
