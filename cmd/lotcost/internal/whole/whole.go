// Package whole writes files that appear whole or not at all, and never takes
// the place of anything in silence.
//
// What is written goes into a temporary file of the same folder, down to the
// disk, and is then put in place in one step. A run that is killed may leave
// its temporary file behind; later runs that write in that folder remove those
// that are older than a day.
package whole

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"time"
)

// Error says that something could not be written where it should go.
type Error struct {
	Path string // "-" for standard output
	Err  error
}

// Error implements error.
func (e *Error) Error() string {
	if e.Path == "-" {
		return fmt.Sprintf("cannot write standard output: %v", e.Err)
	}
	return fmt.Sprintf("cannot write %q: %v", e.Path, e.Err)
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// Causes that the system does not word for people.
var (
	errDangling = errors.New("it is a link to nothing: name the file itself")
	errReadOnly = errors.New("the file there is read-only: make it writable, or name another one")
	errNoReader = errors.New("nobody reads from this pipe: start what reads it first")
)

// Replace lets write fill the file at path, in the place of an older one. After
// a failure the older file is as it was. Its permissions are kept, and a
// symbolic link to it goes on pointing there; one to nothing is refused, and so
// are a read-only file and a folder. What is no regular file, such as a pipe, is
// written to directly; a pipe that nobody reads from is refused. Every error is
// an [*Error].
func Replace(path string, write func(io.Writer) error) error {
	return named(path, replace(path, write))
}

// Write is [Replace] with a text that is there already.
func Write(path string, text []byte) error { return Replace(path, all(text)) }

func all(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
}

// Check tells before any work what [Replace] would refuse.
func Check(path string) error {
	_, err := look(path)
	return named(path, err)
}

// Create writes a file that is not there yet. The error is [fs.ErrExist] when
// anything stands there, also if it came there meanwhile, else an [*Error].
func Create(path string, data []byte) error {
	if Exists(path) {
		return fs.ErrExist
	}
	err := put(path, 0, all(data), claim)
	if errors.Is(err, fs.ErrExist) {
		return fs.ErrExist
	}
	return named(path, err)
}

// Exists reports whether anything stands at path, be it a link to nothing.
func Exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// SameFile reports whether two paths lead to one file, or would once it is
// there. Names that differ in capitals only are one file where the folder has
// not both: some file systems without case tell no other way that they are.
func SameFile(a, b string) bool {
	first, err := os.Stat(a)
	second, otherErr := os.Stat(b)
	if err == nil && otherErr == nil && os.SameFile(first, second) {
		return true
	}
	a, b = resolve(a), resolve(b)
	folder, name := filepath.Split(a)
	other, otherName := filepath.Split(b)
	if name == "" || !strings.EqualFold(name, otherName) || !SameFile(filepath.Clean(folder), filepath.Clean(other)) {
		return false
	}
	entries, _ := os.ReadDir(folder)
	alike := 0
	for _, e := range entries {
		if strings.EqualFold(e.Name(), name) {
			alike++
		}
	}
	return name == otherName || alike < 2
}

// resolve follows the links in a path, as far as it leads anywhere.
func resolve(path string) string {
	if whole, err := filepath.Abs(path); err == nil {
		path = whole
	}
	if target, err := filepath.EvalSymlinks(path); err == nil {
		return target
	}
	if folder, err := filepath.EvalSymlinks(filepath.Dir(path)); err == nil {
		return filepath.Join(folder, filepath.Base(path))
	}
	return path
}

// named says of which path an error is. An error of the system says the path
// again, or names the temporary file: only its cause is kept.
func named(path string, err error) error {
	if err == nil {
		return nil
	}
	var in *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &in) && (in.Path == path || in.Path == filepath.Dir(path) || isTemporary(filepath.Base(in.Path))):
		err = in.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return &Error{Path: path, Err: err}
}

func replace(path string, write func(io.Writer) error) error {
	at, err := look(path)
	switch {
	case err != nil:
		return err
	case at.direct:
		return through(path, write)
	}
	return put(at.path, at.mode, write, os.Rename)
}

// place is where a result goes.
type place struct {
	path   string      // links followed
	mode   fs.FileMode // the permissions of the older file, 0 where there is none
	direct bool        // it is no regular file
}

// look tells where a result for path goes, or why it cannot go there.
func look(path string) (place, error) {
	old, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if Exists(path) {
			return place{}, errDangling
		}
		_, err := os.Stat(filepath.Dir(path))
		return place{path: path}, err
	case err != nil:
		return place{}, err
	case old.IsDir():
		return place{}, syscall.EISDIR
	case !old.Mode().IsRegular():
		return place{direct: true}, nil
	case old.Mode().Perm()&0o222 == 0:
		return place{}, errReadOnly // the superuser could write it all the same
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if errors.Is(err, fs.ErrPermission) {
		return place{}, errReadOnly
	} else if err == nil {
		f.Close()
	}
	target, err := filepath.EvalSymlinks(path)
	return place{path: target, mode: old.Mode().Perm()}, err
}

// through writes to what is no regular file. Opening it does not wait.
func through(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY|syscall.O_NONBLOCK, 0)
	if errors.Is(err, syscall.ENXIO) {
		return errNoReader
	} else if err != nil {
		return err
	}
	return errors.Join(fill(f, write), f.Close())
}

// put fills a temporary file beside path and lets place move it there. Without
// a mode the file has the permissions that the user gives to new ones.
func put(path string, mode fs.FileMode, write func(io.Writer) error, place func(temporary, path string) error) error {
	folder := filepath.Dir(path)
	sweep(folder, time.Now())
	f, err := temporary(folder)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // nothing is there any more when all went well
	err = fill(f, write)
	if info, statErr := f.Stat(); err == nil && statErr == nil && mode != 0 && info.Mode().Perm() != mode {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	return place(f.Name(), path)
}

func fill(f *os.File, write func(io.Writer) error) error {
	b := bufio.NewWriter(f)
	if err := write(b); err != nil {
		return err
	}
	return b.Flush()
}

// link is os.Link, but in a test.
var link = os.Link

// claim puts a temporary file at path unless something is there. Where there
// are no hard links (FAT, exFAT, most phones) the name is taken first, by an
// empty file which the other replaces at once.
func claim(temporary, path string) error {
	err := link(temporary, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Close(), os.Rename(temporary, path)); err != nil {
		os.Remove(path)
		return err
	}
	return nil
}

// stale is the age at which a temporary file has been left behind.
const stale = 24 * time.Hour

// prefix begins the names of temporary files.
const prefix = ".lotcost-"

// temporary makes a new file. os.CreateTemp would make it private; this one has
// the permissions that the user gives to new files.
func temporary(folder string) (*os.File, error) {
	for tries := 0; ; tries++ {
		name := filepath.Join(folder, fmt.Sprintf("%s%08x", prefix, rand.Uint32()))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) || tries == 100 {
			return f, err
		}
	}
}

var temporaryName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile("^" + regexp.QuoteMeta(prefix) + "[0-9a-f]{8}$") })

func isTemporary(name string) bool { return temporaryName().MatchString(name) }

// sweep removes what killed runs left in a folder.
func sweep(folder string, now time.Time) {
	entries, _ := os.ReadDir(folder) // what cannot be read cannot be swept
	for _, e := range entries {
		if !isTemporary(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		if info, err := e.Info(); err == nil && now.Sub(info.ModTime()) > stale {
			os.Remove(filepath.Join(folder, e.Name()))
		}
	}
}
