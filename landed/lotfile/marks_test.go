package lotfile

import (
	"testing"

	"lotcost/landed/money"

	"pgregory.net/rapid"
)

// TestUngrouped: what is seen at a glance to be no amount is refused by the reader of amounts.
func TestUngrouped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[-$]?[0-9]{0,4}([.,'’ ][0-9]{0,4}){0,3}( ?(CAD|JPY|KWD|€))?`).Draw(t, "text")
		if a, err := money.ParseIn(text, money.MustCurrency("CAD")); err == nil && ungrouped(text) {
			t.Fatalf("%q is %s", text, a)
		}
	})
}

// A figure is bare where whoever reads it has to know what it counts.
func TestIsBare(t *testing.T) {
	for text, want := range map[string]bool{"38": true, "1,250.50": true, "1 250,50": true, "1'250.50": true, "": false, "38 CAD": false, "1.9kg": false, "10%": false, "…": false, "-": false} {
		if got := isBare(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}
