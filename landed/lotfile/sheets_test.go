package lotfile_test

import (
	"testing"

	"lotcost/landed/lotfile"

	"github.com/shopspring/decimal"
)

// TestListText: a figure is written as what it replaces was, be it in a lot file or in a list.
func TestListText(t *testing.T) {
	for _, c := range []struct{ number, of, old, head, want string }{
		{"38.5", "CAD", "40", "", "38.50"},
		{"38.5", "CAD", "40 CAD", "", "38.50 CAD"},
		{"38.5", "CAD", "40", "CAD", "38.50"},
		{"38.5", "CAD", "", "", "38.50 CAD"},
		{"38", "CAD", "40.50", "", "38"},
		{"38.125", "KWD", "40", "", "38.125"},
		{"38.5", "EUR", "40", "CAD", "38.50 EUR"},
		{"1900", "g", "2 kg", "", "1.9 kg"},
		{"1900", "g", "2000 g", "", "1900 g"},
		{"1900", "g", "4 lb", "", "1.9 kg"},
		{"850", "g", "", "", "850 g"},
		{"1900", "g", "2", "kg", "1.9"},
		{"1900", "g", "2000", "g", "1900"},
		{"1900", "g", "4", "lb", "1900 g"},
		{"3", "", "", "", "3"},
	} {
		change := lotfile.ListChange{Number: decimal.RequireFromString(c.number), Unit: c.of}
		if got := change.Text(c.old, c.head); got != c.want {
			t.Errorf("%v: %q", c, got)
		}
	}
}
