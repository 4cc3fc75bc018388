// Package fx gives the exact exchange rate between two currencies on a day, from rates you state
// and from published tables.
//
// Most callers need two calls: [ReadTable] reads what one day needs from a published file, and
// [NewMarket] joins it with the equations that a user states, such as "100 JPY = 0.93 CAD";
// [Market.Rate] then answers with a [Rate]. [Summarize] tells what a file holds.
//
// # Exactness
//
// A rate is a fraction, Num over Den, and is never rounded: not when it is turned round, not when
// it is crossed through the base of a table, not when a spread is put on it. Whoever makes an
// amount of money with it rounds once. That satisfies article 4 of Council Regulation (EC) No
// 1103/97, by which conversion rates are neither rounded nor cut, no inverse rates derived from
// them are used, and a sum in one national unit goes into another through the euro with an
// intermediate of not fewer than three decimals: an exact intermediate has them all. Where the
// three-decimal method would give another cent (100 DEM into FRF, say) the exact one is used.
//
// # Which day
//
// A table has no row for a day on which nothing was published (week-ends, holidays), and a row may
// lack a currency. The day used is the last one, on or before the day asked for, that quotes both
// currencies. It may be at most seven days back; [Window] can lift that. All days are calendar
// days at 00:00 UTC. Nothing here reads the clock.
//
// # Layouts
//
// Tables are read in the two layouts in which the European Central Bank publishes its euro foreign
// exchange reference rates: a CSV file with one column per currency, and XML with nested Cube
// elements. Both state units of a currency per 1 euro, so their base is [Base]. A file may be 64
// MiB in size, a CSV line or one XML tag 1 MiB, and there may be 512 currencies; a table is read as
// a stream, once.
//
// # Currency codes
//
// A [Code] is checked for its shape only: three capital letters. The table of ISO 4217 codes in
// golang.org/x/text/currency is older than several codes in use (it refuses MRU, SLE and VES, for
// instance), and a rate file may quote a code that is newer than any table built in here. Whether a
// code is known, and how many decimals its amounts have, is for the money package to say.
//
// # Errors
//
// What a user can put right has a type of its own, for errors.As: [EquationError], [TableError],
// [NoRateError]. An error of the reader that was handed in is wrapped.
package fx

import (
	"fmt"
	"strings"
)

// Code is an ISO 4217 alphabetic currency code: three capital letters. The zero value is no
// currency.
type Code string

// Base is the currency of which the layouts read here quote one unit: the euro.
const Base Code = "EUR"

// parseCode reads a currency code. Only its shape is checked: three letters from A to Z.
func parseCode(s string) (Code, error) {
	if !shaped(s) {
		return "", badCode(s)
	}
	return Code(s), nil
}

// shaped reports whether s is three capital letters.
func shaped(s string) bool {
	if len(s) != 3 {
		return false
	}
	for i := range len(s) {
		if s[i] < 'A' || s[i] > 'Z' {
			return false
		}
	}
	return true
}

func badCode(text string) error {
	if up := strings.ToUpper(strings.TrimSpace(text)); shaped(up) {
		return fmt.Errorf("currency code %q is not three capital letters: write %q", excerpt(text), up)
	}
	return fmt.Errorf("currency code %q is not three capital letters: write an ISO 4217 code such as \"JPY\"", excerpt(text))
}
