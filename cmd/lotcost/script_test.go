package main

import (
	"bytes"
	"errors"
	"flag"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"lotcost/cmd/lotcost/internal/browser"
	"lotcost/testdata/effort"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the expected output of the scripts and the README")

// raced is whether the race detector watches this test binary.
var raced bool

// The scripts drive the real command; where races or covered lines are looked for, this test binary
// under its name, which starts half as fast. They work in folders of their own, with a copy of the
// published tariffs in tariff and, only to be read, the shipped examples in examples: $EXAMPLES.
func TestMain(m *testing.M) {
	testscript.Main(browser.Tests{M: m}, map[string]func(){"lotcost": main})
}

// shortScripts are those that short tests run, since each start of the command takes 4 ms: together
// they start every command but update, for which workbooks are read for a second.
var shortScripts = []string{"back", "batch", "book", "check", "compare", "desk", "help", "insured", "labels", "lists", "lookup", "new", "strange"}

func TestScripts(t *testing.T) {
	server := httptest.NewServer(rateServer(t))
	t.Cleanup(server.Close)
	folder, files := "testdata/script", []string(nil)
	if testing.Short() {
		for _, name := range shortScripts {
			files = append(files, filepath.Join(folder, name+".txtar"))
		}
		folder = ""
	}
	shared := t.TempDir()
	if err := os.CopyFS(shared, os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	path := os.Getenv("PATH")
	if testing.CoverMode() == "" && !raced {
		real, err := browser.Command()
		if err != nil {
			t.Fatal(err)
		}
		path = filepath.Dir(real) + string(filepath.ListSeparator) + path
	}
	testscript.Run(t, testscript.Params{
		Dir:                 folder,
		Files:               files,
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Condition:           func(word string) (bool, error) { return word == "all" && effort.All(), nil },
		Setup: func(env *testscript.Env) error {
			env.Setenv("RATES", server.URL)
			env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, "cache"))
			env.Setenv("EXAMPLES", filepath.Join(env.WorkDir, "examples"))
			env.Setenv("PATH", path)
			return errors.Join(os.Symlink(shared, env.Getenv("EXAMPLES")), os.CopyFS(filepath.Join(env.WorkDir, "tariff"), os.DirFS("../../testdata/tariff")))
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"big":      bigFile,
			"enter":    enter,
			"listbook": listBook,
			"office":   office,
		},
	})
}

// bigFile makes a file of so many MiB: big NAME 20.
func bigFile(ts *testscript.TestScript, _ bool, args []string) {
	mib := time.Duration(0)
	for _, digit := range args[1] {
		mib = mib*10 + time.Duration(digit-'0')
	}
	line := strings.Repeat("# padding\n", 1<<20/10)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat(line, int(mib)+1)), 0o666))
}

// rateServer serves a small table and every fault that a fetch can meet.
func rateServer(t *testing.T) http.Handler {
	table, err := os.ReadFile("../../testdata/rates/eurofxref-2024-06-28.xml")
	if err != nil {
		t.Fatal(err)
	}
	mux := http.NewServeMux()
	mux.HandleFunc("/eurofxref-hist-90d.xml", func(w http.ResponseWriter, _ *http.Request) { w.Write(table) })
	mux.HandleFunc("/garbage.xml", func(w http.ResponseWriter, _ *http.Request) { w.Write([]byte("<html>Busy</html>")) })
	mux.HandleFunc("/cut.xml", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Length", "100000")
		w.Write(table[:len(table)/2])
	})
	csv, err := os.ReadFile("../../testdata/rates/eurofxref-2025.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows := bytes.SplitAfter(bytes.TrimSpace(csv), []byte("\n"))
	rows[len(rows)-1] = append(rows[len(rows)-1], '\n')
	later := bytes.Replace(rows[1], []byte("2025-05-09"), []byte("2025-05-12"), 1)
	for path, answer := range map[string][]byte{
		"":       csv,
		"/cut":   csv[:len(csv)-4],
		"/fewer": bytes.Join(rows[:len(rows)-2], nil),
		"/on":    bytes.Join(slices.Concat(rows[:1], [][]byte{later}, rows[1:len(rows)-1]), nil),
	} {
		mux.HandleFunc(path+"/rates.csv", func(w http.ResponseWriter, _ *http.Request) {
			w.(http.Flusher).Flush() // no length is reported
			w.Write(answer)
		})
	}
	mux.HandleFunc("/false/rates.csv", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Length", strconv.Itoa(len(csv)-4))
		w.Write(csv[:len(csv)-4])
	})
	schedule, err := os.ReadFile("../../testdata/tariff/hts-lines.json")
	if err != nil {
		t.Fatal(err)
	}
	mux.HandleFunc("/hts-2026-5.json", func(w http.ResponseWriter, _ *http.Request) { w.Write(schedule) })
	mux.HandleFunc("/cut/hts-2026-5.json", func(w http.ResponseWriter, _ *http.Request) { w.Write(schedule[:len(schedule)-4]) })
	mux.HandleFunc("/slow.xml", func(_ http.ResponseWriter, r *http.Request) {
		select {
		case <-r.Context().Done():
		case <-time.After(5 * time.Second):
		}
	})
	return mux
}
