package fx

import (
	"strings"
	"time"
	"unicode/utf8"

	"github.com/shopspring/decimal"
)

// maxDigits bounds a number as typed, so that no input makes the arithmetic slow. Published rates
// have at most nine digits.
const maxDigits = 32

// plain reads a plain decimal: digits, and perhaps a point with digits on both sides. No sign,
// exponent, separator or space, all of which decimal.NewFromString would take or would misread.
func plain(s string) (decimal.Decimal, bool) {
	whole, frac, point := strings.Cut(s, ".")
	if len(s) > maxDigits || !digits(whole) || point && !digits(frac) {
		return decimal.Decimal{}, false
	}
	d, err := decimal.NewFromString(s)
	return d, err == nil
}

// digits reports whether s is one or more of 0 to 9.
func digits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// midnight gives the calendar day of t, as t's own location has it, at 00:00 UTC.
func midnight(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// parseDate reads a date as the published files write it: 2026-07-03, or 03 July 2026 in the daily
// CSV file.
func parseDate(s string) (time.Time, bool) {
	for _, layout := range []string{time.DateOnly, "2 January 2006"} {
		if t, err := time.Parse(layout, s); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
}

// excerpt cuts a text from a file to a length that a message can carry.
func excerpt(s string) string {
	const most = 80
	if len(s) <= most {
		return s
	}
	cut := most
	for cut > 0 && !utf8.RuneStart(s[cut]) {
		cut--
	}
	return s[:cut] + "…"
}

// show writes a day for a message.
func show(t time.Time) string { return t.Format(time.DateOnly) }
