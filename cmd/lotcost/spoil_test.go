package main

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
)

// spoiler makes files wrong, in the ways in which people and programs do.
type spoiler struct {
	*rand.Rand
	lines []string // of all good files, to be put where they do not belong
	words []string // values and keys of all good files
}

func newSpoiler(good []folder) *spoiler {
	s := &spoiler{}
	known := map[string]bool{}
	for _, f := range good {
		for _, name := range slices.Sorted(maps.Keys(f.files)) {
			text := f.files[name]
			s.lines = append(s.lines, strings.Split(text, "\n")...)
			for _, word := range aToken.FindAllString(text, -1) {
				if !known[word] {
					known[word] = true
					s.words = append(s.words, word)
				}
			}
		}
	}
	return s
}

var (
	aToken    = regexp.MustCompile(`[^\s\[\]{},:;#"']+`)
	aFigure   = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)
	aCode     = regexp.MustCompile(`\b[A-Z]{3}\b`)
	aDay      = regexp.MustCompile(`\d{4}-\d\d-\d\d`)
	aUnit     = regexp.MustCompile(`\b(g|kg|oz|lb|cm|mm|m|in|ft)\b|%`)
	aName     = regexp.MustCompile(`(id|what|title|seller|name|class|model|venue|zone): ([^,}\n]+)`)
	anItemKey = regexp.MustCompile(`\{id: [^,}\n]+`)
	aValue    = regexp.MustCompile(`: [^\n]+`)
)

var (
	badFigures = []string{"0", "-1", "-0", "-0.01", "1", "2", "3", "7", "0.1", "0.005", "1.005", "0.000000000000000001", "0.3333333333333333333333333333333333", "99999", "1000000", "1000001",
		"92233720368547758.07", "9223372036854775807", "9223372036854775808", "123456789012345678901234567890", strings.Repeat("9", 400), "1e3", "1e400", "NaN", "Infinity", "0x10", "1_000",
		"1,5", "1.000,00", "1 000", "1'000", "٣", "½", "007", "+5", ".5", "5.", "1/3", "100%", "12:30"}
	badCodes = []string{"JPY", "KWD", "EUR", "USD", "GBP", "CLF", "XXX", "XAU", "HRK", "cad", "CA", "€", ""}
	badDays  = []string{"0001-01-01", "1999-01-04", "2026-02-29", "2026-13-01", "2026-10-03T10:00:00Z", "9999-12-31", "2026-10-3", "03.10.2026", "2026", "2025-05-09", "2024-02-29"}
	badUnits = []string{"g", "kg", "oz", "lb", "mg", "t", "cm", "m", "in", "%", "‰", ""}
	// badNames that act on a terminal, a page or a program, or take much room.
	badNames = []string{`"\u202egnp.haul"`, `"\u200f\u200fa"`, `"\e[2J\e[31mred"`, `"\x07\x00\x08\x7f\x9b31m"`, "<script>alert(1)</script>", `"</script><b onmouseover=x>"`, "'=HYPERLINK(1;2)'", `"@SUM(A1)"`,
		`"a\nb\r\nc\td"`, "../../../none/such", `"%s%n%d"`, `"{{.}}"`, "'`id`'", `"|x|y|"`, `"a,b;c\"d"`, `"' OR 1=1"`, "null", "yes", "~", `""`, `" "`, "e\u0301\u0301\u0301\u0301\u0301", "👩‍👩‍👧‍👦",
		"Ｆｕｌｌ", `"\ufeff"`, `"\u2028\u2029"`, `"\U000E0041"`, strings.Repeat("長", 499), strings.Repeat("x", 600), strings.Repeat("ab ", 160), "- - -", "*", "1", "-5", "jack", "crate-a"}
	// moreKeys are keys that an item or a lot may have, and some that it may not.
	moreKeys = []string{"count: 3", "count: 0", "value: 0", "value: 30..50 CAD", "weight: 0 g", "found: {sound: 1}", "found: {dead: 2, sound: 1}", "found: {missing: 1, extra: 2, sound: 3}", "found: {parts: 2}, parts-value: 3",
		"found: {dead: 1, yields: [{what: iron, count: 2, value: 4}]}", "keep: 1", "keep: 99", "worth: 40", "sold: [41, 9]", "sold: [{price: 50, count: 2, date: 2026-11-02, venue: fair, postage: 12, fees: 3}]", "sold: [0, -3]",
		"repair: 4.50", "repair: -2", "hours: 2.5", "chances: [{chance: 60%, what: works, value: 52, repair: 4}, {chance: rest, what: dead, value: 0}]", "alike: yes", "chances: []", "class: hand-tool", "class: drawing", "model: jack-5",
		"price: open", "price: 0", "premium: 110%", "settled: 12.34", "settled: 0", "size: 30x20x10 cm", "packed: 1.2 kg", "arrived: 2026-10-20", "contents: [liquids]", "roll: yes", "seller: northlight", "unknown: 1",
		"per: item", "per: piece", "per: lot", "per: parcel", "on: [jack]", "on: []", "by: weight", "dutiable: no", "dutiable: yes", "kind: repair", "amount: -3", "amount: 100% of price", "times: 3"}
	moreSections = []string{"losses: haul", "losses: written-off", "share: {price: count}", "share: {price: weight, freight: value, fee: equal}", "customs: {}", "customs: {use: resale, by: courier, assessed: {duty: 3, tax: 4, fee: 5}}",
		"customs: {seller-charges-tax: no, class: hand-tool, classes: {hand-tool: {duty: 6.5%}}}", "risks: [{chance: 5%, what: dropped, keeps: 40%}]", "bidding: {goal: {return: 30%, risk: 20%}}", "bidding: {start: 1 JPY, steps: [{from: 0 JPY, step: 1 JPY}]}",
		"selling: {target: 30% on cost, venues: [{name: gable, fees: [{what: commission, percent: 12%, fixed: 0.30}]}]}", "selling: {tax: {scheme: margin, rate: 20%, imported: yes}, venues: [{name: gable}]}",
		"sending: {services: [{name: post, currency: CAD, steps: [{up-to: 30 kg, price: 9}]}]}", "charges: [{what: Bank, amount: 3}]", "parcels: []", "from: DE", "to: DE", "to: GB", "to: US", "to: NZ", "exchange: {spread: 2.5%}", "date: 2025-05-09"}
)

