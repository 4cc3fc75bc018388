package lotfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lotcost/landed"
	"lotcost/landed/customs"
	"lotcost/landed/source"
)

// Stdin is the path that stands for standard input; files named by what is
// read there are looked for below the working folder.
const Stdin = "-"

// Options say how files are read. The zero value reads as the format says.
type Options struct {
	Stdin  io.Reader // what Stdin reads; may be nil when it is not used
	AnyDay bool      // take the nearest published rate, however old

	Opened func(path string)   // told of every file that is read; may be nil
	Warn   func(*source.Fault) // told what is strange in the files but not wrong, in order; may be nil

	Rules *customs.RuleSet // rules of customs beside the shipped ones and those of the file; may be nil
}

func (o *Options) opened(path string) {
	if o.Opened != nil {
		o.Opened(path)
	}
}

// warn tells the warnings of a report.
func (o *Options) warn(report *source.Report) {
	if o.Warn == nil {
		return
	}
	for _, f := range report.Warnings() {
		o.Warn(f)
	}
}

// Read reads the lot file at path, or from standard input.
func Read(path string, o Options) (*landed.Haul, error) {
	data, err := readFile(path, o)
	if err != nil {
		return nil, err
	}
	if strings.EqualFold(filepath.Ext(path), ".csv") {
		return nil, source.Faults{{At: source.Origin{File: path}, What: "this is an item list, not a lot file", Remedy: "name it in a lot file under items, or give it to split as --items " + path}}
	}
	folder := "."
	if path != Stdin {
		folder = filepath.Dir(path)
	}
	return Parse(shown(path), data, folder, o)
}

// shown is what a path is called in messages.
func shown(path string) string {
	if path == Stdin {
		return "standard input"
	}
	return path
}

// Open opens a file that the user named, or standard input. What the user can
// mend is returned as a fault that [Unreadable] knows, the rest as it is.
func Open(path string, o Options) (io.ReadCloser, error) {
	if path == Stdin {
		return io.NopCloser(o.Stdin), nil
	}
	at := source.Origin{File: path}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, source.Faults{{At: at, What: "there is no such file", Remedy: "check the name", Err: fs.ErrNotExist}}
	}
	if err != nil {
		return nil, err
	}
	o.opened(path)
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, source.Faults{{At: at, What: "this is a folder", Remedy: "name a file in it", Err: errFolder}}
	}
	return f, nil
}

var errFolder = errors.New("is a folder")

// Unreadable reports whether an error tells that there was no file to read,
// rather than that something is wrong in it.
func Unreadable(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, errFolder)
}

func readFile(path string, o Options) ([]byte, error) {
	f, err := Open(path, o)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readAll(f)
}

// readAll reads one byte more than is allowed at most, so that the text check
// tells what is too large.
func readAll(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, source.MaxBytes+1))
}

// open opens a file named in the lot file, below its folder.
func (r *reader) open(n source.Node, name string) (*os.File, bool) {
	if !filepath.IsLocal(name) {
		n.Fail("the path "+quote(name)+" leads out of the lot file's folder", "put the file beside the lot file and write its name alone")
		return nil, false
	}
	root, err := os.OpenRoot(r.folder)
	if err != nil {
		n.FailErr(err)
		return nil, false
	}
	defer root.Close()
	info, err := root.Stat(name)
	var f *os.File
	if err == nil && info.Mode().IsRegular() {
		f, err = root.Open(name)
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		n.Fail("there is no file "+quote(name)+" beside the lot file", "check the name")
	case err != nil:
		n.Fail("cannot open "+quote(name)+": "+reason(err), "the file must lie below the lot file's folder and be readable")
	case info.IsDir():
		n.Fail(quote(name)+" is a folder", "name a file in it")
	case f == nil:
		n.Fail(quote(name)+" is no plain file", "name a file, not a pipe or a device")
	default:
		r.opened(filepath.Join(r.folder, name))
		return f, true
	}
	return nil, false
}

// reason leaves the path out of an error about a path.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}
