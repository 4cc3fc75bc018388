//go:build unix

package whole_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"

	"lotcost/cmd/lotcost/internal/whole"
)

// A pipe of the test's own stands for all that is no regular file: a failing test must not be
// able to replace a device of the machine.
func TestPipeStays(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip(err)
	}
	pipe, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer pipe.Close()
	if err := whole.Replace(path, writes("through")); err != nil {
		t.Fatal(err)
	}
	if m := mode(t, path); m&fs.ModeNamedPipe == 0 {
		t.Fatalf("the pipe became %v", m)
	}
	got := make([]byte, len("through"))
	if _, err := pipe.Read(got); err != nil || string(got) != "through" {
		t.Errorf("got %q, %v", got, err)
	}
	folder(t, dir, "pipe")
}

// A pipe that nobody reads from is not waited for.
func TestPipeWithoutReader(t *testing.T) {
	path := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip(err)
	}
	want := "cannot write " + strconv.Quote(path) + ": nobody reads from this pipe: start what reads it first"
	if err := whole.Replace(path, writes("x")); err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
