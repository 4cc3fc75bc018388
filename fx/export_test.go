package fx

import (
	"io"
	"iter"
	"time"
)

// What the tests read one step at a time.

type (
	Day   = day
	Quote = quote
)

var ParseCode = parseCode

// LatelyTable is the table that comes with the package.
const LatelyTable = latelyTable

// Days reads a table in whichever layout it is, CSV and XML one in theirs, whatever the text looks
// like.
func Days(r io.Reader) iter.Seq2[Day, error] {
	return func(yield func(Day, error) bool) {
		src, err := open(r, "")
		if err != nil {
			yield(Day{}, err)
			return
		}
		daysOf(src)(yield)
	}
}

func CSV(r io.Reader) iter.Seq2[Day, error] {
	in := &limited{r: r}
	return daysOf(newCSV(in, in))
}

func XML(r io.Reader) iter.Seq2[Day, error] {
	in := &limited{r: r}
	return daysOf(newXML(in, in))
}

// daysOf are the days of a source with their quotes, and then its error.
func daysOf(src source) iter.Seq2[Day, error] {
	return func(yield func(Day, error) bool) {
		err := each(src, func(date time.Time) error {
			quotes, err := src.quotes()
			if err == nil && !yield(Day{Date: date, Quotes: quotes}, nil) {
				return io.EOF
			}
			return err
		})
		if err != nil && err != io.EOF {
			yield(Day{}, err)
		}
	}
}

// noDays is a source that has none.
type noDays struct{}

func (noDays) next() (time.Time, error) { return time.Time{}, io.EOF }
func (noDays) quotes() ([]quote, error) { return nil, nil }
func (noDays) quoted() map[Code]bool    { return nil }

// SummarizeNothing sums up no days at all.
func SummarizeNothing() (Summary, error) { return summarize(noDays{}) }

func (t *Table) Rate(from, to Code) (Rate, error) { return t.rate(from, to) }

// At is the line and the column.
func (e *TableError) At() [2]int { return [2]int{e.line, e.column} }
