package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"lotcost/cmd/lotcost/internal/lines"
	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/landed/book"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type bookOptions struct {
	ofFiles
	cost   string
	sell   string
	on     string
	months bool

	records []show.Record // of the hauls, where each piece is asked for
}

// The words for what a piece costs, and for which doubles are to be sold.
var costWords, sellWords = []string{"own", "average"}, []string{"cheapest", "dearest"}

func newBook(s streams) *cobra.Command {
	c := bookCommand(s, "book", func(r *book.Result, _ *bookOptions, _ time.Time) show.Result { return show.Book(r) })
	c.AddCommand(
		bookCommand(s, "book stock", func(r *book.Result, _ *bookOptions, on time.Time) show.Result { return show.Stock(r, on) }),
		bookCommand(s, "book doubles", func(r *book.Result, _ *bookOptions, _ time.Time) show.Result { return show.Doubles(r) }),
		bookCommand(s, "book sales", func(r *book.Result, _ *bookOptions, _ time.Time) show.Result { return show.Sales(r) }),
		bookCommand(s, "book years", func(r *book.Result, o *bookOptions, _ time.Time) show.Result { return show.Years(r, o.months) }),
		bookCommand(s, "book guesses", func(r *book.Result, _ *bookOptions, _ time.Time) show.Result { return show.Guesses(r) }),
		bookCommand(s, "book record", func(r *book.Result, o *bookOptions, _ time.Time) show.Result { return show.PieceRecord(r, o.records) }),
	)
	return c
}

func bookCommand(s streams, path string, view func(*book.Result, *bookOptions, time.Time) show.Result) *cobra.Command {
	o := &bookOptions{}
	c := command(path, o, oneFolder, folders, func(c *cobra.Command, args []string) error {
		return o.run(c, s, args[0], func(r *book.Result, on time.Time) show.Result { return view(r, o, on) })
	})
	f, name := c.Flags(), c.Name()
	if name != "guesses" && name != "record" {
		f.StringVar(&o.cost, "cost", costWords[0], "what a piece costs, by `NAME`: own is its own cost, average that of its model")
		words(c, "cost", costWords...)
	}
	switch name {
	case "stock":
		f.StringVar(&o.on, "on", "", "the `DAY` for which ages are counted, such as 2026-12-31; default: today")
	case "doubles":
		f.StringVar(&o.sell, "sell", sellWords[0], "which `PIECES` of a model are to be sold, cheapest or dearest")
		words(c, "sell", sellWords...)
	case "years":
		f.BoolVar(&o.months, "months", false, "list months in place of years")
	}
	return c
}

// oneFolder wants a folder as the one argument.
func oneFolder(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 0 || args[0] == "":
		return &usageError{c.CommandPath()[len("lotcost "):] + " needs a folder of lot files", c.CommandPath() + " FOLDER"}
	case len(args) > 1 && c.HasSubCommands() && source.Meant(args[0], namesOfAll(c)) != "":
		return &usageError{fmt.Sprintf("book has no command %q", args[0]), source.DidYouMean(args[0], namesOfAll(c))}
	case len(args) > 1:
		return &usageError{fmt.Sprintf("%s takes one folder, not %d", c.Name(), len(args)), "name the one that holds them all, and put a name with spaces in quotes"}
	}
	return nil
}

// options are those of the book, by the command that asks.
func (o *bookOptions) options(command string) (book.Options, error) {
	b := book.Options{Average: o.cost == costWords[1], Dearest: o.sell == sellWords[1], Sales: command == "sales", Prices: command == "stock"}
	for _, flag := range []struct {
		name, value string
		known       []string
	}{{"cost", o.cost, costWords}, {"sell", o.sell, sellWords}} {
		if flag.value != "" && !slices.Contains(flag.known, flag.value) {
			return b, &usageError{fmt.Sprintf("--%s %s", flag.name, flag.value), source.DidYouMean(flag.value, flag.known)}
		}
	}
	return b, nil
}

