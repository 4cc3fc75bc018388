package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"lotcost/cmd/lotcost/internal/lines"
	"lotcost/cmd/lotcost/internal/show"
	"lotcost/cmd/lotcost/internal/whole"
	"lotcost/fx"
	"lotcost/landed/bid"
	"lotcost/landed/doubles"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"

	"github.com/spf13/cobra"
)

type batchOptions struct {
	reading
	do       string
	file     string
	progress bool
}

func newBatch(s streams) *cobra.Command {
	o := &batchOptions{}
	c := command("batch", o, oneList, firstEnding("ndjson", "jsonl", "json", "gz"), runs(func(ctx context.Context, args []string) error { return o.run(ctx, s, args[0]) }))
	f := c.Flags()
	f.StringVar(&o.do, "do", batchWords[0], "the `TASK` for each haul: split, price, bid or duty")
	f.VarP(given(&o.file), "output", "o", "write the answers to `FILE`; .gz compresses them")
	f.BoolVar(&o.progress, "progress", false, "say now and then how far it is, also where that is no terminal")
	words(c, "do", batchWords...)
	return c
}

// oneList wants the file of hauls as the one argument.
func oneList(_ *cobra.Command, args []string) error {
	const example = "lotcost batch hauls.ndjson, or - for standard input"
	switch {
	case len(args) == 0 || args[0] == "":
		return &usageError{"batch needs a file with a haul on each line", example}
	case len(args) > 1:
		return &usageError{fmt.Sprintf("batch takes one file, not %d", len(args)), "put them one behind the other, as in cat *.ndjson | lotcost batch -"}
	case strings.HasSuffix(strings.ToLower(args[0]), ".yaml"):
		return &usageError{"batch reads a haul in JSON on each line, and " + args[0] + " is one lot file", "lotcost split reads it"}
	}
	return nil
}

// batchWords are what can be asked of each haul, and asks who answers.
var (
	batchWords = []string{"split", "price", "bid", "duty"}
	asks       = map[string]answering{"split": askSplit, "price": askPrice, "bid": askBid, "duty": askDuty}
)

// answering answers for a haul.
type answering func(ctx context.Context, s streams, f *lotfile.File, room *lotfile.Room) (show.Result, error)

func (o *batchOptions) run(ctx context.Context, s streams, path string) error {
	b, err := o.batch(s, path)
	if err != nil {
		return err
	}
	in, err := lotfile.Open(path, b.files)
	if err != nil {
		return err
	}
	defer in.Close()
	out := output{file: o.file}
	if err := out.notOver(s); err != nil {
		return err
	}
	reported := b.progress(s, o.progress, in)
	job := lines.Job{Answerer: b.answerer, Zip: strings.HasSuffix(strings.ToLower(o.file), ".gz"), Tell: reported.tell}
	var stopped error
	// A haul leaves nothing behind: with a heap this small it would be tidied up all the time. Less
	// room, in per cent of what is in use, is left where each of many cores has some.
	defer debug.SetGCPercent(debug.SetGCPercent(max(100, 6400/max(8, runtime.GOMAXPROCS(0)))))
	write := func(w io.Writer) error {
		answered, err := job.Run(ctx, in, w)
		reported.end()
		if err != nil && ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			stopped = fmt.Errorf("ended before the last line: %s answered, all of them written", show.Plural(int64(answered), "haul"))
			return nil
		}
		if err == nil {
			err = b.notOver(out, s)
		}
		return err
	}
	if out.toFile() {
		err = whole.Replace(o.file, write)
	} else {
		err = write(s.out)
		if path, ok := errors.AsType[*fs.PathError](err); ok && path.Op == "write" {
			err = &whole.Error{Path: "-", Err: err}
		}
	}
	return b.ended(s, errors.Join(err, stopped))
}

// batch is what all hauls have in common; its methods may be called at once.
type batch struct {
	ask    answering
	s      streams
	path   string
	folder string
	files  lotfile.Options

	hauls, wrong atomic.Int64
	mu           sync.Mutex
	opened       map[string]fs.FileInfo // files that hauls name
}

func (o *batchOptions) batch(s streams, path string) (*batch, error) {
	b := &batch{s: s, path: path, folder: lotfile.Folder(path), opened: map[string]fs.FileInfo{}}
	if b.ask = asks[o.do]; b.ask == nil {
		return nil, &usageError{fmt.Sprintf("there is nothing to do that is called %q", o.do), source.DidYouMean(o.do, batchWords)}
	}
	var err error
	if b.files, err = o.options(s); err == nil {
		b.files.Reference = remembered(b.files.Reference)
	}
	return b, err
}

func remembered(reference func(time.Time) *fx.Table) func(time.Time) *fx.Table {
	var mu sync.Mutex
	known := map[time.Time]*fx.Table{}
	return func(on time.Time) *fx.Table {
		mu.Lock()
		defer mu.Unlock()
		table, ok := known[on]
		if !ok {
			table = reference(on)
			known[on] = table
		}
		return table
	}
}

// answerer answers hauls one after another, each in the room of the one before.
type answerer struct {
	*batch
	files lotfile.Options
	one   streams // what is said of the haul at hand
	room  lotfile.Room
}

