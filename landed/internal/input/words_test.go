package input_test

import (
	"testing"

	"lotcost/landed/internal/input"
)

func TestParseDate(t *testing.T) {
	for text, want := range map[string]bool{"2026-10-03": true, "1900-01-01": true, "2199-12-31": true, "2024-02-29": true,
		"2026-02-29": false, "1899-12-31": false, "2200-01-01": false, "2026-1-3": false, "03/10/2026": false, " 2026-10-03": false, "": false} {
		if day, err := input.ParseDate(text); (err == nil) != want || want && day.Format("2006-01-02") != text {
			t.Errorf("%q: %s, %v", text, day, err)
		}
	}
}

func TestCutPlace(t *testing.T) {
	for text, want := range map[string][2]string{"JP": {"JP", ""}, "CA-ON": {"CA", "ON"}, "AU-NSW": {"AU", "NSW"}, "CN-11": {"CN", "11"},
		"jp": {}, "JPN": {}, "CA-": {}, "CA-ONTA": {}, "CA-on": {}, "CA-O-N": {}, "1A": {}, "-ON": {}, "": {}} {
		country, part, ok := input.CutPlace(text)
		if ok != (want[0] != "") || ok && (country != want[0] || part != want[1]) {
			t.Errorf("%q: %q, %q, %t", text, country, part, ok)
		}
	}
}

// What another way of writing a day may mean: both readings where day and month may
// have changed places.
func TestMeantDays(t *testing.T) {
	for text, want := range map[string]string{
		"17/10/2026": "2026-10-17", "10/17/2026": "2026-10-17", "17.10.26": "2026-10-17", "17 Oct 2026": "2026-10-17", "October 17th, 2026": "2026-10-17",
		"17. Oktober 2026": "2026-10-17", "17-Oct-26": "2026-10-17", "Sat 17 Oct 2026": "2026-10-17", "2026 Oct 17": "2026-10-17", "1 août 2026": "2026-08-01", "3 mei 2026": "2026-05-03",
		"2026-10-3": "2026-10-03", "2026/10/17": "2026-10-17", "20261017": "2026-10-17", "17102026": "2026-10-17", "2026-17-10": "2026-10-17", "2026年10月17日": "2026-10-17",
		"2026-10-17 20:15": "2026-10-17", "2026-10-17T00:00:00Z": "2026-10-17", "3/10/2026": "2026-10-03 or 2026-03-10", "3.10.2026": "2026-10-03", "10/10/2026": "2026-10-10",
		"26-10-17": "2026-10-17 or 2017-10-26", "29/2/2026": "", "October 2026": "", "2026-10-32": "", "soon": "", "17 Oct Nov 2026": "", "1": "", "": "",
	} {
		_, err := input.ParseDate(text)
		wants := `"` + text + `" is not written as year-month-day: write ` + want
		if want == "" {
			wants = `"` + text + `" is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day`
		}
		if err == nil || err.Error() != wants {
			t.Errorf("got %v, want %s", err, wants)
		}
	}
}
