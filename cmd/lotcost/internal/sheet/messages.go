package sheet

import (
	"io"
	"strings"
)

// Messages returns a writer for what is said to a person line by line, wrapped to
// the terminal between words; what goes on is set in. A line without an end, as one
// that is written over later, is cut to the terminal. A width of 0 changes nothing.
func Messages(w io.Writer, t Terminal) io.Writer {
	if t.Width == 0 {
		return w
	}
	return &messages{w, t.Width}
}

type messages struct {
	to    io.Writer
	width int
}

// ClearLine goes to the start of the line and empties it (ECMA-48, EL).
const ClearLine = "\r\x1b[K"

// Write implements io.Writer; each call holds whole lines.
func (m *messages) Write(p []byte) (int, error) {
	var out strings.Builder
	for line := range strings.Lines(string(p)) {
		text, ended := strings.CutSuffix(line, "\n")
		lead := ""
		if rest, ok := strings.CutPrefix(text, ClearLine); ok {
			lead, text = ClearLine, rest
		}
		if !ended {
			out.WriteString(lead + truncate(text, m.width-1))
			continue
		}
		out.WriteString(lead)
		if first := wrap(text, m.width); len(first) > 1 {
			out.WriteString(first[0] + "\n")
			set := strings.Repeat(" ", min(gap, m.width/minWrap))
			rest := strings.TrimPrefix(text[len(first[0]):], " ")
			text = set + strings.Join(wrap(rest, max(m.width-len(set), 1)), "\n"+set)
		}
		out.WriteString(text + "\n")
	}
	_, err := m.to.Write([]byte(out.String()))
	return len(p), err
}
