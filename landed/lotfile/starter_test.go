package lotfile_test

import (
	"regexp"
	"strings"
	"testing"

	"lotcost/landed"
	"lotcost/landed/lotfile"
	"lotcost/landed/source"
)

// TestStarterNotes: the sections that the starter file shows as notes are right
// once the marks before them are taken away.
func TestStarterNotes(t *testing.T) {
	const first = "# parcels:"
	at := strings.Index(lotfile.Starter(), first)
	if at < 0 {
		t.Fatal("the starter file shows no parcels")
	}
	notes := regexp.MustCompile(`(?m)^# ?`).ReplaceAllString(lotfile.Starter()[at:], "")
	notes = strings.Replace(notes, "[[crate-a, box-b]]", "[]", 1) // a lot that the starter does not have
	h, err := lotfile.Parse("starter.yaml", []byte(lotfile.Starter()[:at]+notes), t.TempDir(),
		lotfile.Options{Warn: func(f *source.Fault) { t.Error(f) }})
	if err != nil {
		t.Fatal(err)
	}
	if h.Border == nil || h.Sending == nil || h.Selling == nil || h.Bidding == nil || len(h.Parcels) != 1 {
		t.Errorf("a section was not read: %+v", h)
	}
	if _, err := landed.Split(h.Haul); err != nil {
		t.Error(err)
	}
}
