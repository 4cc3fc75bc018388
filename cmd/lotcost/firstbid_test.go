package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestFirstBid: from nothing to the first bid on a haul of five items, in a country
// with decimal commas, a user writes twelve lines at most. Counted are the lines of
// both files of the example that new did not write.
func TestFirstBid(t *testing.T) {
	files := map[string]string{}
	for path, text := range readTree(t, "../../examples/first-bid") {
		files[filepath.Base(path)] = text
	}
	t.Chdir(t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir()) // no table of rates is at hand
	run := func(args ...string) string {
		t.Helper()
		var out, errs bytes.Buffer
		s := streams{in: strings.NewReader(""), out: &out, err: &errs, env: os.Getenv}
		if code := lotcost(context.Background(), s, args); code != exitFine {
			t.Fatalf("%v: exit %d: %s", args, code, errs.String())
		}
		return out.String()
	}
	written := 0
	take := func(name string, args ...string) {
		t.Helper()
		run(append([]string{"new", name}, args...)...)
		begun, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		there := map[string]int{}
		for line := range strings.Lines(string(begun)) {
			there[strings.TrimSpace(line)]++
		}
		for line := range strings.Lines(files[name]) {
			if line = strings.TrimSpace(line); there[line] > 0 {
				there[line]--
				continue
			}
			written++
			t.Logf("%s: %s", name, line)
		}
		if err := os.WriteFile(name, []byte(files[name]), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	take("book.yaml", "--for", "defaults", "--to", "DE", "--decimal", "comma")
	take("haul.yaml", "--from", "GB", "--with", "book.yaml", "--date", "2026-10-03")
	if written > 12 || written < 8 {
		t.Errorf("%d lines are to be written", written)
	}
	if items := strings.Count(files["haul.yaml"], "- {id: "); items != 5 {
		t.Errorf("there are %d items", items)
	}
	if answer := run("bid", "haul.yaml"); !strings.HasPrefix(answer, "Bid up to ") {
		t.Error(answer)
	}
}
