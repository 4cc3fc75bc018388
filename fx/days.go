package fx

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/shopspring/decimal"
)

// Limits on a table, so that no file makes a reader use much memory. The whole published history
// has about 1.8 MB.
const (
	maxTable      = 64 << 20 // bytes
	maxLine       = 1 << 20  // bytes of a CSV line, an XML tag, or the text between two tags
	maxCurrencies = 512      // ISO 4217 has fewer than 200
)

// day is what a table publishes for one day.
type day struct {
	Date   time.Time // 00:00 UTC
	Quotes []quote   // in the order of the file; a currency not quoted that day is left out
}

// quote is the published value of the base: PerBase whole units of Code for 1 unit of [Base], above
// zero.
type quote struct {
	Code    Code
	PerBase decimal.Decimal
}

// PerBase gives the units of c per 1 unit of the base, and whether c is quoted that day. The base
// counts as quoted at 1.
func (d day) PerBase(c Code) (decimal.Decimal, bool) {
	if c == Base {
		return one(), true
	}
	for _, q := range d.Quotes {
		if q.Code == c {
			return q.PerBase, true
		}
	}
	return decimal.Decimal{}, false
}

// reading is what a source of any layout keeps: where it is, and what it has seen.
type reading struct {
	in           *limited
	line, column int           // of what was read last, the column in bytes
	known        map[Code]bool // currencies that the table has been seen to have
	seen         map[int64]int // the line of each day
}

func newReading(in *limited) reading {
	return reading{in: in, known: map[Code]bool{}, seen: map[int64]int{}}
}

func (s *reading) quoted() map[Code]bool { return s.known }

// day takes the date of a day, which stands once.
func (s *reading) day(text string) (time.Time, error) {
	date, ok := parseDate(text)
	if !ok {
		return time.Time{}, s.bad(text, "is not a date", "expected one such as 2025-05-09")
	}
	key := date.Unix()
	if before := s.seen[key]; before > 0 {
		return time.Time{}, s.bad(text, fmt.Sprintf("stands on line %d already", before), "expected each day once")
	}
	s.seen[key] = s.line
	return date, nil
}

func (s *reading) currency(text string) (Code, error) {
	code, err := parseCode(text)
	switch {
	case err != nil:
		return "", s.bad(text, "is not a currency code", "expected three capital letters")
	case code == Base:
		return "", s.bad(text, "is the base of the table", "expected other currencies only")
	case len(s.known) >= maxCurrencies && !s.known[code]:
		return "", s.bad(text, "is one currency too many", fmt.Sprintf("expected at most %d", maxCurrencies))
	}
	return code, nil
}

// rate takes one; want says for what.
func (s *reading) rate(text, want string) (decimal.Decimal, error) {
	rate, ok := plain(text)
	if !ok || !rate.IsPositive() {
		return rate, s.bad(text, "is not a rate", "expected a plain decimal above zero for "+want)
	}
	return rate, nil
}

// bad makes the error for a text where reading is.
func (s *reading) bad(text, problem, want string) error {
	return &TableError{Name: s.in.name, line: s.line, column: s.column, cell: text, problem: problem, want: want}
}

// lacks makes the error for something that is not there, or for the text as a whole.
func (s *reading) lacks(problem, want string) error {
	return &TableError{Name: s.in.name, line: max(s.line, 1), column: max(s.column, 1), problem: problem, want: want, whole: true}
}

// source is a table being read. next goes to the next day and says io.EOF after the last one;
// quotes reads the day that next found and may be left out, which skips it unparsed. quoted tells
// the currencies that the table has been seen to have.
type source interface {
	next() (time.Time, error)
	quotes() ([]quote, error)
	quoted() map[Code]bool
}

// each calls f for each day of a source, which may read its quotes, up to the first error.
func each(src source, f func(date time.Time) error) error {
	for {
		date, err := src.next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil {
			err = f(date)
		}
		if err != nil {
			return err
		}
	}
}

