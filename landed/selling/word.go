package selling

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"lotcost/landed/money"
)

// CostWord is a word of ten different letters in which its owner writes costs, so that nobody else
// at the table reads them: its letters stand for 1 to 9 and, the last, for 0 (common practice, no
// source). The zero value is none.
type CostWord struct{ letters []rune }

// ParseCostWord reads such a word, in capitals or not. It returns a [*money.ParseError].
func ParseCostWord(text string) (CostWord, error) {
	letters := []rune(strings.ToUpper(strings.TrimSpace(text)))
	wrong := func(reason string) (CostWord, error) {
		return CostWord{}, &money.ParseError{Input: text, Reason: reason, Remedy: "write a word of ten different letters, as in blacksmith"}
	}
	for i, r := range letters {
		switch {
		case !unicode.IsLetter(r):
			return wrong(fmt.Sprintf("has %q in it, which is no letter", r))
		case slices.Contains(letters[:i], r):
			return wrong(fmt.Sprintf("has the letter %c twice, so that a cost could not be read back", r))
		}
	}
	if len(letters) != 10 {
		return wrong(fmt.Sprintf("has %d letters", len(letters)))
	}
	return CostWord{letters}, nil
}

// Write writes the digits of a figure as letters; all else in it stays. Without a word there is
// nothing to read: it is empty.
func (w CostWord) Write(figure string) string {
	if len(w.letters) == 0 {
		return ""
	}
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return r
		}
		return w.letters[(r-'0'+9)%10]
	}, figure)
}