func (b *batch) answerer() lines.Answer {
	a := &answerer{batch: b, files: b.files, one: b.s}
	a.one.decimal, a.one.strange, a.one.file = new(string), &source.Faults{}, new(*lotfile.File)
	a.files.Warn, a.files.Opened, a.files.Room = a.one.warn, b.keep, &a.room
	return a.answer
}

func (b *answerer) answer(ctx context.Context, number int, line, out []byte) ([]byte, error) {
	one := b.one
	*one.decimal, *one.strange, *one.file = "", nil, nil
	result, err := b.result(ctx, one, number, line)
	if err != nil && ctx.Err() != nil {
		return out, ctx.Err()
	}
	b.hauls.Add(1)
	if err == nil {
		return result.AppendLine(out, *one.strange)
	}
	b.wrong.Add(1)
	return show.AppendWrong(out, number, one.explained(b.faults(number, err)))
}

func (b *answerer) result(ctx context.Context, one streams, number int, line []byte) (none show.Result, err error) {
	f, err := lotfile.ParseJSON(b.path, number, line, b.folder, b.files)
	if one.asIn(f); err != nil {
		return none, err
	}
	return b.ask(ctx, one, f, &b.room)
}

func (b *batch) faults(number int, err error) source.Faults {
	var faults source.Faults
	var fault *source.Fault
	var usage *usageError
	at := source.Origin{File: b.path, Line: number}
	switch {
	case errors.As(err, &faults):
		return faults
	case errors.As(err, &fault):
		return source.Faults{fault}
	case errors.As(err, &usage):
		return source.Faults{{At: at, What: usage.what, Remedy: usage.remedy}}
	}
	return inputFault(at, err)
}

func askSplit(_ context.Context, _ streams, f *lotfile.File, room *lotfile.Room) (none show.Result, err error) {
	st, err := room.Splitter.Split(f.WithoutOpen())
	if err != nil {
		return none, err
	}
	return show.Split(st), nil
}

func askPrice(_ context.Context, s streams, f *lotfile.File, room *lotfile.Room) (none show.Result, err error) {
	r, err := (&priceOptions{carry: carryWords[0]}).price(s, f, doubles.Options{}, room.Splitter.Split)
	if err != nil {
		return none, err
	}
	return show.Price(r, f.Open()...), nil
}

func askBid(ctx context.Context, s streams, f *lotfile.File, _ *lotfile.Room) (none show.Result, err error) {
	s.withoutBook(f.Haul)
	o, ask := &bidOptions{}, bid.Options{Goes: func(int) bool { return ctx.Err() == nil }}
	if o.isEvening(f) {
		e, err := o.evening(s, f, ask)
		if err != nil {
			return none, err
		}
		return show.Evening(f.Title, e, nil), nil
	}
	_, a, moves, err := o.search(s, f, ask)
	if err == nil {
		err = ctx.Err() // what is found of it is not all
	}
	if err != nil {
		return none, err
	}
	e, err := chances(f, ask, a)
	return show.Bid(a, moves, nil, e), err
}

func askDuty(_ context.Context, s streams, f *lotfile.File, room *lotfile.Room) (show.Result, error) {
	return (&dutyOptions{}).result(s, f, room.Splitter.Split)
}

// keep notes a file that a haul names.
func (b *batch) keep(path string, info fs.FileInfo) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.opened[path] = info
}

// notOver refuses to write over a file that a haul named.
func (b *batch) notOver(out output, s streams) error {
	for path, info := range b.opened {
		s.opened.add(path, info)
	}
	return out.notOver(s)
}

func (b *batch) ended(s streams, err error) error {
	if wrong := b.wrong.Load(); err == nil && wrong > 0 {
		fmt.Fprintf(s.err, "error: errors in %d of %s: their lines of the result say which\n", wrong, show.Plural(b.hauls.Load(), "haul"))
		return exitCode(exitInput)
	}
	return err
}

// batchProgress tells how far a run is.
type batchProgress struct {
	*waiting
	b     *batch
	size  int64 // of the input; 0 where it is not known
	begun time.Time
	quiet bool
}

func (b *batch) progress(s streams, asked bool, in io.Reader) *batchProgress {
	p := &batchProgress{waiting: s.waiting(), b: b, begun: time.Now(), quiet: !s.watched && !asked}
	p.doing, p.ends = "answering", "Ctrl-C ends it"
	if f, ok := in.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
			p.size = info.Size()
		}
	}
	return p
}

func (p *batchProgress) tell(answered int, read int64) {
	if p.quiet {
		return
	}
	p.waiting.tell(func() string {
		text := show.Plural(int64(answered), "haul")
		if seconds := time.Since(p.begun).Seconds(); seconds > 1 {
			text += fmt.Sprintf(", %.0f a second", float64(answered)/seconds)
		}
		if wrong := p.b.wrong.Load(); wrong > 0 {
			text += fmt.Sprintf(", %d with errors", wrong)
		}
		if p.size > 0 {
			text += fmt.Sprintf(", %d%% of the file", 100*read/p.size)
		}
		return text
	})
}
