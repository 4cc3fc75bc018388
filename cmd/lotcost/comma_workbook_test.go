package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWorkbookOfACommaCountry: a file with decimal commas gives the same numbers and formulas, and
// sentences with commas.
func TestWorkbookOfACommaCountry(t *testing.T) {
	text, err := os.ReadFile("../../examples/one-crate/2-opened/haul.yaml")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write := func(name string, text []byte, args ...string) map[string][][]bookCell {
		lot, out := filepath.Join(dir, name+".yaml"), filepath.Join(dir, name+".xlsx")
		if err := os.WriteFile(lot, text, 0o600); err != nil {
			t.Fatal(err)
		}
		if code, said := quietly(append([]string{"split", lot, "-o", out}, args...)); code != exitFine {
			t.Fatal(said)
		}
		data, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		return readBook(t, data)
	}
	points, commas := write("points", text), write("commas", withCommas(t, text), "--decimal", "comma")
	for _, name := range []string{"paid", "sharing", "pieces", "border"} {
		for r, row := range points[name] {
			for c, cell := range row {
				if other := commas[name][r][c]; other != cell {
					t.Errorf("%s, row %d, column %d: %+v, not %+v", name, r+1, c+1, other, cell)
				}
			}
		}
	}
	if got := commas["answer"][1][0].value; !strings.Contains(got, "102,09 CAD") {
		t.Errorf("the answer is %q", got)
	}
}
