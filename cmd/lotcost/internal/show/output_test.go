package show_test

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"lotcost/cmd/lotcost/internal/show"
)

func TestFormats(t *testing.T) {
	want := []string{"table", "csv", "json", "markdown"}
	if got := show.Formats(); !reflect.DeepEqual(got, want) {
		t.Fatalf("got %q, want %q", got, want)
	}
	for _, name := range want {
		if f, err := show.ParseFormat(name); err != nil || f.String() != name {
			t.Errorf("%s: got %v, %v", name, f, err)
		}
	}
	_, err := show.ParseFormat("XML")
	var format *show.FormatError
	if !errors.As(err, &format) || format.Text != "XML" {
		t.Fatalf("got %v", err)
	}
	if want := `unknown format "XML": use table, csv, json or markdown`; err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
}

// The end of a name picks the format; what cannot be written yet is told by name.
func TestFormatOf(t *testing.T) {
	for name, want := range map[string]show.Format{"x.csv": show.FormatCSV, "a.b/X.JSON": show.FormatJSON, "x.md": show.FormatMarkdown, "x.markdown": show.FormatMarkdown} {
		if f, known, err := show.FormatOf(name); f != want || !known || err != nil {
			t.Errorf("%s: got %v, %t, %v", name, f, known, err)
		}
	}
	for _, name := range []string{"", "-", "x", "x.txt", "csv", "x.csv/y", ".csv.bak"} {
		if f, known, err := show.FormatOf(name); f != show.FormatTable || known || err != nil {
			t.Errorf("%s: got %v, %t, %v", name, f, known, err)
		}
	}
	for name, want := range map[string]string{"x.xlsx": "x.xlsx would be a workbook, which cannot be written yet", "x.HTML": "x.HTML would be a page, which cannot be written yet"} {
		_, known, err := show.FormatOf(name)
		var not *show.NotYetError
		if known || !errors.As(err, &not) || err.Error() != want {
			t.Errorf("%s: got %v, want %s", name, err, want)
		}
	}
}

func env(pairs ...string) func(string) string {
	return func(name string) string {
		for i := 0; i < len(pairs); i += 2 {
			if pairs[i] == name {
				return pairs[i+1]
			}
		}
		return ""
	}
}

func TestNoTerminal(t *testing.T) {
	f, err := os.Create(filepath.Join(t.TempDir(), "f"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for _, f := range []*os.File{f, nil} {
		if got := show.DetectTerminal(f, env("COLUMNS", "40", "TERM", "xterm")); got != (show.Terminal{}) {
			t.Errorf("got %+v", got)
		}
	}
}

// The controlling side of a pseudo terminal counts as a terminal; a fresh one has no size.
func TestDetectTerminal(t *testing.T) {
	f, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no pseudo terminal: ", err)
	}
	defer f.Close()
	for _, c := range []struct {
		env  []string
		want show.Terminal
	}{
		{nil, show.Terminal{Width: 80, Colour: true}},
		{[]string{"COLUMNS", "40", "TERM", "xterm"}, show.Terminal{Width: 40, Colour: true}},
		{[]string{"COLUMNS", "-3"}, show.Terminal{Width: 80, Colour: true}},
		{[]string{"COLUMNS", "wide"}, show.Terminal{Width: 80, Colour: true}},
		{[]string{"NO_COLOR", "1"}, show.Terminal{Width: 80}},
		{[]string{"NO_COLOR", ""}, show.Terminal{Width: 80, Colour: true}},
		{[]string{"TERM", "dumb"}, show.Terminal{Width: 80}},
	} {
		if got := show.DetectTerminal(f, env(c.env...)); got != c.want {
			t.Errorf("%q: got %+v, want %+v", c.env, got, c.want)
		}
	}
}
