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
