package input_test

import (
	"slices"
	"strings"
	"testing"

	"lotcost/landed/internal/mend"
)

func TestBroken(t *testing.T) {
	for _, c := range []struct {
		text string
		want int
	}{
		{"a: 1\nb: [1,\n  2]\nc: 3\n", 0},
		{"a: 1\nb: \"open\nc: 3\n", 2},
		{"a: 1\nb: [1,\n  2]\nc: [3\nd: 4\n", 4},
		{"l:\n  - a: 1\n    b: 2\n   c: 3\nd: 4\n", 4},
		{"", 0},
	} {
		if got := mend.Broken(c.text); got != c.want {
			t.Errorf("%q is broken at %d, want %d", c.text, got, c.want)
		}
	}
}

// Among the proposals is the one that was meant, and each keeps the number of lines.
func TestEdits(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"l:\n  - a: 1\n\tb: 2\r\n", "l:\n  - a: 1\n    b: 2\r\n"},
		{"l:\n  - a: 1\n   b: 2\n", "l:\n  - a: 1\n    b: 2\n"},
		{"l:\n  - a: 1\nb = 2\n", "l:\n  - a: 1\nb: 2\n"},
		{"l:\n  - a: 1\nb: \"open\n", "l:\n  - a: 1\nb: \"open\"\n"},
		{"l:\n  - a: 1\nb: x 2, y 3\n", "l:\n  - a: 1\nb: {x: 2, y: 3}\n"},
		{"l:\n  - a: 1\n  • a: 2\n", "l:\n  - a: 1\n  - a: 2\n"},
	} {
		edits := mend.Edits(c.text, 3, nil)
		if !slices.ContainsFunc(edits, func(e mend.Edit) bool { return e.Apply(c.text) == c.want }) {
			t.Errorf("%q is not proposed for %q", c.want, c.text)
		}
		for _, e := range edits {
			if got := e.Apply(c.text); strings.Count(got, "\n") != strings.Count(c.text, "\n") {
				t.Errorf("%q has other lines than %q", got, c.text)
			}
		}
	}
	const group = "sending:\n  zone: x\n  services: [{name: small, steps: [5 kg = 20 GBP]}]\n"
	for _, e := range mend.Edits(group, 3, nil) {
		if strings.Contains(e.Lines[0], `"[`) || strings.Contains(e.Lines[0], `"{`) {
			t.Errorf("a group is to be a text: %q", e.Lines[0])
		}
	}
	if mend.Edits("a: 1\n", 7, nil) != nil || mend.Edits("a: 1\n\n", 2, nil) != nil {
		t.Error("what is not there can be written otherwise")
	}
}
