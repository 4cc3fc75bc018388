package lotfile

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"lotcost/fx"
	"lotcost/landed/customs"
	"lotcost/landed/customs/tariff"
	"lotcost/landed/internal/cells"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/source"
)

// Stdin is the path that stands for standard input; files named by what is
// read there are looked for below the working folder.
const Stdin = "-"

// Options say how files are read. The zero value reads as the format says.
type Options struct {
	Stdin   io.Reader // what Stdin reads; may be nil when it is not used
	AnyDay  bool      // take the nearest published rate, however old
	Decimal string    // comma or point: the decimal mark of figures on the command line, and of lists that do not show theirs
	Today   time.Time // what lies a year ahead of it is strange; zero when that is not asked

	// Reference returns a published table that the rates of a day are held
	// against where the file names none, or nil; it may be nil itself.
	Reference func(on time.Time) *fx.Table

	Opened func(path string, info fs.FileInfo) // told of every file that is read, once it is open; may be nil
	Warn   func(*source.Fault)                 // told what is strange in the files but not wrong, in order; may be nil

	// Lists are item lists that are read in the place of the files at these paths, to see how those
	// would be read before they are written.
	Lists map[string][]byte

	Tariffs *tariff.Cache // what was found in published tariffs before; may be nil

	Rules *customs.RuleSet // rules of customs beside the shipped ones and those of the file; may be nil

	Room *Room // in which [ParseJSON] reads a file in the place of the one before; nil where it reads each in its own
}

func (o *Options) opened(path string, f *os.File) (fs.FileInfo, error) {
	info, err := f.Stat()
	if err == nil && o.Opened != nil {
		o.Opened(path, info)
	}
	return info, err
}

func (o *Options) warn(report *collect.Report) {
	if o.Warn == nil {
		return
	}
	for _, f := range report.Warnings() {
		o.Warn(f)
	}
}

// Read reads the lot file at path, or from standard input.
func Read(path string, o Options) (*File, error) {
	data, err := Text(path, o)
	if err != nil {
		return nil, err
	}
	return ReadText(path, data, o)
}

// ReadText is [Read] of a file whose text is at hand.
func ReadText(path string, data []byte, o Options) (*File, error) {
	if file, _ := cutSheet(path); strings.EqualFold(filepath.Ext(file), ".csv") || strings.EqualFold(filepath.Ext(file), ".xlsx") {
		return nil, source.Faults{{At: source.Origin{File: path}, What: "this is an item list, not a lot file", Remedy: "name it in a lot file under items, or give it to split as --items " + path}}
	}
	r := newReader(Folder(path), o)
	r.piped = isPiped(path)
	return r.parse(shown(path), data)
}

// Folder is the folder below which files named by the lot file at path are
// looked for. What a shell hands over as /dev/stdin or /dev/fd/63 has none of
// its own, as standard input has none.
func Folder(path string) string {
	if isPiped(path) {
		return "."
	}
	return filepath.Dir(path)
}

func isPiped(path string) bool { return path == Stdin || strings.HasPrefix(path, "/dev/") }

// shown is what a path is called in messages.
func shown(path string) string {
	if path == Stdin {
		return "standard input"
	}
	return path
}

// Open opens a file that the user named, or standard input. What the user can
// mend is returned as a fault that [Unreadable] knows, the rest as it is. A pipe
// may be named, as a shell does for the output of a command, but one that nobody
// writes to is not waited for.
func Open(path string, o Options) (io.ReadCloser, error) {
	if path == Stdin {
		return io.NopCloser(o.Stdin), nil
	}
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, unreadable(path, "there is no such file", "check the name", fs.ErrNotExist)
	} else if err != nil {
		return nil, err
	}
	info, err := o.opened(path, f)
	switch {
	case err != nil:
		f.Close()
		return nil, err
	case info.IsDir():
		f.Close()
		return nil, unreadable(path, "this is a folder", "name a file in it", errFolder)
	case info.Mode()&fs.ModeNamedPipe == 0:
		return f, nil
	}
	pipe := bufio.NewReader(f)
	if _, err := pipe.Peek(1); errors.Is(err, io.EOF) {
		f.Close()
		return nil, unreadable(path, "nobody writes to this pipe", "start what writes to it first, or name a file", errPipe)
	}
	return struct {
		io.Reader
		io.Closer
	}{pipe, f}, nil
}

