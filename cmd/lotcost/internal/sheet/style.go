package sheet

import (
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/clipperhouse/displaywidth"
)

// Tone is the weight of a text. It only lends colour: a text must say the same without it.
type Tone int

// The tones.
const (
	Plain  Tone = iota
	Good        // as it should be
	Bad         // not to be overlooked
	Faint       // said beside the matter
	Strong      // what the table is about
)

// sgr holds the "select graphic rendition" parameters of ECMA-48, 8.3.117.
var sgr = [...]string{Plain: "", Good: "32", Bad: "31", Faint: "2", Strong: "1"}

// Terminal is what the text writer must know of the place it writes to.
type Terminal struct {
	Width  int  // cells in a line; 0 means no limit
	Colour bool // whether tones are drawn
}

// paint colours s, leaving spaces at its end alone.
func (t Terminal) paint(tone Tone, s string) string {
	body := strings.TrimRight(s, " ")
	if !t.Colour || tone == Plain || body == "" {
		return s
	}
	return "\x1b[" + sgr[tone] + "m" + body + "\x1b[0m" + s[len(body):]
}

// Cells returns the number of terminal cells that s takes (Unicode UAX #11).
func Cells(s string) int { return displaywidth.String(s) }

// truncate returns the longest beginning of s that takes at most width cells and splits no
// character from its marks.
func truncate(s string, width int) string {
	if width <= 0 {
		return ""
	}
	return displaywidth.TruncateString(s, width, "")
}

func widest(lines []string) int {
	w := 0
	for _, line := range lines {
		w = max(w, Cells(line))
	}
	return w
}

// mayBreak reports whether a line may end between two characters that no space parts: before
// Chinese and Japanese characters, but not after an opening bracket.
func mayBreak(before, after rune) bool {
	return unicode.In(after, unicode.Han, unicode.Hiragana, unicode.Katakana) &&
		!unicode.In(before, unicode.Ps, unicode.Pi)
}

// Upper is a text that begins with a capital.
func Upper(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

// Pattern compiles an expression when it is first asked for: few runs need many of those that there
// are.
func Pattern(expression string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expression) })
}

// Visible makes text from outside harmless: line ends become newlines, a tab a space, and every
// character that acts instead of being seen is spelt out.
func Visible(s string) string {
	if isPlain(s) {
		return s
	}
	s = strings.ReplaceAll(strings.ToValidUTF8(s, "\uFFFD"), "\r\n", "\n")
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\n' || r == '\r':
			b.WriteByte('\n')
		case r == '\t':
			b.WriteByte(' ')
		case r < ' ':
			b.WriteRune('␀' + r)
		case r == '\x7f':
			b.WriteRune('␡')
		case hidden(r):
			b.WriteString(strings.Trim(strconv.QuoteRuneToASCII(r), "'"))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// isPlain reports whether a text is ASCII that is seen as it stands, as nearly all is.
func isPlain(s string) bool {
	for i := range len(s) {
		if c := s[i]; c != '\n' && (c < ' ' || c > '~') {
			return false
		}
	}
	return true
}

// hidden reports whether r acts on a terminal or on the text around it instead of being seen. The
// two joiners, which emoji and some scripts are spelt with, only act on their neighbours.
func hidden(r rune) bool {
	return r != '\u200c' && r != '\u200d' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
}
