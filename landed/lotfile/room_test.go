package lotfile_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"lotcost/fx"
	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
	"lotcost/testdata/effort"
)

// TestRoom: a haul that is read in the room of others is what it is by itself, and the same is told
// of it: what texts were read as is kept for those alone that say the same.
func TestRoom(t *testing.T) {
	const haul = `{"lotcost": 1, "decimal": "%s", "home": "CAD", "date": "%s", "from": "JP", "to": "%s", "exchange": {"spread": "2.5%%", "rates": [%s]},
		"lots": [{"id": "a", "price": "4200 JPY", "premium": "%[5]s", "items": [{"id": "b", "weight": "2 kg", "class": "c"}]}],
		"customs": {"use": "personal", "by": "post", "rates": [%[4]s, "1 CHF = 1.7 CAD"], "classes": {"c": {"duty": "%[6]s"}}}}`
	var hauls []string
	for _, decimal := range []string{"point", "comma"} {
		for _, day := range []string{"2026-03-01", "2026-10-03"} {
			for _, to := range []string{"CA-ON", "CH", "XX"} {
				for _, rates := range []string{`"100 JPY = 0.93 CAD"`, `"1 JPY = 0,93 CAD"`, `"1 JPY = 0.93 CAD"`, `"100 JPY = 0.93 CAD", "100 JPY = 0.94 CAD"`,
					`"100 JPY = 0.93 CAD", "1 USD = 1.4 CAD", "100 JPY = 0.2 USD"`, `"` + strings.Repeat("1", 600) + `"`, `{}`, `""`} {
					for i, premium := range []string{"10%", "10%", "10%", "12,5%", "110%", "x"} {
						duty := []string{"6.5%", "1.50 CHF per kg", "1.50 CAD per kg", "6,5%", "1100%", "y"}[i]
						hauls = append(hauls, fmt.Sprintf(haul, decimal, day, to, rates, premium, duty))
					}
				}
			}
		}
	}
	reported := func(text string, room *lotfile.Room) string {
		var warnings source.Faults
		o := lotfile.Options{Room: room, Reference: dayTable, Warn: func(f *source.Fault) { warnings = append(warnings, f) }}
		f, err := lotfile.ParseJSON("hauls.ndjson", 1, []byte(text), ".", o)
		if err != nil {
			return fmt.Sprint(err, warnings)
		}
		st, err := landed.Split(f.Haul)
		if err != nil {
			return fmt.Sprint(err, warnings)
		}
		return fmt.Sprint(st.Total, st.Rates(), f.Border.Classes["c"].Duty, warnings)
	}
	var room lotfile.Room
	answers := map[string]bool{}
	for range 2 {
		for i, text := range hauls {
			if i%effort.Cases(1, 5, 5) > 0 {
				continue
			}
			want := reported(text, nil)
			if got := reported(text, &room); got != want {
				t.Fatalf("%s\nis read as\n%s\nwant\n%s", text, got, want)
			}
			answers[want] = true
		}
	}
	if len(answers) < effort.Cases(100, 20, 20) {
		t.Errorf("only %d of %d hauls differ", len(answers), len(hauls))
	}
}

// dayTable is a table of some days alone, in which the yen is worth what it is in most hauls.
func dayTable(on time.Time) *fx.Table {
	if on.Month() != time.March {
		return nil
	}
	const rates = "Date,CAD,JPY,\n2026-03-01,1.62,174.2,\n"
	table, err := fx.ReadTable(strings.NewReader(rates), fx.Window{On: on, Lift: true, Name: "rates"})
	if err != nil {
		panic(err)
	}
	return table
}
