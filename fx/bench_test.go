package fx_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
)

// history makes a table of the size of the whole published history: 7000 days by 41 currencies,
// newest first.
func history() (csv, xml string) {
	var c, x strings.Builder
	code := func(i int) string { return string([]byte{'X', byte('A' + i/26), byte('A' + i%26)}) }
	c.WriteString("Date,")
	for i := range 41 {
		c.WriteString(code(i) + ",")
	}
	x.WriteString("<Envelope><Cube>\n")
	for n := range 7000 {
		date := day("2026-10-02").AddDate(0, 0, -n).Format(time.DateOnly)
		c.WriteString("\n" + date + ",")
		x.WriteString("<Cube time='" + date + "'>")
		for i := range 41 {
			if (n+i)%4 == 0 {
				c.WriteString("N/A,")
				continue
			}
			figure := fmt.Sprintf("%d.%04d", i*i, n+1)
			c.WriteString(figure + ",")
			x.WriteString("<Cube currency='" + code(i) + "' rate='" + figure + "'/>")
		}
		x.WriteString("</Cube>\n")
	}
	x.WriteString("</Cube></Envelope>\n")
	return c.String() + "\n", x.String()
}

func BenchmarkReadTable(b *testing.B) {
	csv, xml := history()
	for _, bm := range []struct {
		name, doc string
		w         fx.Window
	}{
		{"CSV", csv, fx.Window{On: day("2020-02-02")}},
		{"CSV/Lift", csv, fx.Window{On: day("2020-02-02"), Lift: true}},
		{"XML", xml, fx.Window{On: day("2020-02-02")}},
	} {
		b.Run(bm.name, func(b *testing.B) {
			b.SetBytes(int64(len(bm.doc)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := fx.ReadTable(strings.NewReader(bm.doc), bm.w); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSummarize(b *testing.B) {
	csv, xml := history()
	for name, doc := range map[string]string{"CSV": csv, "XML": xml} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(doc)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := fx.Summarize(strings.NewReader(doc)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkMarketRate(b *testing.B) {
	csv, _ := history()
	tab, err := fx.ReadTable(strings.NewReader(csv), fx.Window{On: day("2020-02-02")})
	if err != nil {
		b.Fatal(err)
	}
	m, err := fx.NewMarket(nil, tab, day("2020-02-02"))
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Rate("XAB", "XAD"); err != nil {
			b.Fatal(err)
		}
	}
}
