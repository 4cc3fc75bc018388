package show_test

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strconv"
	"syscall"
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

func writes(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

// folder checks that dir holds exactly the named files: no temporary one is left.
func folder(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range entries {
		got = append(got, e.Name())
	}
	if !reflect.DeepEqual(got, names) {
		t.Errorf("the folder holds %q, want %q", got, names)
	}
}

func content(t *testing.T, path, want string) {
	t.Helper()
	if got, err := os.ReadFile(path); err != nil || string(got) != want {
		t.Errorf("%s: got %q, %v, want %q", path, got, err, want)
	}
}

func TestToStandardOutput(t *testing.T) {
	for _, path := range []string{"", "-"} {
		var b bytes.Buffer
		if err := show.ToFile(path, &b, writes("x")); err != nil || b.String() != "x" {
			t.Errorf("%q: got %q, %v", path, &b, err)
		}
	}
	err := show.ToFile("-", fullWriter{}, writes("x"))
	if want := "cannot write standard output: no room"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestToFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.csv")
	if err := show.ToFile(path, nil, writes("first")); err != nil {
		t.Fatal(err)
	}
	content(t, path, "first")

	plain := filepath.Join(t.TempDir(), "plain")
	if err := os.WriteFile(plain, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if got, want := mode(t, path), mode(t, plain); got != want {
		t.Errorf("a new file has mode %v, other new files have %v", got, want)
	}

	if err := os.Chmod(path, 0o640); err != nil {
		t.Fatal(err)
	}
	before := mode(t, path)
	if err := show.ToFile(path, nil, writes("second")); err != nil {
		t.Fatal(err)
	}
	content(t, path, "second")
	if got := mode(t, path); got != before {
		t.Errorf("mode became %v, was %v", got, before)
	}
	folder(t, dir, "out.csv")
}

func mode(t *testing.T, path string) fs.FileMode {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.Mode()
}

func TestFailedWriteLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.csv")
	half := func(w io.Writer) error {
		io.WriteString(w, "half")
		return errFull
	}
	err := show.ToFile(path, nil, half)
	var out *show.OutputError
	if !errors.As(err, &out) || out.Path != path || !errors.Is(err, errFull) {
		t.Fatalf("got %v", err)
	}
	if want := "cannot write " + strconv.Quote(path) + ": no room"; err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
	folder(t, dir)

	if err := os.WriteFile(path, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := show.ToFile(path, nil, half); !errors.Is(err, errFull) {
		t.Fatalf("got %v", err)
	}
	content(t, path, "old")
	folder(t, dir, "out.csv")
}

func TestToFileRefuses(t *testing.T) {
	dir := t.TempDir()
	never := func(io.Writer) error {
		t.Error("written all the same")
		return nil
	}
	for path, cause := range map[string]error{
		dir: syscall.EISDIR,
		filepath.Join(dir, "no such folder", "out"): fs.ErrNotExist,
	} {
		err := show.ToFile(path, nil, never)
		if !errors.Is(err, cause) {
			t.Fatalf("%s: got %v, want %v", path, err, cause)
		}
		if runtime.GOOS == "windows" {
			continue // words the cause differently
		}
		text := map[error]string{syscall.EISDIR: "is a directory", fs.ErrNotExist: "no such file or directory"}[cause]
		if want := "cannot write " + strconv.Quote(path) + ": " + text; err.Error() != want {
			t.Errorf("got %q, want %q", err, want)
		}
	}
	folder(t, dir)
}

func TestSymbolicLinkStays(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "file"), filepath.Join(dir, "link")
	if err := os.WriteFile(path, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("file", link); err != nil {
		t.Skip(err)
	}
	if err := show.ToFile(link, nil, writes("new")); err != nil {
		t.Fatal(err)
	}
	content(t, path, "new")
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link became %v, %v", info.Mode(), err)
	}
	folder(t, dir, "file", "link")
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
