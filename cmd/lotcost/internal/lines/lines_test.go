package lines_test

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"lotcost/cmd/lotcost/internal/lines"
	"lotcost/landed/source"
)

// measured answers a line with its number and how long it is.
func measured(_ context.Context, number int, line, out []byte) ([]byte, error) {
	return fmt.Appendf(out, "%d: %d\n", number, len(line)), nil
}

// run answers a text by one answer for all goroutines.
func run(t *testing.T, j lines.Job, answer lines.Answer, in io.Reader) (string, int, error) {
	t.Helper()
	j.Answerer = func() lines.Answer { return answer }
	var out bytes.Buffer
	n, err := j.Run(t.Context(), in, &out)
	return out.String(), n, err
}

// zip compresses a text.
func zip(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(text)); err != nil || z.Close() != nil {
		t.Fatal("not compressed: ", err)
	}
	return b.Bytes()
}

// TestRun: which line is which, whatever ends it and however it comes.
func TestRun(t *testing.T) {
	for _, c := range []struct {
		in, want string
		answered int
	}{
		{"", "", 0},
		{"\n\n \t\n", "", 0},
		{"a", "1: 1\n", 1},
		{"a\nbb\n", "1: 1\n2: 2\n", 2},
		{"\n a \r\n\n\tbbb", "2: 1\n4: 3\n", 2},
		{"é\n", "1: 2\n", 1},
	} {
		for name, in := range map[string]io.Reader{"plain": strings.NewReader(c.in), "compressed": bytes.NewReader(zip(t, c.in)), "byte by byte": slow{strings.NewReader(c.in)}} {
			if got, n, err := run(t, lines.Job{}, measured, in); got != c.want || n != c.answered || err != nil {
				t.Errorf("%q, %s: %q of %d lines, %v", c.in, name, got, n, err)
			}
		}
	}
}

// TestNothingZipped: what is compressed of no lines is a compressed file, of nothing.
func TestNothingZipped(t *testing.T) {
	for _, in := range []string{"", "\n \n"} {
		got, _, err := run(t, lines.Job{Zip: true}, measured, strings.NewReader(in))
		if err != nil {
			t.Fatal(err)
		}
		z, err := gzip.NewReader(strings.NewReader(got))
		if err != nil {
			t.Fatalf("%q: %v", in, err)
		}
		if text, err := io.ReadAll(z); len(text) > 0 || err != nil {
			t.Errorf("%q: %q, %v", in, text, err)
		}
	}
}

// slow gives one byte at a time.
type slow struct{ io.Reader }

func (s slow) Read(p []byte) (int, error) { return s.Reader.Read(p[:min(1, len(p))]) }

// many are lines of all lengths, more than there are in any portion, with blank ones among them,
// and what is answered.
func many() (text, want string, answered int) {
	var in, out strings.Builder
	for i := range 3000 {
		long := i * 37 % 500
		in.WriteString(strings.Repeat("x", long) + "\n")
		if long > 0 {
			answered++
			fmt.Fprintf(&out, "%d: %d\n", i+1, long)
		}
	}
	return in.String(), out.String(), answered
}

// TestManyPortions: answers stand in the order of the lines, though the first take longest; what is
// written compressed is the same; and how far it is never goes back.
func TestManyPortions(t *testing.T) {
	text, want, answered := many()
	late := func(ctx context.Context, number int, line, out []byte) ([]byte, error) {
		for range 20 * (number % 3) {
			runtime.Gosched()
		}
		return measured(ctx, number, line, out)
	}
	for _, zipped := range []bool{false, true} {
		var reported []int
		var read int64
		got, n, err := run(t, lines.Job{Zip: zipped, Tell: func(n int, bytes int64) {
			if reported = append(reported, n); bytes < read {
				t.Errorf("%d bytes were read, and %d before", bytes, read)
			}
			read = bytes
		}}, late, strings.NewReader(text))
		if zipped {
			z, bad := gzip.NewReader(strings.NewReader(got))
			if bad != nil {
				t.Fatal(bad)
			}
			unzipped, bad := io.ReadAll(z)
			if got = string(unzipped); bad != nil {
				t.Fatal(bad)
			}
		}
		if got != want || n != answered || err != nil {
			t.Errorf("compressed %t: %d lines, %v, %d bytes, want %d and %d", zipped, n, err, len(got), answered, len(want))
		}
		if !slices.IsSorted(reported) || len(reported) < 2 || reported[len(reported)-1] != answered || read != int64(len(text)) {
			t.Errorf("compressed %t: told of %v lines and %d bytes", zipped, reported, read)
		}
	}
}

