package lotfile

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"lotcost/landed/internal/collect"
	"lotcost/landed/internal/input"
	"lotcost/landed/internal/mend"
	"lotcost/landed/source"
)

// mostMended bounds the text that other ways to write a line are tried on, in bytes,
// and how many lines of a text are mended: each try reads it all.
const (
	mostMended = 64 << 10
	mostFaults = 5
)

// mended looks for what would put faults of shape right, in the lot file and in those that it names
// and that are no YAML: it tries other ways to write the line, and tells the one that leaves the
// fewest faults; what else is wrong is reported of the texts as they then are.
func (r *reader) mended(name string, data []byte, err error) error {
	var found source.Faults
	r.text = data
	for range mostFaults {
		better, fault := r.mendFirst(name, err)
		if fault == nil {
			break
		}
		found = append(found, fault)
		if r.text, r.instead = r.with(name, fault.At.File, better); fault.At.File != name {
			delete(r.broken, fault.At.File)
		}
		next := r.again()
		if _, err = next.read(name, r.text); err == nil {
			return found
		}
		r.broken = next.broken
	}
	if len(found) == 0 {
		return err
	}
	var report collect.Report
	report.AddAll(found)
	report.AddErr(source.Origin{}, "", err)
	return report.Err()
}

// with are the text of the lot file and those in the place of others, with one of them changed.
func (r *reader) with(name, file, text string) ([]byte, map[string][]byte) {
	if file == name {
		return []byte(text), r.instead
	}
	instead := map[string][]byte{}
	maps.Copy(instead, r.instead)
	instead[file] = []byte(text)
	return r.text, instead
}

// mendFirst mends the first of the faults of shape in a file, whose remedies do not show what to
// write, of which it can be told how.
func (r *reader) mendFirst(name string, err error) (better string, fault *source.Fault) {
	faults, _ := errors.AsType[source.Faults](err)
	tries := 0
	for _, f := range faults {
		shape, is := errors.AsType[*input.ShapeError](f)
		data, broken := r.broken[f.At.File]
		if f.At.File == name {
			data = r.text
		}
		if !is || shape.Shown || f.At.File != name && !(broken && shape.Broken) {
			continue
		}
		if tries++; tries > mostFaults || len(data) > mostMended || input.CheckText(name, data) != nil {
			break
		}
		if r.isMeant(name, string(data), f, shape) {
			continue
		}
		if better, fault = r.mendOne(name, string(data), f, shape); fault != nil {
			break
		}
	}
	return better, fault
}

// isMeant reports whether the key that one is taken for, put in its place, cures all: what is as
// good may be, as a text in quotes, what hides the key.
func (r *reader) isMeant(name, text string, f *source.Fault, shape *input.ShapeError) bool {
	lines := strings.SplitAfter(text, "\n")
	if shape.Meant == "" || f.At.Line < 1 || f.At.Line > len(lines) {
		return false
	}
	line := []rune(lines[f.At.Line-1])
	before := string(line[:min(max(f.At.Column-1, 0), len(line))])
	after, there := strings.CutPrefix(lines[f.At.Line-1][len(before):], shape.Key)
	if !there {
		return false
	}
	lines[f.At.Line-1] = before + shape.Meant + after
	left, _ := r.try(name, name, strings.Join(lines, ""), nil)
	return left == trial{}
}

// mendOne finds the best way to write the line of a fault, or one near it where the
// text is no YAML: of those that leave the fewest faults one that changes the fewest
// lines. There must be fewer in all, and fewer of shape.
func (r *reader) mendOne(name, text string, f *source.Fault, shape *input.ShapeError) (string, *source.Fault) {
	lines := []int{f.At.Line}
	if shape.Broken {
		lines = linesBefore(text, mend.Broken(text), f.At.Line)
	}
	file := f.At.File
	before, known := r.try(name, file, text, nil)
	best, better := before, ""
	var edit mend.Edit
	further, fewest := lines[0]+1, 0
	for _, line := range lines {
		edits := mend.Edits(text, line, shape.Keys)
		if !shape.Broken { // what only begins at the wrong place is as it was meant
			slices.SortStableFunc(edits, func(a, b mend.Edit) int { return rankOf(a) - rankOf(b) })
		}
		for _, e := range edits {
			if e.Comment && !shape.Broken {
				continue
			}
			other := e.Apply(text)
			left, _ := r.try(name, file, other, known)
			switch left = left.with(e); {
			case shape.Unknown && left.faults > 0: // a key may be meant otherwise: only what cures all is believed
			case left.isLess(before, best):
				best, better, edit = left, other, e
			case left.broken && best.broken && mend.ReadsTo(other, further-1): // it may be broken further down too
				at := mend.Broken(other)
				if at > further || at == further && better != "" {
					if above := r.faultsAbove(name, file, other, at); at > further || above < fewest {
						further, fewest, better, edit = at, above, other, e
					}
				}
			}
			if best == (trial{lines: 1}) {
				return better, faultOf(f, shape, edit)
			}
		}
	}
	if better == "" {
		return "", nil
	}
	return better, faultOf(f, shape, edit)
}

