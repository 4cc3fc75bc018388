// Package tariff looks up rates of duty by code in tariffs as their authorities publish them, in
// files that the user fetched or saved:
//
//   - the Harmonized Tariff Schedule of the United States, one JSON list a revision
//     (www.usitc.gov, public domain). A rate stands at a line or at its nearest parent by indent;
//   - one commodity of the United Kingdom's tariff as JSON:API
//     (www.trade-tariff.service.gov.uk/api/v2/commodities/…; Open Government Licence 3). The form
//     for Northern Ireland (/xi/api/v2/…) carries the duties of the European Union.
//
// A rate is taken only where the line reads as a plain percentage, free, or so much a piece or a
// kilogram, or a sum of such. What else is named there is reported and never added. Which line
// goods belong to is not decided here: that is the declarant's to say, and the authority's to
// judge.
package tariff

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"lotcost/landed/customs"
	"lotcost/landed/internal/scrub"
	"lotcost/landed/money"
	"lotcost/landed/source"
)

// MaxBytes is what is read of a file at most. A whole schedule has some tens of megabytes.
const MaxBytes = 128 << 20

// mostBelow is how many lines below one are kept, and mostNamed how many are reported in a
// sentence.
const mostBelow, mostNamed = 500, 12

// Row is a line of a tariff. Code is as published; it is "" of a row that only groups others.
type Row struct{ Code, Text string }

// Line is a row with all that a tariff says of it.
type Line struct {
	Row
	Parents     []Row    // from the heading down
	Duties      []Duty   // at the row or at its nearest parent that has any, the general ones first
	Below       []Line   // rows below that have duties of their own
	Territories []string // whose tariff it may be: US, or GB and EU
	named       []string // footnotes, quotas, further duties of the row and its parents
	further     []Duty   // measures that are neither general nor preferential
	more        int      // rows below that were not kept
}

// Duty is what stands at a line.
type Duty struct {
	what     string         // "general", "special", "Third country duty"
	Code     string         // of the row at which it stands
	Text     string         // as published
	Rate     *customs.Rate  // nil where it is no plain rate
	Currency money.Currency // of its sums; 0 where there are none
	proof    bool           // only with proof of preferential origin
	area     string         // for goods of which countries, in words; "" is any
	only     []string       // countries of making that it is for; nil is any
	not      []string       // countries that it is not for
	from, to string         // first and last day, as in 2026-10-03; "" is open
	hangs    string         // what it depends on, in words; "" is nothing
	notes    []string       // its footnotes
}

// String says a duty as the tariff does.
func (d Duty) String() string {
	if d.Text == "" {
		return d.For()
	}
	return d.For() + ": " + d.Text
}

// For says what a duty is for: its column or kind, for which countries, on what it hangs.
func (d Duty) For() string {
	said := d.what
	if d.area != "" {
		said += " (" + d.area + ")"
	}
	if d.hangs != "" {
		said += ", " + d.hangs
	}
	return said
}

// Goods are those for which a rate is sought.
type Goods struct {
	Origin   string         // country of making, ISO 3166; "" is not said
	Proof    bool           // proof of preferential origin is there
	On       time.Time      // day of entry; zero is any
	Currency money.Currency // of the territory: sums in another are no rate of it; 0 is any
}

// unknown tells that no line of a tariff has a code; begin are some that begin with it.
func unknown(code string, begin []string) error {
	if len(begin) > 0 {
		return &source.Fault{What: fmt.Sprintf("%q is only the beginning of a code", code), Remedy: "write a whole one, such as " + strings.Join(begin, ", ")}
	}
	return &source.Fault{What: fmt.Sprintf("no line of the tariff has the code %q", code), Remedy: "check the code, and that the file is the tariff of its territory"}
}

// refused tells why no rate is taken from a line, and the duties in question; there is no remedy.
func refused(why string, duties []Duty) *source.Fault {
	var lines []string
	for _, d := range duties[:min(len(duties), mostNamed)] {
		lines = append(lines, strings.TrimSpace(d.Code+" "+d.String()))
	}
	if len(lines) > 0 {
		why += ": " + strings.Join(lines, "; ")
	}
	if more := len(duties) - len(lines); more > 0 {
		why += fmt.Sprintf("; and %d more", more)
	}
	return &source.Fault{What: why}
}

// Read finds the lines of some codes in one pass; where a code is not there its line is nil and its
// error a [*source.Fault], as is what cannot be read; other errors are of r.
func Read(r io.Reader, codes ...string) ([]*Line, []error, error) {
	sought := make([]*search, len(codes))
	for i, code := range codes {
		sought[i] = &search{code: code, digits: scrub.Digits(code)}
	}
	err := scan(r, func(row *row, above []*row) {
		for _, s := range sought {
			s.look(row, above)
		}
	})
	if err != nil {
		return nil, nil, err
	}
	lines, missing := make([]*Line, len(codes)), make([]error, len(codes))
	for i, s := range sought {
		if lines[i] = s.line; s.line == nil {
			missing[i] = unknown(s.code, s.begin)
		}
	}
	return lines, missing, nil
}

// Find lists the lines with a code in whose own text or parents' every one of the words stands, and
// one of them in its own; most is how many at most. More tells how many were left out.
func Find(r io.Reader, words string, most int) (lines []Line, more int, err error) {
	want := strings.Fields(strings.ToLower(words))
	err = scan(r, func(row *row, above []*row) {
		if row.Code == "" || len(want) == 0 || !row.has(want, above) {
			return
		}
		if len(lines) == most {
			more++
			return
		}
		lines = append(lines, row.line(above))
	})
	return lines, more, err
}

