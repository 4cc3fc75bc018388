// Package mend proposes other ways to write lines of a YAML text that cannot be
// read, or not as what it was meant as: a dash or a colon put in, a quote closed,
// a line moved. Which of them helps is for the reader of the text to try.
package mend

import (
	"slices"
	"strings"

	"lotcost/landed/internal/scrub"

	"go.yaml.in/yaml/v3"
)

// Edit is another way to write some lines.
type Edit struct {
	From    int      // the first of the lines, counted from 1
	Lines   []string // what stands in their place: as many lines, without their ends
	Moved   bool     // whether they only begin at another place
	Column  int      // where the text of the first begins, as it was
	Comment bool     // whether it takes the line out of what is read
}

// Show is what the first line is to be: whole where it was moved, else without the
// spaces before it.
func (e Edit) Show() string {
	if e.Moved {
		return `"` + e.Lines[0] + `"`
	}
	return strings.TrimSpace(e.Lines[0])
}

// Apply returns the text with the lines in place.
func (e Edit) Apply(text string) string {
	lines := strings.SplitAfter(text, "\n")
	for i, line := range e.Lines {
		old := lines[e.From-1+i]
		lines[e.From-1+i] = line + old[len(strings.TrimRight(old, "\r\n")):]
	}
	return strings.Join(lines, "")
}

// Broken returns the first line, counted from 1, with which a text stops being
// YAML, or 0 where all of it is: what stands before can be read, and nothing that
// stands behind mends it.
func Broken(text string) int {
	lines := strings.SplitAfter(text, "\n")
	reads := func(n int) bool { return readable(lines, n) }
	if reads(len(lines)) {
		return 0
	}
	good := 0
	const ahead = 40 // a list in brackets may be open for so many lines
	for {
		bad := len(lines)
		for bad-good > 1 {
			if middle := (good + bad) / 2; reads(middle) {
				good = middle
			} else {
				bad = middle
			}
		}
		closed := 0
		for n := good + 2; n <= min(good+ahead, len(lines)-1) && closed == 0; n++ {
			if reads(n) {
				closed = n
			}
		}
		if closed == 0 {
			return good + 1
		}
		good = closed
	}
}

// ReadsTo reports whether the first so many lines of a text are YAML.
func ReadsTo(text string, n int) bool { return readable(strings.SplitAfter(text, "\n"), n) }

func readable(lines []string, n int) bool {
	var doc yaml.Node
	return yaml.Unmarshal([]byte(strings.Join(lines[:min(n, len(lines))], "")), &doc) == nil
}

// Edits proposes ways to write a line, counted from 1, the likelier first. The keys
// are those of the group that was wanted at the line; none where that is not known.
func Edits(text string, line int, keys []string) []Edit {
	lines := strings.Split(text, "\n")
	if line < 1 || line > len(lines) {
		return nil
	}
	old := strings.TrimRight(lines[line-1], "\r")
	body := strings.TrimLeft(strings.ReplaceAll(old, "\u00a0", " "), " \t")
	const longest = 300 // a remedy is to be read
	if strings.TrimSpace(body) == "" || len(old) > longest {
		return nil
	}
	before := []rune(old)[:len([]rune(old))-len([]rune(body))]
	indent := strings.Repeat(" ", len(before)+strings.Count(string(before), "\t"))
	e := &edits{line: line, old: old, column: 1 + len(before)}
	if old != indent+body {
		e.add(indent+body, true)
	}
	for _, other := range bodies(body, keys) {
		e.add(indent+other, !strings.HasPrefix(old, indent))
	}
	e.move(lines, body)
	if !strings.HasPrefix(body, "#") {
		e.all = append(e.all, Edit{From: line, Lines: []string{indent + "# " + body}, Column: e.column, Comment: true})
	}
	return e.all
}

// edits are the proposals for a line.
type edits struct {
	line, column int
	old          string
	all          []Edit
}

