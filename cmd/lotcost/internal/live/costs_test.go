package live_test

import (
	"path/filepath"
	"testing"

	"lotcost/cmd/lotcost/internal/live"
	"lotcost/landed"
	"lotcost/landed/lotfile"
)

// examples are the hauls that come with the project.
func examples(t testing.TB) map[string]*landed.Haul {
	t.Helper()
	hauls := map[string]*landed.Haul{}
	for _, pattern := range []string{"../../../../examples/*/haul.yaml", "../../../../examples/*/*/*.yaml"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			if f, err := lotfile.Read(path, lotfile.Options{}); err == nil && f.Haul != nil {
				hauls[path] = f.WithoutOpen()
			}
		}
	}
	if len(hauls) < 8 {
		t.Fatal("too few examples: ", len(hauls))
	}
	return hauls
}

// TestFormulasSayWhatIsHeld: LibreOffice calculates what the library says.
func TestFormulasSayWhatIsHeld(t *testing.T) {
	var names []string
	var books []book
	for path, h := range examples(t) {
		st, err := landed.Split(h)
		if err != nil {
			t.Fatal(path, err)
		}
		names, books = append(names, path), append(books, written(t, live.Costs(st)))
	}
	for i, again := range recalculated(t, books) {
		same(t, names[i], books[i], again)
	}
}
