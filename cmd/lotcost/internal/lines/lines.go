// Package lines answers a file line by line, in order, or a folder file by file: on all cores, in
// little memory.
//
// Lines are taken in portions. What is read ahead of the answers, and what waits to be written, is
// bounded, so that a file may be of any length.
package lines

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"
	"sync/atomic"
)

const (
	portionBytes = 64 << 10 // a portion ends when it holds so many,
	portionLines = 256      // or so many lines;
	ahead        = 3        // so many portions a core are under way at most,
	alone        = 1 << 20  // and a portion of so many bytes is under way by itself
)

// Longest is the length of the longest line that is kept whole, in bytes; of a longer one there is
// one byte more.
const Longest = 16 << 20

// Job says what becomes of lines.
type Job struct {
	Answerer func() Answer               // makes one for each of several goroutines, and is called in each
	Zip      bool                        // whether what is written is compressed, as by gzip
	Tell     func(lines int, read int64) // told now and then how far it is; may be nil
}

// Answer appends what is written for a line, with its end, to out. Lines are counted from 1. It is
// not called for blank lines. When the context has ended before there is an answer it returns the
// context's error, and no line from there on is written; other errors end the run.
type Answer func(ctx context.Context, number int, line, out []byte) ([]byte, error)

// Run answers the lines of r, which may be compressed by gzip, into w, and returns how many were
// answered. When the context ends it stops behind a whole line, with the context's error.
func (j Job) Run(ctx context.Context, r io.Reader, w io.Writer) (answered int, err error) {
	count := &counter{r: r}
	in := bufio.NewReaderSize(count, portionBytes)
	if head, _ := in.Peek(2); bytes.Equal(head, []byte{0x1f, 0x8b}) {
		unzipped, err := gzip.NewReader(in)
		if err != nil {
			return 0, badZip(err)
		}
		in = bufio.NewReaderSize(unzipped, portionBytes)
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	workers := runtime.GOMAXPROCS(0)
	work, order := make(chan *portion, ahead*workers), make(chan *portion, ahead*workers)
	for range workers {
		go j.work(ctx, work)
	}
	source := &reader{in: in}
	go source.run(ctx, work, order)
	return j.write(ctx, w, source, order, count)
}

// write writes what was answered, in order.
func (j Job) write(ctx context.Context, w io.Writer, source *reader, order <-chan *portion, count *counter) (answered int, err error) {
	out := bufio.NewWriterSize(w, portionBytes)
	for {
		p, more := next(ctx, order)
		switch {
		case !more && ctx.Err() != nil:
			return answered, errors.Join(ctx.Err(), out.Flush())
		case !more:
			return answered, errors.Join(source.err, out.Flush())
		}
		<-p.done
		_, err := out.Write(p.out)
		answered += p.answered
		if err == nil && len(order) == 0 {
			err = out.Flush() // somebody may be waiting for it
		}
		if err = errors.Join(p.err, err); err != nil {
			return answered, errors.Join(err, out.Flush())
		}
		if source.free(p); j.Tell != nil {
			j.Tell(answered, count.read.Load())
		}
	}
}

// next is the portion that is to be written next; none at the end. When the context has ended only
// those under way are waited for.
func next(ctx context.Context, order <-chan *portion) (*portion, bool) {
	select {
	case p, more := <-order:
		return p, more
	default:
	}
	select {
	case p, more := <-order:
		return p, more
	case <-ctx.Done():
		return nil, false
	}
}

// portion is some lines and what is written for them.
type portion struct {
	first    int // number of the first line
	text     []byte
	out      []byte
	answered int
	err      error
	done     chan struct{}
}

// work answers portions.
func (j Job) work(ctx context.Context, work <-chan *portion) {
	answer := j.Answerer()
	for p := range work {
		p.answer(ctx, answer)
		if j.Zip && (len(p.out) > 0 || p.first == 1) { // nothing at all is a compressed file too
			p.out = zipped(p.out)
		}
		p.done <- struct{}{}
	}
}

func (p *portion) answer(ctx context.Context, answer Answer) {
	number := p.first
	for line := range bytes.Lines(p.text) {
		if line = bytes.TrimSpace(line); len(line) > 0 {
			if ctx.Err() != nil {
				p.err = ctx.Err()
				return
			}
			out, err := answer(ctx, number, line, p.out)
			if err != nil {
				p.err = err
				return
			}
			p.out = out
			p.answered++
		}
		number++
	}
}

// zipped is a text as one part of a compressed file; such parts may stand behind each other
// (RFC 1952, 2.2).
func zipped(text []byte) []byte {
	var b bytes.Buffer
	z, _ := gzip.NewWriterLevel(&b, gzip.BestSpeed) // a level that there is
	z.Write(text)                                   // a buffer takes all
	z.Close()
	return b.Bytes()
}

// badZip says that a compressed file cannot be read.
func badZip(err error) error {
	return fmt.Errorf("the compressed file is damaged or cut off: %w", err)
}

// reader makes portions of a text.
type reader struct {
	in    *bufio.Reader
	line  int // those before the next
	err   error
	under sync.WaitGroup // portions that are not written yet
	spare sync.Pool
}

// run sends portions to those who answer and to the one who writes, until the text ends, or cannot
// be read on.
func (r *reader) run(ctx context.Context, work, order chan<- *portion) {
	defer close(work)
	defer close(order)
	for r.err == nil {
		p := r.portion()
		large := len(p.text) >= alone
		if large {
			r.under.Wait()
		}
		r.under.Add(1)
		select {
		case order <- p:
			work <- p // has as much room
		case <-ctx.Done():
			return
		}
		if large {
			r.under.Wait()
		}
	}
	if errors.Is(r.err, io.EOF) {
		r.err = nil
	}
	if errors.Is(r.err, io.ErrUnexpectedEOF) || errors.Is(r.err, gzip.ErrChecksum) || errors.Is(r.err, gzip.ErrHeader) {
		r.err = badZip(r.err)
	}
}

// free takes back the room of a portion that was written.
func (r *reader) free(p *portion) {
	if r.under.Done(); cap(p.text) < alone && cap(p.out) < alone {
		r.spare.Put(p)
	}
}

// portion reads some lines: those that are there when somebody is waiting for answers.
func (r *reader) portion() *portion {
	p, _ := r.spare.Get().(*portion)
	if p == nil {
		p = &portion{done: make(chan struct{}, 1)}
	}
	*p = portion{first: r.line + 1, text: p.text[:0], out: p.out[:0], done: p.done}
	for lines := 0; r.err == nil && lines < portionLines && len(p.text) < portionBytes && (lines == 0 || r.in.Buffered() > 0); lines++ {
		p.text = r.whole(p.text)
		r.line++
	}
	return p
}

// whole appends a line with its end; of one that is too long no more than shows that it is, behind
// which a portion ends.
func (r *reader) whole(text []byte) []byte {
	from := len(text)
	for {
		part, err := r.in.ReadSlice('\n')
		text = append(text, part[:min(len(part), Longest+1-(len(text)-from))]...)
		if !errors.Is(err, bufio.ErrBufferFull) {
			r.err = err
			return text
		}
	}
}

// counter counts what is read.
type counter struct {
	r    io.Reader
	read atomic.Int64
}

// Read implements io.Reader.
func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.read.Add(int64(n))
	return n, err
}
