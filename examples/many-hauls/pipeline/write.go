package pipeline

import (
	"bufio"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lotcost/landed/money"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
	_ "github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem/local" // files of this machine
)

// head is the first line of the totals.
const head = "year,seller,currency,lots,pieces,cost\n"

// totalLine is a sum as a line of a table.
func totalLine(key string, s Sum) (string, error) {
	var of []string
	if err := json.Unmarshal([]byte(key), &of); err != nil || len(of) != 3 {
		return "", fmt.Errorf("a total without its year, seller and currency: %q", key)
	}
	cost := "too large"
	if c, err := money.ParseCurrency(of[2]); err == nil && !s.TooLarge {
		cost = money.New(s.Minor, c).Number()
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	err := w.Write(append(of, fmt.Sprint(s.Lots), fmt.Sprint(s.Pieces), cost))
	w.Flush()
	return strings.TrimSuffix(b.String(), "\n"), errors.Join(err, w.Error())
}

// write deals lines out to files and writes those, each on its own, so that no machine holds all.
func write(s beam.Scope, name string, parts int, lines beam.PCollection) {
	dealt := beam.GroupByKey(s, beam.ParDo(s, &partFn{parts}, lines))
	beam.ParDo(s, &writeFn{name, parts}, dealt)
}

// writeFn writes one of some files.
type writeFn struct {
	Name  string
	Parts int
}

// ProcessElement writes the lines of a file; the totals sorted, with a head.
func (f *writeFn) ProcessElement(ctx context.Context, part int, next func(*string) bool, done func(string)) (err error) {
	path := f.path(part)
	fs, err := filesystem.New(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, fs.Close()) }()
	file, err := fs.OpenWrite(ctx, path)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(file)
	if strings.HasSuffix(path, ".csv") {
		writeSorted(w, next)
	} else {
		for line := ""; next(&line); {
			fmt.Fprintln(w, line)
		}
	}
	done(path)
	return errors.Join(w.Flush(), file.Close())
}

// writeSorted writes lines in their order. There are few: one for each year and seller.
func writeSorted(w *bufio.Writer, next func(*string) bool) {
	var lines []string
	for line := ""; next(&line); {
		lines = append(lines, line)
	}
	slices.Sort(lines)
	fmt.Fprint(w, head+strings.Join(lines, "\n")+"\n")
}

func (f *writeFn) path(part int) string {
	switch {
	case strings.HasSuffix(f.Name, "totals"):
		return f.Name + ".csv"
	case f.Parts == 1:
		return f.Name + ".ndjson"
	}
	return fmt.Sprintf("%s-%05d-of-%05d.ndjson", f.Name, part+1, f.Parts)
}
