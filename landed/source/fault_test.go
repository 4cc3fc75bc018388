package source_test

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"testing"

	"lotcost/landed/source"

	"pgregory.net/rapid"
)

func TestOriginString(t *testing.T) {
	cases := []struct {
		at   source.Origin
		want string
	}{
		{source.Origin{}, ""},
		{source.Origin{File: "haul.yaml"}, "haul.yaml"},
		{source.Origin{File: "haul.yaml", Line: 3}, "haul.yaml:3"},
		{source.Origin{File: "haul.yaml", Line: 3, Column: 9}, "haul.yaml:3:9"},
	}
	for _, c := range cases {
		if got := c.at.String(); got != c.want {
			t.Errorf("%#v prints %q, want %q", c.at, got, c.want)
		}
	}
}

func TestFaultText(t *testing.T) {
	at := source.Origin{File: "haul.yaml", Line: 3, Column: 9}
	cases := []struct {
		fault source.Fault
		want  string
	}{
		{source.Fault{At: at, Field: "lot a: price", What: "wrong", Remedy: "mend it"}, "haul.yaml:3:9: lot a: price: wrong: mend it"},
		{source.Fault{At: at, What: "wrong"}, "haul.yaml:3:9: wrong"},
		{source.Fault{Field: "--price", What: "wrong"}, "--price: wrong"},
		{source.Fault{What: "wrong", Remedy: "mend it"}, "wrong: mend it"},
	}
	for _, c := range cases {
		if got := c.fault.Error(); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// A caller finds all faults, one fault and every cause, however wrapped.
func TestErrorsAsAndIs(t *testing.T) {
	first := &source.Fault{What: "first", Err: fs.ErrNotExist}
	second := &source.Fault{What: "second", Err: io.ErrUnexpectedEOF}
	err := fmt.Errorf("reading: %w", source.Faults{first, second})
	var many source.Faults
	if !errors.As(err, &many) || len(many) != 2 {
		t.Errorf("faults: %v", many)
	}
	var one *source.Fault
	if !errors.As(err, &one) || one != first {
		t.Errorf("one fault: %v", one)
	}
	for cause, is := range map[error]bool{fs.ErrNotExist: true, io.ErrUnexpectedEOF: true, second: true, fs.ErrPermission: false} {
		if errors.Is(err, cause) != is {
			t.Errorf("errors.Is(%v) is not %v", cause, is)
		}
	}
}

func TestNearest(t *testing.T) {
	known := []string{"id", "title", "seller", "price", "premium", "settled", "items", "weight", "freight", "count", "on", "by"}
	cases := []struct{ word, want string }{
		{"price", "price"},
		{"prise", "price"},
		{"pirce", "price"},                 // two letters swapped are one slip
		{"wieght", "weight"},               //
		{"wight", "weight"},                // a letter missing
		{"weigght", "weight"},              // a letter doubled
		{"premuim", "premium"},             //
		{"Title", "title"},                 //
		{"item", "items"},                  //
		{"ttl", ""},                        // two slips of five letters
		{"frieigt", "freight"},             // two slips of seven
		{"fright", "freight"},              // nearer to freight than to weight
		{"im", "id"},                       // one slip in a short word
		{"xz", ""},                         //
		{"", ""},                           // nothing was typed
		{"currency", ""},                   //
		{"平鉋", ""},                         // letters are counted, not bytes
		{strings.Repeat("price", 500), ""}, // a long word costs nothing
	}
	for _, c := range cases {
		if got := source.Nearest(c.word, known); got != c.want {
			t.Errorf("Nearest(%q) is %q, want %q", c.word, got, c.want)
		}
	}
	for word, known := range map[string][]string{"colour": {"home", "lots", "home"}, "d": {"a", "b", "c"}} {
		if got := source.DidYouMean(word, known); !strings.HasPrefix(got, "known here: "+known[0]+", "+known[1]) {
			t.Errorf("got %q of %q", got, known)
		}
	}
}

// What is found is within the distance promised, by the plain recursive
// definition of the restricted Damerau-Levenshtein distance.
func TestNearestIsNear(t *testing.T) {
	word := rapid.StringOfN(rapid.RuneFrom([]rune("abc平")), 0, 7, -1)
	rapid.Check(t, func(t *rapid.T) {
		typed, known := word.Draw(t, "typed"), rapid.SliceOfN(word, 1, 5).Draw(t, "known")
		got := source.Nearest(typed, known)
		best, bestSlips := "", -1
		for _, k := range known {
			a, b := []rune(typed), []rune(k)
			slips := slips(a, b)
			if longer := max(len(a), len(b)); slips <= max(longer/3, 1) && slips <= len(a) && slips < longer && (bestSlips < 0 || slips < bestSlips) {
				best, bestSlips = k, slips
			}
		}
		if got != best {
			t.Fatalf("Nearest(%q, %q) is %q, want %q", typed, known, got, best)
		}
	})
}

func slips(a, b []rune) int {
	if len(a) == 0 || len(b) == 0 {
		return len(a) + len(b)
	}
	x, y := a[:len(a)-1], b[:len(b)-1]
	differ := 1
	if a[len(x)] == b[len(y)] {
		differ = 0
	}
	least := min(slips(x, b)+1, slips(a, y)+1, slips(x, y)+differ)
	if len(x) > 0 && len(y) > 0 && a[len(x)] == b[len(y)-1] && a[len(x)-1] == b[len(y)] {
		least = min(least, slips(a[:len(a)-2], b[:len(b)-2])+1)
	}
	return least
}

func ExampleDidYouMean() {
	fmt.Println(source.DidYouMean("wieght", []string{"weight", "count", "value"}))
	fmt.Println(source.DidYouMean("postage", []string{"price", "freight", "fee"}))
	fmt.Println(source.DidYouMean("colour", []string{"weight", "count", "value"}))
	// Output:
	// did you mean weight?
	// did you mean freight?
	// known here: weight, count, value
}

// TestOr: what stands below either of two places is found in the one that has more
// of the way to it, the first where both have as much.
func TestOr(t *testing.T) {
	tree := func(file string, keys map[string]int) source.Origin {
		text := source.Text(func(from source.Origin, path []string, _ int) source.Origin {
			at := source.Origin{File: file}
			for i := range path {
				line, ok := keys[strings.Join(path[:i+1], " ")]
				if !ok {
					break
				}
				at.Line = line
			}
			return at
		})
		return source.Origin{File: file}.In(&text)
	}
	both := tree("a", map[string]int{"home": 1, "customs": 2, "customs use": 3}).Or(tree("b", map[string]int{"home": 7, "to": 8, "customs": 9, "customs classes": 10}))
	for _, c := range []struct{ path, want string }{
		{"home", "a:1"}, {"to", "b:8"}, {"customs use", "a:3"}, {"customs classes", "b:10"}, {"customs flat", "a:2"}, {"nowhere", "a"},
	} {
		if got := both.Key(strings.Fields(c.path)...).String(); got != c.want {
			t.Errorf("%s stands at %s, want %s", c.path, got, c.want)
		}
	}
}
