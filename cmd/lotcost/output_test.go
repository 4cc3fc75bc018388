package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lotcost/testdata/effort"

	"github.com/spf13/cobra"
)

// TestEveryResult: every command that writes a result writes it in each format
// that the name of a file asks for, and never over the file it was made from.
// A new command fails here until it is listed.
func TestEveryResult(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, "rates"), os.DirFS("../../testdata/rates")); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, "tariff"), os.DirFS("../../testdata/tariff")); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	const table = "rates/eurofxref-2025.csv"
	args := map[string][]string{ // the file that is read stands last
		"bid":           {"before-bidding/haul.yaml"},
		"book":          {"book"},
		"book doubles":  {"book"},
		"book guesses":  {"book"},
		"book record":   {"book"},
		"book sales":    {"book"},
		"book stock":    {"book"},
		"book years":    {"book"},
		"check":         {"one-lot/haul.yaml"},
		"duty":          {"at-the-border/haul.yaml"},
		"price":         {"bench-day/haul.yaml"},
		"rates convert": {"4200 JPY", "CAD", "--date", "2025-05-09", "--table", table},
		"rates list":    {table},
		"rates show":    {"JPY", "CAD", "--date", "2025-05-09", "--table", table},
		"rules":         {"CA"},
		"rules tariff":  {"--find", "planes", "tariff/hts-lines.json"},
		"split":         {"three-crates/haul.yaml"},
		"together":      {"three-lots/haul.yaml"},
		"update":        {"three-crates/haul.yaml", "costs.xlsx"},
	}
	if code, said := quietly([]string{"split", "three-crates/haul.yaml", "-o", "costs.xlsx"}); code != exitFine {
		t.Fatal(said)
	}
	for i, name := range resultCommands(newRoot(streams{}, allCommands), "") {
		given := args[name]
		if given == nil {
			t.Errorf("%s is not listed here", name)
			continue
		}
		command := append(strings.Fields(name), given...)
		ends := []string{".csv", ".json", ".md", ".xlsx", ".txt"}
		for j := range effort.Cases(len(ends), len(ends), 1) {
			checkResult(t, command, "result"+ends[(i+j)%len(ends)])
		}
		read := given[len(given)-1]
		before, err := os.ReadFile(read)
		if err != nil {
			continue // nothing is read
		}
		format := map[string]string{".csv": "csv", ".json": "json", ".yaml": "table", ".xlsx": "xlsx"}[filepath.Ext(read)]
		if code, said := quietly(append(command, "-o", read, "--format", format)); code != exitInput || !strings.Contains(said, "is a file that was read") {
			t.Errorf("%s over its file: exit %d: %s", name, code, said)
		}
		if after, err := os.ReadFile(read); err != nil || !bytes.Equal(before, after) {
			t.Errorf("%s wrote over its file", name)
		}
	}
}

// resultCommands lists the commands whose result is written in any format.
func resultCommands(c *cobra.Command, name string) []string {
	var names []string
	if c.Flags().Lookup("format") != nil && c.Flags().Lookup("output") != nil {
		names = append(names, name)
	}
	for _, sub := range c.Commands() {
		names = append(names, resultCommands(sub, strings.TrimSpace(name+" "+sub.Name()))...)
	}
	slices.Sort(names)
	return names
}

func quietly(args []string) (code int, said string) {
	var out, errs bytes.Buffer
	s := streams{in: strings.NewReader(""), out: &out, err: &errs, env: func(string) string { return "" }}
	code = lotcost(context.Background(), s, args)
	return code, errs.String()
}

// checkResult runs a command into a file and looks whether the file holds what
// its name says.
func checkResult(t *testing.T, command []string, file string) {
	t.Helper()
	if code, said := quietly(append(slices.Clone(command), "-o", file)); code > exitNo {
		t.Errorf("%q into %s: exit %d: %s", command, file, code, said)
		return
	}
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	switch filepath.Ext(file) {
	case ".json":
		var any any
		err = json.Unmarshal(data, &any)
	case ".xlsx":
		if book := readBook(t, data); len(book) == 0 {
			t.Errorf("%q: the workbook is empty", command)
		}
	case ".csv":
		_, err = csv.NewReader(bytes.NewReader(data)).ReadAll()
	case ".md":
		if !bytes.Contains(data, []byte("| ---")) && !bytes.Contains(data, []byte("**")) && !bytes.HasPrefix(data, []byte("## ")) {
			t.Errorf("%q: this is no Markdown: %s", command, data)
		}
	}
	if err != nil || len(data) == 0 {
		t.Errorf("%q into %s: %v", command, file, err)
	}
}