// spoiling is one way to make a text wrong, or only other.
type spoiling struct {
	what string
	do   func(*spoiler, string) string
}

var edits = []spoiling{
	{"lines dropped", func(s *spoiler, text string) string {
		return s.block(text, func([]string) []string { return nil })
	}},
	{"a line dropped", func(s *spoiler, text string) string { return s.line(text, func(string) string { return "" }) }},
	{"lines doubled", func(s *spoiler, text string) string {
		return s.block(text, func(b []string) []string { return slices.Concat(b, b) })
	}},
	{"a list grown", func(s *spoiler, text string) string {
		return s.block(text, func(b []string) []string {
			out := b
			for i := range 1 + s.IntN(20) {
				for _, line := range b {
					out = append(out, anItemKey.ReplaceAllString(strings.Replace(line, "- id: ", fmt.Sprintf("- id: n%d-", i), 1), fmt.Sprintf("{id: n-%d", i)))
				}
			}
			return out
		})
	}},
	{"lines moved", func(s *spoiler, text string) string {
		var moved []string
		text = s.block(text, func(b []string) []string { moved = slices.Clone(b); return nil })
		return s.block(text, func(b []string) []string { return append(moved, b...) })
	}},
	{"a line of another file", func(s *spoiler, text string) string {
		return s.line(text, func(line string) string {
			indent := line[:len(line)-len(strings.TrimLeft(line, " -"))]
			return line + "\n" + indent + strings.TrimLeft(s.one(s.lines), " -")
		})
	}},
	{"a section", func(s *spoiler, text string) string {
		section := s.one(moreSections)
		key, _, _ := strings.Cut(section, ":")
		lines := strings.Split(text, "\n")
		if i := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, key+":") }); i >= 0 {
			lines = slices.Delete(lines, i, blockEnd(lines, i))
		}
		return strings.Join(append([]string{lines[0], section}, lines[1:]...), "\n")
	}},
	{"a further key", func(s *spoiler, text string) string {
		return s.replace(anItemKey, text, func(old string) string { return old + ", " + s.one(moreKeys) })
	}},
	{"a further key", func(s *spoiler, text string) string {
		return s.line(text, func(line string) string {
			return line + "\n" + strings.Repeat(" ", len(line)-len(strings.TrimLeft(line, " -"))) + s.one(moreKeys)
		})
	}},
	{"a figure", func(s *spoiler, text string) string {
		return s.replace(aFigure, text, func(string) string { return s.one(badFigures) })
	}},
	{"a figure", func(s *spoiler, text string) string {
		return s.replace(aFigure, text, func(old string) string {
			return s.one([]string{"-" + old, old + "0", old + "000000", "0." + old, old + "." + old, old + "..99"})
		})
	}},
	{"a currency", func(s *spoiler, text string) string {
		return s.replace(aCode, text, func(string) string { return s.one(badCodes) })
	}},
	{"a currency throughout", func(s *spoiler, text string) string {
		return strings.ReplaceAll(text, s.one(aCode.FindAllString(text+" CAD", -1)), s.one(badCodes))
	}},
	{"a day", func(s *spoiler, text string) string {
		return s.replace(aDay, text, func(string) string { return s.one(badDays) })
	}},
	{"a unit", func(s *spoiler, text string) string {
		return s.replace(aUnit, text, func(string) string { return s.one(badUnits) })
	}},
	{"a hostile name", func(s *spoiler, text string) string {
		return s.replace(aName, text, func(old string) string { key, _, _ := strings.Cut(old, ": "); return key + ": " + s.one(badNames) })
	}},
	{"a word", func(s *spoiler, text string) string {
		return s.replace(aToken, text, func(string) string { return s.one(s.words) })
	}},
	{"a word elsewhere", func(s *spoiler, text string) string {
		other := s.one(aToken.FindAllString(text+" a", -1))
		return s.replace(aToken, text, func(string) string { return other })
	}},
	{"a value of no kind", func(s *spoiler, text string) string {
		return s.replace(aValue, text, func(string) string {
			return s.one([]string{":", ": []", ": {}", ": ~", `: ""`, ": [[]]", ": {a: b}", ": &x [*x]", ": *x", ": !!binary aGk=", ": !!float 3", ": <<", ": |\n", ": >-\n  a", ": - a", ": ? a", ": @", ": `", ": %", ": \"\\ud800\""})
		})
	}},
	{"an indent", func(s *spoiler, text string) string {
		return s.line(text, func(line string) string {
			return s.one([]string{" " + line, strings.TrimPrefix(line, " "), "\t" + line, strings.TrimLeft(line, " ")})
		})
	}},
	{"a character", func(s *spoiler, text string) string {
		at := s.IntN(len(text) + 1)
		return text[:at] + s.one([]string{"\"", "'", "{", "}", "[", "]", ",", ";", ":", ": ", "#", " #", "-", "&", "*", "!", "|", ">", "%", "@", "\t", "\x00", "\x1b[31m", "\x7f", "\u0085", "\u202e", "\ufeff", "\xff", "\xc3", "\n", "\r", "---\n", "\n...\n"}) + text[at:]
	}},
	{"a character less", func(s *spoiler, text string) string {
		at := s.IntN(len(text) + 1)
		return text[:at] + text[min(at+1+s.IntN(3), len(text)):]
	}},
	{"an end", func(s *spoiler, text string) string { return text[:s.IntN(len(text)+1)] }},
	{"another spelling", func(s *spoiler, text string) string {
		return s.one([]string{strings.ReplaceAll(text, "\n", "\r\n"), strings.ReplaceAll(text, "\n", "\r"), "\ufeff" + text, "\xff\xfe" + text, strings.ReplaceAll(text, "  ", "\t"), strings.ReplaceAll(text, ",", ";"), strings.ReplaceAll(text, ",", "\t"), strings.ToUpper(text), text + text, text + "\x00", strings.TrimSpace(text), "\n\n" + text, "---\n" + text + "...\n"})
	}},
	{"depth", func(s *spoiler, text string) string {
		n := s.one([]string{"30", "100", "10000"})
		return s.replace(aValue, text, func(string) string {
			return ": " + strings.Repeat(s.one([]string{"[", "{a: ", "- "}), len(n)*len(n)*100)
		})
	}},
	{"a cell", func(s *spoiler, text string) string {
		return s.cells(text, func(cells []string) []string {
			cells[s.IntN(len(cells))] = s.one([]string{s.one(badFigures), s.one(badFigures) + " " + s.one(badCodes), s.one(badFigures) + " " + s.one(badUnits), strings.Trim(s.one(badNames), `"'`), "", " ", `"`, `"a""b"`, `"a` + "\n" + `b"`})
			return cells
		})
	}},
	{"cells more or less", func(s *spoiler, text string) string {
		return s.cells(text, func(cells []string) []string {
			at := s.IntN(len(cells))
			if s.IntN(2) == 0 {
				return slices.Delete(cells, at, at+1)
			}
			return slices.Insert(cells, at, cells[s.IntN(len(cells))])
		})
	}},
}

