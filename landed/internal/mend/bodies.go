package mend

import (
	"cmp"
	"slices"
	"strings"

	"lotcost/landed/internal/scrub"
)

var (
	bullet   = scrub.Pattern(`^(?:[*•·►‣○●+>]|-+)\s*(\S.*)$`)
	marked   = scrub.Pattern(`^["']?(\p{L}[\p{L}0-9' -]*?)["']?\s*[:=;,]+[\s:]*(\S.*)$`)
	worded   = scrub.Pattern(`^(\p{L}[\p{L}-]*)\s+(\S.*)$`)
	alone    = scrub.Pattern(`^(\p{L}[\p{L}0-9-]*)\s*[;.,-]*$`)
	named    = scrub.Pattern(`^(\S+):$`)
	percent  = scrub.Pattern(`^%\s*([0-9.,]+)$`)
	pair     = scrub.Pattern(`^(\p{L}[\p{L}-]*)\s*[:=]?\s*(\S.*)$`)
	swapped  = scrub.Pattern(`^([0-9]\S*)\s*x?\s+(\p{L}[\p{L}-]*)$`)
	counted  = scrub.Pattern(`([0-9]+)\s+(\p{L}[\p{L}-]*)`)
	between  = scrub.Pattern(`\s*(?:[,;+&|/]|\band\b|\bund\b)\s*`)
	step     = scrub.Pattern(`^\D*?([0-9][0-9.,]*\s*(?:kg|g|lb|oz))\s*\D*?([0-9].*)$`)
	unparted = scrub.Pattern(`([{,]\s*\p{L}[\p{L}-]*)[\s=]+(["'0-9])`)
	inGroup  = scrub.Pattern(`^,\s*(\p{L}[\p{L}-]*):(?:\s|$)`)
	further  = scrub.Pattern(`^(.*?[0-9].*?)\s*(?:per|/|each|for each)\s*([0-9.]*)\s*(kg|g|lb|oz)\b.*$`)
)

// signs are what people write for the word that a key wants.
var signs = map[string]string{"price: ?": "price: open", "decimal: ,": "decimal: comma"}

// bulleted is a line with a dash in place of another sign.
func bulleted(body string) string {
	if parts := bullet().FindStringSubmatch(body); parts != nil {
		return "- " + parts[1]
	}
	return ""
}

// trimmed is a line without the marks of other notations at its ends.
func trimmed(body string) string {
	body = strings.TrimRight(body, ",; ")
	opened := strings.Count(body, "{") + strings.Count(body, "[")
	if shut := strings.Count(body, "}") + strings.Count(body, "]"); shut > opened {
		body = strings.TrimRight(body, "}] ")
	}
	return body
}

// closed is a line with what was opened in it closed at its end. A quote within a word opens
// nothing.
func closed(body string) string {
	open := opened(body, func(i int) bool { return i == 0 || strings.IndexByte(" [{,:", body[i-1]) >= 0 }, func(int, int) bool { return true })
	slices.Reverse(open)
	return body + string(open)
}

// opened goes through the brackets and quotes of a text, until told to stop, with how many are
// open behind each sign, and returns what would close those that then are, the outermost first.
// Whether a quote, at its place, may open a text is for the caller to say.
func opened(text string, mayQuote func(i int) bool, goesOn func(i, open int) bool) []byte {
	var open []byte
	for i := range len(text) {
		c, last := text[i], byte(0)
		if len(open) > 0 {
			last = open[len(open)-1]
		}
		switch {
		case c == last && c != 0:
			open = open[:len(open)-1]
		case last == '"' || last == '\'':
		case c == '{':
			open = append(open, '}')
		case c == '[':
			open = append(open, ']')
		case (c == '"' || c == '\'') && mayQuote(i):
			open = append(open, c)
		}
		if !goesOn(i, len(open)) {
			break
		}
	}
	return open
}

// entries are the ways to read a line as a key and its value.
func entries(body string) []string {
	var all []string
	if parts := marked().FindStringSubmatch(body); parts != nil {
		all = append(all, strings.TrimSpace(parts[1])+": "+parts[2])
	}
	if parts := worded().FindStringSubmatch(body); parts != nil {
		all = append(all, parts[1]+": "+parts[2])
	}
	if parts := alone().FindStringSubmatch(body); parts != nil {
		all = append(all, parts[1]+":")
	}
	return all
}

