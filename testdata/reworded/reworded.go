// Package reworded changes good files for fuzz tests, so that what is tried often
// comes further than the reader of the file.
package reworded

import (
	"regexp"
	"strings"
)

// longest keeps a text that lines are doubled in from growing without end.
const longest = 32 << 10

// word is what stands between the marks of YAML.
var word = regexp.MustCompile(`[^\s\[\]{},:#"']+`)

// oddFigures and oddWords are put in the place of figures and words, beside
// those of the text itself.
var oddWords = []string{"yes", "no", "rest", "EUR", "null", "-"}

var oddFigures = []string{"0", "1", "2", "3", "0.001", "0.5", "17", "999", "123456", "-1", "9223372036854775807", "1e3", "0.333333333333"}

// Text changes a text a word or a line at a time: of random texts none is a
// good file, of these a good part is. Three bytes are one change: the word, the
// kind of change and what comes in its place.
func Text(text string, changes []byte) string {
	var figures, words []string
	for _, w := range word.FindAllString(text, -1) {
		if w[0] >= '0' && w[0] <= '9' {
			figures = append(figures, w)
		} else {
			words = append(words, w)
		}
	}
	figures, words = append(figures, oddFigures...), append(words, oddWords...)
	for ; len(changes) >= 3 && len(text) <= longest; changes = changes[3:] {
		places := word.FindAllStringIndex(text, -1)
		if len(places) == 0 {
			break
		}
		kind, by := changes[1], int(changes[2])
		at := places[(int(changes[0])|int(kind&3)<<8)%len(places)]
		from := strings.LastIndexByte(text[:at[0]], '\n') + 1
		_, below, _ := strings.Cut(text[at[1]:], "\n")
		to := len(text) - len(below)
		isFigure := text[at[0]] >= '0' && text[at[0]] <= '9'
		switch {
		case kind >= 250: // the line goes
			text = text[:from] + text[to:]
		case kind >= 240: // it comes twice
			text = text[:to] + text[from:]
		case isFigure != (kind >= 230):
			text = text[:at[0]] + figures[by%len(figures)] + text[at[1]:]
		default:
			text = text[:at[0]] + words[by%len(words)] + text[at[1]:]
		}
	}
	return text
}
