package lotfile_test

import (
	"strings"
	"testing"

	"lotcost/landed/lotfile"
)

// TestMisnamed wants one message of an id that is misspelt where it stands, whatever names it, and
// that either remedy puts it right; where every place has its own mistake, each is told.
func TestMisnamed(t *testing.T) {
	const haul = "lotcost: 1\nhome: CAD\nlots:\n  - {id: crate-a, price: 42, items: [{id: jack, weight: 1 kg, value: 9}]}\n" +
		"  - {id: crate-bb, price: 42, items: [{id: bull, weight: 1 kg, value: 9}]}\nparcels: [{id: one, lots: [crate-a]}, {id: two, lots: [crate-b]}]\n" +
		"charges: [{amount: 3, on: [crate-b]}, {amount: 4, on: [jack, crate-b]}]\nrisks: [{chance: 2%, keeps: 30%, on: [crate-b]}]\n"
	const want = `haul.yaml:5:10: lot crate-bb: nothing names it so, but 4 places name "crate-b", which is not there: write id: crate-b here, or crate-bb there`
	reported := func(text string) string {
		if _, err := lotfile.Parse("haul.yaml", []byte(text), t.TempDir(), lotfile.Options{}); err != nil {
			return err.Error()
		}
		return ""
	}
	if got := reported(haul); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	for _, own := range []string{"crate-b", "crate-bb"} {
		if got := reported(strings.NewReplacer("crate-bb", own, "crate-b", own).Replace(haul)); got != "" {
			t.Errorf("with %s everywhere: %s", own, got)
		}
	}
	each := strings.Replace(haul, "two, lots: [crate-b]", "two, lots: [crate-bb]", 1)
	if got := reported(each); strings.Count(got, "\n") != 2 || !strings.Contains(got, `haul.yaml:7:28: charge "fee": no lot or item has the id "crate-b": did you mean crate-a?`) {
		t.Error(got)
	}
}
