package whole_test

import (
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
	"time"

	"lotcost/cmd/lotcost/internal/whole"
)

var errFull = errors.New("no room")

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

func TestReplace(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "out.csv")
	if err := whole.Replace(path, writes("first")); err != nil {
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
	if err := whole.Replace(path, writes("second")); err != nil {
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
	err := whole.Replace(path, half)
	var out *whole.Error
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
	if err := whole.Replace(path, half); !errors.Is(err, errFull) {
		t.Fatalf("got %v", err)
	}
	content(t, path, "old")
	folder(t, dir, "out.csv")
}

func TestReplaceRefuses(t *testing.T) {
	dir := t.TempDir()
	never := func(io.Writer) error {
		t.Error("written all the same")
		return nil
	}
	for path, cause := range map[string]error{
		dir: syscall.EISDIR,
		filepath.Join(dir, "no such folder", "out"): fs.ErrNotExist,
	} {
		err := whole.Replace(path, never)
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
	if err := whole.Replace(link, writes("new")); err != nil {
		t.Fatal(err)
	}
	content(t, path, "new")
	if info, err := os.Lstat(link); err != nil || info.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("the link became %v, %v", info.Mode(), err)
	}
	folder(t, dir, "file", "link")
}

// A link to nothing would be replaced by the file, and a read-only file has
// been made so on purpose: both are reported, by Check before any work.
func TestReplaceNeverInSilence(t *testing.T) {
	dir := t.TempDir()
	link, locked := filepath.Join(dir, "link"), filepath.Join(dir, "locked")
	if err := os.Symlink("nothing", link); err != nil {
		t.Skip(err)
	}
	if err := os.WriteFile(locked, []byte("old"), 0o444); err != nil {
		t.Fatal(err)
	}
	for path, why := range map[string]string{
		link:   "it is a link to nothing: name the file itself",
		locked: "the file there is read-only: make it writable, or name another one",
	} {
		want := "cannot write " + strconv.Quote(path) + ": " + why
		for _, err := range []error{whole.Check(path), whole.Replace(path, writes("new"))} {
			if err == nil || err.Error() != want {
				t.Errorf("got %v, want %s", err, want)
			}
		}
	}
	content(t, locked, "old")
	folder(t, dir, "link", "locked")
}

// With hard links or without, a file appears once and is never written over.
func TestCreate(t *testing.T) {
	for name, links := range map[string]bool{"with hard links": true, "without hard links": false} {
		t.Run(name, func(t *testing.T) {
			if !links {
				t.Cleanup(whole.WithoutHardLinks(&os.LinkError{Op: "link", Err: syscall.EPERM}))
			}
			dir := t.TempDir()
			path := filepath.Join(dir, "new.yaml")
			if err := whole.Create(path, []byte("first")); err != nil {
				t.Fatal(err)
			}
			if err := whole.Create(path, []byte("second")); !errors.Is(err, fs.ErrExist) {
				t.Errorf("got %v", err)
			}
			content(t, path, "first")
			if err := whole.Create(filepath.Join(dir, "no", "x"), nil); !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("got %v", err)
			}
			folder(t, dir, "new.yaml")
		})
	}
}

// Of many that create one file at once, one does.
func TestCreateMeanwhile(t *testing.T) {
	for _, links := range []bool{true, false} {
		if !links {
			t.Cleanup(whole.WithoutHardLinks(syscall.EPERM))
		}
		dir := t.TempDir()
		path := filepath.Join(dir, "new")
		results := make(chan error)
		const many = 20
		for i := range many {
			go func() { results <- whole.Create(path, []byte{byte('a' + i)}) }()
		}
		created := 0
		for range many {
			if err := <-results; err == nil {
				created++
			} else if !errors.Is(err, fs.ErrExist) {
				t.Error(err)
			}
		}
		if data, err := os.ReadFile(path); created != 1 || len(data) != 1 {
			t.Errorf("links %t: created %d times, holds %q, %v", links, created, data, err)
		}
		folder(t, dir, "new")
	}
}

// What a killed run left is removed a day later, and nothing else is.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	old := time.Now().Add(-25 * time.Hour)
	for name, when := range map[string]time.Time{".lotcost-0123abcd": old, ".lotcost-89abcdef": time.Now(), ".lotcost-notes": old, "haul.yaml": old} {
		path := filepath.Join(dir, name)
		if err := errors.Join(os.WriteFile(path, nil, 0o600), os.Chtimes(path, when, when)); err != nil {
			t.Fatal(err)
		}
	}
	if err := whole.Replace(filepath.Join(dir, "out"), writes("x")); err != nil {
		t.Fatal(err)
	}
	folder(t, dir, ".lotcost-89abcdef", ".lotcost-notes", "haul.yaml", "out")
}

// Two names of one file are one, whether it is there or not.
func TestSameFile(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	for _, name := range []string{"a", "x", "X"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(os.Link(a, b), os.Symlink(dir, filepath.Join(dir, "here"))); err != nil {
		t.Skip(err)
	}
	for _, c := range []struct {
		first, second string
		want          bool
	}{
		{"a", "b", true}, {"a", "here/b", true}, {"a", "c", false}, {"c", "c", true}, {"c", "here/C", true}, {"c", "d", false}, {"c", "no/c", false}, {"a", "A", true}, {"x", "here/x", true}, {"b", "here/A", false},
	} {
		if got := whole.SameFile(filepath.Join(dir, c.first), filepath.Join(dir, c.second)); got != c.want {
			t.Errorf("%s and %s: got %t", c.first, c.second, got)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	both := len(entries) == 5 // a file system with case
	if got := whole.SameFile(filepath.Join(dir, "x"), filepath.Join(dir, "X")); got == both {
		t.Errorf("x and X: got %t", got)
	}
}
