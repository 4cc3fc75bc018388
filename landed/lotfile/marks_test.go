package lotfile

import (
	"strings"
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

// TestMonths: the short name of a month is no currency, so that a day is told from an amount.
func TestMonths(t *testing.T) {
	for _, month := range strings.Split(dayMonths(), "|") {
		if c, err := money.ParseCurrency(month); err == nil {
			t.Errorf("%s is %s", month, c)
		}
	}
	for text, want := range map[string]bool{"03.12.2026": true, "2026-12-03": true, "3-Dec": true, "Sep 38": true, "3. Mrz": true, "Mai 2026": true, "38 CAD": false, "1.250.500": false, "1.9 kg": false, "12-3": false, "2 sets": false, "-1-2-3": false, "marking gauge": false} {
		if isDay(text) != want {
			t.Errorf("%q", text)
		}
	}
}
