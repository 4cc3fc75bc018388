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
