package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lotcost/landed/money"
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

// TestWaiting: a search that takes long tells how it goes, in a line of its own
// that goes when it ends, and only where somebody watches.
func TestWaiting(t *testing.T) {
	const cleared = "\r\x1b[K"
	for _, watched := range []bool{true, false} {
		var said bytes.Buffer
		w := streams{err: &said, watched: watched}.waiting(money.MustCurrency("CAD"))
		w.tell(1, 8, -1)
		w.end()
		if said.Len() > 0 {
			t.Errorf("told at once: %q", said.String())
		}
		for _, best := range []int64{-1, 1234} {
			w.next = time.Now().Add(-time.Second)
			w.tell(3, 8, best)
			w.tell(4, 8, best) // too soon again
		}
		w.end()
		want := cleared + "searching, 3 of about 8; best so far: none yet; Ctrl-C takes it" +
			cleared + "searching, 3 of about 8; best so far: 12.34 CAD for sending; Ctrl-C takes it" + cleared
		if !watched {
			want = ""
		}
		if said.String() != want {
			t.Errorf("said %q, want %q", said.String(), want)
		}
	}
}
