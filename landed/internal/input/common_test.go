package input

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// asLibrary tells how what the common reader reads of a text differs from what the library does; it
// reports false where that was not read.
func asLibrary(text string) (read bool, difference string) {
	got := common(text)
	if got == nil {
		return false, ""
	}
	want, f := parseAny("a.yaml", []byte(text))
	if f != nil {
		return true, fmt.Sprintf("%q: it is refused: %v", text, f)
	}
	return true, differs(text, got, want)
}

func differs(text string, got, want *value) string {
	switch {
	case got.kind != want.kind || got.text != want.text || got.line != want.line || got.column != want.column || got.kind == aText && got.plain != want.plain || got.null != want.null || len(got.kids) != len(want.kids):
		return fmt.Sprintf("%q: got %+v, want %+v", text, got, want)
	case want.note != nil && len(*want.note) > 1 && strings.IndexByte(" #\n", (*want.note)[1]) < 0:
		return fmt.Sprintf("%q: the note %q is lost", text, *want.note)
	}
	for i := range got.kids {
		if d := differs(text, &got.kids[i], &want.kids[i]); d != "" {
			return d
		}
	}
	return ""
}

// The files of the project, as they are and a little spoilt, are read as the library reads them; as
// they are, most of them without it.
func TestCommonFiles(t *testing.T) {
	files, read := 0, 0
	random := rand.New(rand.NewPCG(1, 2))
	err := filepath.WalkDir("../../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".yaml" {
			return err
		}
		data, err := os.ReadFile(path)
		files++
		if ok, difference := asLibrary(string(data)); difference != "" {
			t.Errorf("%s: %s", path, difference)
		} else if ok {
			read++
		}
		for range 40 {
			text := []byte(data)
			for range 1 + random.IntN(3) {
				if at := random.IntN(len(text) + 1); at < len(text) {
					text[at] = "\n -:#{}[],'\"?a0\t"[random.IntN(15)]
				}
			}
			if _, difference := asLibrary(string(text)); difference != "" {
				t.Errorf("%s: %s", path, difference)
			}
		}
		return err
	})
	if err != nil || read < files*3/4 {
		t.Errorf("%d of %d files are read: %v", read, files, err)
	}
}

// Texts put together of what YAML is made of are read as the library reads them.
func TestCommonTexts(t *testing.T) {
	part := rapid.SampledFrom([]string{"a", "b", "c: ", "d:", ":", "- ", "-", "-1", "\n", "\n", "\n  ", "\n    ", "\n- ", " ", "{", "}", "[", "]", ", ", ",", "'x y'", `"y"`, `"`, "''",
		" # n", "\n# n\n", "#2", "?", "null", "~", "é", "鉋: ", "---", "|", "10:30", "e: {f: 1, g: [2, 3]}", "\n  h: 1", "i:\n- 1\n- j: 2\n  k: 3"})
	tried, read := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOfN(part, 1, 14).Draw(t, "text"), "")
		ok, difference := asLibrary(text)
		if difference != "" {
			t.Fatal(difference)
		}
		if tried++; ok {
			read++
		}
	})
	if read*20 < tried {
		t.Errorf("only %d of %d texts are read", read, tried)
	}
}

func FuzzCommon(f *testing.F) {
	for _, name := range []string{"three-crates/haul.yaml", "three-lots/haul.yaml", "bench-day/haul.yaml"} {
		data, err := os.ReadFile(filepath.Join("../../../examples", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data))
	}
	f.Add("a:\n- b\n- - c\n  -\n- d: {e: [1, 'f'], g: \"h\"} # i\n  j:\nk : l")
	f.Fuzz(func(t *testing.T, text string) {
		if CheckText("a.yaml", []byte(text)) != nil {
			return
		}
		if _, difference := asLibrary(text); difference != "" {
			t.Error(difference)
		}
	})
}
