// Package pipeline prices hauls as an Apache Beam pipeline: a haul in JSON on each line in,
// statements out, what each year and seller came to, and the lines with errors by themselves.
package pipeline

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"math"
	"os"

	"lotcost/landed"
	"lotcost/landed/lotfile"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/textio"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/register"
)

func init() {
	register.DoFn5x0[context.Context, string, func(string), func(string, Sum), func(string)](&priceFn{})
	register.Emitter1[string]()
	register.Emitter2[string, Sum]()
	register.DoFn2x2[context.Context, string, int, string](&partFn{})
	register.DoFn4x1[context.Context, int, func(*string) bool, func(string), error](&writeFn{})
	register.Iter1[string]()
	register.Function2x1(add)
	register.Function2x2(totalLine)
}

// Options say what is read and written.
type Options struct {
	In    string // the files to read, a pattern
	Out   string // what stands before the names of the files that are written
	Parts int    // into how many files the statements go
}

// check tells what makes no sense.
func (o Options) check() error {
	switch {
	case o.In == "" || o.Out == "":
		return errors.New("say what is read and where answers go: --in hauls-*.ndjson --out answers/")
	case o.Parts < 1:
		return fmt.Errorf("%d files cannot be written: write --parts 1 or more", o.Parts)
	}
	return nil
}

// New makes the pipeline. It reads o.In, compressed or not, and writes statements, one in JSON a
// line, into o.Parts files; totals.csv, a line for each year, seller and currency; and
// wrong.ndjson, each line that could not be priced with what is wrong with it.
func New(o Options) (*beam.Pipeline, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	p, s := beam.NewPipelineWithRoot()
	lines := textio.Read(s, o.In, textio.ReadAutoCompression())
	statements, sums, wrong := beam.ParDo3(s.Scope("price"), &priceFn{}, lines)
	write(s.Scope("statements"), o.Out+"statements", o.Parts, statements)
	write(s.Scope("wrong"), o.Out+"wrong", 1, wrong)
	totals := beam.CombinePerKey(s.Scope("totals"), add, sums)
	write(s.Scope("totals"), o.Out+"totals", 1, beam.ParDo(s, totalLine, totals))
	return p, nil
}

// Counts are how many hauls there were.
type Counts struct{ Priced, Wrong int64 }

// Counted reads them from the metrics of a run.
func Counted(result beam.PipelineResult) Counts {
	var c Counts
	for _, counter := range result.Metrics().AllMetrics().Counters() {
		switch counter.Name() {
		case "priced":
			c.Priced = counter.Result()
		case "wrong":
			c.Wrong = counter.Result()
		}
	}
	return c
}

// priceFn prices hauls by the library.
type priceFn struct {
	priced, wrong beam.Counter
	folder        string
}

// Setup makes the counters, and an empty folder: a haul on a cluster names no files.
func (f *priceFn) Setup() (err error) {
	f.priced, f.wrong = beam.NewCounter("hauls", "priced"), beam.NewCounter("hauls", "wrong")
	f.folder, err = os.MkdirTemp("", "hauls-")
	return err
}

// Teardown takes the folder away.
func (f *priceFn) Teardown() error { return os.RemoveAll(f.folder) }

// ProcessElement prices one.
func (f *priceFn) ProcessElement(ctx context.Context, line string, statement func(string), sum func(string, Sum), wrong func(string)) {
	if line == "" {
		return
	}
	st, err := split(line, f.folder)
	if err != nil {
		f.wrong.Inc(ctx, 1)
		wrong(wrongLine(line, err))
		return
	}
	f.priced.Inc(ctx, 1)
	statement(statementLine(st))
	for key, s := range sums(st) {
		sum(key, s)
	}
}

func split(line, folder string) (*landed.Statement, error) {
	file, err := lotfile.ParseJSON("haul", 1, []byte(line), folder, lotfile.Options{})
	if err != nil {
		return nil, err
	}
	return landed.Split(file.WithoutOpen())
}

// wrongLine is a line that could not be priced, and why.
func wrongLine(line string, err error) string {
	text, _ := json.Marshal(struct {
		Error string `json:"error"`
		Line  string `json:"line"`
	}{err.Error(), line})
	return string(text)
}

// statementLine is a statement on one line.
func statementLine(st *landed.Statement) string {
	type item struct {
		ID    string `json:"id"`
		Lot   string `json:"lot"`
		Count int64  `json:"count"`
		Cost  string `json:"cost"`
	}
	out := struct {
		Title string `json:"title"`
		Home  string `json:"home"`
		Total string `json:"total"`
		Items []item `json:"items"`
	}{Title: st.Haul.Title, Home: st.Home.Code(), Total: st.Total.Number()}
	for i := range st.Items {
		c := &st.Items[i]
		out.Items = append(out.Items, item{c.ID, c.Lot.ID, c.Count, c.Cost.Number()})
	}
	text, _ := json.Marshal(out)
	return string(text)
}

// Sum is what lots came to, in minor units of their currency.
type Sum struct {
	Lots, Pieces, Minor int64
	TooLarge            bool // for 63 bits; the rest is then not to be used
	Digits              int  // decimals of the currency
}

// sums are those of a statement, by year, seller and currency.
func sums(st *landed.Statement) map[string]Sum {
	all := map[string]Sum{}
	year := "unknown"
	if date := st.Haul.Date; !date.IsZero() {
		year = date.Format("2006")
	}
	for _, lot := range st.Lots {
		key, _ := json.Marshal([]string{year, lot.Seller, st.Home.Code()})
		s := Sum{Lots: 1, Minor: lot.Cost.Minor(), Digits: st.Home.Digits()}
		for i := range lot.Items {
			s.Pieces += lot.Items[i].Count
		}
		all[string(key)] = add(all[string(key)], s)
	}
	return all
}

// add adds two sums, in whichever order.
func add(a, b Sum) Sum {
	over := b.Minor > 0 && a.Minor > math.MaxInt64-b.Minor || b.Minor < 0 && a.Minor < math.MinInt64-b.Minor
	return Sum{a.Lots + b.Lots, a.Pieces + b.Pieces, a.Minor + b.Minor, a.TooLarge || b.TooLarge || over, max(a.Digits, b.Digits)}
}

// partFn deals lines out to files.
type partFn struct{ Parts int }

// ProcessElement gives the file of a line.
func (f *partFn) ProcessElement(_ context.Context, line string) (int, string) {
	h := fnv.New32a()
	h.Write([]byte(line))
	return int(h.Sum32() % uint32(f.Parts)), line
}
