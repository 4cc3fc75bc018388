package lotfile

import (
	"bytes"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"lotcost/landed/internal/scrub"
	"lotcost/landed/source"
)

// haulEnding is how the name of each lot file of a book ends.
const haulEnding = ".yaml"

// Below tells the plain files in a folder, and in those below it, whose names end
// in .yaml, by their paths inside it with slashes, in order, until told to stop.
// Links are not followed, but for the folder itself; files and folders that cannot
// be read are reported with a fault. The error is a fault that [Unreadable] knows, or
// one of the machine.
func Below(folder string, found func(name string, f *source.Fault) error) error {
	info, err := os.Stat(folder)
	switch {
	case os.IsNotExist(err):
		return unreadable(folder, "there is no such folder", "check the name", fs.ErrNotExist)
	case err != nil:
		return err
	case !info.IsDir():
		return unreadable(folder, "this is a file", "name the folder that it is in", errFolder)
	}
	return fs.WalkDir(os.DirFS(folder), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			f := &source.Fault{At: source.Origin{File: filepath.Join(folder, name)}, What: "the folder cannot be read: " + reason(err), Remedy: "allow it, or move the folder elsewhere", Err: err}
			if err := found(name, f); err != nil {
				return err
			}
			return fs.SkipDir
		case d.Type().IsRegular() && path.Ext(name) == haulEnding:
			return found(name, nil)
		}
		return nil
	})
}

// haulMark is the line at its left edge by which a file belongs to a book.
var haulMark = scrub.Pattern(`^lotcost:[ \t]+` + version + `[ \t]*(?:[ \t]#.*)?\r?\n?$`)

// IsHaul reports whether a text is that of a lot file, even if the rest is broken.
func IsHaul(data []byte) bool {
	for line := range bytes.Lines(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))) {
		if line[0] == 'l' && haulMark().Match(line) {
			return true
		}
	}
	return false
}

// ReadHaul reads a file of a folder as [Read] does, but returns nil where it is no
// lot file: where no line at its left edge is "lotcost: 1". One in UTF-16 is told, and not passed
// over.
func ReadHaul(file string, o Options) (*File, error) {
	data, err := Text(file, o)
	if err != nil {
		return nil, unreadable(file, "it cannot be read: "+reason(err), "allow it, or move the file elsewhere", err)
	}
	if !IsHaul(data) && !IsHaul(bytes.ReplaceAll(bytes.TrimLeft(data, "\xff\xfe"), []byte{0}, nil)) { // the latter of UTF-16
		return nil, nil
	}
	return ReadText(file, data, o)
}
