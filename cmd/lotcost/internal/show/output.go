package show

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"golang.org/x/term"
)

// Format is a way of writing a result.
type Format int

const (
	FormatTable    Format = iota // text for a terminal
	FormatCSV                    // one table for other programs
	FormatJSON                   // the whole result for other programs
	FormatMarkdown               // text for a document
)

var formatNames = []string{FormatTable: "table", FormatCSV: "csv", FormatJSON: "json", FormatMarkdown: "markdown"}

// String returns the name that [ParseFormat] reads.
func (f Format) String() string { return formatNames[f] }

// Formats returns the names of all formats, the usual one first.
func Formats() []string { return slices.Clone(formatNames) }

// FormatError says that a text is no format's name.
type FormatError struct {
	Text string
}

// Error implements error.
func (e *FormatError) Error() string {
	last := len(formatNames) - 1
	return fmt.Sprintf("unknown format %q: use %s or %s", e.Text, strings.Join(formatNames[:last], ", "), formatNames[last])
}

// ParseFormat reads the name of a format; what is not one gives a [*FormatError].
func ParseFormat(s string) (Format, error) {
	i := slices.Index(formatNames, s)
	if i < 0 {
		return 0, &FormatError{Text: s}
	}
	return Format(i), nil
}

// OutputError says that a result could not be put where it should go.
type OutputError struct {
	Path string // "-" for standard output
	Err  error
}

// Error implements error.
func (e *OutputError) Error() string {
	if e.Path == "-" {
		return fmt.Sprintf("cannot write standard output: %v", e.Err)
	}
	return fmt.Sprintf("cannot write %q: %v", e.Path, e.Err)
}

// Unwrap returns the cause.
func (e *OutputError) Unwrap() error { return e.Err }

// ToFile lets write fill the file at path, or stdout where path is "-" or empty.
//
// The file appears whole or not at all: it is written under another name in the same folder and
// then put in place, so that a failure leaves an older file as it was. An older file's permissions
// are kept, and a symbolic link to it goes on pointing there. What is no regular file, such as a
// pipe, is written to directly; a folder is refused. Every error is an [*OutputError].
func ToFile(path string, stdout io.Writer, write func(io.Writer) error) error {
	if path == "" || path == "-" {
		if err := write(stdout); err != nil {
			return &OutputError{Path: "-", Err: err}
		}
		return nil
	}
	if err := toFile(path, write); err != nil {
		return &OutputError{Path: path, Err: cause(err, path)}
	}
	return nil
}

// cause takes the path out of an error of the system, which says it again or names the temporary
// file.
func cause(err error, path string) error {
	var in *fs.PathError
	if errors.As(err, &in) && (in.Path == path || strings.HasPrefix(filepath.Base(in.Path), tempName)) {
		return in.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}

func toFile(path string, write func(io.Writer) error) error {
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return replace(path, nil, write)
	case err != nil:
		return err
	case info.IsDir():
		return syscall.EISDIR
	case !info.Mode().IsRegular():
		f, err := os.OpenFile(path, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		return errors.Join(fill(f, write), f.Close())
	}
	return replace(path, info, write)
}

// replace puts a new file at path; old describes the one that stands there, if any.
func replace(path string, old fs.FileInfo, write func(io.Writer) error) (err error) {
	f, err := createBeside(path)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if err := fill(f, write); err != nil {
		return err
	}
	if old != nil {
		if err := f.Chmod(old.Mode().Perm()); err != nil {
			return err
		}
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}

// tempName begins the names of files that are not finished.
const tempName = ".lotcost-"

// createBeside makes a new file in the folder of path. os.CreateTemp would make it private; this
// one has the permissions that the user gives to new files.
func createBeside(path string) (*os.File, error) {
	for tries := 0; ; tries++ {
		name := filepath.Join(filepath.Dir(path), fmt.Sprintf("%s%08x", tempName, rand.Uint32()))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) || tries == 100 {
			return f, err
		}
	}
}

func fill(f *os.File, write func(io.Writer) error) error {
	b := bufio.NewWriter(f)
	if err := write(b); err != nil {
		return err
	}
	return b.Flush()
}

// DetectTerminal describes f, with env to look up environment variables. What is no terminal has
// no width and no colour. COLUMNS comes before the width that the terminal itself reports, and
// where neither says anything it is 80. NO_COLOR with any text in it, or TERM=dumb, means no colour.
func DetectTerminal(f *os.File, env func(string) string) Terminal {
	if f == nil || !term.IsTerminal(int(f.Fd())) {
		return Terminal{}
	}
	t := Terminal{Width: 80, Colour: env("NO_COLOR") == "" && env("TERM") != "dumb"}
	if n, err := strconv.Atoi(env("COLUMNS")); err == nil && n > 0 {
		t.Width = n
	} else if n, _, err := term.GetSize(int(f.Fd())); err == nil && n > 0 {
		t.Width = n
	}
	return t
}
