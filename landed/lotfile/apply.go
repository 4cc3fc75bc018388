package lotfile

import (
	"bytes"
	"errors"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"lotcost/landed"
	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"go.yaml.in/yaml/v3"
)

// WithParcels returns the text of a lot file with other parcels: those of the
// file are replaced, or a section is added below the lots, and nothing else is
// touched, notes included. Each parcel may have a note of its own. Faults call
// the text name.
func WithParcels(name string, data []byte, parcels []landed.Parcel, notes []string) ([]byte, error) {
	lines, end, err := Lines(name, data)
	if err != nil {
		return nil, err
	}
	var doc yaml.Node
	if err := yaml.Unmarshal(data, &doc); err != nil {
		return nil, err
	}
	root := doc.Content[0]
	if root.Kind != yaml.MappingNode || root.Style&yaml.FlowStyle != 0 || len(root.Content) == 0 {
		return nil, source.Faults{{At: source.Origin{File: name, Line: root.Line, Column: root.Column}, What: "the parcels have no place here: the keys do not stand on lines of their own",
			Remedy: "write each key of the file on its own line, without braces round them all"}}
	}
	from, to, err := parcelLines(root, lines)
	if err != nil {
		return nil, source.Faults{{At: source.Origin{File: name}, Field: "lots", What: err.Error(), Remedy: "list what was bought"}}
	}
	var out bytes.Buffer
	out.Write(bytes.Join(lines[:from], nil))
	if from == len(lines) && from > 0 && len(bytes.TrimRight(lines[from-1], lineEnds)) == len(lines[from-1]) {
		out.WriteString(end)
	}
	indent := strings.Repeat(" ", root.Column-1)
	out.WriteString(indent + "parcels:" + end)
	for i := range parcels {
		if i < len(notes) && notes[i] != "" {
			out.WriteString(indent + "  # " + strings.Join(strings.Fields(notes[i]), " ") + end)
		}
		out.WriteString(indent + "  - " + parcelText(&parcels[i], hasCommas(root)) + end)
	}
	out.Write(bytes.Join(lines[to:], nil))
	return out.Bytes(), nil
}

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

var errNoLots = errors.New("there are no lots below which the parcels could stand")

// parcelLines finds the lines, counted from 0, that the parcels take the place
// of: those of the file's own section, or none below the lots.
func parcelLines(root *yaml.Node, lines [][]byte) (from, to int, err error) {
	section := func(i int) (from, to int) {
		from, to = root.Content[i].Line-1, len(lines)
		if i+2 < len(root.Content) {
			to = root.Content[i+2].Line - 1
		}
		for n := from + 1; n < to; n++ {
			if bytes.HasPrefix(lines[n], []byte("...")) {
				to = n
			}
		}
		return from, to
	}
	// back leaves what stands above the next key to it. Set in, a line with a
	// hash mark may be part of a text.
	back := func(from, to int, isNote func([]byte) bool) int {
		for to > from+1 && isNote(lines[to-1]) {
			to--
		}
		return to
	}
	below := -1
	for i := 0; i+1 < len(root.Content); i += 2 {
		switch root.Content[i].Value {
		case "parcels":
			from, to = section(i)
			return from, back(from, to, isNote), nil
		case "lots":
			from, to = section(i)
			below = back(from, to, func(line []byte) bool { return isNote(line) && indentOf(line) < root.Column })
		}
	}
	if below < 0 {
		return 0, 0, errNoLots
	}
	return below, below, nil
}

func isNote(line []byte) bool {
	line = bytes.TrimSpace(line)
	return len(line) == 0 || line[0] == '#'
}

// indentOf counts the spaces before a text; none where there is no text.
func indentOf(line []byte) int {
	text := bytes.TrimLeft(line, " ")
	if len(bytes.TrimSpace(text)) == 0 {
		return 0
	}
	return len(line) - len(text)
}

// hasCommas reports whether a file declares decimal commas.
func hasCommas(root *yaml.Node) bool {
	for i := 0; i+1 < len(root.Content); i += 2 {
		if root.Content[i].Value == "decimal" {
			return root.Content[i+1].Value == "comma"
		}
	}
	return false
}

// parcelText writes a parcel as the format has it. Within braces a figure with a
// comma stands in quotes.
func parcelText(p *landed.Parcel, commas bool) string {
	figure := func(s string) string {
		if other := input.OtherMarks(s); commas && other != s {
			return strconv.Quote(other)
		}
		return s
	}
	parts := []string{"id: " + plain(p.ID)}
	lots := make([]string, len(p.Lots))
	for i, id := range p.Lots {
		lots[i] = plain(id)
	}
	parts = append(parts, "lots: ["+strings.Join(lots, ", ")+"]")
	for _, cost := range []struct {
		key    string
		amount money.Amount
	}{{"freight", p.Freight}, {"insurance", p.Insurance}, {"fees", p.Fees}} {
		if cost.amount.Currency() != 0 {
			parts = append(parts, cost.key+": "+figure(cost.amount.String()))
		}
	}
	if p.Billed > 0 {
		parts = append(parts, "billed: "+figure(p.Billed.String()))
	}
	if p.Size != (measure.Size{}) {
		parts = append(parts, "size: "+figure(p.Size.String()))
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

var plainWord = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(\.\.?/)*[A-Za-z0-9][A-Za-z0-9_./-]*$`) })

// plain writes an id or a path so that YAML reads it back.
func plain(id string) string {
	if plainWord().MatchString(id) && !strings.EqualFold(id, "null") {
		return id
	}
	return strconv.Quote(id)
}
