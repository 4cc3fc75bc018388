package sheet_test

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
)

func TestFormats(t *testing.T) {
	want := []string{"table", "csv", "json", "markdown", "xlsx", "html"}
	if got := sheet.Formats(); !reflect.DeepEqual(got, want) {
		t.Fatalf("got %q, want %q", got, want)
	}
	for _, name := range want {
		if f, known := sheet.ParseFormat(name); !known || f.String() != name {
			t.Errorf("%s: got %v, %t", name, f, known)
		}
	}
	if _, known := sheet.ParseFormat("XML"); known {
		t.Error("XML is taken for a format")
	}
}

// The end of a name picks the format; what cannot be written yet is reported by name.
func TestFormatOf(t *testing.T) {
	for name, want := range map[string]sheet.Format{"x.csv": sheet.FormatCSV, "a.b/X.JSON": sheet.FormatJSON, "x.md": sheet.FormatMarkdown, "x.markdown": sheet.FormatMarkdown, "x.XLSX": sheet.FormatWorkbook, "x.HTM": sheet.FormatPage, "x.html": sheet.FormatPage} {
		if f, known, err := sheet.FormatOf(name); f != want || !known || err != nil {
			t.Errorf("%s: got %v, %t, %v", name, f, known, err)
		}
	}
	for _, name := range []string{"", "-", "x", "x.txt", "csv", "x.csv/y", ".csv.bak"} {
		if f, known, err := sheet.FormatOf(name); f != sheet.FormatTable || known || err != nil {
			t.Errorf("%s: got %v, %t, %v", name, f, known, err)
		}
	}
	for name, want := range map[string]string{"x.PDF": "x.PDF would be a printed page, which cannot be written yet"} {
		_, known, err := sheet.FormatOf(name)
		if known || err == nil || err.Error() != want {
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
		if got := sheet.DetectTerminal(f, env("COLUMNS", "40", "TERM", "xterm")); got != (sheet.Terminal{}) {
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
		want sheet.Terminal
	}{
		{nil, sheet.Terminal{Width: 80, Colour: true}},
		{[]string{"COLUMNS", "40", "TERM", "xterm"}, sheet.Terminal{Width: 40, Colour: true}},
		{[]string{"COLUMNS", "-3"}, sheet.Terminal{Width: 80, Colour: true}},
		{[]string{"COLUMNS", "wide"}, sheet.Terminal{Width: 80, Colour: true}},
		{[]string{"NO_COLOR", "1"}, sheet.Terminal{Width: 80}},
		{[]string{"NO_COLOR", ""}, sheet.Terminal{Width: 80, Colour: true}},
		{[]string{"TERM", "dumb"}, sheet.Terminal{Width: 80}},
	} {
		if got := sheet.DetectTerminal(f, env(c.env...)); got != c.want {
			t.Errorf("%q: got %+v, want %+v", c.env, got, c.want)
		}
	}
}
