package input

import "strings"

// CutPlace parts a code of ISO 3166, such as CA-ON, in its country and its subdivision, which is
// empty where there is none, and reports whether both have the shape of such.
func CutPlace(s string) (country, part string, ok bool) {
	const capitals = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	country, part, several := strings.Cut(s, "-")
	ok = len(country) == 2 && strings.Trim(country, capitals) == ""
	if several {
		ok = ok && len(part) >= 1 && len(part) <= 3 && strings.Trim(part, capitals+"0123456789") == ""
	}
	return country, part, ok
}
