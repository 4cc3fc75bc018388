package fx

import (
	"io"
	"iter"
)

// What the tests read one step at a time.

type (
	Day   = day
	Quote = quote
)

var (
	Days      = days
	ParseCode = parseCode
)

// LatelyTable is the table that comes with the package.
const LatelyTable = latelyTable

// CSV and XML read one layout, whatever the text looks like.
func CSV(r io.Reader) iter.Seq2[Day, error] {
	in := &limited{r: r}
	return func(yield func(Day, error) bool) { walk(newCSV(in, in), yield) }
}

func XML(r io.Reader) iter.Seq2[Day, error] {
	in := &limited{r: r}
	return func(yield func(Day, error) bool) { walk(newXML(in, in), yield) }
}

// SummarizeDays sums up days that come from no text.
func SummarizeDays(days iter.Seq2[Day, error]) (Summary, error) { return summarize(days) }

func (t *Table) Rate(from, to Code) (Rate, error) { return t.rate(from, to) }

// At is the line and the column.
func (e *TableError) At() [2]int { return [2]int{e.line, e.column} }