// values are other ways to write the value of a key: with its brackets closed or
// of another kind, as a group of some keys, in quotes.
func values(value string, keys []string) []string {
	if value == "" {
		return nil
	}
	inner := strings.Trim(value, "()[]{}\"' ")
	var all []string
	all = append(all, closed(value))
	if parts := percent().FindStringSubmatch(inner); parts != nil {
		all = append(all, parts[1]+"%")
	}
	if pairs := pairsIn(inner); pairs != "" {
		all = append(all, "{"+pairs+"}")
	}
	if parted := unparted().ReplaceAllString(value, "$1: $2"); parted != value {
		all = append(all, parted)
	}
	if parts := step().FindStringSubmatch(inner); parts != nil {
		all = append(all, "{steps: [{up-to: "+parts[1]+", cost: "+parts[2]+"}]}", "[{up-to: "+parts[1]+", price: "+parts[2]+"}]")
	}
	if parts := further().FindStringSubmatch(inner); parts != nil {
		each := cmp.Or(strings.TrimSpace(parts[2]), "1")
		all = append(all, "{each: "+each+" "+parts[3]+", price: "+parts[1]+"}")
	}
	for _, free := range []bool{false, true} { // keys that take any words come last
		for _, k := range keys {
			if isFree := k == "what" || k == "title" || k == "name" || k == "code" || k == "id"; isFree == free {
				all = append(all, "{"+k+": "+value+"}", "{"+k+": ["+value+"]}", "{"+k+": "+quoted(value)+"}")
			}
		}
	}
	if parts := between().Split(inner, -1); len(parts) > 1 {
		all = append(all, "["+strings.Join(parts, ", ")+"]")
	}
	all = append(all, "["+value+"]")
	if value[0] == '{' || value[0] == '(' {
		all = append(all, "["+inner+"]")
	}
	if _, of, isPair := strings.Cut(inner, ": "); value[0] == '{' && isPair {
		all = append(all, of)
	}
	if value[0] == '[' && inner != "" {
		all = append(all, inner)
	}
	return append(all, quoted(value))
}

// regrouped is a group of keys in braces with its texts in quotes where they hold what is a mark of
// YAML there, as a comma; "" where it is none. The keys are those of the group, or none where they
// are not known: any word before a colon then is one.
func regrouped(group string, keys []string) string {
	rest, ok := strings.CutPrefix(group, "{")
	if !ok {
		return ""
	}
	rest = "," + strings.TrimRight(strings.TrimRight(rest, " ,;"), "} ")
	if first := inGroup().FindStringSubmatch(rest); first != nil && !slices.Contains(keys, first[1]) {
		keys = nil // they are those of a group within it
	}
	var all []string
	for rest != "" {
		key := inGroup().FindStringSubmatch(rest)
		if key == nil {
			return ""
		}
		rest = strings.TrimLeft(rest[len(key[0]):], " ")
		end := valueEnd(rest, keys)
		all = append(all, key[1]+": "+safe(strings.TrimSpace(rest[:end])))
		rest = rest[end:]
	}
	return "{" + strings.Join(all, ", ") + "}"
}

// valueEnd is where the value ends with which a part of a group begins: where its brackets or
// quotes close, if that is followed by a comma; else before the next key.
func valueEnd(rest string, keys []string) int {
	if end := closedAt(rest); end > 0 && strings.HasPrefix(strings.TrimLeft(rest[end:]+",", " "), ",") {
		return end
	}
	for i := range rest {
		if next := inGroup().FindStringSubmatch(rest[i:]); next != nil && (keys == nil || slices.Contains(keys, next[1])) {
			return i
		}
	}
	return len(rest)
}

// closedAt is where what a text opens with its first sign is closed; 0 where it opens nothing or
// leaves it open.
func closedAt(text string) (end int) {
	opened(text, func(int) bool { return true }, func(i, open int) bool {
		if open == 0 && i > 0 {
			end = i + 1
		}
		return open > 0
	})
	return end
}

// safe is a value in quotes where it is a text with marks of YAML in it.
func safe(value string) string {
	if value == "" || closedAt(value) == len(value) || !strings.ContainsAny(value, ",[]{}\"'`") && !strings.Contains(value, ": ") && !strings.Contains(value, " #") && !strings.ContainsRune("*&@%!|>?", rune(value[0])) {
		return value
	}
	return inQuotes(value)
}

// pairsIn reads words with figures as keys and values.
func pairsIn(text string) string {
	parts := between().Split(text, -1)
	for i, part := range parts {
		if p := swapped().FindStringSubmatch(part); p != nil {
			parts[i] = p[2] + ": " + p[1]
		} else if p := pair().FindStringSubmatch(part); p != nil {
			parts[i] = p[1] + ": " + p[2]
		} else if all := counted().FindAllStringSubmatch(part, -1); len(all) > 1 {
			parts[i] = ""
			for _, p := range all {
				parts[i] += ", " + p[2] + ": " + p[1]
			}
			parts[i] = strings.TrimPrefix(parts[i], ", ")
		} else {
			return ""
		}
	}
	return strings.Join(parts, ", ")
}

// quoted is a text, or the value in it, in quotes; a list or a group was meant as one, and stays.
func quoted(body string) string {
	key, value, ok := strings.Cut(body, ": ")
	if !ok || !alone().MatchString(key) {
		key, value = "", body
	} else {
		key += ": "
	}
	value = strings.TrimSpace(value)
	if value != "" && strings.ContainsRune("[{", rune(value[0])) && strings.ContainsRune("]}", rune(value[len(value)-1])) && strings.Contains(value, ": ") {
		return body
	}
	return key + inQuotes(value)
}

func inQuotes(text string) string {
	if strings.ContainsAny(text, `"\`) {
		return "'" + strings.ReplaceAll(strings.Trim(text, "'"), "'", "''") + "'"
	}
	return `"` + text + `"`
}