func (o *bookOptions) run(c *cobra.Command, s streams, folder string, view func(*book.Result, time.Time) show.Result) error {
	options, err := o.options(c.Name())
	if err != nil {
		return err
	}
	on, err := dayOrToday(o.on, "--on ")
	if err != nil {
		return err
	}
	ctx, stop := interruptible(c)
	defer stop()
	b := book.New(options)
	out, err := o.read(ctx, s, folder, options, func(e *book.Entry) {
		if b.Add(e); e != nil && c.Name() == "record" {
			o.records = append(o.records, show.RecordOf(e))
		}
	})
	if err != nil {
		return err
	}
	r, err := b.Result()
	if err != nil {
		return err
	}
	if err := o.write(s, view(r, on)); err != nil {
		return err
	}
	return s.tellBook(folder, r, out)
}

// tellBook tells what was left out of a book, and what is odd in it.
func (s streams) tellBook(folder string, r *book.Result, out []outside) error {
	for _, f := range r.Strange[:min(len(r.Strange), mostFaults)] {
		s.warn(f)
	}
	if out = outsideOf(r, out); len(out) > 0 {
		return leftOut(out)
	}
	if r.Hauls == 0 {
		s.tellEmpty(folder)
	}
	return nil
}

// outsideOf adds the hauls that a book leaves out to the files that were not read.
func outsideOf(r *book.Result, out []outside) []outside {
	for _, f := range r.Outside {
		out = append(out, outside{f.At.File, source.Faults{f}})
	}
	return out
}

// outside is a file of a folder that is left out of the book.
type outside struct {
	file   string
	faults source.Faults
}

// leftOut are the files that are left out of a book that is shown.
type leftOut []outside

// Error says how many there are.
func (l leftOut) Error() string {
	are := sheet.Either(len(l) == 1, "is", "are")
	return fmt.Sprintf("%s %s left out of the book", show.Plural(int64(len(l)), "file"), are)
}

// entered is what came of one file.
type entered struct {
	path  string
	entry *book.Entry // nil where it is none of the book
	comma bool        // it is written with decimal commas
	err   error
}

// read hands each haul of a folder on, in no order, and returns the files that are
// left out.
func (o *bookOptions) read(ctx context.Context, s streams, folder string, options book.Options, add func(*book.Entry)) ([]outside, error) {
	files, err := o.reading.options(s)
	if err != nil {
		return nil, err
	}
	// What is strange in one file is for check to tell.
	files.Warn, files.Reference = nil, nil
	var lock sync.Mutex
	if opened := files.Opened; opened != nil {
		files.Opened = func(path string, info fs.FileInfo) {
			lock.Lock()
			defer lock.Unlock()
			opened(path, info)
		}
	}
	waiting := s.waiting()
	waiting.doing, waiting.ends = "reading the book", "Ctrl-C ends it"
	defer waiting.end()
	// What is read is soon garbage, and little stays: collecting it seldom is much of the speed.
	defer debug.SetGCPercent(debug.SetGCPercent(seldom))
	var out []outside
	n, hauls, commas := 0, 0, 0
	err = lines.Below(ctx, folder, func(name string, f *source.Fault) entered {
		return entryOf(filepath.Join(folder, name), name, f, files, options)
	}, func(e entered) {
		n++
		waiting.tell(func() string { return fmt.Sprintf("%d files so far", n) })
		var faults source.Faults
		switch {
		case errors.As(e.err, &faults):
			out = append(out, outside{e.path, faults[:min(len(faults), mostFaults)]})
		case e.err != nil:
			out = append(out, outside{e.path, inputFault(source.Origin{File: e.path}, e.err)})
		default:
			add(e.entry)
		}
		if e.entry != nil { // the defaults stand beside it, and are none
			hauls++
		}
		if e.comma {
			commas++
		}
	})
	if 2*commas > hauls && *s.decimal == "" { // as most of the book is written
		*s.decimal = "comma"
	}
	if ctx.Err() != nil {
		err = errors.New("the reading was ended before the book was whole; nothing was written")
	}
	return out, err
}

// seldom is how much garbage may gather before it is collected, in percent of what
// is in use.
const seldom = 400

// entryOf is what comes of a file, unless it cannot be read.
func entryOf(path, name string, unread *source.Fault, files lotfile.Options, options book.Options) entered {
	if unread != nil {
		return entered{path: path, err: source.Faults{unread}}
	}
	f, err := lotfile.ReadHaul(path, files)
	if f == nil || err != nil {
		return entered{path: path, err: err}
	}
	e, err := book.Enter(f.InBook(name), options)
	return entered{path, e, f.Comma, err}
}
