package edit_test

import (
	"bytes"
	"slices"
	"testing"

	"lotcost/cmd/lotcost/internal/edit"
)

// FuzzEdit sets, adds and takes out whatever is asked: what is done reads back, and all else stays
// as it was.
func FuzzEdit(f *testing.F) {
	f.Add([]byte(crate), "lots[crate].price", "45 CAD")
	f.Add([]byte("a: [1, {b: 'c'}] # d\ne: |\n  f\n"), "a[1].b", "x: y")
	f.Add([]byte("- - a\n  - b: c\n-\n"), "[0][1].b", "null")
	f.Add([]byte("\"a b\": \"c\\\"d\"\n'e': >-\n  f\n  g\n"), `"a b"`, "#")
	f.Fuzz(func(t *testing.T, data []byte, way, text string) {
		p, err := edit.ParsePath(way)
		if err != nil || len(data) > 1<<14 || len(text) > 1<<10 {
			return
		}
		if again, err := edit.ParsePath(p.String()); err != nil || again.String() != p.String() {
			t.Fatalf("%q is read as %q, %v", p, again, err)
		}
		d, err := edit.Parse("", data)
		if err != nil {
			return
		}
		before := bytes.Clone(data)
		if after, err := d.Set(p, text); err == nil && !slices.Contains(p, edit.Step{Index: edit.New}) {
			if got, ok := after.Text(p); !ok || got != text {
				t.Fatalf("%s reads %q, want %q in\n%s", p, got, text, after.Bytes())
			}
			if back, err := after.Delete(p); err == nil && back.Has(p) && p[len(p)-1].Key != "" {
				t.Fatalf("%s is still there in\n%s", p, back.Bytes())
			}
		}
		if !bytes.Equal(before, d.Bytes()) {
			t.Fatal("the text that was read has changed")
		}
	})
}
