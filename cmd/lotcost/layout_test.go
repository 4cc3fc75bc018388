package main

import (
	"bytes"
	"cmp"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestLayout holds what gofmt leaves open: imports in three groups - the standard library, the
// project, others - comments of at most 100 characters a line, and functions of at most 60 lines.
func TestLayout(t *testing.T) {
	out, err := exec.Command("git", "-C", "../..", "ls-files", "-z", "*.go").Output()
	if err != nil {
		t.Skip("the files are not known without git: ", err)
	}
	for name := range strings.SplitSeq(strings.TrimRight(string(out), "\x00"), "\x00") {
		text, err := os.ReadFile("../../" + name)
		if os.IsNotExist(err) {
			continue // deleted and not committed yet
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, text, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		if why := misplaced(set, file.Imports); why != "" {
			t.Errorf("%s: %s: goimports, then one group each of the standard library, lotcost and others", name, why)
		}
		for _, at := range wide(set, file, text) {
			t.Errorf("%s:%d: the comment is wider than %d characters: break the line", name, at, widest)
		}
		for _, d := range file.Decls {
			if lines := set.Position(d.End()).Line - set.Position(d.Pos()).Line + 1; isFunc(d) && lines > longest && !strings.HasSuffix(name, "_test.go") {
				t.Errorf("%s: the function has %d lines, and %d are the limit: give a part of it a name", set.Position(d.Pos()), lines, longest)
			}
		}
	}
}

// misplaced says which import stands out of order.
func misplaced(set *token.FileSet, imports []*ast.ImportSpec) string {
	origin, line := -1, 0
	for _, spec := range imports {
		path, _ := strconv.Unquote(spec.Path.Value)
		first, _, _ := strings.Cut(path, "/")
		from := 0
		switch {
		case first == "lotcost":
			from = 1
		case strings.Contains(first, "."):
			from = 2
		}
		start := spec.Pos()
		if spec.Doc != nil {
			start = spec.Doc.Pos()
		}
		gap := set.Position(start).Line - line
		switch apart := origin >= 0 && gap > 1; {
		case from < origin:
			return path + " stands behind others"
		case origin >= 0 && apart != (from > origin):
			return path + " is in the wrong group"
		}
		origin, line = from, set.Position(spec.End()).Line
	}
	return ""
}

func isFunc(d ast.Decl) bool {
	_, is := d.(*ast.FuncDecl)
	return is
}

const widest, longest = 100, 60

// wide returns the lines of comments that are too wide. What an example prints is as it is, and
// what has no space cannot be broken.
func wide(set *token.FileSet, file *ast.File, text []byte) []int {
	var lines []int
	rows := bytes.Split(text, []byte("\n"))
	for _, group := range file.Comments {
		printed := false
		for _, c := range group.List {
			printed = printed || strings.Contains(strings.ToLower(c.Text), "output:")
			at := set.Position(c.Pos()).Line
			row := bytes.TrimLeft(rows[at-1], "\t")
			words := strings.TrimPrefix(c.Text, "// ")
			if !printed && bytes.HasPrefix(row, []byte("//")) && utf8.RuneCount(rows[at-1]) > widest && strings.Contains(words, " ") && !strings.HasPrefix(c.Text, "//go:") {
				lines = append(lines, at)
			}
		}
	}
	return slices.SortedFunc(slices.Values(lines), cmp.Compare[int])
}