var errFolder, errPipe = errors.New("is a folder"), errors.New("is a silent pipe")

func unreadable(file, what, remedy string, err error) error {
	return source.Faults{{At: source.Origin{File: file}, What: what, Remedy: remedy, Err: err}}
}

// Unreadable reports whether an error tells that there was no file to read,
// rather than that something is wrong in it.
func Unreadable(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, errFolder) || errors.Is(err, errPipe)
}

// Text reads a file that the user named, or standard input. What is longer than
// a file may be is cut off one byte above the limit, so that reading it on tells
// that it is too large.
func Text(path string, o Options) ([]byte, error) { return named(path, o, input.MaxBytes) }

// Table reads a list or a workbook that the user named, as [Text] reads a lot file.
func Table(path string, o Options) ([]byte, error) { return named(path, o, cells.MaxBytes) }

func named(path string, o Options, most int64) ([]byte, error) {
	f, err := Open(path, o)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readAll(f, most)
}

// readAll reads one byte more than is allowed at most, so that the text check
// tells what is too large. Of a plain file it reads into what holds it all: a long
// list is large beside what is made of it.
func readAll(r io.Reader, most int64) ([]byte, error) {
	var data bytes.Buffer
	if f, ok := r.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			data.Grow(int(min(info.Size(), most)) + bytes.MinRead + 1)
		}
	}
	_, err := data.ReadFrom(io.LimitReader(r, most+1))
	return data.Bytes(), err
}

// fileBeside reads all of a file named in the lot file or in the defaults.
func (r *reader) fileBeside(n input.Node, name string, most int64) ([]byte, bool) {
	f, ok := r.open(n, name)
	if !ok {
		return nil, false
	}
	return contents(n, f, most)
}

func contents(n input.Node, f *os.File, most int64) ([]byte, bool) {
	defer f.Close()
	data, err := readAll(f, most)
	if err != nil {
		n.FailErr(err)
	}
	return data, err == nil
}

// open opens a file named in the lot file or in the defaults, below the folder
// of that file.
func (r *reader) open(n input.Node, name string) (*os.File, bool) {
	of := "the lot file"
	if r.inBook(n) {
		of = "the defaults file"
	}
	if !filepath.IsLocal(name) {
		n.Fail("the path "+quote(name)+" leads out of "+of+"'s folder", "put the file beside "+of+" and write its name alone")
		return nil, false
	}
	return r.openIn(n, place{r.folderOf(n), name, name, " beside " + of, "the file must lie below " + of + "'s folder and be readable"})
}

// place is where a file is looked for, by its path below a folder, and how that is
// called.
type place struct{ folder, path, name, beside, rule string }

// openIn opens a file that is none but a plain one.
func (r *reader) openIn(n input.Node, p place) (*os.File, bool) {
	if r.trial { // it is enough that there is such a file
		if _, err := os.Stat(filepath.Join(p.folder, p.path)); err != nil {
			n.Fail("there is no such file", "")
		}
		return nil, false
	}
	root, err := os.OpenRoot(p.folder)
	if err != nil {
		n.FailErr(err)
		return nil, false
	}
	defer root.Close()
	info, err := root.Stat(p.path)
	var f *os.File
	if err == nil && info.Mode().IsRegular() {
		f, err = root.OpenFile(p.path, os.O_RDONLY|syscall.O_NONBLOCK, 0) // it may have become a pipe
	}
	if err == nil && f != nil {
		info, err = r.opened(filepath.Join(p.folder, p.path), f)
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		n.Fail("there is no file "+quote(p.name)+p.beside, "check the name")
	case err != nil:
		n.Fail("cannot open "+quote(p.name)+": "+reason(err), p.rule)
	case info.IsDir():
		n.Fail(quote(p.name)+" is a folder", "name a file in it")
	case f == nil:
		n.Fail(quote(p.name)+" is no plain file", "name a file, not a pipe or a device")
	default:
		return f, true
	}
	return nil, false
}

// reason leaves the path out of an error about a path.
func reason(err error) string {
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		return p.Err.Error()
	}
	return err.Error()
}
