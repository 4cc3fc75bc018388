// Package scrub takes what people and word processors put about a figure off it, so that what is
// left can be read.
package scrub

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// Pattern compiles one when it is first asked for: few runs need many of those that there are.
func Pattern(expr string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) })
}

// Signs writes a text in the signs of a keyboard: full-width signs, the many
// spaces, curly quotes and dashes have plain ones in their place, and what takes
// no room has none.
func Signs(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		const toASCII = '！' - '!'
		switch {
		case r >= '！' && r <= '～':
			return r - toASCII
		case r == '\u200b', r == '\u200e', r == '\u200f', r == '\ufeff':
			return -1
		case unicode.IsSpace(r):
			return ' '
		case strings.ContainsRune("“”„‟«»″", r):
			return '"'
		case strings.ContainsRune("‘’‚‛′´`", r):
			return '\''
		case strings.ContainsRune("−‐‑‒–—", r):
			return '-'
		}
		return r
	}, wide().Replace(text)))
}

// wide are wide signs whose plain ones stand elsewhere in the table of signs.
var wide = sync.OnceValue(func() *strings.Replacer { return strings.NewReplacer("￥", "¥", "￡", "£", "、", ",", "。", ".") })

// around are words and signs that people write about a figure, which say nothing
// that we could take down.
var around = Pattern(`(?i)^(?:["'=~≈<>?]+|(?:ca|circa|about|around|approx|approximately|appr|est|estimated|roughly|etwa|ungefähr|env|environ)\b\.?)\s*|\s*(?:["'?!;,]+|\((?:[^()]*)\)|(?:/|\bper\b|\ba\b|\bpro\b|\bje\b)\s*(?:piece|pc|pcs|each|unit|item|stück|stk|styck|st|un)\b\.?|\b(?:each|apiece|ea|cada|approx|circa|ca)\b\.?|(?:\bincl?\b\.?|\binkl\b\.?)\s*(?:vat|tax|mwst|fees?|gst|tva)\b)$`)

// partial finds what says that a figure is not all that is paid, and partly that it is for each of
// something. Words in English and German.
var (
	partial = Pattern(`(?i)\d.*(?:\+|\b(?:plus|ex(?:cl?|kl)?|zzgl)\b)`)
	partly  = Pattern(`(?i)\d.*(?:/|\b(?:per|pro|je)\b)\s*\pL|\d.*\b(?:dozen|dutzend|pair|paar)\b`)
)

// Partial tells why a figure is not the whole of what is asked for, as "24% + VAT" and "60 EUR per
// dozen"; "" where nothing says so. One for each piece is whole.
func Partial(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return r == '+' || r == '/' || unicode.IsLetter(r) }) {
		return "" // a figure alone, as most are
	}
	switch text = Figure(text); {
	case partial().MatchString(text):
		return "leaves out what comes on top"
	case partly().MatchString(text):
		return "is for each of something"
	}
	return ""
}

// LettersFor is what is wrong with a text that [Unlettered] changes.
const LettersFor = "has letters for figures"

// Unlettered writes noughts and ones for an O or an l among the figures of a number: 12oo, l2.
func Unlettered(text string) string {
	out := []byte(text)
	for _, at := range lettered().FindAllStringIndex(text, -1) {
		number := out[at[0]:at[1]]
		before, _ := utf8.DecodeLastRuneInString(text[:at[0]])
		behind, _ := utf8.DecodeRuneInString(text[at[1]:])
		if bytes.ContainsAny(number, "0123456789") && !unicode.IsLetter(before) && !unicode.IsLetter(behind) {
			copy(number, strings.NewReplacer("O", "0", "o", "0", "l", "1", "I", "1").Replace(string(number)))
		}
	}
	return string(out)
}

var lettered = Pattern(`[0-9OolI][0-9OolI.,]*`)

// Figure is a text without what people write about a figure: quotes, "ca.", "each",
// a note in brackets. It is in the signs of [Signs], and [Unlettered].
func Figure(text string) string {
	text = Unlettered(Signs(text))
	for {
		shorter := strings.TrimSpace(around().ReplaceAllString(text, ""))
		if shorter == text {
			return text
		}
		text = shorter
	}
}

// Thousands reports whether groups of digits, such as marks part, are the thousands of a number.
func Thousands(groups []string) bool {
	first := groups[0]
	return first != "" && len(first) <= 3 && first[0] != '0' && !slices.ContainsFunc(groups[1:], func(g string) bool { return len(g) != 3 })
}

// Digits leaves out all but the digits of a code: its dots and spaces.
func Digits(code string) string {
	return strings.Map(func(r rune) rune {
		if '0' <= r && r <= '9' {
			return r
		}
		return -1
	}, code)
}
