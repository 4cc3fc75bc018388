package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
	"time"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/fx"
	"lotcost/landed/customs/tariff"
	"lotcost/landed/lotfile"

	"github.com/spf13/cobra"
)

// opened are the files that a command line has read, as they were when open, so
// that none of them is written over, by whichever name.
type opened struct{ files []openedFile }

type openedFile struct {
	path string
	info fs.FileInfo
}

func (o *opened) add(path string, info fs.FileInfo) {
	if info.Mode().IsRegular() {
		roomFor(info.Size())
		o.files = append(o.files, openedFile{path, info})
	}
}

// files are the options for reading, as far as the world sets them.
func (s streams) files() lotfile.Options {
	o := lotfile.Options{Stdin: s.in, Tariffs: &tariff.Cache{}, Warn: s.warn, Today: time.Now(), Reference: func(on time.Time) *fx.Table { return s.cache().reference(on) }}
	if s.opened != nil {
		o.Opened = s.opened.add
	}
	if s.decimal != nil {
		o.Decimal = *s.decimal
	}
	return o
}

func (s streams) wasRead(file fs.FileInfo) bool {
	return slices.ContainsFunc(s.opened.files, func(in openedFile) bool { return os.SameFile(in.info, file) })
}

// given is the value of a flag that must not be empty: an empty variable of a
// shell is no name.
func given(value *string) flagValue {
	return flagValue{*value, func(text string) error {
		if text == "" {
			return errors.New("it is empty")
		}
		*value = text
		return nil
	}}
}

// output is where a result goes, and how it looks.
type output struct {
	format, file string
	columns      []string // chosen ones; all where there are none
}

func (o *output) addFlags(c *cobra.Command) {
	c.Flags().Var(given(&o.format), "format", "how the result is written, a `FORMAT`: "+strings.Join(sheet.Formats(), ", ")+"; default: by the name of the output, else "+sheet.Formats()[0])
	c.Flags().VarP(given(&o.file), "output", "o", "write the result to `FILE`, whole or not at all: an older one is replaced, a link followed; .csv, .json, .md, .xlsx or .html picks the format")
	c.Flags().StringSliceVar(&o.columns, "columns", nil, "show these columns alone, in this order, `NAMES` such as id,cost,value; a wrong one lists what there is")
	words(c, "format", sheet.Formats()...)
	c.PreRunE = func(*cobra.Command, []string) error {
		if _, err := o.chosen(); err != nil || !o.toFile() {
			return err
		}
		return whole.Check(o.file)
	}
}

// chosen is the format that is asked for, by flag or by the name of the file.
func (o *output) chosen() (sheet.Format, error) {
	named, isNamed, err := sheet.FormatOf(o.file)
	if err != nil {
		return 0, &usageError{"-o " + err.Error(), "name a .csv, .json, .md, .xlsx or .html file, or another for the table"}
	}
	if o.format == "" {
		return named, nil
	}
	format, known := sheet.ParseFormat(o.format)
	if !known {
		return 0, &usageError{fmt.Sprintf("unknown format %q", o.format), "write one of " + strings.Join(sheet.Formats(), ", ")}
	}
	if isNamed && format != named {
		return 0, &usageError{fmt.Sprintf("--format %s contradicts the name of -o %s", format, o.file), "leave out --format, or name the file otherwise"}
	}
	return format, nil
}

func (o *output) isPage() bool {
	format, err := o.chosen()
	return err == nil && format == sheet.FormatPage
}

func (o *output) toFile() bool { return o.file != "" && o.file != "-" }

// notOver refuses to write over a file that was read.
func (o *output) notOver(s streams) error {
	if !o.toFile() {
		return notOntoRead(s)
	}
	info, err := os.Stat(o.file)
	if err != nil {
		return nil // there is nothing to write over
	}
	if s.wasRead(info) || slices.ContainsFunc(s.opened.files, func(in openedFile) bool { return whole.SameFile(in.path, o.file) }) {
		return &usageError{"-o " + o.file + " is a file that was read", "write to another one"}
	}
	return nil
}

// notOntoRead refuses to add to a file that was read, when standard output is
// one.
func notOntoRead(s streams) error {
	out, ok := s.out.(*os.File)
	if !ok {
		return nil
	}
	if info, err := out.Stat(); err == nil && s.wasRead(info) {
		return &usageError{"standard output is a file that was read", "send it to another one"}
	}
	return nil
}

// write puts the result where it should go, but never over a file it was made
// from.
func (o *output) write(s streams, r show.Result) error {
	format, err := o.chosen()
	if err != nil {
		return err
	}
	if err := o.notOver(s); err != nil {
		return err
	}
	if what := map[sheet.Format]string{sheet.FormatWorkbook: "workbook", sheet.FormatPage: "page"}[format]; what != "" && !o.toFile() && s.terminal.Width > 0 {
		return &usageError{"a " + what + " is nothing to read on a terminal", "write it into a file, as in -o result." + format.String()}
	}
	if r, err = o.choose(format, r); err != nil {
		return err
	}
	if text := r.Aside(format); text != "" {
		fmt.Fprintln(s.err, "warning: "+sheet.Visible(s.marked(text)))
	}
	if o.toFile() {
		return whole.Replace(o.file, func(w io.Writer) error { return r.Write(w, format, s.commas(), sheet.Terminal{}) })
	}
	if err := r.Write(s.out, format, s.commas(), s.terminal); err != nil {
		return &whole.Error{Path: "-", Err: err}
	}
	return nil
}

// choose leaves the columns that are asked for.
func (o *output) choose(format sheet.Format, r show.Result) (show.Result, error) {
	switch {
	case len(o.columns) == 0:
		return r, nil
	case format == sheet.FormatJSON:
		return r, &usageError{"--columns chooses columns of tables", "leave it out, since JSON always has all"}
	}
	all := sheet.Either(format == sheet.FormatCSV, func() *sheet.Sheet { return sheet.New(r.Table()) }, r.Sheet)()
	s, err := all.Choose(o.columns)
	if err != nil {
		return r, &usageError{"--columns", err.Error()}
	}
	r.Table = func() *sheet.Table { return s.Blocks[0].(*sheet.Table) } // of CSV
	r.Sheet = func() *sheet.Sheet { return sheet.New(s.Blocks...) }
	return r, nil
}

func (s streams) commas() bool { return s.decimal != nil && *s.decimal == "comma" }

// marked is a text for people with the decimal mark that is asked for.
func (s streams) marked(text string) string { return sheet.Marked(text, s.commas()) }

// exists refuses a path at which something stands, for what never writes over a
// file.
func exists(path, never string) error {
	return &usageError{path + " is there already", "choose another name; " + never + " never writes over a file"}
}

// create writes a file that is not there yet, for a command or flag that never
// writes over one.
func create(path string, text []byte, never string) error {
	err := whole.Create(path, text)
	switch {
	case errors.Is(err, fs.ErrExist):
		return exists(path, never)
	case errors.Is(err, fs.ErrNotExist):
		return &usageError{"the folder of " + path + " is not there", "make the folder first"}
	}
	return err
}
