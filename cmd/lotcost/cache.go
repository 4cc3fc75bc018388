package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"lotcost/cmd/lotcost/internal/fetch"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/fx"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// cache is the folder in which fetched files are kept, "" where there is no
// place for one. An index for each kind tells which was fetched last, and when.
type cache string

// kind is a kind of fetched files.
type kind struct {
	index  string // the name of its index
	former string // what was kept before there was an index; "" for none
	what   string
	called string                 // the same, where it stands by itself
	again  string                 // how to fetch one
	is     func(path string) bool // whether a file is one
}

var (
	rateTables = kind{"fetched.json", path.Base(fetch.ECB90Days), "table", "table of rates", "lotcost rates fetch",
		func(path string) bool { return fetched{path: path}.days() != nil }}
	tariffs = kind{"fetched-tariff.json", "", "tariff", "tariff", "lotcost rules fetch us", isTariff}
)

// cache finds the folder. A relative one would lie wherever the command runs.
func (s streams) cache() cache {
	if dir := s.env("XDG_CACHE_HOME"); filepath.IsAbs(dir) {
		return cache(filepath.Join(dir, "lotcost"))
	}
	if dir, err := os.UserCacheDir(); err == nil && filepath.IsAbs(dir) {
		return cache(filepath.Join(dir, "lotcost"))
	}
	return ""
}

// fetched is a fetched file.
type fetched struct {
	path string // "" when there is none
	day  string // of fetching, as in 2026-10-03; "" if not known
}

// indexEntry is what the index of a cache holds.
type indexEntry struct {
	File    string `json:"file"`    // the one fetched last, in the cache
	Fetched string `json:"fetched"` // the day, by the clock of this machine
}

func (c cache) last(k kind) (fetched, error) {
	if c == "" {
		return fetched{}, nil
	}
	entry := indexEntry{File: k.former}
	index := filepath.Join(string(c), k.index)
	data, err := k.readPlain(index)
	switch {
	case errors.Is(err, fs.ErrNotExist) && entry.File == "":
		return fetched{}, nil
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return fetched{}, err
	case json.Unmarshal(data, &entry) != nil || !filepath.IsLocal(entry.File) || filepath.Base(entry.File) != entry.File:
		return fetched{}, k.bad(index, "this does not say which "+k.what+" was fetched last")
	}
	table := fetched{filepath.Join(string(c), entry.File), entry.Fetched}
	info, err := os.Stat(table.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fetched{}, nil
	case err != nil:
		return fetched{}, err
	case !info.Mode().IsRegular():
		return fetched{}, k.bad(table.path, "this is no plain file")
	}
	return table, nil
}

// reference returns the table fetched last, for the nearest day that it has. It
// is for a check beside the answer, so a table that cannot be read is none.
func (c cache) reference(on time.Time) *fx.Table {
	t, err := c.last(rateTables)
	if err != nil || t.path == "" {
		return nil
	}
	table, err := ofPlain(t.path, func(r io.Reader) (*fx.Table, error) {
		return fx.ReadTable(r, fx.Window{On: on, Lift: true, Name: filepath.Base(t.path)})
	})
	if err != nil {
		return nil
	}
	return table
}

// ofPlain is what is read of a plain file that was fetched.
func ofPlain[T any](path string, read func(io.Reader) (T, error)) (none T, err error) {
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() {
		return none, errors.Join(err, fs.ErrInvalid)
	}
	f, err := os.Open(path)
	if err != nil {
		return none, err
	}
	defer f.Close()
	return read(f)
}

// readPlain reads a file of the cache, which has no business to be anything
// else, and to be large.
func (k kind) readPlain(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		err = k.bad(path, "this is no plain file")
	}
	if err != nil {
		return nil, err
	}
	return lotfile.Text(path, lotfile.Options{})
}

func (k kind) bad(path, what string) error {
	return source.Faults{{At: source.Origin{File: path}, What: what, Remedy: "remove it and fetch a " + k.what + ": " + k.again}}
}

// keep puts a fetched file into the cache, and then notes that it is the one of
// its kind to use.
func (c cache) keep(k kind, t *fetch.File, day time.Time) (fetched, error) {
	kept, err := c.store(t, day)
	if err != nil {
		return fetched{}, err
	}
	entry, err := json.Marshal(indexEntry{File: t.Name, Fetched: kept.day})
	if err != nil {
		return fetched{}, err
	}
	return kept, whole.Write(filepath.Join(string(c), k.index), append(entry, '\n'))
}

func (c cache) store(t *fetch.File, day time.Time) (fetched, error) {
	if err := os.MkdirAll(string(c), 0o755); err != nil {
		return fetched{}, err
	}
	kept := fetched{filepath.Join(string(c), t.Name), day.Format(time.DateOnly)}
	return kept, whole.Write(kept.path, t.Text)
}

// days are the days of the table, as far as it can be read; nil of what is none.
func (t fetched) days() []time.Time {
	sum, _ := ofPlain(t.path, fx.Summarize)
	return sum.Days
}

// lost tells which days of the table used so far a new one lacks. A table of
// the last months moves on: it loses days at its start as it gains them at its
// end.
func lost(before fetched, had []time.Time, now *fetch.Table, kept fetched) []sheet.Block {
	has := now.Summary.Days
	lost := slices.DeleteFunc(slices.Clone(had), func(day time.Time) bool {
		_, still := slices.BinarySearchFunc(has, day, time.Time.Compare)
		return still
	})
	if len(lost) == 0 {
		return nil
	}
	gone, first, last := len(lost), lost[0], lost[len(lost)-1]
	came := len(has) + gone - len(had)
	span := first.Format(time.DateOnly) + " to " + last.Format(time.DateOnly)
	switch {
	case before.path != kept.path:
		return []sheet.Block{sheet.Note{Kind: sheet.Caution, Text: fmt.Sprintf("of the table used so far, %s, days are not in this one: %d, %s; --table still reads it", before.path, gone, span)}}
	case last.After(has[0]) || came == 0 || gone > came+3: // holidays fall unevenly
		return []sheet.Block{sheet.Note{Kind: sheet.Caution, Text: fmt.Sprintf("days of the table that this one replaced are not in it: %d, %s", gone, span)}}
	}
	return []sheet.Block{sheet.Note{Text: fmt.Sprintf("it has moved on: days no longer in it: %d, %s", gone, span)}}
}
