package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/landed/lotfile"
)

// folder is the files that are served. Nothing outside it is read or written by a name
// that comes from a page, and links in it are not followed, as a book does not.
type folder struct {
	path string
	root *os.Root

	mu     sync.Mutex // held while a file is compared and written
	before map[string][]version
	shown  []shownText // what pages saw last, the newest last
}

// shownText is a text that a page saw, by its mark.
type shownText struct {
	mark string
	text []byte
}

// The most texts that are kept for pages that saw them, and their bytes in all.
const mostShown, mostShownBytes = 256, 32 << 20

// version is a text of a file before it was changed here.
type version struct {
	text  []byte
	after string // the mark of the text that took its place
	What  string // the change in words; none where it was of the whole text
}

// mostVersions bounds how many changes of a file can be taken back.
const mostVersions = 200

// mark tells one text of a file from another.
func mark(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:12])
}

// changedError tells that a file is no longer as the page saw it.
type changedError struct{ now []byte }

func (*changedError) Error() string { return "the file was changed meanwhile" }

// plain reports whether a name is that of a file in the folder to which no link leads.
func (f *folder) plain(name string) bool {
	if !fs.ValidPath(name) || !filepath.IsLocal(filepath.FromSlash(name)) || path.Ext(name) != ".yaml" {
		return false
	}
	for at := name; at != "."; at = path.Dir(at) {
		info, err := f.root.Lstat(filepath.FromSlash(at))
		if err != nil && !errors.Is(err, fs.ErrNotExist) || err == nil && !info.IsDir() && !info.Mode().IsRegular() {
			return false
		}
	}
	return true
}

// full is the path of a file for those who open it by path.
func (f *folder) full(name string) string { return filepath.Join(f.path, filepath.FromSlash(name)) }

// text reads a lot file.
func (f *folder) text(name string) ([]byte, error) {
	if !f.plain(name) {
		return nil, fs.ErrNotExist
	}
	file, err := f.root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, fs.ErrNotExist
	}
	data, err := io.ReadAll(io.LimitReader(file, mostText))
	if err == nil && !lotfile.IsHaul(data) {
		err = fs.ErrNotExist
	}
	return data, err
}

// remember keeps a text that a page is shown, so that nothing is lost if the file changes
// while something is typed there.
func (f *folder) remember(data []byte) string {
	m := mark(data)
	f.mu.Lock()
	defer f.mu.Unlock()
	f.shown = slices.DeleteFunc(f.shown, func(t shownText) bool { return t.mark == m })
	f.shown = append(f.shown, shownText{m, data})
	size := 0
	for i, t := range slices.Backward(f.shown) {
		if size += len(t.text); i < len(f.shown)-1 && (size > mostShownBytes || len(f.shown)-i > mostShown) {
			f.shown = slices.Delete(f.shown, 0, i+1)
			break
		}
	}
	return m
}

// seen is the text of a mark, where it is still kept.
func (f *folder) seen(mark string) ([]byte, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	i := slices.IndexFunc(f.shown, func(t shownText) bool { return t.mark == mark })
	if i < 0 {
		return nil, false
	}
	return f.shown[i].text, true
}

// save writes a text in the place of the one that has the mark. The error is a
// [*changedError] where another one stands there by now, and nothing is written then.
func (f *folder) save(name, seen string, data []byte, what string) error {
	return f.put(name, seen, data, func(now []byte) {
		f.before[name] = append(f.before[name], version{now, mark(data), what})
		if n := len(f.before[name]); n > mostVersions {
			f.before[name] = f.before[name][n-mostVersions:]
		}
	})
}

// put writes a text if the file is as it was seen, and tells what it was.
func (f *folder) put(name, seen string, data []byte, done func(now []byte)) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	now, err := f.text(name)
	switch {
	case err != nil:
		return err
	case mark(now) != seen:
		return &changedError{now}
	case mark(now) == mark(data):
		return nil
	}
	if err = whole.Write(f.full(name), data); err == nil {
		done(now)
	}
	return err
}

// lastChange is what [folder.undo] puts back; nil where that is nothing.
func (f *folder) lastChange(name, seen string) *version {
	list := f.changes(name)
	if len(list) == 0 || list[len(list)-1].after != seen {
		return nil
	}
	return &list[len(list)-1]
}

// changes are those of a file that can be taken back, the last one behind.
func (f *folder) changes(name string) []version {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.before[name]
}

// undo puts back the text before the last change, where that is what stands there.
func (f *folder) undo(name, seen string) error {
	last := f.lastChange(name, seen)
	switch {
	case last != nil:
		return f.put(name, seen, last.text, func([]byte) { f.before[name] = f.before[name][:len(f.before[name])-1] })
	case len(f.changes(name)) == 0:
		return errNothing
	}
	return errOther
}

var (
	errNothing = errors.New("nothing was changed here since the desk was opened")
	errOther   = errors.New("the file was changed elsewhere since; nothing was taken back")
)

// create writes a file that is not there yet, in a folder that is made where it is missing.
func (f *folder) create(name string, data []byte) error {
	if !f.plain(name) || strings.HasPrefix(path.Base(name), ".") {
		return fmt.Errorf("%q is no name for a file here: write letters and digits, a folder before them with /, and .yaml behind", name)
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if dir := path.Dir(name); dir != "." {
		if err := f.root.MkdirAll(filepath.FromSlash(dir), 0o777); err != nil {
			return err
		}
	}
	err := whole.Create(f.full(name), data)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already: choose another name", name)
	}
	return err
}