// TestEnds: an error ends the run, and what stands before it is written.
func TestEnds(t *testing.T) {
	text, want, _ := many()
	broken := errors.New("broken")
	answer := func(ctx context.Context, number int, line, out []byte) ([]byte, error) {
		if number == 1000 {
			return nil, broken
		}
		return measured(ctx, number, line, out)
	}
	got, n, err := run(t, lines.Job{}, answer, strings.NewReader(text))
	before, _, _ := strings.Cut(want, "1000: ")
	if got != before || n != strings.Count(before, "\n") || !errors.Is(err, broken) {
		t.Errorf("%d lines, %v, it ends with %q", n, err, got[max(0, len(got)-20):])
	}

	packed := zip(t, text)
	sum := slices.Clone(packed)
	sum[len(sum)-6] ^= 1 // of the checksum
	for name, in := range map[string][]byte{"cut off": packed[:len(packed)-6], "another checksum": sum, "more behind it": append(slices.Clone(packed), "more than a head"...), "a head alone": {0x1f, 0x8b, 0}} {
		if _, _, err := run(t, lines.Job{}, measured, bytes.NewReader(in)); err == nil || !strings.HasPrefix(err.Error(), "the compressed file is damaged or cut off: ") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, _, err = run(t, lines.Job{}, measured, io.MultiReader(strings.NewReader("a\n"), failing{broken})); err == nil || err.Error() != "broken" {
		t.Errorf("not read on: %v", err)
	}
}

// failing cannot be read.
type failing struct{ error }

func (f failing) Read([]byte) (int, error) { return 0, f.error }

// full takes so many bytes and no more.
type full struct{ room int }

func (f *full) Write(p []byte) (int, error) {
	if f.room -= len(p); f.room < 0 {
		return 0, io.ErrShortWrite
	}
	return len(p), nil
}

// TestFullDisk: what cannot be written ends the run.
func TestFullDisk(t *testing.T) {
	text, _, _ := many()
	j := lines.Job{Answerer: func() lines.Answer { return measured }}
	if _, err := j.Run(t.Context(), strings.NewReader(text), &full{1 << 10}); !errors.Is(err, io.ErrShortWrite) {
		t.Error(err)
	}
}

// TestStopped: a context that ends while more lines may come ends the run behind a whole line.
func TestStopped(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	r, w := io.Pipe()
	defer w.Close()
	go w.Write([]byte("a\nbb\n"))
	var answered atomic.Int32
	j := lines.Job{Answerer: func() lines.Answer {
		return func(ctx context.Context, number int, line, out []byte) ([]byte, error) {
			if answered.Add(1) == 2 {
				stop()
			}
			return measured(ctx, number, line, out)
		}
	}}
	var out bytes.Buffer
	n, err := j.Run(ctx, r, &out)
	if !errors.Is(err, context.Canceled) || n != strings.Count(out.String(), "\n") || !strings.HasPrefix("1: 1\n2: 2\n", out.String()) {
		t.Errorf("%d lines, %v: %q", n, err, out.String())
	}
}

// TestWaitedFor: who sends a line and waits for its answer before the next one gets it.
func TestWaitedFor(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		in, send := io.Pipe()
		receive, out := io.Pipe()
		j := lines.Job{Answerer: func() lines.Answer { return measured }}
		go func() {
			_, err := j.Run(t.Context(), in, out)
			out.CloseWithError(err)
		}()
		answers := bufio.NewReader(receive)
		for i, line := range []string{"a", "bb", "ccc"} {
			io.WriteString(send, line+"\n")
			if got, err := answers.ReadString('\n'); got != fmt.Sprintf("%d: %d\n", i+1, len(line)) {
				t.Errorf("%q: %q, %v", line, got, err)
			}
		}
		send.Close()
		if rest, err := io.ReadAll(answers); len(rest) > 0 || err != nil {
			t.Errorf("%q, %v", rest, err)
		}
	})
}

// TestStoppedWithin: where the context ends within a portion nothing is written of those behind it,
// though they were answered before.
func TestStoppedWithin(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	ctx, stop := context.WithCancel(t.Context())
	behind := make(chan struct{})
	j := lines.Job{Answerer: func() lines.Answer {
		return func(ctx context.Context, number int, line, out []byte) ([]byte, error) {
			switch number {
			case 1:
				<-behind
				stop()
			case 512: // the last of the second portion
				close(behind)
			}
			return measured(ctx, number, line, out)
		}
	}}
	var out bytes.Buffer
	n, err := j.Run(ctx, strings.NewReader(strings.Repeat("a\n", 512)), &out)
	if !errors.Is(err, context.Canceled) || out.String() != "1: 1\n" || n != 1 {
		t.Errorf("%d lines, %v: %q", n, err, out.String())
	}
}

// TestLongest: a line of the greatest length is whole, and of a longer one there is one byte more,
// the next being the next.
func TestLongest(t *testing.T) {
	for _, over := range []int{0, 70_000} {
		text := "z\n" + strings.Repeat("x", lines.Longest+over) + "\nyy\n"
		want := fmt.Sprintf("1: 1\n2: %d\n3: 2\n", lines.Longest+min(over, 1))
		if got, n, err := run(t, lines.Job{}, measured, strings.NewReader(text)); got != want || n != 3 || err != nil {
			t.Errorf("%d over: %q of %d, %v", over, got, n, err)
		}
	}
}

// TestBelow: every file of a folder is made something of once, and a folder that is none is told.
func TestBelow(t *testing.T) {
	folder := t.TempDir()
	var want []string
	for i := range 50 {
		want = append(want, fmt.Sprintf("%d/%d.yaml", 2020+i%5, i))
		path := filepath.Join(folder, want[i])
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, nil, 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	var got []string
	made := func(name string, f *source.Fault) string {
		if f != nil {
			t.Error(f)
		}
		return name
	}
	if err := lines.Below(t.Context(), folder, made, func(name string) { got = append(got, name) }); err != nil {
		t.Fatal(err)
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if err := lines.Below(ctx, folder, made, func(string) {}); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	if err := lines.Below(t.Context(), filepath.Join(folder, "none"), made, func(string) { t.Error("a file of no folder") }); err == nil {
		t.Error("there is no such folder, and nothing is said")
	}
}