func (e *edits) add(line string, moved bool, below ...string) {
	if line != e.old {
		e.all = append(e.all, Edit{From: e.line, Lines: append([]string{line}, below...), Moved: moved, Column: e.column})
	}
}

// move proposes to begin the line where lines near it begin, alone or with those
// that belong to it, with a dash and without.
func (e *edits) move(lines []string, body string) {
	const above, below = 60, 8
	mine := len(e.old) - len(strings.TrimLeft(e.old, " \t"))
	var places []int
	for i := max(e.line-1-above, 0); i < min(e.line+below, len(lines)); i++ {
		text := strings.TrimLeft(lines[i], " ")
		at := len(lines[i]) - len(text)
		if i == e.line-1 || strings.TrimSpace(text) == "" || text[0] == '#' {
			continue
		}
		places = append(places, at, at+len("- "))
	}
	slices.Sort(places)
	places = slices.Compact(places)
	slices.SortStableFunc(places, func(a, b int) int { // the nearest first
		return max(a-mine, mine-a) - max(b-mine, mine-b)
	})
	own := owned(lines, e.line, mine)
	const nearest = 8
	if bare, dashed := strings.CutPrefix(body, "- "); dashed {
		e.add(strings.Repeat(" ", mine)+bare, true)
	}
	for _, at := range places[:min(len(places), nearest)] {
		indent := strings.Repeat(" ", at)
		e.add(indent+body, true)
		if bare, dashed := strings.CutPrefix(body, "- "); dashed {
			e.add(indent+bare, true)
		} else {
			e.add(indent+"- "+body, true)
		}
		if len(own) > 0 && at != mine {
			e.add(indent+body, true, shifted(own, at-mine)...)
		}
	}
}

// owned are the lines below a line that stand as far in as it or farther.
func owned(lines []string, line, indent int) []string {
	end := line
	for end < len(lines) {
		text := strings.TrimLeft(lines[end], " ")
		if strings.TrimSpace(text) != "" && len(lines[end])-len(text) < indent {
			break
		}
		end++
	}
	return lines[line:end]
}

func shifted(lines []string, by int) []string {
	moved := make([]string, len(lines))
	for i, line := range lines {
		text := strings.TrimLeft(line, " ")
		at := max(len(line)-len(text)+by, 0)
		moved[i] = strings.Repeat(" ", at) + strings.TrimRight(text, "\r")
		if strings.TrimSpace(text) == "" {
			moved[i] = strings.TrimRight(line, "\r")
		}
	}
	return moved
}

// bodies are other ways to write what stands on a line.
func bodies(body string, keys []string) []string {
	var all []string
	add := func(other string) {
		if other != body && !slices.Contains(all, other) {
			all = append(all, other)
		}
	}
	plain := scrub.Signs(body)
	dash, rest := "", plain
	if after, ok := strings.CutPrefix(plain, "- "); ok {
		dash, rest = "- ", strings.TrimSpace(after)
	}
	if group := regrouped(rest, keys); group != "" {
		add(dash + group)
	}
	for _, b := range []string{trimmed(rest), rest} {
		add(dash + b)
		add(dash + closed(b))
		if strings.Count(b, ": ") > 1 && !strings.HasPrefix(b, "{") {
			add(dash + "{" + b + "}")
		}
		for _, entry := range entries(b) {
			add(dash + entry)
			key, value, _ := strings.Cut(entry, ": ")
			if meant := signs[entry]; meant != "" {
				add(dash + meant)
			}
			for _, other := range values(value, keys) {
				add(dash + key + ": " + other)
			}
		}
		if dash != "" && len(entries(b)) == 0 {
			for _, other := range values(b, keys) {
				add(dash + other)
			}
		}
		add(dash + quoted(b))
	}
	if id := named().FindStringSubmatch(rest); id != nil {
		add(dash + "id: " + id[1])
	}
	if bullet := bulleted(plain); bullet != "" {
		add(bullet)
		for _, entry := range entries(strings.TrimPrefix(bullet, "- ")) {
			add("- " + entry)
		}
	}
	return all
}
