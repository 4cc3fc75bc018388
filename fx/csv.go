package fx

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"
	"strings"
	"time"
)

// csvSource reads a table with one row per day and one column per currency:
//
//	Date,USD,JPY,BGN,
//	2025-05-09,1.1252,163.36,1.9558,
//
// A cell is the units of the column's currency per 1 euro, a plain decimal above zero, or N/A for
// none that day. Rows stand in any order; the published history has the newest first. Each line may
// end with an empty last cell, as the published files do. Spaces around cells, a byte order mark,
// empty lines and CR LF line ends are taken, and dates as in the daily file, such as 03 July 2026.
// Cells are never in quotation marks. A malformed line, a day or column that stands twice, and a
// table without any day are a *TableError. Source of the layout: the European Central Bank's
// eurofxref-hist.csv and eurofxref.csv.
type csvSource struct {
	reading
	lines *bufio.Scanner
	row   []byte // the text of the line read last, up to the next read
	cols  []Code // after the date; nil before the header is read
}

// newCSV reads from r, which is in or a buffer over it.
func newCSV(r io.Reader, in *limited) *csvSource {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 64<<10), maxLine)
	return &csvSource{reading: newReading(in), lines: lines}
}

// next goes to the next row and reads its date, and nothing else of it.
func (s *csvSource) next() (time.Time, error) {
	if s.cols == nil {
		if err := s.header(); err != nil {
			return time.Time{}, err
		}
	}
	if err := s.advance(); errors.Is(err, io.EOF) && len(s.seen) == 0 {
		return time.Time{}, s.lacks("the table has no days", "expected a row such as 2025-05-09,1.1252,163.36")
	} else if err != nil {
		return time.Time{}, err
	}
	cell, _, _ := bytes.Cut(s.row, []byte(","))
	return s.day(string(bytes.TrimSpace(cell)))
}

// quotes parses the cells of the row that next found.
func (s *csvSource) quotes() ([]quote, error) {
	out := make([]quote, 0, len(s.cols))
	n := 0
	for cell := range s.cells() {
		n++
		if n == 1 {
			continue
		}
		if n > len(s.cols)+1 {
			return nil, s.bad(cell, "stands beyond the last column", fmt.Sprintf("expected %d cells", len(s.cols)+1))
		}
		if cell == "N/A" {
			continue
		}
		code := s.cols[n-2]
		rate, err := s.rate(cell, string(code)+", or N/A")
		if err != nil {
			return nil, err
		}
		out = append(out, quote{code, rate})
	}
	if n <= len(s.cols) {
		s.column = len(s.row) + 1
		return nil, s.lacks(fmt.Sprintf("the row ends after %d cells", n), fmt.Sprintf("expected %d, as in the header", len(s.cols)+1))
	}
	return out, nil
}

func (s *csvSource) header() error {
	const want = "expected a header such as Date,USD,JPY"
	if err := s.advance(); errors.Is(err, io.EOF) {
		return s.lacks("the table is empty", want)
	} else if err != nil {
		return err
	}
	first := true
	for cell := range s.cells() {
		if first {
			if first = false; cell != "Date" {
				return s.bad(cell, "is not the column Date", want)
			}
			continue
		}
		code, err := s.currency(cell)
		if err != nil {
			return err
		}
		if s.known[code] {
			return s.bad(cell, "has a column already", "expected each currency once")
		}
		s.cols, s.known[code] = append(s.cols, code), true
	}
	if s.cols == nil {
		s.column = len(s.row) + 1
		return s.lacks("the table has no currency columns", want)
	}
	return nil
}

// advance reads the next line that is not empty into s.row, without line end, trailing spaces and
// byte order mark.
func (s *csvSource) advance() error {
	s.column = 1
	for s.lines.Scan() {
		if s.in.failure != nil {
			break
		}
		s.line++
		row := s.lines.Bytes()
		if s.line == 1 {
			row = bytes.TrimPrefix(row, bom)
		}
		if s.row = bytes.TrimRight(row, " \t\r"); len(s.row) > 0 {
			return nil
		}
	}
	switch {
	case s.in.failure != nil:
		return s.in.failed(s.in.failure, s.line+1)
	case errors.Is(s.lines.Err(), bufio.ErrTooLong):
		return s.in.failed(errLineSize, s.line+1)
	case s.lines.Err() != nil:
		return s.in.failed(s.lines.Err(), s.line+1)
	}
	return io.EOF
}

// cells yields the cells of the row, trimmed, and keeps the column at which each begins. An empty
// last cell is not one.
func (s *csvSource) cells() iter.Seq[string] {
	return func(yield func(string) bool) {
		rest := strings.TrimSuffix(string(s.row), ",")
		column := 1
		for more := true; more; {
			var cell string
			cell, rest, more = strings.Cut(rest, ",")
			text := strings.TrimLeft(cell, " \t")
			s.column = column + len(cell) - len(text)
			if !yield(strings.TrimRight(text, " \t")) {
				return
			}
			column += len(cell) + 1
		}
	}
}
