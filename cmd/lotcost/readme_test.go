package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
)

// The README shows commands with what they print. TestReadme runs each from a
// copy of the repository's examples and compares; -update rewrites the README.
func TestReadme(t *testing.T) {
	const path = "../../README.md"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir("../..")
	const open, end = "```console\n", "```\n"
	var rewritten strings.Builder
	rest, blocks := string(data), 0
	for {
		before, block, found := strings.Cut(rest, open)
		rewritten.WriteString(before)
		if !found {
			break
		}
		shown, after, closed := strings.Cut(block, end)
		if !closed {
			t.Fatal("a console block is not closed")
		}
		blocks++
		command, _, _ := strings.Cut(shown, "\n")
		got := command + "\n" + runShown(t, command)
		if got != shown && !*update {
			t.Errorf("the README is not true:\n%s\nprints now\n%s", shown, got)
		}
		rewritten.WriteString(open + got + end)
		rest = after
	}
	if blocks == 0 {
		t.Fatal("the README shows no command")
	}
	if n := strings.Count(rewritten.String(), "\n"); n > 300 {
		t.Errorf("the README has %d lines; 300 are read, the rest belongs to lotcost help", n)
	}
	if *update {
		if err := os.WriteFile(filepath.Base(path), []byte(rewritten.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// shownWidth is how wide a terminal the README shows.
const shownWidth = 80

// runShown runs a line such as "$ lotcost split FILE" and returns what it
// prints to standard output.
func runShown(t *testing.T, line string) string {
	t.Helper()
	command, ok := strings.CutPrefix(line, "$ lotcost ")
	if !ok {
		t.Fatalf("not a lotcost command: %q", line)
	}
	var out, errs bytes.Buffer
	s := streams{in: strings.NewReader(""), out: &out, err: &errs, env: func(string) string { return "" },
		terminal: sheet.Terminal{Width: shownWidth}}
	if code := lotcost(context.Background(), s, shellWords(command)); code != exitFine && code != exitNo {
		t.Fatalf("%s: exit %d: %s", line, code, errs.String())
	}
	return out.String()
}

// shellWords splits a command line at spaces, but for those in single quotes.
func shellWords(line string) []string {
	var words []string
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			words = append(words, part)
			continue
		}
		words = append(words, strings.Fields(part)...)
	}
	return words
}
