package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"lotcost/cmd/lotcost/internal/sheet"
	"lotcost/testdata/effort"

	"github.com/rogpeppe/go-internal/txtar"
)

// Words of the command lines below that stand for what differs.
const (
	theFile = "FILE" // that was spoilt, or that names one that was
	anItem  = "ITEM" // an id in it
	aLot    = "LOT"
	theURL  = "URL" // where the file is served
)

// ofHauls are the command lines that are tried on spoilt lot files.
var ofHauls = []string{
	"check FILE", "split FILE", "split FILE --paid", "split FILE --compare", "split FILE --working", "split FILE --item ITEM", "split FILE --by weight", "split FILE -o out.md",
	"price FILE", "price FILE --carry doubles", "price FILE --target 25% --end .99", "price FILE --item ITEM --at 38", "duty FILE",
	"bid FILE", "bid FILE --at 5000", "bid FILE --lot LOT --goal-return 30% --risk 20%", "bid FILE --fact", "__complete price FILE --item =", "__complete bid FILE --venue =",
	"book .", "book stock .", "book doubles .", "book sales . --cost average", "book years . --months", "book guesses .", "book record .", "bid FILE --book .",
	"together FILE", "together FILE --next 1.2kg --next-size 30x10x10cm --next-price 3000", "together FILE --apply planned.yaml", "together FILE --apply - --plan one",
}

var ofLists = []string{"split --items FILE --price 4200JPY --home CAD --rate 100JPY=0.93CAD", "split --items FILE --price 4200JPY --home CAD --rate 100JPY=0.93CAD --by equal", "split --items FILE --price 99 --home CAD --compare"}

var ofTables = []string{
	"rates list FILE", "rates show JPY CAD --table FILE --date 2025-05-10", "rates convert 4200JPY CAD --table FILE --any-day --spread 2.5%", "rates fetch --url URL --into cache",
}

var ofBatches = []string{"batch FILE", "batch FILE --do price", "batch FILE --do bid -o out.ndjson", "batch FILE --do duty"}

var ofRules = []string{"rules --rules FILE", "rules CA --rules FILE --on 2026-10-03", "rules US --rules FILE --on 2025-06-01 --and 2026-03-01", "duty good.yaml --rules FILE", "new new.yaml"}

// folder is a good file with those that it names.
type folder struct {
	main  string // the file that a command is given
	files map[string]string
	lines []string // what is tried on it
}

