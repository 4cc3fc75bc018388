package fx_test

import (
	"errors"
	"io"
	"iter"
	"math/big"
	"os"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
)

// checkDays holds a reader to its laws: each day is sound and stands once, an error has a place in
// the text and comes last, and the days written out as CSV read back as the same days.
func checkDays(t *testing.T, in string, read func(io.Reader) iter.Seq2[fx.Day, error]) {
	var days []fx.Day
	dates := map[time.Time]bool{}
	var failed error
	for d, err := range read(strings.NewReader(in)) {
		if failed != nil {
			t.Fatalf("goes on after %v", failed)
		}
		if failed = err; err != nil {
			continue
		}
		if dates[d.Date] || !d.Date.Equal(d.Date.Truncate(24*time.Hour)) || d.Date.Location() != time.UTC {
			t.Fatalf("date %v", d.Date)
		}
		dates[d.Date] = true
		checkQuotes(t, d)
		days = append(days, d)
	}
	if te := (*fx.TableError)(nil); failed != nil && (!errors.As(failed, &te) || te.At()[0] < 1 || te.At()[1] < 1 || te.At()[0] > strings.Count(in, "\n")+1) {
		t.Fatalf("error without a place: %#v", failed)
	}
	if failed == nil && len(days) == 0 {
		t.Fatal("no days and no error")
	}
	if out := plot(days); strings.Contains(out, ",") {
		again, err := collect(fx.CSV(strings.NewReader(out)))
		if err != nil || plot(again) != out {
			t.Fatalf("%v: %q became %q", err, out, plot(again))
		}
	}
}

// checkQuotes holds each quote of a day to its laws.
func checkQuotes(t *testing.T, d fx.Day) {
	seen := map[fx.Code]bool{fx.Base: true}
	for _, q := range d.Quotes {
		if _, err := fx.ParseCode(string(q.Code)); err != nil || seen[q.Code] || !q.PerBase.IsPositive() {
			t.Fatalf("quote %v: %v", q, err)
		}
		seen[q.Code] = true
	}
}

// head cuts a published file to a seed that the fuzzer can change quickly.
func head(f *testing.F, name string, most int) string {
	b, err := os.ReadFile("../testdata/rates/" + name)
	if err != nil {
		f.Fatal(err)
	}
	return string(b[:min(most, len(b))])
}

func FuzzCSV(f *testing.F) {
	f.Add(head(f, "eurofxref-2025.csv", 800))
	f.Add(head(f, "fixed.csv", 800))
	f.Add("Date, USD, JPY, \n03 July 2026, 1.1, N/A, \n")
	f.Add("\uFEFFDate,USD\r\n2026-07-03,1\r\n2026-07-02,0\r\n")
	f.Fuzz(func(t *testing.T, in string) { checkDays(t, in, fx.CSV) })
}

func FuzzXML(f *testing.F) {
	f.Add(head(f, "eurofxref-2024-06-28.xml", 4000))
	f.Add("<Envelope><Cube><Cube time='2026-07-03'><Cube currency='USD' rate='1.1'/></Cube></Cube></Envelope>")
	f.Add("<Envelope><Cube time='2026-07-03'/><!-- - -->\n<Cube time='2026-07-03'/></Envelope>")
	f.Fuzz(func(t *testing.T, in string) { checkDays(t, in, fx.XML) })
}

// What is parsed prints as a text that parses to the same, holds both amounts as they stood, and
// states a rate that is exact both ways.
func FuzzParseEquation(f *testing.F) {
	for _, s := range []string{"100 JPY = 0.93 CAD", "1 USD=1.3600 CAD", "1,000 JPY = 9 CAD", "1 JPY = 1 JPY", "1e5 JPY = 1 CAD", "0 JPY = 00.10 CAD", "007 JPY = 1 usd"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in string) {
		e, err := fx.ParseEquation(in)
		if err != nil {
			if ee := (*fx.EquationError)(nil); !errors.As(err, &ee) || ee.At != 0 {
				t.Fatalf("%q: %#v", in, err)
			}
			return
		}
		again, err := fx.ParseEquation(e.String())
		if err != nil || again.String() != e.String() || !again.LeftAmount.Equal(e.LeftAmount) || !again.RightAmount.Equal(e.RightAmount) {
			t.Fatalf("%q printed as %q reads as %q, %v", in, e, again, err)
		}
		left, right, _ := strings.Cut(in, "=")
		l, r := rat(strings.Fields(left)[0]), rat(strings.Fields(right)[0])
		m, err := fx.NewMarket([]fx.Equation{e}, nil, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		there, _ := m.Rate(e.Left, e.Right)
		back, _ := m.Rate(e.Right, e.Left)
		if there.Rat().Cmp(new(big.Rat).Quo(r, l)) != 0 || back.Rat().Cmp(new(big.Rat).Quo(l, r)) != 0 {
			t.Fatalf("%q: %v and %v", in, there, back)
		}
	})
}