// open finds out the layout of r and starts to read it. The name is for messages. Packed archives,
// UTF-16 text and other binary data are a *TableError.
func open(r io.Reader, name string) (source, error) {
	in := &limited{r: r, name: name}
	buf := bufio.NewReader(in)
	head, err := buf.Peek(512)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, in.failed(err, 1)
	}
	if problem, want := refuse(head); problem != "" {
		return nil, &TableError{Name: name, line: 1, column: 1, problem: problem, want: want, whole: true}
	}
	if text := bytes.TrimSpace(bytes.TrimPrefix(head, bom)); len(text) > 0 && text[0] == '<' {
		return newXML(buf, in), nil
	}
	return newCSV(buf, in), nil
}

// bom is the byte order mark that some programs put before UTF-8 text.
var bom = []byte("\uFEFF")

// refuse says what is wrong with a file that is not text, going by its first bytes, and what is
// wanted instead.
func refuse(head []byte) (problem, want string) {
	starts := func(s string) bool { return bytes.HasPrefix(head, []byte(s)) }
	switch {
	case starts("PK\x03\x04"), starts("PK\x05\x06"):
		return "this is a zip archive", "unpack it and give the file inside"
	case starts("\x1f\x8b"), starts("BZh"), starts("\xfd7zXZ\x00"):
		return "this is a compressed file", "unpack it and give the file inside"
	case starts("\xff\xfe"), starts("\xfe\xff"):
		return "this is UTF-16 text", "save it as UTF-8"
	case bytes.IndexByte(head, 0) >= 0:
		return "this is binary data", "give the CSV or XML file of the rates"
	}
	return "", ""
}

// limited passes r on, up to maxTable bytes in all and, where mark is called, about maxLine between
// two marks. It remembers how reading failed, because the scanners above it hand out the cut-off
// rest of a line first.
type limited struct {
	r       io.Reader
	name    string
	total   int64
	tag     int64 // bytes since the last mark
	tagged  bool
	failure error
}

var (
	errTableSize = errors.New("the table is larger than 64 MiB")
	errLineSize  = errors.New("a line or tag is longer than 1 MiB")
)

// Read reads from the reader below and counts.
func (l *limited) Read(p []byte) (int, error) {
	n, err := l.r.Read(p)
	l.total += int64(n)
	l.tag += int64(n)
	if l.total > maxTable {
		err = errTableSize
	} else if l.tagged && l.tag > maxLine {
		err = errLineSize
	}
	if err != nil && err != io.EOF {
		l.failure = err
		return 0, err
	}
	return n, err
}

// mark says that one tag has been read in full.
func (l *limited) mark() { l.tag, l.tagged = 0, true }

// failed makes the error that a caller sees of a failure to read on, at a line.
func (l *limited) failed(err error, line int) error {
	if errors.Is(err, errTableSize) || errors.Is(err, errLineSize) {
		return &TableError{Name: l.name, line: line, column: 1, problem: err.Error(), want: "is it a table of exchange rates?", whole: true}
	}
	if l.name == "" {
		return fmt.Errorf("reading the table: %w", err)
	}
	return fmt.Errorf("%s: reading the table: %w", l.name, err)
}

// TableError says where a table of rates is malformed.
type TableError struct {
	Name    string // of the file, "" if not known
	line    int    // from 1
	column  int    // in bytes, from 1
	cell    string // the offending text as it stands in the file; "" also where the fault is not in one text
	problem string // what is wrong with it
	want    string // what was expected
	whole   bool   // Problem is a sentence of its own, not the predicate of Cell
}

// Error gives the position, the text in question, what is wrong and what was expected.
func (e *TableError) Error() string {
	where := fmt.Sprintf("line %d, column %d", e.line, e.column)
	if e.Name != "" {
		where = fmt.Sprintf("%s:%d:%d", e.Name, e.line, e.column)
	}
	if e.whole {
		return fmt.Sprintf("%s: %s: %s", where, e.problem, e.want)
	}
	return fmt.Sprintf("%s: %q %s: %s", where, excerpt(e.cell), e.problem, e.want)
}