// spoil changes a text in one to three ways, and says in which.
func (s *spoiler) spoil(text string) (spoilt, how string) {
	var said []string
	for range 1 + max(0, s.IntN(8)-5) {
		e := edits[s.IntN(len(edits))]
		text = e.do(s, text)
		said = append(said, e.what)
	}
	return text, strings.Join(said, ", ")
}

func (s *spoiler) one(of []string) string { return of[s.IntN(len(of))] }

// replace changes one place that matches.
func (s *spoiler) replace(re *regexp.Regexp, text string, by func(old string) string) string {
	places := re.FindAllStringIndex(text, -1)
	if len(places) == 0 {
		return text
	}
	at := places[s.IntN(len(places))]
	return text[:at[0]] + by(text[at[0]:at[1]]) + text[at[1]:]
}

// line changes one line.
func (s *spoiler) line(text string, by func(line string) string) string {
	lines := strings.Split(text, "\n")
	at := s.IntN(len(lines))
	lines[at] = by(lines[at])
	return strings.Join(lines, "\n")
}

// block changes one line together with those that are set in below it.
func (s *spoiler) block(text string, by func([]string) []string) string {
	lines := strings.Split(text, "\n")
	at := s.IntN(len(lines))
	end := blockEnd(lines, at)
	return strings.Join(slices.Concat(lines[:at], by(slices.Clone(lines[at:end])), lines[end:]), "\n")
}

func blockEnd(lines []string, at int) int {
	depth := func(line string) int { return len(line) - len(strings.TrimLeft(line, " ")) }
	end := at + 1
	for end < len(lines) && (strings.TrimSpace(lines[end]) == "" || depth(lines[end]) > depth(lines[at])) {
		end++
	}
	return end
}

// cells changes one row, or all of them alike, of what is or might be a list.
func (s *spoiler) cells(text string, by func([]string) []string) string {
	return s.line(text, func(line string) string { return strings.Join(by(strings.Split(line, ",")), ",") })
}