// all holds the files of the examples and of the scripts.
func all(t *testing.T) []folder {
	t.Helper()
	var found []folder
	err := filepath.WalkDir("../../examples", func(dir string, d fs.DirEntry, err error) error {
		if files, _ := filepath.Glob(filepath.Join(dir, "*.*")); err == nil && d.IsDir() && len(files) > 0 {
			found = append(found, folder{files: readAll(t, filepath.Join(dir, "*.*"))})
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	scripts := readAll(t, "testdata/script/*.txtar")
	for _, name := range slices.Sorted(maps.Keys(scripts)) {
		a := txtar.Parse([]byte(scripts[name]))
		f := folder{main: name, files: map[string]string{}}
		for _, file := range a.Files {
			f.files[file.Name] = string(file.Data)
		}
		for line := range strings.Lines(string(a.Comment)) {
			if _, args, ok := strings.Cut(line, "exec lotcost "); ok && !strings.ContainsAny(line, "$>") && !strings.HasPrefix(args, "__") {
				f.lines = append(f.lines, args)
			}
		}
		found = append(found, f)
	}
	return found
}

// hauls are the lot files that are right.
func hauls(t *testing.T) []folder {
	of := all(t)
	t.Chdir(t.TempDir())
	var right []folder
	for _, f := range of {
		put(t, f.files)
		for _, haul := range beginning([]folder{f}, "lotcost: 1", ofHauls) {
			if code, _ := quietly([]string{"check", haul.main}); code == exitFine {
				right = append(right, haul)
			}
		}
	}
	return right
}

// lists are the lists of items.
func lists(t *testing.T) []folder { return beginning(all(t), "id,", ofLists) }

// beginning picks the files whose text begins so.
func beginning(of []folder, start string, lines []string) []folder {
	var found []folder
	for _, f := range of {
		for _, name := range slices.Sorted(maps.Keys(f.files)) {
			if strings.HasPrefix(f.files[name], start) {
				found = append(found, folder{name, f.files, lines})
			}
		}
	}
	return found
}

// tables are the head of a table of rates, and one of a day.
func tables(t *testing.T) []folder {
	csv := readAll(t, "../../testdata/rates/eurofxref-2025.csv")
	for name, text := range csv {
		csv[name] = strings.Join(strings.SplitAfter(text, "\n")[:6], "")
	}
	xml := readAll(t, "../../testdata/rates/*.xml")
	return slices.Concat(beginning([]folder{{files: csv}}, "Date,", ofTables), beginning([]folder{{files: xml}}, "<?xml", ofTables))
}

// rules are those for the border.
func rules(t *testing.T) []folder {
	return beginning([]folder{{files: readAll(t, "../../landed/customs/rules/*.yaml")}}, "", ofRules)
}

// batches are files with a haul on each line.
func batches(t *testing.T) []folder { return beginning(all(t), `{"lotcost"`, ofBatches) }

// readAll reads files of a pattern, by their names.
func readAll(t *testing.T, pattern string) map[string]string {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatal(pattern, err)
	}
	files := map[string]string{}
	for _, path := range paths {
		if info, err := os.Stat(path); err == nil && info.IsDir() {
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		files[filepath.Base(path)] = string(data)
	}
	return files
}

// TestAllSpoilt: no command is forgotten above.
func TestAllSpoilt(t *testing.T) {
	for _, c := range newRoot(streams{}, allCommands).Commands() {
		tried := slices.ContainsFunc(slices.Concat(ofHauls, ofTables, ofBatches, ofRules), func(line string) bool { return strings.HasPrefix(line, c.Name()+" ") })
		if !tried && c.Name() != "help" && c.Name() != "completion" && c.Name() != "desk" && c.Name() != "update" { // whose own tests spoil what it serves, or is given
			t.Errorf("%s is not tried", c.Name())
		}
	}
}

var firstSeed = flag.Int("seed", 0, "where the seeds of TestSpoilt begin")

// TestSpoilt gives every command spoilt files, and the command lines of the
// scripts spoilt. Whatever is asked, it ends soon with an exit code of ours; what
// it prints holds nothing that acts on a terminal, its JSON is JSON, and its sums
// agree.
func TestSpoilt(t *testing.T) {
	examples := readTree(t, "../../examples")
	for _, k := range []struct {
		name  string
		good  func(*testing.T) []folder
		often int
	}{
		{"hauls", hauls, effort.Cases(2000, 6, 1)},
		{"lists", lists, effort.Cases(1000, 6, 1)},
		{"tables", tables, effort.Cases(1000, 6, 1)},
		{"rules", rules, effort.Cases(300, 8, 1)},
		{"batches", batches, effort.Cases(300, 6, 1)},
		{"lines", all, effort.Cases(1000, 6, 5)},
	} {
		t.Run(k.name, func(t *testing.T) {
			good := k.good(t)
			t.Chdir(t.TempDir())
			tr := &trial{looked: map[string]int{}, spoiler: newSpoiler(good), server: httptest.NewServer(http.FileServer(http.Dir(".")))}
			defer tr.server.Close()
			for seed := *firstSeed; seed < *firstSeed+k.often; seed++ {
				tr.Rand = rand.New(rand.NewPCG(uint64(seed), 1))
				f := good[tr.IntN(len(good))]
				tr.now = fmt.Sprintf("seed %d, %s", seed, f.main)
				if k.name == "lines" {
					maps.Copy(f.files, examples)
					tr.line(t, f)
				} else {
					tr.file(t, f)
				}
			}
			if k.name != "batches" && tr.answers*8 < tr.runs { // of those, one wrong line of many is no answer
				t.Errorf("%d answers to %d commands: too few to mean anything", tr.answers, tr.runs)
			}
			if k.name == "hauls" && k.often > 1000 && len(tr.looked) < 1+len(about) {
				t.Errorf("sums looked at: %v", tr.looked)
			}
			t.Logf("%d answers to %d commands, sums looked at: %v", tr.answers, tr.runs, tr.looked)
		})
	}
}

// readTree reads a folder with those in it.
func readTree(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		files["examples"+strings.TrimPrefix(path, root)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// trial is a series of spoilt files and lines.
type trial struct {
	*spoiler
	server        *httptest.Server
	runs, answers int
	looked        map[string]int // how often the sums of a command were
	now           string         // what was done to which file
}

// file spoils one file of a folder and asks of it.
func (tr *trial) file(t *testing.T, good folder) {
	t.Helper()
	files := maps.Clone(good.files)
	file := good.main
	if names := slices.Sorted(maps.Keys(files)); tr.IntN(4) == 0 && len(names) < 4 { // and not the many of a script
		file = tr.one(names)
	}
	var how string
	files[file], how = tr.spoil(files[file])
	tr.now += fmt.Sprintf(" with %s in %s", how, file)
	put(t, files)
	a := &answers{looked: tr.looked}
	for _, line := range good.lines {
		if tr.seldom(a, line, files[good.main]) {
			continue
		}
		args := tr.fill(strings.Fields(line), good.main, files[good.main])
		if formatted(line) {
			for _, format := range []string{tr.one(sheet.Formats()), "json"} {
				tr.ask(t, line, append(slices.Clone(args), "--format", format), a)
			}
			continue
		}
		tr.ask(t, line, args, a)
	}
}

// about is what a file holds that a command speaks of.
var about = map[string]string{"price": "selling:", "duty": "customs:", "together": "sending:", "bid": "chances:"}

// seldom says which lines are passed over: a file is asked most of what it is
// about, and a few other things; one that is refused even fewer.
func (tr *trial) seldom(a *answers, line, text string) bool {
	command, _, _ := strings.Cut(line, " ")
	switch {
	case line == "split FILE" || line == "check FILE" || strings.Contains(line, "--items"):
		return false
	case about[command] != "" && strings.Contains(text, about[command]):
		return tr.IntN(2) > 0
	case a.total == nil && strings.Contains(line, "FILE --"):
		return tr.IntN(40) > 0
	}
	return tr.IntN(5) > 0
}

// formatted reports whether a line may ask for a format.
func formatted(line string) bool {
	return !strings.HasPrefix(line, "__") && !strings.HasPrefix(line, "new") && !strings.Contains(line, "fetch") && !strings.Contains(line, "-o") && !strings.Contains(line, "--apply -")
}

// line spoils a command line of a script, but for the names of what it writes.
func (tr *trial) line(t *testing.T, good folder) {
	t.Helper()
	if len(good.lines) == 0 {
		return
	}
	put(t, good.files)
	line := tr.one(good.lines)
	args := shellWords(line)
	if at := 1 + tr.IntN(len(args)); at < len(args) && !strings.HasPrefix(args[at-1], "-o") && !strings.HasPrefix(args[at-1], "--apply") && args[0] != "new" {
		args[at], _ = tr.spoil(args[at])
	}
	for i, word := range args {
		args[i] = strings.ReplaceAll(word, "\x00", "") // no system takes it
	}
	tr.ask(t, "", args, &answers{looked: tr.looked})
}

// put leaves these files alone in the working directory.
func put(t *testing.T, files map[string]string) {
	t.Helper()
	old, err := filepath.Glob("*")
	for _, path := range old {
		if err == nil {
			err = os.RemoveAll(path)
		}
	}
	for name, text := range files {
		if err == nil {
			err = os.MkdirAll(filepath.Dir(name), 0o700)
		}
		if err == nil {
			err = os.WriteFile(name, []byte(text), 0o600)
		}
	}
	if err == nil {
		err = os.WriteFile("good.yaml", []byte(allInOne), 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}

var anID = regexp.MustCompile(`id: ([^,}\s]+)`)

// fill puts in what a command line names.
func (tr *trial) fill(args []string, file, text string) []string {
	id := "jack"
	if ids := anID.FindAllStringSubmatch(text, -1); len(ids) > 0 {
		id = ids[tr.IntN(len(ids))][1]
	}
	by := map[string]string{theFile: file, anItem: id, aLot: id, theURL: tr.server.URL + "/" + file, "=": ""}
	for i, word := range args {
		if value, ok := by[word]; ok {
			args[i] = value
		}
	}
	return args
}

// ask runs one command line here, and now and then as a process of its own, which
// says the same.
func (tr *trial) ask(t *testing.T, line string, args []string, a *answers) {
	t.Helper()
	var out, errs bytes.Buffer
	began := time.Now()
	code, stack := guarded(streams{in: strings.NewReader(""), out: &out, err: &errs, env: func(string) string { return "" }}, args)
	wrong := func(format string, with ...any) {
		t.Errorf("%s\n%q: exit %d: %s\n%s\n%s", tr.now, args, code, fmt.Sprintf(format, with...), out.String(), errs.String())
		for _, name := range args {
			if text, err := os.ReadFile(name); err == nil {
				t.Logf("%s:\n%s", name, text)
			}
		}
	}
	tr.runs++
	listed := slices.Contains(args, "--format") && out.Len() > 0                              // faults, for a program
	batch := args[0] == "batch"                                                               // which answers line by line, none with none
	rest := batch && out.Len() > 0 || strings.Contains(errs.String(), "left out of the book") // a book answers beside it
	refused := code >= exitInput && !rest || code == exitNo && args[0] == "check" && !listed
	if !refused {
		tr.answers++
	}
	if took := time.Since(began); took > time.Minute {
		wrong("it took %v", took)
	}
	switch {
	case stack != "":
		wrong("it panicked: %s", stack)
	case code < exitFine || code > exitFail || code == exitFail && line != "" && !strings.Contains(line, "fetch"):
		wrong("the machine has not failed")
	case refused && (out.Len() > 0 || errs.Len() == 0):
		wrong("it answers and refuses, or says nothing")
	case code == exitFine && out.Len() == 0 && (line == "" || formatted(line)) && !slices.Contains(args, "-o") && !slices.Contains(args, "new") && !batch:
		wrong("it says nothing")
	}
	if !strings.Contains(line, "--apply -") && !slices.Contains(args, "xlsx") { // which hold the file, or no text
		for _, said := range []string{strings.TrimPrefix(out.String(), byteOrderMark), errs.String()} {
			if at := strings.IndexFunc(said, acts); at >= 0 || !utf8.ValidString(said) {
				wrong("a raw character, at %d", at)
			}
		}
	}
	if !refused {
		if err := a.take(line, args, out.Bytes()); err != nil {
			wrong("%v", err)
		}
	}
	if tr.IntN(40) == 0 && formatted(line) && line != "" && !slices.Contains(args, "--apply") {
		c := exec.Command("lotcost", args...)
		var out2, errs2 bytes.Buffer
		c.Stdout, c.Stderr = &out2, &errs2
		c.Run()
		if c.ProcessState.ExitCode() != code || out2.String() != out.String() || errs2.String() != errs.String() {
			wrong("the process says, exit %d:\n%s\n%s", c.ProcessState.ExitCode(), out2.String(), errs2.String())
		}
	}
}

// guarded runs a command line and tells where it panicked.
func guarded(s streams, args []string) (code int, stack string) {
	defer func() {
		if r := recover(); r != nil {
			stack = fmt.Sprint(r, "\n", string(debug.Stack()))
		}
	}()
	return lotcost(context.Background(), s, args), ""
}

// acts reports whether a character acts on a terminal instead of being seen.
func acts(r rune) bool {
	return r != '\n' && r != '\u200c' && r != '\u200d' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}
