package pipeline

import (
	"bufio"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/runners/prism"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/testing/ptest"
)

func TestMain(m *testing.M) { ptest.MainWithDefault(m, "prism") }

// hauls are lines, every tenth with an error.
func hauls(n int) []string {
	var lines []string
	for i := range n {
		price := fmt.Sprintf("%d JPY", 1000+37*i)
		if i%10 == 9 {
			price = "1000 JPX"
		}
		lines = append(lines, fmt.Sprintf(`{"lotcost":1,"title":"Haul %d","home":"CAD","date":"202%d-10-03","exchange":{"rates":["100 JPY = 0.93 CAD"]},`+
			`"lots":[{"id":"a","seller":"seller-%d","price":%q,"items":[{"id":"x","count":2,"value":9},{"id":"y","value":4}]},`+
			`{"id":"b","seller":"gable, hall","price":"7 CAD","items":[{"id":"z","value":1}]}],"charges":[{"kind":"fee","amount":"1.01 CAD"}]}`, i, 4+i%3, i%4, price))
	}
	return lines
}

// readLines reads files by a pattern.
func readLines(t *testing.T, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil || len(files) == 0 {
		t.Fatalf("%s: %d files, %v", pattern, len(files), err)
	}
	var lines []string
	for _, file := range files {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for in := bufio.NewScanner(f); in.Scan(); {
			lines = append(lines, in.Text())
		}
	}
	return lines
}

// TestPipeline runs it on Prism in this process and holds what it writes against the library, asked
// one haul after another, and against sums in big numbers.
func TestPipeline(t *testing.T) {
	const n = 400
	folder := t.TempDir()
	lines := hauls(n)
	for part := range 2 {
		text := strings.Join(lines[part*n/2:(part+1)*n/2], "\n") + "\n\n"
		if err := os.WriteFile(filepath.Join(folder, fmt.Sprintf("hauls-%d.ndjson", part)), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p, err := New(Options{In: filepath.Join(folder, "hauls-*.ndjson"), Out: filepath.Join(folder, "out-"), Parts: 3})
	if err != nil {
		t.Fatal(err)
	}
	result, err := beam.Run(context.Background(), "prism", p)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := Counted(result), (Counts{n - n/10, n / 10}); got != want {
		t.Errorf("counted %v, want %v", got, want)
	}
	statements := readLines(t, filepath.Join(folder, "out-statements-*.ndjson"))
	wrong := readLines(t, filepath.Join(folder, "out-wrong.ndjson"))
	checkStatements(t, lines, statements)
	if len(wrong) != n/10 {
		t.Errorf("%d lines are wrong", len(wrong))
	}
	for _, line := range wrong {
		var w struct{ Error, Line string }
		if err := json.Unmarshal([]byte(line), &w); err != nil || !strings.Contains(w.Error, `"1000 JPX" has no currency code`) || !slices.Contains(lines, w.Line) {
			t.Errorf("%v: %s", err, line)
		}
	}
	checkTotals(t, lines, filepath.Join(folder, "out-totals.csv"))
}

// one asks the library for a haul; nil where it has errors.
func one(line string) *landed.Statement {
	file, err := lotfile.ParseJSON("haul", 1, []byte(line), ".", lotfile.Options{})
	if err != nil {
		return nil
	}
	st, err := landed.Split(file.Haul)
	if err != nil {
		return nil
	}
	return st
}

func checkStatements(t *testing.T, lines, statements []string) {
	t.Helper()
	got, want := map[string]string{}, map[string]string{}
	for _, line := range statements {
		var st struct{ Title, Home, Total string }
		if err := json.Unmarshal([]byte(line), &st); err != nil {
			t.Fatal(err)
		}
		got[st.Title] = st.Total + " " + st.Home
	}
	for _, line := range lines {
		if st := one(line); st != nil {
			want[st.Haul.Title] = st.Total.String()
		}
	}
	if !reflect.DeepEqual(got, want) || len(got) != len(statements) {
		t.Errorf("%d statements, want %d", len(got), len(want))
	}
}

func checkTotals(t *testing.T, lines []string, path string) {
	t.Helper()
	want := map[string]*big.Int{}
	for _, line := range lines {
		if st := one(line); st != nil {
			for _, lot := range st.Lots {
				key := st.Haul.Date.Format("2006") + " " + lot.Seller
				if want[key] == nil {
					want[key] = new(big.Int)
				}
				want[key].Add(want[key], big.NewInt(lot.Cost.Minor()))
			}
		}
	}
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || strings.Join(rows[0], ",")+"\n" != head {
		t.Fatalf("%v: %v", err, rows)
	}
	for _, row := range rows[1:] {
		key := row[0] + " " + row[1]
		sum, ok := new(big.Int).SetString(strings.Replace(row[5], ".", "", 1), 10)
		if !ok || want[key] == nil || sum.Cmp(want[key]) != 0 || row[2] != "CAD" {
			t.Errorf("%v, want %v", row, want[key])
		}
		delete(want, key)
	}
	if len(want) > 0 {
		t.Errorf("no total of %v", want)
	}
}

// TestAdd: sums are the same in whichever order, and one that is too large stays so.
func TestAdd(t *testing.T) {
	large := Sum{Minor: 1 << 62}
	if got := add(add(large, large), Sum{Minor: -1 << 62}); !got.TooLarge {
		t.Errorf("got %v", got)
	}
	if got := add(large, Sum{Minor: -1 << 62}); got.TooLarge || got.Minor != 0 {
		t.Errorf("got %v", got)
	}
}

// TestOptions: what makes no sense is refused.
func TestOptions(t *testing.T) {
	for _, o := range []Options{{}, {In: "a", Out: "b"}, {Out: "b", Parts: 1}} {
		if _, err := New(o); err == nil {
			t.Errorf("%+v is taken", o)
		}
	}
}
