package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// banned are words of ours that nobody in a shop would say, and what is said instead; what has not
// the letters of one is not searched for it, which takes long. The table in DEVELOPERS.md, under
// Habits, has the words that are used.
var banned = []struct{ has, word, instead string }{
	{"the bank", `leaves? the bank`, "total cost"},
	{"even at", `(^|[^s] )even at\b`, "break-even at"},
	{"ask at", `\bask at\b`, "asking price"},
	{"of the cost", `\d% of the cost\b|%s of the cost\b`, "return"},
	{"bring", `what (it|they|each|one) brings?\b|\bmust bring\b|\bbring in\b`, "net proceeds, sell for"},
	{"borne", `\bborne\b`, "charged to, carries, pays"},
	{"bear", `\bbears?\b|\bbearing\b`, "charged to, carries, pays"},
	{"taken over", `\btaken over\b`, "moved from dead pieces"},
	{"binds", `(^|[^"])\bbinds\b`, "the limit that decides"},
	{"missed by", `\bmissed by\b`, "too dear by"},
	{"relief", `\brelief (is|was) lost\b|\brelief from (duty|tax)\b`, "above the duty-free limit"},
	{"cannot be", `\bcannot be:`, "not possible"},
	{"aside", `\bprice aside\b`, "not counting its price"},
	{"want of", `\bwant of room\b`, "hidden columns (window too narrow)"},
	{"holes", `(^|[^"_])\bholes\b`, "missing days"},
	{"reckon", `(?i)\breckon`, "calculate"},
	{"odd", `\bodd (minor units|cents)\b`, "extra cents"},
	{"of the best", `\bchances of the best\b`, "chance that it works"},
	{"memory", `\bfrom memory\b`, "not checked at source"},
	{"fault", `\bfaults[ ,;)]|[0-9d] faults?\b`, "errors"},
	{"hang", `\bhang(s|ing)? on\b`, "depends on"},
	{"keeper", `\bkeeper\b`, "worth to you"},
	{"asked of", `\basked of\b`, "say it as in a shop"},
	{"as far as", `\bas far as\b`, "say it as in a shop"},
	{"to nothing", `\bcame to nothing\b`, "say it as in a shop"},
	{"told", `\btold\b`, "say it as in a shop"},
	{"crossed", `\bborder (that )?is crossed\b`, "there is a border"},
	{"a border", `\bcross(es)? a border\b`, "there is a border"},
}

// TestPlainWords: what a user reads holds none of the banned words: not the messages and help in
// the code, nor what the commands are known to print, nor what is written to be read.
func TestPlainWords(t *testing.T) {
	var bans []*regexp.Regexp
	for _, b := range banned {
		bans = append(bans, regexp.MustCompile(b.word))
	}
	read := 0
	check := func(place, text string) {
		read++
		small := strings.ToLower(text)
		for i, b := range banned {
			if !strings.Contains(small, b.has) {
				continue
			}
			if found := bans[i].FindString(text); found != "" {
				t.Errorf("%s: %q: write %s\n\t%s", place, strings.TrimSpace(found), b.instead, text)
			}
		}
	}
	for _, top := range []string{"../../README.md", "../../cmd", "../../landed", "../../fx", "../../examples"} {
		err := filepath.WalkDir(top, func(path string, _ fs.DirEntry, err error) error {
			switch filepath.Ext(path) {
			case ".go":
				checkLiterals(t, path, check)
			case ".md", ".yaml", ".txt", ".tsv", ".txtar":
				data, err := os.ReadFile(path)
				if err != nil || strings.HasPrefix(filepath.ToSlash(path), "../../landed/customs/rules/README") {
					return err // that is for those who write rules
				}
				for n, line := range strings.Split(string(data), "\n") {
					if !strings.HasPrefix(line, "#") || !strings.HasPrefix(filepath.Ext(path), ".txt") {
						check(path+":"+strconv.Itoa(n+1), line)
					}
				}
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if read < 1000 {
		t.Errorf("only %d texts were read", read)
	}
}

// checkLiterals looks at the texts in a program, but for tests, names for programs and words to
// which "did you mean" answers.
func checkLiterals(t *testing.T, path string, check func(place, text string)) {
	if strings.HasSuffix(path, "_test.go") || filepath.Base(path) == "meant.go" {
		return
	}
	files := token.NewFileSet()
	f, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	var look func(n ast.Node) bool
	look = func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CompositeLit:
			if of, ok := n.Type.(*ast.Ident); ok && of.Name == "object" { // of JSON: names and values in turn
				for i := 1; i < len(n.Elts); i += 2 {
					ast.Inspect(n.Elts[i], look)
				}
				return false
			}
		case *ast.ImportSpec:
			return false
		case *ast.KeyValueExpr:
			if key, ok := n.Key.(*ast.Ident); ok && key.Name == "Key" {
				return false // a name of a column
			}
		case *ast.Field:
			return n.Tag == nil
		case *ast.BasicLit:
			if text, err := strconv.Unquote(n.Value); n.Kind == token.STRING && err == nil {
				check(files.Position(n.Pos()).String(), text)
			}
		}
		return true
	}
	ast.Inspect(f, look)
}
