package lotfile_test

import (
	"cmp"
	"fmt"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// TestQuickBorder: a few figures cost what the lot file costs that says the
// same, and the day is that of the options where none is given.
func TestQuickBorder(t *testing.T) {
	const items = "id,count,weight,value,class\njack,2,1.9 kg,38 CAD,tool\npen,1,40 g,9 CAD,\n"
	for _, to := range []string{"CA-ON", "DE", "GB", "US", "JP"} {
		for _, use := range []string{"personal", "resale"} {
			for _, by := range []string{"post", "courier"} {
				f := lotfile.Figures{"items": {lotfile.Stdin}, "price": {"30000 CHF"}, "home": {"CHF"}, "freight": {"200 CHF"}, "fee": {"30 CHF"}, "spread": {"1%"},
					"rate": {"1 CAD = 0.6 CHF", "1 EUR = 0.94 CHF", "1 GBP = 1.08 CHF", "1 USD = 0.8 CHF", "100 JPY = 0.55 CHF"},
					"from": {"CH"}, "to": {to}, "duty": {"4%"}, "use": {use}, "by": {by}}
				quick, err := lotfile.Quick(f, lotfile.Options{Stdin: strings.NewReader(items), Today: time.Date(2026, 10, 3, 23, 0, 0, 0, time.FixedZone("east", 9*3600))})
				if err != nil {
					t.Fatal(err)
				}
				text := fmt.Sprintf(`lotcost: 1
home: CHF
date: 2026-10-03
from: CH
to: %s
exchange: {spread: 1%%, rates: [%s]}
lots:
  - {id: bundle, price: 30000 CHF, items: [{id: jack, count: 2, weight: 1.9 kg, value: 38 CAD, class: tool}, {id: pen, weight: 40 g, value: 9 CAD}]}
charges: [{kind: freight, amount: 200 CHF}, {kind: fee, amount: 30 CHF}]
customs: {use: %s, by: %s, class: none, classes: {tool: {duty: 4%%}, none: {duty: 4%%}}}
`, to, strings.Join(f["rate"], ", "), use, by)
				want, got := split(t, parse(t, text)), split(t, quick)
				if got.Total != want.Total || got.Estimate() != want.Estimate() || want.Estimate().Sign() == 0 && to != "JP" {
					t.Errorf("%s, %s by %s: %v of it %v at the border, by file %v of it %v", to, use, by, got.Total, got.Estimate(), want.Total, want.Estimate())
				}
			}
		}
	}
}

func split(t *testing.T, h *lotfile.File) *landed.Statement {
	t.Helper()
	st, err := landed.Split(h.Haul)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// TestQuickWarns: what is strange in a few figures is reported as in a file, and rates
// are held against those of the day, or else of today.
func TestQuickWarns(t *testing.T) {
	figures := lotfile.Figures{"home": {"CAD"}, "rate": {"1 EUR = 0.64 CAD"}, "to": {"CA-XX"}, "in": {"EUR"}, "value": {"9 CAD"}, "price": {"9 CAD"}}
	today, asked := time.Date(2026, 9, 30, 0, 0, 0, 0, time.UTC), time.Time{}
	for _, date := range []string{"", "2026-03-01"} {
		var reported []string
		o := lotfile.Options{Stdin: strings.NewReader("id,value\njack,9\n"), Today: today, Warn: func(f *source.Fault) { reported = append(reported, f.Error()) },
			Reference: func(on time.Time) *fx.Table { asked = on; return fetched(on) }}
		figures["date"], figures["items"] = []string{date}, nil
		_, err := lotfile.Quick(figures, o)
		figures["items"] = []string{lotfile.Stdin}
		_, other := lotfile.Quick(figures, o)
		if err != nil || other != nil || len(reported) != 4 || reported[0] != reported[2] || !strings.Contains(reported[0], "is strange") || !strings.Contains(reported[1], "no province") {
			t.Errorf("%v, %v, told %q", err, other, reported)
		}
		if want := cmp.Or(date, "2026-09-30"); asked.Format(time.DateOnly) != want {
			t.Errorf("held against the rates of %v, want %s", asked, want)
		}
	}
}
