package book_test

import (
	"fmt"
	"testing"

	"lotcost/landed"
	"lotcost/landed/book"
	"lotcost/landed/internal/typed"
	"lotcost/landed/source"
)

func TestModelSpeltTwoWays(t *testing.T) {
	for _, c := range []struct {
		other string
		odd   bool
	}{
		{"Jack 5", true}, {"jack5", true}, {"jack_5", true}, {"jakc-5", true}, {"jac-5", false}, // three letters may be another word
		{"jack-5", false}, {"jack-4", false}, {"jack-51", false}, {"jack-5-1", false}, {"back-5", false}, {"jack-5a", false}, {"block-5", false}, {"jacks-5", true},
	} {
		price := typed.Amount("9 CAD")
		r := keep(t, book.Options{}, haul("a", day(1), price, landed.Item{ID: "x", Count: 1, Model: "jack-5"}), haul("b", day(1), price, landed.Item{ID: "x", Count: 1, Model: "jack-5"}),
			haul("c", day(2), price, landed.Item{ID: "x", Count: 1, Model: c.other}))
		if got := len(r.Strange) > 0; got != c.odd {
			t.Errorf("jack-5 beside %s: %v", c.other, r.Strange)
		}
		if want := fmt.Sprintf("warning: model: %q is like \"jack-5\" of other items, but no double of it: did you mean jack-5?", c.other); c.odd && r.Strange[0].Error() != want {
			t.Errorf("%s, want %s", r.Strange[0], want)
		}
	}
}

// TestModelSpeltWhere: the warning stands at the first by the names of files, whenever that is
// read, and short names are alike but for marks.
func TestModelSpeltWhere(t *testing.T) {
	var hauls []book.Haul
	for i, model := range []string{"no 5", "No. 5", "No. 5", "no 5", "no 5"} {
		file := string("acbde"[i]) + ".yaml"
		hauls = append(hauls, haul(file, day(1), typed.Amount("9 CAD"), landed.Item{ID: "x", Count: 1, Model: model, At: source.Origin{File: file, Line: 3, Column: 5}}))
	}
	r := keep(t, book.Options{}, hauls...)
	const want = `b.yaml:3:5: warning: model: "No. 5" is like "no 5" of other items, but no double of it: did you mean no 5?`
	if len(r.Strange) != 1 || r.Strange[0].Error() != want {
		t.Errorf("%v, want %s", r.Strange, want)
	}
}
