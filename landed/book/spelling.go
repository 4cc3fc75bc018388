package book

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"lotcost/landed/source"
)

// spelling is a name of a model as it was written.
type spelling struct {
	items int
	at    source.Origin // the first by file
}

func (l *ledger) spell(item *itemEntry) {
	if item.Model == "" {
		return
	}
	name := l.text(item.Model)
	s := l.models[name]
	if s == nil {
		s = &spelling{}
		l.models[name] = s
	}
	s.items++
	if file := item.At.File; s.items == 1 || file < s.at.File {
		at := item.At.Key("model")
		s.at = source.Origin{File: strings.Clone(file), Line: at.Line, Column: at.Column}
	}
}

// spelt warns of models that look like one spelt in two ways: the same but for
// capitals, spaces and marks, or with the same figures and one slip in the
// letters, not in the first. The one that fewer items have is reported, of equally many
// the later one.
func (l *ledger) spelt() source.Faults {
	var faults source.Faults
	names := slices.SortedFunc(maps.Keys(l.models), func(a, b string) int {
		of, other := l.models[a], l.models[b]
		return cmp.Or(cmp.Compare(other.items, of.items), strings.Compare(of.at.File, other.at.File), cmp.Compare(of.at.Line, other.at.Line), strings.Compare(a, b))
	})
	known := map[string]string{}
	for _, name := range names {
		keys := typoKeys(name)
		meant := ""
		for _, key := range keys {
			if other := known[key]; other != "" && alike(name, other) {
				meant = other
				break
			}
		}
		if meant != "" {
			faults = append(faults, &source.Fault{At: l.models[name].at, Field: "model", Warning: true,
				What: fmt.Sprintf("%q is like %q of other items, but no double of it", name, meant), Remedy: "did you mean " + meant + "?"})
			continue
		}
		for _, key := range keys {
			if known[key] == "" {
				known[key] = name
			}
		}
	}
	slices.SortFunc(faults, func(a, b *source.Fault) int {
		return cmp.Or(strings.Compare(a.At.File, b.At.File), cmp.Compare(a.At.Line, b.At.Line))
	})
	return faults
}

// bare takes a name apart: its words in small letters, and its figures and single
// letters, none of which is ever a slip.
func bare(name string) (letters, figures string) {
	var l, f strings.Builder
	for _, word := range strings.FieldsFunc(strings.ToLower(name), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) }) {
		for len(word) > 0 {
			digits := strings.TrimLeftFunc(word, unicode.IsDigit)
			rest := strings.TrimLeftFunc(digits, unicode.IsLetter)
			f.WriteString(word[:len(word)-len(digits)] + ".")
			if run := digits[:len(digits)-len(rest)]; utf8.RuneCountInString(run) == 1 {
				f.WriteString(run + ".")
			} else {
				l.WriteString(run)
			}
			word = rest
		}
	}
	return l.String(), strings.Trim(f.String(), ".")
}

// typoKeys are the names that two spellings with one slip between them share: each
// is the name without one of its letters, or whole.
func typoKeys(name string) []string {
	letters, figures := bare(name)
	keys, runes := []string{figures + "|" + letters}, []rune(letters)
	for i := range runes {
		keys = append(keys, figures+"|"+string(runes[:i])+string(runes[i+1:]))
	}
	return keys
}

// fewLetters is how many letters a name needs so that one of them may be a slip.
const fewLetters = 4

// alike reports whether two names that share a key are one spelt in two ways.
func alike(a, b string) bool {
	la, figures := bare(a)
	lb, _ := bare(b)
	if la == lb {
		return la+figures != ""
	}
	first, _ := utf8.DecodeRuneInString(la)
	return min(utf8.RuneCountInString(la), utf8.RuneCountInString(lb)) >= fewLetters && strings.HasPrefix(lb, string(first)) && source.Nearest(la, []string{lb}) == lb
}
