package input

import (
	"fmt"
	"strings"
	"time"
)

// ParseDate reads a day, year-month-day, at 00:00 UTC. The years are those from 1900 to 2199: the day
// of another one stands beside the error.
func ParseDate(s string) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, s)
	if err != nil || day.Year() < 1900 || day.Year() > 2199 {
		return day, fmt.Errorf("%q is not a date: write year-month-day, as in 2026-10-03, and check that the month has that day", s)
	}
	return day, nil
}

// CutPlace parts a code of ISO 3166, such as CA-ON, in its country and its subdivision, which is empty
// where there is none, and reports whether both have the shape of such.
func CutPlace(s string) (country, part string, ok bool) {
	const capitals = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	country, part, several := strings.Cut(s, "-")
	ok = len(country) == 2 && strings.Trim(country, capitals) == ""
	if several {
		ok = ok && len(part) >= 1 && len(part) <= 3 && strings.Trim(part, capitals+"0123456789") == ""
	}
	return country, part, ok
}