// Count reads a whole tariff and tells how many of its lines have a code. Errors are as of [Read].
func Count(r io.Reader) (lines int, err error) {
	err = scan(r, func(row *row, _ []*row) {
		if row.Code != "" {
			lines++
		}
	})
	return lines, err
}

// Duty returns the one plain rate of a line for some goods, or a [*source.Fault], without a
// remedy where it is the line that gives none; Asked is "code" where there are several rates, and
// some code below the line may have one.
func (l *Line) Duty(g Goods) (*Duty, error) {
	duties := slices.DeleteFunc(l.duties(), func(d Duty) bool { return d.proof != g.Proof || !d.isFor(g) })
	refuse := func(why string) (*Duty, error) { return nil, refused(why, duties) }
	switch {
	case len(duties) == 0 && g.Proof:
		return refuse("no rate for goods made in " + g.Origin + " with proof of origin stands at " + l.Code)
	case len(duties) == 0:
		return refuse("no rate of duty stands at " + l.Code)
	case l.more > 0 || slices.ContainsFunc(duties, func(d Duty) bool { return !d.same(duties[0]) }):
		several := refused(l.Code+" has several rates", duties)
		if len(l.Below) > 0 {
			several.Asked = "code"
		}
		return nil, several
	}
	d := &duties[0]
	switch {
	case d.Rate == nil:
		return refuse(l.Code + " has no plain rate")
	case d.hangs != "":
		return refuse("the rate of " + l.Code + " depends on more than the goods")
	case d.Currency != 0 && g.Currency != 0 && d.Currency != g.Currency:
		return refuse("the rate of " + l.Code + " is in " + d.Currency.Code() + ", and the territory calculates in " + g.Currency.Code())
	}
	return d, nil
}

// duties are those at a line and at the lines below it.
func (l *Line) duties() []Duty {
	all := slices.Clone(l.Duties)
	for i := range l.Below {
		all = append(all, l.Below[i].Duties...)
	}
	return all
}

// same reports whether two duties are one rate.
func (d Duty) same(o Duty) bool {
	return d.Text == o.Text && d.Currency == o.Currency && d.hangs == o.hangs && (d.Rate == nil) == (o.Rate == nil)
}

// isFor reports whether a duty is for some goods. Without a country of making only those for any
// are.
func (d *Duty) isFor(g Goods) bool {
	if !g.On.IsZero() {
		if day := g.On.Format(time.DateOnly); day < d.from || d.to != "" && day > d.to {
			return false
		}
	}
	return (d.only == nil || slices.Contains(d.only, g.Origin)) && !slices.Contains(d.not, g.Origin)
}

// Also names what stands at a line besides the rate taken and may bear on some goods: other rates,
// and what [Line.Named] does. None of it is in the rate.
func (l *Line) Also(g Goods, taken *Duty) []string {
	var also []string
	for _, d := range l.duties() {
		if (g.Origin == "" || d.isFor(g)) && (d.what != taken.what || d.area != taken.area) {
			also = append(also, d.String())
		}
	}
	return sorted(append(also, l.Named(g)...))
}

// Named names what stands at a line that is no rate to choose from and may bear on some goods, or
// on any where no country of making is said: footnotes, quotas, further measures.
func (l *Line) Named(g Goods) []string {
	named := slices.Clone(l.named)
	for _, d := range slices.Concat(l.duties(), l.further) {
		if g.Origin == "" || d.isFor(g) {
			named = append(named, d.notes...)
		}
	}
	for _, d := range l.further {
		if g.Origin == "" || d.isFor(g) {
			named = append(named, d.String())
		}
	}
	for i := range l.Below {
		named = append(named, l.Below[i].named...)
	}
	return sorted(named)
}

func sorted(list []string) []string {
	slices.Sort(list)
	return slices.Compact(list)
}

// Path is the text of a line below its heading, with that of the rows that it stands under.
func (l *Line) Path() string {
	var words []string
	for _, p := range l.Parents {
		words = append(words, p.Text)
	}
	words = append(words, l.Text)
	words = words[min(1, len(words)-1):]
	for i := range words {
		words[i] = strings.TrimRight(words[i], ": ")
	}
	return strings.Join(words, ": ")
}

// search is a code being sought.
type search struct {
	code, digits string
	line         *Line // the row found
	indent       int
	padded       bool // it is the code with zeros behind it
	within       bool // the rows that come are below it
	begin        []string
}

// look takes one row.
func (s *search) look(r *row, above []*row) {
	code := scrub.Digits(r.Code)
	if s.within && r.indent <= s.indent {
		s.within = false
	}
	exact := code == s.digits
	padded := !exact && len(code)-len(s.digits) > 0 && (len(code)-len(s.digits))%2 == 0 && s.digits+strings.Repeat("0", len(code)-len(s.digits)) == code
	switch {
	case s.digits == "" || code == "" && !s.within:
		return
	case exact && (s.line == nil || s.padded), padded && s.line == nil:
		line := r.line(above)
		s.line, s.indent, s.padded, s.within = &line, r.indent, padded, true
	case s.within && r.own != nil || exact:
		if len(s.line.Below) == mostBelow {
			s.line.more++
			return
		}
		s.line.Below = append(s.line.Below, r.line(above))
	case strings.HasPrefix(code, s.digits) && len(s.begin) < 5:
		s.begin = append(s.begin, r.Code)
	}
}

// limited reads up to a number of bytes, and tells when there are more.
type limited struct {
	r    io.Reader
	left int64
}

var errTooLong = errors.New("too long")

func (l *limited) Read(p []byte) (int, error) {
	if l.left <= 0 {
		return 0, errTooLong
	}
	n, err := l.r.Read(p[:min(int64(len(p)), l.left)])
	l.left -= int64(n)
	return n, err
}
