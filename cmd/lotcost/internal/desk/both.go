package desk

import (
	"net/http"
	"strings"

	"lotcost/landed/source"
)

// bothBody is a file as it is now and as it would be with a change.
type bothBody struct {
	Title, Name, Mark string
	Merged, Mine      string   // Merged is what the file is now with the change, "" where that cannot be
	Changes           []string // what was typed, in words
	Lines             []bothLine
}

type bothLine struct{ Now, Mine string }

// both shows the two versions of a file that was changed meanwhile.
func (d *Desk) both(w http.ResponseWriter, h *haul, now, mine []byte, list []change) error {
	b := bothBody{Title: h.Title(), Name: h.Name, Mark: d.folder.remember(now), Mine: string(mine)}
	if len(list) > 0 {
		b.Merged, b.Changes = string(h.Text), h.inWords(list)
	}
	if mine == nil {
		b.Mine = b.Merged
	}
	b.Lines = differing(string(now), b.Mine)
	return d.send(w, http.StatusConflict, "both.html", frame{Title: b.Title, Body: b})
}

// inWords are the values that some changes set.
func (h *haul) inWords(list []change) (words []string) {
	for _, c := range list {
		if of := h.wordsOf(&source.Fault{}, c.path.String()); of != "" && c.text != "" {
			words = append(words, of+": "+c.text)
		}
	}
	return words
}

// differing are the lines of two texts that differ, between the first and the last of them.
func differing(now, mine string) []bothLine {
	a, b := strings.Split(now, "\n"), strings.Split(mine, "\n")
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	var lines []bothLine
	for i := range max(len(a), len(b)) {
		at := func(list []string) string { return strings.Join(list[min(i, len(list)):min(i+1, len(list))], "") }
		if l := (bothLine{at(a), at(b)}); l.Now != l.Mine {
			lines = append(lines, l)
		}
	}
	return lines
}
