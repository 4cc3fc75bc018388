package fx_test

import (
	"iter"
	"maps"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"lotcost/fx"

	"github.com/shopspring/decimal"
)

// day reads a date for a test.
func day(s string) time.Time {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return t
}

// rat reads a fraction or decimal for a test.
func rat(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("not a number: " + s)
	}
	return r
}

// over gives a/b.
func over(a, b string) *big.Rat { return new(big.Rat).Quo(rat(a), rat(b)) }

// open opens a file of testdata until the end of the test.
func open(t testing.TB, name string) *os.File {
	t.Helper()
	f, err := os.Open("../testdata/rates/" + name)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

// table reads a file of testdata for a day.
func table(t testing.TB, name, on string, lift bool) *fx.Table {
	t.Helper()
	tab, err := fx.ReadTable(open(t, name), fx.Window{On: day(on), Lift: lift, Name: name})
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

// collect ranges over all the days up to an error.
func collect(days iter.Seq2[fx.Day, error]) (out []fx.Day, err error) {
	for d, err := range days {
		if err != nil {
			return out, err
		}
		out = append(out, d)
	}
	return out, nil
}

// plot writes days as a CSV table with sorted columns, an independent way of the CSV layout.
func plot(days []fx.Day) string {
	cols := map[fx.Code]bool{}
	for _, d := range days {
		for _, q := range d.Quotes {
			cols[q.Code] = true
		}
	}
	codes := slices.Sorted(maps.Keys(cols))
	var b strings.Builder
	b.WriteString("Date")
	for _, c := range codes {
		b.WriteString("," + string(c))
	}
	for _, d := range days {
		b.WriteString("\n" + d.Date.Format(time.DateOnly))
		for _, c := range codes {
			if v, ok := d.PerBase(c); ok {
				b.WriteString("," + v.String())
			} else {
				b.WriteString(",N/A")
			}
		}
	}
	return b.String() + "\n"
}

// dec reads a decimal for a test.
func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }

// text gives the text of an error, or "".
func text(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}
