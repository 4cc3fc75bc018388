package lotfile

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf8"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/scrub"
)

// lineEnds are the characters that end a line in YAML 1.1, 4.2; a carriage return
// and a newline are one end.
const lineEnds = "\r\n\u0085\u2028\u2029"

// Lines takes the text of a lot file apart for those who change it: its lines, as the reader
// counts them, with their ends, and how a further one should end. The error is [source.Faults], in
// which the text is called name, where it is no YAML of the kind that lot files are written in.
func Lines(name string, data []byte) (lines [][]byte, end string, err error) {
	_, err = input.ParseYAML(name, data, &collect.Report{})
	for rest := data; len(rest) > 0; rest = rest[len(lines[len(lines)-1]):] {
		lines = append(lines, firstLine(rest))
	}
	for _, end := range []string{"\r\n", "\n", "\r"} {
		if bytes.Contains(data, []byte(end)) {
			return lines, end, err
		}
	}
	return lines, "\n", err
}

func firstLine(data []byte) []byte {
	n := bytes.IndexAny(data, lineEnds)
	if n < 0 {
		return data
	}
	if bytes.HasPrefix(data[n:], []byte("\r\n")) {
		return data[:n+2]
	}
	_, size := utf8.DecodeRune(data[n:])
	return data[:n+size]
}

var plainWord = scrub.Pattern(`^(\.\.?/)*[A-Za-z0-9][A-Za-z0-9_./-]*$`)

// plain writes an id or a path so that YAML reads it back.
func plain(id string) string {
	if plainWord().MatchString(id) && !strings.EqualFold(id, "null") {
		return id
	}
	return strconv.Quote(id)
}
