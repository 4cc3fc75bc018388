package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/testdata/effort"
)

// killed is one command that writes a file, and what may stand in the file when
// the command was killed.
type killed struct {
	args []string
	file string
	old  string // "" when no file stands there before
}

// TestKilled kills the real command at random moments, 200 times where
// LOTCOST_TESTS is all: the old file stands or the new one whole, and what is
// left behind goes once it is old.
func TestKilled(t *testing.T) {
	rounds := effort.Cases(50, 2, 0)
	if rounds == 0 {
		t.Skip("it takes long")
	}
	server := httptest.NewServer(rateServer(t))
	defer server.Close()
	dir := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", dir)
	haul := filepath.Join(dir, "haul.yaml")
	if err := os.WriteFile(haul, []byte(longHaul()), 0o600); err != nil {
		t.Fatal(err)
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	for _, k := range []killed{
		{[]string{"split", haul, "-o", in("costs.json")}, in("costs.json"), "old"},
		{[]string{"split", haul, "-o", in("costs.xlsx")}, in("costs.xlsx"), "old"},
		{[]string{"split", haul, "-o", in("costs.html")}, in("costs.html"), "old"},
		{[]string{"together", haul, "--apply", in("planned.yaml")}, in("planned.yaml"), ""},
		{[]string{"new", in("new.yaml")}, in("new.yaml"), ""},
		{[]string{"rates", "fetch", "--url", server.URL + "/rates.csv"}, in("lotcost/rates.csv"), "Date,USD,\n2025-01-02,1.0321,\n"},
	} {
		t.Run(k.args[0], func(t *testing.T) { k.test(t, rounds) })
	}
}

// longHaul is a file that takes a while to write.
func longHaul() string {
	var text strings.Builder
	text.WriteString("lotcost: 1\nhome: CAD\ndate: 2026-10-03\nsending: {services: [{name: post, currency: CAD, steps: [{up-to: 30 kg, price: 9}]}]}\nlots:\n  - id: crate\n    price: 40\n    items:\n")
	for i := range 1000 {
		fmt.Fprintf(&text, "      - {id: plane-%d, weight: 2 g, value: 10}\n", i)
	}
	return text.String()
}

// run runs the command until it ends or the time is over, and returns how long
// it took.
func (k killed) run(t *testing.T, most time.Duration) time.Duration {
	t.Helper()
	begun := time.Now()
	c := exec.Command("lotcost", k.args...)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(most, func() { c.Process.Kill() })
	err := c.Wait()
	if timer.Stop() && err != nil {
		t.Fatalf("%q: %v", k.args, err)
	}
	return time.Since(begun)
}

// before puts the file as it stands before a run.
func (k killed) before(t *testing.T) {
	t.Helper()
	err := os.Remove(k.file)
	if k.old != "" {
		err = os.WriteFile(k.file, []byte(k.old), 0o600)
	}
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
}

func (k killed) test(t *testing.T, rounds int) {
	if err := os.MkdirAll(filepath.Dir(k.file), 0o700); err != nil {
		t.Fatal(err)
	}
	k.before(t)
	took := k.run(t, time.Minute)
	whole, err := os.ReadFile(k.file)
	if err != nil {
		t.Fatal(err)
	}
	for range rounds {
		k.before(t)
		k.run(t, time.Duration(rand.Int64N(int64(took)*5/4)))
		got, err := os.ReadFile(k.file)
		if untouched := string(got) == k.old && (err == nil) == (k.old != ""); !untouched && !bytes.Equal(got, whole) {
			t.Fatalf("the file holds neither the old text nor the new: %d bytes, %v", len(got), err)
		}
	}
	left := leftBehind(t, filepath.Dir(k.file))
	old := time.Now().Add(-25 * time.Hour)
	for _, path := range left {
		if err := os.Chtimes(path, old, old); err != nil {
			t.Fatal(err)
		}
	}
	k.before(t)
	k.run(t, time.Minute)
	if still := leftBehind(t, filepath.Dir(k.file)); len(still) > 0 {
		t.Errorf("a later run leaves %q", still)
	}
	t.Logf("%d of %d killed runs left a temporary file", len(left), rounds)
}

// leftBehind lists the temporary files of a folder.
func leftBehind(t *testing.T, folder string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(folder, ".*"))
	if err != nil {
		t.Fatal(err)
	}
	return slices.DeleteFunc(paths, func(path string) bool { return !strings.HasPrefix(filepath.Base(path), ".lotcost-") })
}
