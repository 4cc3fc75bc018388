package desk

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"lotcost/cmd/lotcost/internal/edit"
	"lotcost/cmd/lotcost/internal/lines"
	"lotcost/landed/book"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// shelf is all the hauls of the folder, read again where they changed.
type shelf struct {
	desk *Desk

	mu    sync.Mutex // one reading at a time, so that two pages do not read all of it twice
	known map[string]*shelved
	day   string // on which it was read: what a haul waits for goes by that
}

// shelved is what is kept of a haul. Nothing of it is changed once it is there.
type shelved struct {
	line  line
	entry *book.Entry // nil where it is none of the book
	fault source.Faults
	from  []stamp // the files that it was read from

	priced bool // what its pieces must bring was worked out, which takes a search for each
}

// stamp tells whether a file is still as it was read.
type stamp struct {
	path string
	size int64
	at   time.Time
}

func (s stamp) holds() bool {
	info, err := os.Stat(s.path)
	return err == nil && info.Size() == s.size && info.ModTime().Equal(s.at)
}

// read reads what changed since, and returns all hauls by their names; priced ones where that is
// asked.
func (s *shelf) read(priced bool) (map[string]*shelved, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if day := s.desk.Today().Format(time.DateOnly); day != s.day {
		s.day, s.known = day, nil
	}
	type named struct {
		name string
		*shelved
	}
	now := map[string]*shelved{}
	err := lines.Below(context.Background(), s.desk.Folder, func(name string, f *source.Fault) named {
		old := s.known[name]
		switch {
		case f != nil:
			old = nil
		case old == nil || priced && !old.priced || slices.ContainsFunc(old.from, func(st stamp) bool { return !st.holds() }):
			old = s.desk.shelve(name, priced)
		}
		return named{name, old}
	}, func(n named) {
		if n.shelved != nil { // else it cannot be read
			now[n.name] = n.shelved
		}
	})
	if err == nil {
		s.known = now
	}
	return now, err
}

// toPutRight is the first thing that is wrong, in words; by its line where the file is no YAML.
func (h *haul) toPutRight(faults source.Faults) string {
	if h.Doc == nil {
		return fmt.Sprintf("line %d: %s", max(1, faults[0].At.Line), faults[0].What)
	}
	first := h.faultsShown(faults[:1])[0]
	return strings.TrimPrefix(first.Where+": "+first.What, ": ")
}

// shelve reads one file of the folder. One that is no lot file has no line.
func (d *Desk) shelve(name string, priced bool) *shelved {
	s := &shelved{priced: priced}
	o := d.Files
	o.Opened = func(path string, info fs.FileInfo) { s.from = append(s.from, stamp{path, info.Size(), info.ModTime()}) }
	path := d.folder.full(name)
	if info, err := os.Stat(path); err == nil {
		s.from = append(s.from, stamp{path, info.Size(), info.ModTime()})
	}
	text, err := d.folder.text(name)
	if err != nil {
		return s
	}
	f, err := lotfile.ReadText(path, text, o)
	h := &haul{desk: d, Name: name, Text: text, File: f}
	if err != nil {
		s.fault, h.File = source.FaultsIn(err), nil
		h.Doc, _ = edit.Parse(name, text)
		s.line = line{Name: name, Title: h.Title(), waits: toMend, Next: h.toPutRight(s.fault), comma: h.Comma()}
		return s
	}
	if s.entry, err = book.Enter(f.InBook(name), book.Options{Sales: true, Prices: priced}); err != nil {
		s.fault = source.FaultsIn(err)
	}
	s.line = lineOf(h, s.entry, s.fault)
	return s
}

// bookOf puts all hauls together.
func (d *Desk) bookOf(o book.Options) (*book.Result, []line, error) {
	all, err := d.book.read(o.Prices)
	if err != nil {
		return nil, nil, err
	}
	b := book.New(o)
	var lines []line
	for _, s := range all {
		if s.line.Name == "" {
			continue
		}
		lines = append(lines, s.line)
		if s.fault == nil {
			b.Add(s.entry)
		}
	}
	slices.SortFunc(lines, func(a, b line) int { return strings.Compare(a.Name, b.Name) })
	r, err := b.Result()
	return r, lines, err
}
