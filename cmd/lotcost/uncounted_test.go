package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
)

// allInOne is a haul that every command can answer about, and that enters
// Ontario without a customs section. By hand: 100.00 CAD of goods, 13 % HST and
// 9.95 for handling by post.
const allInOne = `lotcost: 1
title: Planes from a sale room far away
home: CAD
date: 2026-10-03
from: JP
to: CA-ON
exchange: {rates: [100 JPY = 1 CAD]}
lots:
  - id: crate
    price: 10000 JPY
    items:
      - {id: jack, count: 3, weight: 1 kg, value: 60, keep: 1, found: {sound: 3}, sold: [50]}
charges: [{what: Surface, kind: freight, amount: 2000 JPY}]
selling: {venues: [{name: gable, fees: [{what: commission, percent: 10%}]}]}
sending: {services: [{name: surface, currency: JPY, steps: [{up-to: 20 kg, price: 2000}]}]}
`

const (
	notCounted = "Not counted: the border from JP to CA-ON"
	byHowMuch  = "at least 22.95 CAD (tax 13.00, fees 9.95)"
)

// asking lists a command line for every answer with a cost in it.
var asking = [][]string{
	{"split"}, {"split", "--compare"}, {"split", "--working"}, {"split", "--item", "jack"},
	{"bid"}, {"bid", "--at", "9000 JPY"}, {"bid", "--fact"},
	{"together"}, {"together", "--next", "1 kg"},
	{"price"}, {"price", "--carry", "doubles"}, {"price", "--item", "jack"},
	{"check"},
}

// TestNotCounted: each of them says within ten lines, before any figure, that
// the border is not in it and by how much that may change it; in JSON by a
// field; beside a CSV on standard error.
func TestNotCounted(t *testing.T) {
	path := filepath.Join(t.TempDir(), "haul.yaml")
	if err := os.WriteFile(path, []byte(allInOne), 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(width int, args ...string) (string, string) {
		var out, errs bytes.Buffer
		s := streams{in: strings.NewReader(""), out: &out, err: &errs, env: func(string) string { return "" }, terminal: sheet.Terminal{Width: width}}
		if code := lotcost(context.Background(), s, slices.Insert(slices.Clone(args), 1, path)); code > exitNo {
			t.Fatalf("%v: exit %d: %s", args, code, errs.String())
		}
		return out.String(), errs.String()
	}
	for _, args := range asking {
		for _, width := range []int{0, 50, 80, 110} {
			out, _ := run(width, args...)
			if head := firstLines(out, 10); !strings.Contains(head, notCounted) || !strings.Contains(head, byHowMuch) && args[0] != "bid" {
				t.Errorf("%v, %d wide:\n%s", args, width, head)
			}
		}
		if out, _ := run(0, append(slices.Clone(args), "--format", "markdown")...); !strings.Contains(firstLines(out, 10), notCounted) {
			t.Errorf("%v as Markdown:\n%s", args, firstLines(out, 10))
		}
		if out, errs := run(0, append(slices.Clone(args), "--format", "csv")...); strings.Contains(out, notCounted) || !strings.Contains(errs, "warning: "+notCounted) {
			t.Errorf("%v as CSV: %s", args, errs)
		}
		out, errs := run(0, append(slices.Clone(args), "--format", "json")...)
		var held struct {
			Border struct {
				Least string `json:"at_least"`
				Text  string `json:"text"`
			} `json:"border_not_counted"`
		}
		if err := json.Unmarshal([]byte(out), &held); err != nil {
			if !strings.Contains(errs, notCounted) {
				t.Errorf("%v as a list in JSON: %s", args, errs)
			}
		} else if held.Border.Least == "" || !strings.Contains(held.Border.Text, notCounted) {
			t.Errorf("%v as JSON: %+v", args, held)
		}
	}
}

// firstLines joins the first lines that are not empty by spaces, as one reads
// them.
func firstLines(text string, n int) string {
	var lines []string
	for line := range strings.Lines(text) {
		if line = strings.Join(strings.Fields(line), " "); line != "" && len(lines) < n {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, " ")
}

// TestAllAsked: no command that takes a lot file is forgotten above, but duty,
// which needs the section that is missing, batch, which takes them as lines, and update, which says
// nothing of what it costs.
func TestAllAsked(t *testing.T) {
	for _, c := range newRoot(streams{}, allCommands).Commands() {
		if _, file, _ := strings.Cut(c.Use, " "); strings.HasPrefix(file, "FILE") && c.Name() != "duty" && c.Name() != "new" && c.Name() != "batch" && c.Name() != "update" &&
			!slices.ContainsFunc(asking, func(args []string) bool { return args[0] == c.Name() }) {
			t.Errorf("%s is not asked", c.Name())
		}
	}
}
