package main

import (
	"context"
	"io"
	"os"
	"strings"
	"testing"
)

// tenItemHaul is a haul of ten items as a program hands one over.
func tenItemHaul(border string) string {
	var b strings.Builder
	b.WriteString(`{"lotcost":1,"title":"Haul 17","home":"CAD","date":"2026-10-03",` + border + `"exchange":{"spread":"2.5%","rates":["100 JPY = 0.93 CAD"]},"lots":[`)
	for lot, id := range []string{"crate-a", "box-b"} {
		if lot > 0 {
			b.WriteString(",")
		}
		b.WriteString(`{"id":"` + id + `","seller":"tidemark","price":"4200 JPY","premium":"10%","items":[`)
		for i, item := range []string{"jack", "square", "brace", "chisel", "pen"} {
			if i > 0 {
				b.WriteString(",")
			}
			b.WriteString(`{"id":"` + item + "-" + id + `","what":"` + item + `, untested","count":2,"weight":"1.9 kg","value":"38.50 CAD","class":"hand-tool"}`)
		}
		b.WriteString(`]}`)
	}
	b.WriteString(`],"charges":[{"what":"Surface parcel","kind":"freight","amount":"7400 JPY"},{"what":"Transfer","kind":"fee","amount":"4.50 CAD"}]}` + "\n")
	return b.String()
}

// atBorder is what a haul says that crosses one.
const atBorder = `"from":"JP","to":"CA-ON","customs":{"use":"personal","by":"post","classes":{"hand-tool":{"duty":"6.5%"}}},`

// BenchmarkBatch answers hauls of ten items, JSON both ways included.
func BenchmarkBatch(b *testing.B) {
	for name, border := range map[string]string{"inland": "", "border": atBorder} {
		b.Run(name, func(b *testing.B) {
			const hauls = 1000
			text := strings.Repeat(tenItemHaul(border), hauls)
			for b.Loop() {
				s := streams{in: strings.NewReader(text), out: io.Discard, err: os.Stderr, env: func(string) string { return "" }}
				if code := lotcost(context.Background(), s, []string{"batch", "-"}); code != exitFine {
					b.Fatalf("exit %d", code)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/hauls, "ns/haul")
		})
	}
}
