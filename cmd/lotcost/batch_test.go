package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"lotcost/testdata/effort"

	"go.yaml.in/yaml/v3"
)

// ask runs a command line and returns what it says and its exit code.
func ask(t testing.TB, in io.Reader, args ...string) (out, errs string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	s := streams{in: in, out: &o, err: &e, env: func(string) string { return "" }}
	code = lotcost(context.Background(), s, args)
	return o.String(), e.String(), code
}

// asLine is a lot file as JSON on one line.
func asLine(t testing.TB, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	line, err := json.Marshal(valueOf(doc.Content[0]))
	if err != nil {
		t.Fatal(err)
	}
	return append(line, '\n')
}

// valueOf keeps every scalar as it was typed: keys that are figures for JSON stay texts.
func valueOf(n *yaml.Node) any {
	switch n.Kind {
	case yaml.SequenceNode:
		list := []any{}
		for _, child := range n.Content {
			list = append(list, valueOf(child))
		}
		return list
	case yaml.MappingNode:
		group := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			group[n.Content[i].Value] = valueOf(n.Content[i+1])
		}
		return group
	}
	if n.ShortTag() == "!!null" {
		return nil
	}
	return n.Value
}

// TestBatchSays: the answer to a line is that of the command to the same haul in a file of its own.
func TestBatchSays(t *testing.T) {
	examples := t.TempDir()
	if err := os.CopyFS(examples, os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, pattern := range []string{"*/haul.yaml", "*/*/haul.yaml", "book/*/*.yaml"} {
		found, err := filepath.Glob(filepath.Join(examples, pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	answered := map[string]int{}
	for i, do := range batchWords {
		for j, file := range files {
			if (i+j)%effort.Cases(1, 2, 4) > 0 {
				continue
			}
			list := filepath.Join(filepath.Dir(file), "hauls.ndjson")
			if err := os.WriteFile(list, asLine(t, file), 0o600); err != nil {
				t.Fatal(err)
			}
			want, _, code := ask(t, nil, do, file, "--format", "json")
			got, _, batchCode := ask(t, nil, "batch", list, "--do", do)
			if code == exitInput {
				if batchCode != exitInput || !strings.HasPrefix(got, `{"line":1,"valid":false,"faults":[{`) {
					t.Errorf("%s %s: exit %d, %s", do, file, batchCode, got)
				}
				continue
			}
			var a, b map[string]any
			if err := json.Unmarshal([]byte(want), &a); err != nil {
				t.Fatalf("%s %s: %v", do, file, err)
			}
			if err := json.Unmarshal([]byte(got), &b); err != nil || batchCode != exitFine || strings.Count(got, "\n") != 1 {
				t.Fatalf("%s %s: exit %d, %v: %s", do, file, batchCode, err, got)
			}
			delete(b, "warnings")
			if !reflect.DeepEqual(a, b) {
				t.Errorf("%s %s:\n%v\n%v", do, file, a, b)
			}
			answered[do]++
		}
	}
	for _, do := range batchWords {
		if answered[do] == 0 {
			t.Errorf("no example answers %s", do)
		}
	}
}

// manyHauls are hauls that tell apart by their titles, every seventh with an error.
func manyHauls(n int) string {
	var b strings.Builder
	for i := range n {
		price := "42 CAD"
		if i%7 == 6 {
			price = "42 CAX"
		}
		fmt.Fprintf(&b, `{"lotcost": 1, "title": "%d", "home": "CAD", "lots": [{"id": "a", "price": %q, "items": [{"id": "b", "value": 9}]}]}`+"\n", i, price)
	}
	return b.String()
}

// TestBatchOrder: answers stand in the order of the lines, however many are under way.
func TestBatchOrder(t *testing.T) {
	const hauls = 3000
	out, errs, code := ask(t, strings.NewReader(manyHauls(hauls)), "batch", "-")
	if want := "error: errors in 428 of 3000 hauls: their lines of the result say which\n"; code != exitInput || errs != want {
		t.Errorf("exit %d: %q", code, errs)
	}
	lines := strings.SplitAfter(out, "\n")
	for i := range hauls {
		want := fmt.Sprintf(`{"title":"%d",`, i)
		if i%7 == 6 {
			want = fmt.Sprintf(`{"line":%d,"valid":false,`, i+1)
		}
		if !strings.HasPrefix(lines[i], want) {
			t.Fatalf("line %d is %s", i+1, lines[i])
		}
	}
	if len(lines) != hauls+1 || lines[hauls] != "" {
		t.Errorf("%d lines", len(lines))
	}
}

// TestBatchZip: what is compressed is read, and written, as the same.
func TestBatchZip(t *testing.T) {
	folder := t.TempDir()
	text := manyHauls(1000)
	want, _, _ := ask(t, strings.NewReader(text), "batch", "-")
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := io.WriteString(z, text); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "out.ndjson.gz")
	if _, errs, code := ask(t, bytes.NewReader(packed.Bytes()), "batch", "-", "-o", path); code != exitInput {
		t.Fatalf("exit %d: %s", code, errs)
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	unzipped, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	got, err := io.ReadAll(unzipped)
	if err != nil || string(got) != want {
		t.Errorf("%d bytes of %d, %v", len(got), len(want), err)
	}
	cut := filepath.Join(folder, "cut.ndjson")
	_, errs, code := ask(t, bytes.NewReader(packed.Bytes()[:packed.Len()/2]), "batch", "-", "-o", cut)
	if code != exitFail || !strings.Contains(errs, "the compressed file is damaged or cut off") {
		t.Errorf("exit %d: %s", code, errs)
	}
	if _, err := os.Stat(cut); err == nil {
		t.Error("something was written of a file that is cut off")
	}
}

// endless gives the same line for ever, and ends the run behind some of them.
type endless struct {
	line []byte
	left int
	stop func()
}

// Read implements io.Reader.
func (e *endless) Read(p []byte) (int, error) {
	if e.left--; e.left == 0 {
		e.stop()
		select {} // as a pipe into which nobody writes any more
	}
	return copy(p, e.line), nil
}

// TestBatchEnds: a run that is ended has written whole lines, and says so.
func TestBatchEnds(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	for _, file := range []string{"", filepath.Join(t.TempDir(), "out.ndjson")} {
		ctx, stop = context.WithCancel(context.Background())
		var out, errs bytes.Buffer
		s := streams{in: &endless{[]byte(manyHauls(1)), 500, stop}, out: &out, err: &errs, env: func(string) string { return "" }}
		args := []string{"batch", "-"}
		if file != "" {
			args = append(args, "-o", file)
		}
		ended := make(chan int, 1)
		go func() { ended <- lotcost(ctx, s, args) }()
		select {
		case code := <-ended:
			if code != exitFail || !strings.Contains(errs.String(), "ended before the last line") {
				t.Errorf("exit %d: %s", code, &errs)
			}
		case <-time.After(20 * time.Second):
			t.Fatal("it did not end")
		}
		text := out.String()
		if file != "" {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			text = string(data)
		}
		if text != "" && !strings.HasSuffix(text, "}\n") {
			t.Errorf("it ends with %q", text[max(0, len(text)-40):])
		}
	}
}

// TestBatchLong: a line that is longer than a file may be is told, and the run goes on.
func TestBatchLong(t *testing.T) {
	text := manyHauls(1) + `{"title": "` + strings.Repeat("x", 17<<20) + "\"}\n" + manyHauls(1)
	out, _, code := ask(t, strings.NewReader(text), "batch", "-")
	lines := strings.Split(out, "\n")
	if code != exitInput || len(lines) != 4 || !strings.Contains(lines[1], `{"line":2,"valid":false,"faults":[{"file":"standard input","line":2,"column":0,"field":"","what":"it is larger than 16 MiB"`) || lines[2] != lines[0] {
		t.Errorf("exit %d: %.300s", code, out)
	}
}

// many is a haul of so many items, as programs hand one over.
func many(items int) []byte {
	var b strings.Builder
	b.WriteString(`{"lotcost":1,"home":"CAD","from":"CA","to":"CA","exchange":{"rates":["100 JPY = 0.93 CAD"]},"lots":[{"id":"a","price":"4200 JPY","items":[`)
	for i := range items {
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, `{"id":"i%d","what":"Jack plane","count":2,"weight":"1.9 kg","value":"%d CAD"}`, i, 10+i%50)
	}
	b.WriteString(`]}],"charges":[{"kind":"freight","amount":"7400 JPY"}]}`)
	return []byte(b.String())
}

// TestBatchAllocates: what an answer allocates stays within what it was when this was written, and
// grows as the items do: counts, which no other work on the machine changes.
func TestBatchAllocates(t *testing.T) {
	s := streams{err: io.Discard, env: func(string) string { return "" }, opened: &opened{}, decimal: new(string)}
	b, err := (&batchOptions{do: "split"}).batch(s, "-")
	if err != nil {
		t.Fatal(err)
	}
	var out []byte
	answer := b.answerer()
	allocations := func(items int) float64 {
		line := many(items)
		return testing.AllocsPerRun(20, func() {
			if out, err = answer(context.Background(), 1, line, out[:0]); err != nil {
				t.Fatal(err)
			}
		})
	}
	ten, hundred, thousand := allocations(10), allocations(100), allocations(1000)
	t.Logf("%.0f, %.0f and %.0f allocations for 10, 100 and 1000 items", ten, hundred, thousand)
	if most := 40.0; ten > most {
		t.Errorf("%.0f allocations for ten items, more than %.0f", ten, most)
	}
	if exponent := math.Log10(thousand / hundred); exponent > 1.02 {
		t.Errorf("allocations grow with the power %.3f of the items", exponent)
	}
}
