package taken

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"strconv"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/landed/source"
)

// Write writes the files that change, all or none, and returns the names under which the former
// ones are kept beside them: haul.yaml.before. Nothing is written where one is no longer as it was
// read.
func (r *Result) Write() (kept []string, err error) {
	for _, f := range r.Files {
		if now, err := os.ReadFile(f.Path); err != nil || !bytes.Equal(now, f.Before) {
			return nil, source.Faults{{At: source.Origin{File: f.Path}, What: "the file was changed meanwhile, and nothing was written", Remedy: "run this again", Err: err}}
		}
		if err := whole.Check(f.Path); err != nil {
			return nil, err
		}
	}
	back := func(written int) {
		for _, f := range r.Files[:written] {
			_ = whole.Write(f.Path, f.Before) // what can still be done
		}
		for _, name := range kept {
			_ = os.Remove(name)
		}
	}
	for _, f := range r.Files {
		name, err := keep(f)
		if err != nil {
			back(0)
			return nil, err
		}
		kept = append(kept, name)
	}
	for i, f := range r.Files {
		if err := whole.Write(f.Path, f.After); err != nil {
			back(i)
			return nil, err
		}
	}
	return kept, nil
}

// keep writes what a file was beside it, under a name that is free.
func keep(f Written) (string, error) {
	for n := 1; ; n++ {
		name := f.Path + ".before" + sheet.Either(n > 1, "-"+strconv.Itoa(n), "")
		if err := whole.Create(name, f.Before); !errors.Is(err, fs.ErrExist) {
			return name, err
		}
	}
}
