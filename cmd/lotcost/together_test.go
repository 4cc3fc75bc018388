package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"lotcost/landed/money"
	"lotcost/testdata/effort"
)

// TestTogetherStopped: Ctrl-C takes the best way found so far, and says so.
func TestTogetherStopped(t *testing.T) {
	path := filepath.Join(t.TempDir(), "haul.yaml")
	var text strings.Builder
	text.WriteString("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nlots:\n")
	for i := range 14 {
		fmt.Fprintf(&text, "  - {id: lot-%d, price: 10, items: [{id: item-%d, weight: %d g, value: 10}]}\n", i, i, 300+i*i*23)
	}
	text.WriteString("sending:\n  services:\n    - {name: post, currency: CAD, steps: [{up-to: 500 g, price: 9}, {up-to: 2 kg, price: 14}, {up-to: 5 kg, price: 31}]}\n")
	if err := os.WriteFile(path, []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var out, errs bytes.Buffer
	s := streams{in: strings.NewReader(""), out: &out, err: &errs, env: func(string) string { return "" }, watched: true}
	if code := lotcost(ctx, s, []string{"together", path}); code != exitFine || errs.Len() > 0 {
		t.Fatalf("exit %d: %s", code, errs.String())
	}
	const want = "caution: the search was stopped: this is the best way found, not proven to be the best: no way costs less than "
	if !strings.Contains(out.String(), want) {
		t.Errorf("got\n%s", out.String())
	}
}

// TestWaiting: a search that takes long says how it goes: on a terminal in a line
// of its own that goes when it ends, else in a line now and then.
func TestWaiting(t *testing.T) {
	const cleared = "\r\x1b[K"
	for _, watched := range []bool{true, false} {
		var said bytes.Buffer
		w := streams{err: &said, watched: watched}.waiting()
		tell := w.parcels(money.MustCurrency("CAD"))
		tell(1, 8, -1)
		w.end()
		if said.Len() > 0 {
			t.Errorf("told at once: %q", said.String())
		}
		for _, best := range []int64{-1, 1234} {
			w.next = time.Now().Add(-time.Second)
			tell(3, 8, best)
			tell(4, 8, best) // too soon again
		}
		w.end()
		want := cleared + "searching, 3 of about 8; best so far: none yet; Ctrl-C takes it" +
			cleared + "searching, 3 of about 8; best so far: 12.34 CAD for sending; Ctrl-C takes it" + cleared
		if !watched {
			want = "searching, 3 of about 8; best so far: none yet\nsearching, 3 of about 8; best so far: 12.34 CAD for sending\n"
		}
		if said.String() != want {
			t.Errorf("said %q, want %q", said.String(), want)
		}
	}
}

// longSearch is a file of lots that are all unlike, too many for a quick proof.
func longSearch(t *testing.T) string {
	t.Helper()
	var text strings.Builder
	text.WriteString("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nfrom: JP\nto: CA-ON\ncustoms: {use: personal, by: post, class: t, classes: {t: {duty: 6.5%}}}\nlots:\n")
	for i := range 60 {
		fmt.Fprintf(&text, "  - {id: lot-%d, price: %d, items: [{id: item-%d, weight: %d g, value: 10}]}\n", i, 5+i*i*7%31, i, 300+(i*i*23+i*i*i)%1900)
	}
	text.WriteString("sending:\n  services:\n    - {name: post, currency: CAD, steps: [{up-to: 500 g, price: 9}, {up-to: 1 kg, price: 11}, {up-to: 2 kg, price: 14}, {up-to: 5 kg, price: 31}, {up-to: 20 kg, price: 80}]}\n")
	path := filepath.Join(t.TempDir(), "haul.yaml")
	if err := os.WriteFile(path, []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestTogetherEnds: a search asked to end, as by kill, or over its time gives
// the best way so far and says so.
func TestTogetherEnds(t *testing.T) {
	path := longSearch(t)
	for _, c := range []struct {
		args []string
		kill bool
	}{
		{[]string{"together", path, "--time-limit", "200ms"}, false},
		{[]string{"together", path, "--time-limit", "0"}, true},
	}[:effort.Cases(2, 2, 1)] {
		var out, errs bytes.Buffer
		run := exec.Command("lotcost", c.args...)
		run.Stdout, run.Stderr = &out, &errs
		if err := run.Start(); err != nil {
			t.Fatal(err)
		}
		if c.kill {
			time.AfterFunc(500*time.Millisecond, func() { run.Process.Signal(syscall.SIGTERM) })
		}
		begun := time.Now()
		if err := run.Wait(); err != nil || errs.Len() > 0 {
			t.Errorf("%q: %v: %s", c.args, err, errs.String())
		}
		if took := time.Since(begun); took > 30*time.Second {
			t.Errorf("%q: ended after %s", c.args, took)
		}
		if !strings.Contains(out.String(), "the search was stopped: this is the best way found, not proven to be the best: no way costs less than ") {
			t.Errorf("%q gives\n%s", c.args, out.String())
		}
	}
}
