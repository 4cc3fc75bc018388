package main

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/testdata/effort"

	"github.com/spf13/cobra"
)

// widths are those of terminals: a phone's, half a screen, the usual one, wide ones.
var widths = []int{40, 60, 80, 100, 200}

// wideLines are the command lines whose results are measured, by example.
func wideLines(t *testing.T) [][]string {
	t.Helper()
	hauls, err := filepath.Glob("../../examples/*/haul.yaml")
	if err != nil || len(hauls) < 6 {
		t.Fatalf("%d examples, %v", len(hauls), err)
	}
	var lines [][]string
	for _, haul := range hauls {
		for _, line := range []string{"check", "split", "split --working", "split --compare", "split --paid", "split --item jack", "duty", "bid", "bid --fact", "price", "price --item jack", "price --item jack --at 46", "price --carry doubles",
			"together", "together --next 1.2kg --next-size 30x10x10cm --next-price 3000JPY"} {
			words := strings.Fields(line)
			lines = append(lines, append([]string{words[0], haul}, words[1:]...))
		}
	}
	for _, part := range []string{"stock", "years", "doubles", "sales", "guesses", "record"} {
		lines = append(lines, []string{"book", part, "../../examples/book"})
	}
	var explain func(c *cobra.Command)
	explain = func(c *cobra.Command) {
		lines = append(lines, append(strings.Fields(c.CommandPath())[1:], "--help"))
		for _, sub := range c.Commands() {
			explain(sub)
		}
	}
	explain(newRoot(streams{}, allCommands))
	const table = "../../testdata/rates/eurofxref-2025.csv"
	return append(lines, []string{"rules"}, []string{"rules", "CA"}, []string{"rules", "DE"}, []string{"rules", "US"}, []string{"rates", "list", table}, []string{"rates", "show", "JPY", "CAD", "--table", table, "--date", "2025-05-10"},
		[]string{"rates", "convert", "4200 JPY", "CAD", "--rate", "100 JPY = 0.93 CAD", "--spread", "2.5%"})
}

// TestWidths: no line is wider than the terminal, in any result at any width.
func TestWidths(t *testing.T) {
	answers, each, every := 0, effort.Cases(len(widths), 2, 1), effort.Cases(1, 2, 4) // each: of the widths, in turn
	for i, args := range wideLines(t) {
		if i%every > 0 {
			continue
		}
		for j := range each {
			width := widths[(i*each+j)%len(widths)]
			var out, said bytes.Buffer
			s := streams{in: strings.NewReader(""), out: &out, err: &said, env: func(string) string { return "" }, terminal: sheet.Terminal{Width: width}}
			if lotcost(context.Background(), s, args) > exitNo {
				continue
			}
			answers++
			for line := range strings.Lines(out.String()) {
				if line = strings.TrimSuffix(line, "\n"); sheet.Cells(line) > width {
					t.Errorf("%s at %d: %d cells: %s", strings.Join(args, " "), width, sheet.Cells(line), line)
					break
				}
			}
		}
	}
	if answers < 50*each/every {
		t.Errorf("only %d results were measured", answers)
	}
}