func faultOf(f *source.Fault, shape *input.ShapeError, e mend.Edit) *source.Fault {
	found := *f
	if shape.Broken || e.From != f.At.Line {
		found.At.Line, found.At.Column, found.Field = e.From, e.Column, ""
	}
	found.Remedy = "write " + e.Show()
	tab := strings.HasPrefix(f.What, "a tab ")
	switch {
	case e.Moved:
		if !tab {
			found.What = "this line does not begin where what belongs to it does"
		}
		if len(e.Lines) > 1 {
			found.Remedy += ", and move the lines that belong to it by as much"
		}
	case shape.Broken && !tab:
		found.What = "this line cannot be read as it stands"
	}
	return &found
}

func rankOf(e mend.Edit) int {
	if e.Moved {
		return 0
	}
	return 1
}

// linesBefore are a line and those above it that hold text, where its fault may be:
// a value that was left open swallows the lines below it; and those where the value
// that it stands in begins; and of a list the first entry, which may have lost its dash.
func linesBefore(text string, line, begins int) []int {
	lines := strings.Split(text, "\n")
	found := []int{line}
	for n := line - 1; n > 0 && len(found) < 3; n-- {
		if body := strings.TrimSpace(lines[n-1]); body != "" && body[0] != '#' {
			found = append(found, n)
		}
	}
	for _, n := range []int{begins, begins - 1, firstEntry(lines, line)} {
		if n > 0 && !slices.Contains(found, n) {
			found = append(found, n)
		}
	}
	return found
}

// firstEntry is the first line of the list that a line with a dash goes on with, 0 of others.
func firstEntry(lines []string, line int) int {
	indent := func(n int) int { return len(lines[n-1]) - len(strings.TrimLeft(lines[n-1], " ")) }
	first := 0
	for n := line; n > 0 && strings.HasPrefix(strings.TrimLeft(lines[line-1], " "), "- "); n-- {
		switch body := strings.TrimSpace(lines[n-1]); {
		case body == "" || body[0] == '#':
		case indent(n) < indent(line) || indent(n) == indent(line) && body[0] != '-':
			return first
		default:
			first = n
		}
	}
	return 0
}

// trial is what a text has against it.
type trial struct {
	broken         bool // no YAML
	faults, shapes int  // of the text alone, and how many of those are of shape
	others         int  // how many of those were not there before
	lines          int  // that are changed
}

// try counts what there is against the lot file of a name, with a text in the place of it or of a
// file that it names, and without what else it names, and lists what is wrong in shape; known is
// what was before.
func (r *reader) try(name, file, text string, known []string) (trial, []string) {
	reader := newReader(r.folder, Options{Rules: r.Rules})
	reader.trial = true
	data, instead := r.with(name, file, text)
	reader.instead = instead
	_, err := reader.read(name, data)
	faults, _ := errors.AsType[source.Faults](err)
	t := trial{faults: len(faults)}
	var wrong []string
	for _, f := range faults {
		if shape, ok := errors.AsType[*input.ShapeError](f); ok {
			t.shapes++
			t.broken = t.broken || shape.Broken
			wrong = append(wrong, f.Field+": "+f.What)
			if !slices.Contains(known, wrong[len(wrong)-1]) {
				t.others++
			}
		}
	}
	return t, wrong
}

// faultsAbove counts what is wrong with a text above a line.
func (r *reader) faultsAbove(name, file, text string, line int) int {
	above, _ := r.try(name, file, strings.Join(strings.SplitAfter(text, "\n")[:line-1], ""), nil)
	return above.faults
}

// with counts the lines of an edit. One that takes out a line is no better than one of another
// shape, and one that takes out a key than a fault.
func (t trial) with(e mend.Edit) trial {
	t.lines = len(e.Lines)
	if e.Comment {
		t.shapes++
	}
	if e.Comment && strings.Contains(e.Lines[0], ":") && !strings.HasSuffix(e.Lines[0], "?") {
		t.faults++
	}
	return t
}

// isLess reports whether there is less against a text than before, and than against
// the best so far.
func (t trial) isLess(before, best trial) bool {
	switch {
	case t.broken:
		return false
	case best.broken:
		return true
	case !before.broken && (t.faults >= before.faults || t.shapes >= before.shapes || t.others > 0):
		return false
	case t.faults != best.faults:
		return t.faults < best.faults
	case t.shapes != best.shapes:
		return t.shapes < best.shapes
	}
	return t.lines < best.lines
}
