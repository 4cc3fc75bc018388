package desk

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWrite writes all that the examples have, each as the command does.
func TestWrite(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../../../examples")); err != nil {
		t.Fatal(err)
	}
	s := serve(t, folder)
	s.get(strings.TrimPrefix(s.address, s.base))
	for _, test := range []struct{ haul, of, as, begins, holds string }{
		{"one-crate/3-sold", "costs", "xlsx", "PK", ""},
		{"one-crate/3-sold", "costs", "html", "<!doctype html>", "102.09"},
		{"one-crate/3-sold", "costs", "csv", "haul,", "jack"},
		{"one-crate/2-opened", "labels", "html", "<!doctype html>", "Jack planes"},
		{"one-crate/1-before", "bid", "html", "<!doctype html>", `id="price"`},
	} {
		got := s.get("/write/" + test.haul + "/haul.yaml?of=" + test.of + "&as=" + test.as)
		if got.status != 200 || !strings.HasPrefix(strings.ToLower(got.body), test.begins) && !strings.HasPrefix(got.body, test.begins) || !strings.Contains(got.body, test.holds) {
			t.Errorf("%v: %d: %.200s", test, got.status, got.body)
		}
		if !strings.HasPrefix(got.head.Get("Content-Disposition"), "attachment") {
			t.Errorf("%v is shown in place of being kept", test)
		}
	}
	if got := s.get("/write/one-crate/1-before/haul.yaml?of=labels&as=html"); got.status != 404 {
		t.Errorf("labels before anything was bought: %d", got.status)
	}
}

// TestWriteCommas writes what a haul with decimal commas cost: a list and a workbook to the byte as
// the command does, but that the file is called by its path in the folder; a page of the same haul
// in which lots and pieces have their names for ids.
func TestWriteCommas(t *testing.T) {
	s := entered(t, "three.yaml", three)
	const two = "lotcost: 1\ndecimal: comma\nhome: EUR\nlots:\n  - {id: a, title: Case A, price: 10, items: [{id: x, what: Plane, weight: 1 kg, value: 20}, {id: y, what: Iron, weight: 200 g, value: 5}]}\n"
	put(t, filepath.Join(s.folder, "two.yaml"), two)
	named := filepath.Join(t.TempDir(), "two.yaml")
	put(t, named, strings.NewReplacer("id: a, title: Case A", "id: Case A", "id: x, what: Plane", "id: Plane", "id: y, what: Iron", "id: Iron").Replace(two))
	for as, file := range map[string]string{"csv": filepath.Join(s.folder, "three.yaml"), "xlsx": filepath.Join(s.folder, "two.yaml"), "html": named} {
		path := filepath.Join(t.TempDir(), "out."+as)
		says(t, "split", file, "-o", path)
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.get("/write/" + filepath.Base(file) + "?of=costs&as=" + as); got.status != 200 || got.body != strings.ReplaceAll(string(want), filepath.Dir(file)+string(filepath.Separator), "") {
			t.Errorf("%s: %d, and other than the command's", as, got.status)
		}
	}
}
