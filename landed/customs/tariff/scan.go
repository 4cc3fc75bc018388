package tariff

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"lotcost/landed/source"
)

// row is a row of a file under way.
type row struct {
	Row
	indent  int
	own     func() []Duty // those that stand at it; nil where none do
	named   func() []string
	further []Duty
	of      []string // Line.Territories
}

// line makes a line of a row and the rows above it. It has the duties of the nearest that has any.
func (r *row) line(above []*row) Line {
	l := Line{Row: r.Row, further: r.further, Territories: r.of, named: r.named()}
	if r.own != nil {
		l.Duties = r.own()
	}
	for i := len(above) - 1; i >= 0; i-- {
		if l.Duties == nil && above[i].own != nil {
			l.Duties = above[i].own()
		}
		l.named = append(l.named, above[i].named()...)
	}
	for _, a := range above {
		l.Parents = append(l.Parents, a.Row)
	}
	return l
}

// has reports whether every word stands in the text of a row or of those above it, and one of them
// in its own.
func (r *row) has(want []string, above []*row) bool {
	own := strings.ToLower(r.Text)
	any := false
	for _, w := range want {
		in := strings.Contains(own, w)
		any = any || in
		for i := 0; !in && i < len(above); i++ {
			in = strings.Contains(strings.ToLower(above[i].Text), w)
		}
		if !in {
			return false
		}
	}
	return any
}

// scan goes through the rows of a file, each with those above it.
func scan(r io.Reader, each func(r *row, above []*row)) error {
	in := bufio.NewReaderSize(&limited{r, MaxBytes}, 1<<16)
	if mark, _ := in.Peek(3); bytes.Equal(mark, []byte("\ufeff")) {
		_, _ = in.Discard(3)
	}
	dec := json.NewDecoder(in)
	first, err := dec.Token()
	switch {
	case first == json.Delim('['):
		err = rows(dec, each)
	case first == json.Delim('{'):
		err = commodity(dec, each)
	case err == nil:
		return notATariff("the file is no published tariff")
	}
	if err == nil {
		if _, more := dec.Token(); more != io.EOF {
			err = more
			if more == nil {
				return notATariff("more follows behind the end of the tariff")
			}
		}
	}
	return readable(err)
}

func notATariff(what string) error {
	return &source.Fault{What: what, Remedy: "save it again as it is published: the schedule of the United States as one JSON list, or a commodity of the United Kingdom's tariff as JSON"}
}

// readable says in words what of a file cannot be read.
func readable(err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var bad *source.Fault
	switch {
	case err == nil || errors.As(err, &bad):
		return err
	case errors.Is(err, errTooLong):
		return &source.Fault{What: fmt.Sprintf("the file is larger than %d MiB", MaxBytes>>20), Remedy: "check that it is the file you meant"}
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return notATariff("the file ends before the tariff does")
	case errors.As(err, &syntax):
		return notATariff(fmt.Sprintf("the file is no JSON at byte %d", syntax.Offset))
	case errors.As(err, &kind):
		return notATariff(fmt.Sprintf("%s is a %s at byte %d, where the published layout has something else", kind.Field, kind.Value, kind.Offset))
	}
	return err
}

// text is a scalar of any kind as text; null is none.
type text string

// UnmarshalJSON takes what is no list and no object.
func (t *text) UnmarshalJSON(data []byte) error {
	var s string
	switch {
	case string(data) == "null":
		return nil
	case data[0] == '"' && bytes.IndexByte(data, '\\') < 0 && utf8.Valid(data):
		s = string(data[1 : len(data)-1])
	case data[0] == '"':
		if err := json.Unmarshal(data, &s); err != nil {
			return err
		}
	case data[0] == '[' || data[0] == '{':
		return notATariff("a list or an object stands where the published layout has a text")
	default:
		s = string(data)
	}
	*t = text(words(s))
	return nil
}

// published is a row of the schedule of the United States. Both spellings of the further duties are
// found in it.
type published struct {
	HTSNo, Indent, Description text
	General, Special, Other    text
	QuotaQuantity              text
	AdditionalDuties           text
	Misspelt                   text `json:"addiitionalDuties"`
	Footnotes                  []struct{ Value text }
}

// deepest is how far a row may be indented.
const deepest = 99

// rows reads a schedule: a list of rows, each below the nearest before it that is less indented.
func rows(dec *json.Decoder, each func(r *row, above []*row)) error {
	var above []*row
	n := 0
	for ; dec.More(); n++ {
		var p published
		if err := dec.Decode(&p); err != nil {
			return err
		}
		indent, err := strconv.Atoi(string(p.Indent))
		if err != nil || indent < 0 || indent > deepest {
			return notATariff(fmt.Sprintf("row %d, %q, has no indent, and only that tells what it is below", n+1, p.HTSNo+p.Description))
		}
		r := p.row(indent)
		for len(above) > 0 && above[len(above)-1].indent >= indent {
			above = above[:len(above)-1]
		}
		each(r, above)
		above = append(above, r)
	}
	if _, err := dec.Token(); err != nil {
		return err
	}
	if n == 0 {
		return notATariff("the list has no rows")
	}
	return nil
}

func (p *published) row(indent int) *row {
	r := &row{Row: Row{Code: string(p.HTSNo), Text: string(p.Description)}, indent: indent, named: p.named, of: []string{"US"}}
	if p.General != "" {
		r.own = p.duties
	}
	return r
}

func (p *published) duties() []Duty {
	return append([]Duty{general(string(p.HTSNo), string(p.General))}, special(string(p.HTSNo), string(p.Special))...)
}

func (p *published) named() []string {
	var all []string
	name := func(what string, t text) {
		if t != "" {
			all = append(all, what+": "+string(t))
		}
	}
	name("column 2, for countries without normal trade relations", p.Other)
	name("quota", p.QuotaQuantity)
	name("additional duties", p.AdditionalDuties+p.Misspelt)
	for _, f := range p.Footnotes {
		name("footnote", f.Value)
	}
	return all
}
