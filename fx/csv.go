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
	in    *limited
	lines *bufio.Scanner
	line  int    // number of the line read last
	row   []byte // its text, up to the next read
	cols  []Code // after the date; nil before the header is read
	known map[Code]bool
	seen  calendar
}

// newCSV reads from r, which is in or a buffer over it.
func newCSV(r io.Reader, in *limited) *csvSource {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 64<<10), maxLine)
	return &csvSource{in: in, lines: lines, known: map[Code]bool{}, seen: calendar{}}
}

// next goes to the next row and reads its date, and nothing else of it.
func (s *csvSource) next() (time.Time, error) {
	if s.cols == nil {
		if err := s.header(); err != nil {
			return time.Time{}, err
		}
	}
	if err := s.advance(); errors.Is(err, io.EOF) && len(s.seen) == 0 {
		return time.Time{}, s.lacks(1, "the table has no days", "expected a row such as 2025-05-09,1.1252,163.36")
	} else if err != nil {
		return time.Time{}, err
	}
	cell, _, _ := bytes.Cut(s.row, []byte(","))
	text := string(bytes.TrimSpace(cell))
	date, ok := parseDate(text)
	if !ok {
		return time.Time{}, s.bad(1, text, "is not a date", "expected one such as 2025-05-09")
	}
	if before := s.seen.add(date, s.line); before > 0 {
		return time.Time{}, s.bad(1, text, fmt.Sprintf("stands on line %d already", before), "expected each day once")
	}
	return date, nil
}

// quotes parses the cells of the row that next found.
func (s *csvSource) quotes() ([]quote, error) {
	out := make([]quote, 0, len(s.cols))
	n := 0
	for column, cell := range cells(string(s.row)) {
		n++
		if n == 1 {
			continue
		}
		if n > len(s.cols)+1 {
			return nil, s.bad(column, cell, "stands beyond the last column", fmt.Sprintf("expected %d cells", len(s.cols)+1))
		}
		if cell == "N/A" {
			continue
		}
		rate, ok := plain(cell)
		if !ok || !rate.IsPositive() {
			return nil, s.bad(column, cell, "is not a rate", fmt.Sprintf("expected a plain decimal above zero for %s, or N/A", s.cols[n-2]))
		}
		out = append(out, quote{s.cols[n-2], rate})
	}
	if n <= len(s.cols) {
		return nil, s.lacks(len(s.row)+1, fmt.Sprintf("the row ends after %d cells", n), fmt.Sprintf("expected %d, as in the header", len(s.cols)+1))
	}
	return out, nil
}

// quoted gives the currencies of the header.
func (s *csvSource) quoted() map[Code]bool { return s.known }

// header reads the first line.
func (s *csvSource) header() error {
	const want = "expected a header such as Date,USD,JPY"
	if err := s.advance(); errors.Is(err, io.EOF) {
		return s.lacks(1, "the table is empty", want)
	} else if err != nil {
		return err
	}
	first := true
	for column, cell := range cells(string(s.row)) {
		if first {
			if first = false; cell != "Date" {
				return s.bad(column, cell, "is not the column Date", want)
			}
			continue
		}
		if err := s.addColumn(column, cell); err != nil {
			return err
		}
	}
	if s.cols == nil {
		return s.lacks(len(s.row)+1, "the table has no currency columns", want)
	}
	return nil
}

// addColumn takes one cell of the header.
func (s *csvSource) addColumn(column int, cell string) error {
	code, err := parseCode(cell)
	switch {
	case err != nil:
		return s.bad(column, cell, "is not a currency code", "expected three capital letters")
	case code == Base:
		return s.bad(column, cell, "is the base of the table", "expected other currencies only")
	case s.known[code]:
		return s.bad(column, cell, "has a column already", "expected each currency once")
	case len(s.cols) == maxCurrencies:
		return s.bad(column, cell, "is one column too many", fmt.Sprintf("expected at most %d currencies", maxCurrencies))
	}
	s.cols, s.known[code] = append(s.cols, code), true
	return nil
}

// advance reads the next line that is not empty into s.row, without line end, trailing spaces and
// byte order mark.
func (s *csvSource) advance() error {
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

// bad makes the error for a cell of the line read last.
func (s *csvSource) bad(column int, cell, problem, want string) error {
	return &TableError{Name: s.in.name, line: s.line, column: column, cell: cell, problem: problem, want: want}
}

// lacks makes the error for something that is not there.
func (s *csvSource) lacks(column int, problem, want string) error {
	return &TableError{Name: s.in.name, line: max(s.line, 1), column: column, problem: problem, want: want, whole: true}
}

// cells yields the cells of a line, trimmed, each with the column in bytes at which it begins. An
// empty last cell is not one.
func cells(line string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		rest := strings.TrimSuffix(line, ",")
		column := 1
		for more := true; more; {
			var cell string
			cell, rest, more = strings.Cut(rest, ",")
			text := strings.TrimLeft(cell, " \t")
			if !yield(column+len(cell)-len(text), strings.TrimRight(text, " \t")) {
				return
			}
			column += len(cell) + 1
		}
	}
}
