package fx

import (
	"encoding/xml"
	"errors"
	"io"
	"time"
)

// xmlSource reads a table of nested Cube elements:
//
//	<gesmes:Envelope ...>
//	  <Cube>
//	    <Cube time='2024-06-28'>
//	      <Cube currency='USD' rate='1.0705'/>
//
// A rate is the units of the currency per 1 euro, a plain decimal above zero. Days stand in any
// order; a day quotes what it has. The root must be Envelope, in any name space; elements other
// than Cube are passed over. The text must be UTF-8. Malformed XML or figures, a day that stands
// twice or a currency that stands twice in one, and a table without any day are a *TableError.
// Source of the layout: the European Central Bank's eurofxref-daily.xml, eurofxref-hist-90d.xml and
// eurofxref-hist.xml.
type xmlSource struct {
	reading
	dec    *xml.Decoder
	depth  int  // of open elements
	unread bool // next has found a day whose quotes have not been read
}

// newXML reads from r, which is in or a buffer over it.
func newXML(r io.Reader, in *limited) *xmlSource {
	in.mark()
	return &xmlSource{reading: newReading(in), dec: xml.NewDecoder(r)}
}

func (s *xmlSource) next() (time.Time, error) {
	if s.unread {
		if _, err := s.inner(false); err != nil {
			return time.Time{}, err
		}
	}
	for {
		tok, err := s.token()
		if errors.Is(err, io.EOF) && len(s.seen) == 0 {
			return time.Time{}, s.lacks("the table has no days", "expected Cube elements with a time")
		} else if err != nil {
			return time.Time{}, err
		}
		start, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if s.depth == 1 && start.Name.Local != "Envelope" {
			return time.Time{}, s.bad(start.Name.Local, "is the root of another kind of file", "expected Envelope")
		}
		if text, ok := attr(start, "time"); ok && start.Name.Local == "Cube" {
			s.unread = true
			return s.day(text)
		}
		if _, ok := attr(start, "currency"); ok {
			return time.Time{}, s.bad(start.Name.Local, "quotes a currency outside of a day", "expected it inside a Cube with a time")
		}
	}
}

// quotes parses the day that next found.
func (s *xmlSource) quotes() ([]quote, error) { return s.inner(true) }

// inner reads to the end of the day. Without parse it only notes which currencies are there.
func (s *xmlSource) inner(parse bool) ([]quote, error) {
	s.unread = false
	var out []quote
	var today map[Code]bool
	if parse {
		today = map[Code]bool{}
	}
	for outside := s.depth - 1; s.depth > outside; {
		tok, err := s.token()
		if err != nil {
			return nil, err
		}
		start, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if !parse {
			if text, _ := attr(start, "currency"); shaped(text) && len(s.known) < maxCurrencies {
				s.known[Code(text)] = true
			}
			continue
		}
		q, err := s.quote(start)
		if err != nil {
			return nil, err
		}
		if today[q.Code] {
			return nil, s.bad(string(q.Code), "is quoted already on this day", "expected each currency once")
		}
		today[q.Code] = true
		out = append(out, q)
	}
	return out, nil
}

// quote reads a Cube with a currency and a rate.
func (s *xmlSource) quote(start xml.StartElement) (quote, error) {
	name, named := attr(start, "currency")
	figure, rated := attr(start, "rate")
	if start.Name.Local != "Cube" || !named || !rated {
		return quote{}, s.bad(start.Name.Local, "is not a quote", "expected Cube with a currency and a rate")
	}
	code, err := s.currency(name)
	if err != nil {
		return quote{}, err
	}
	rate, err := s.rate(figure, string(code))
	if err != nil {
		return quote{}, err
	}
	s.known[code] = true
	return quote{code, rate}, nil
}

// token reads the next token and keeps the position and depth.
func (s *xmlSource) token() (xml.Token, error) {
	s.line, s.column = s.dec.InputPos()
	tok, err := s.dec.Token()
	s.in.mark()
	if err != nil {
		return nil, s.failed(err)
	}
	switch tok.(type) {
	case xml.StartElement:
		s.depth++
	case xml.EndElement:
		s.depth--
	}
	return tok, nil
}

// failed tells apart the end of the file, a reader that failed and XML that is malformed.
func (s *xmlSource) failed(err error) error {
	if s.in.failure != nil {
		return s.in.failed(s.in.failure, s.line)
	}
	if err == io.EOF {
		return err
	}
	problem := err.Error()
	if syntax := (*xml.SyntaxError)(nil); errors.As(err, &syntax) {
		problem = syntax.Msg
	}
	// The place is where the bad token begins: the decoder's own is off by a line when it has just
	// looked at a line end.
	return s.lacks("malformed XML: "+excerpt(problem), "expected the file as it was published")
}

// attr gives the value of an attribute, and whether the element has it.
func attr(e xml.StartElement, name string) (string, bool) {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value, true
		}
	}
	return "", false
}
