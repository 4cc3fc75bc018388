package show

import (
	"os"

	"lotcost/landed"
)

// Result is what a command found, made ready for each format when that format
// is asked for. Table is what the CSV holds.
type Result struct {
	Sheet func() *Sheet
	Table func() *Table
	JSON  func() any
}

// With returns the sheet with more blocks at its end.
func (s *Sheet) With(blocks ...Block) *Sheet {
	s.add(blocks...)
	return s
}

// Visible makes hidden characters of a text from outside visible.
func Visible(s string) string { return visible(s) }

// NewFile writes a file that is not there yet, whole or not at all. It returns
// an error that is fs.ErrExist when the file is there already.
func NewFile(path string, data []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return os.ErrExist
	}
	if err := newFile(path, data); err != nil {
		return &OutputError{Path: path, Err: cause(err, path)}
	}
	return nil
}

func newFile(path string, data []byte) error {
	f, err := createBeside(path)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return err
	}
	return os.Link(f.Name(), path)
}

// StepsJSON is a working for [WriteJSON].
func StepsJSON(steps []landed.Step) any {
	out := make([]costStep, len(steps))
	for i, s := range steps {
		out[i] = costStep(s)
	}
	return out
}
