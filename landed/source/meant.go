package source

import (
	_ "embed" // of synonyms.txt
	"regexp"
	"slices"
	"strings"
	"sync"
)

//go:embed synonyms.txt
var synonymsText string

// synonyms are the lines of synonyms.txt: what each word is called, by the word.
var synonyms = sync.OnceValue(func() map[string][]string {
	all := map[string][]string{}
	for line := range strings.Lines(synonymsText) {
		if word, others, found := strings.Cut(line, ": "); found && line[0] != '#' {
			all[word] = strings.Fields(others)
		}
	}
	return all
})

// Meant returns which of the known words a word that is none of them stands for:
// the same in other letters, a synonym, or the [Nearest]; "" when none is. Of
// words equally like it the first known is taken, one that is taken already only
// where no other is like it.
func Meant(word string, known []string, taken ...string) string {
	if len(taken) > 0 {
		free := slices.DeleteFunc(slices.Clone(known), func(k string) bool { return slices.Contains(taken, k) })
		if meant := Meant(word, free); meant != "" {
			return meant
		}
	}
	same := foldWord(word)
	for _, k := range known {
		if same != "" && foldWord(k) == same {
			return k
		}
	}
	for _, k := range known {
		if same != "" && slices.Contains(synonyms()[k], same) {
			return k
		}
	}
	if near := Nearest(word, known); near != "" {
		return near
	}
	return Nearest(same, known)
}

// foldWord writes a word as keys are: small, with hyphens between its parts.
func foldWord(word string) string {
	return strings.Join(strings.Fields(folds().Replace(strings.ToLower(word))), "-")
}

var folds = sync.OnceValue(func() *strings.Replacer {
	return strings.NewReplacer("'", "", "’", "", "_", " ", "-", " ", ".", " ", ":", " ", "\u00a0", " ")
})

// DidYouMean makes "did you mean X?" of the known word that was [Meant], or else
// lists what is known.
func DidYouMean(word string, known []string, taken ...string) string {
	if several := severalOf(word, known); several != "" {
		return "write " + several
	}
	if meant := Meant(word, known, taken...); meant != "" {
		return "did you mean " + meant + "?"
	}
	var each []string // an id may stand twice
	for _, word := range known {
		if !slices.Contains(each, word) {
			each = append(each, word)
		}
	}
	return "known here: " + strings.Join(each, ", ")
}

var joins = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\s*(?:[,;+&|/]|\band\b)\s*`) })

// severalOf writes a list of known words in one text as a list, "" for any other.
func severalOf(text string, known []string) string {
	words := joins().Split(strings.Trim(text, "()[]{} "), -1)
	for _, word := range words {
		if len(words) < 2 || !slices.Contains(known, word) {
			return ""
		}
	}
	return "[" + strings.Join(words, ", ") + "]"
}
