package fx

import (
	"io"
	"maps"
	"slices"
	"time"
)

// Summary tells what a table holds.
type Summary struct {
	Days       []time.Time // those published, in order, at 00:00 UTC
	Currencies []Listing   // by code; the base, and a currency that is never quoted, are left out
}

// Listing tells what a table holds of one currency.
type Listing struct {
	Code        Code      // of the currency
	First, Last time.Time // the earliest and latest day that quotes it, 00:00 UTC
	Days        int       // how many days quote it
	Holes       int       // how many days published between First and Last do not
}

// Summarize reads all the days of a published table, in whichever layout it is, checks each in
// full, and tells what it holds. The error is a *TableError, also where there is no day at all, or
// wraps that of r; the summary beside it is of the days before it.
func Summarize(r io.Reader) (Summary, error) {
	src, err := open(r, "")
	if err != nil {
		return Summary{}, err
	}
	return summarize(src)
}

func summarize(src source) (s Summary, err error) {
	found := map[Code]*Listing{}
	err = each(src, func(date time.Time) error {
		quotes, err := src.quotes()
		if err != nil {
			return err
		}
		s.Days = append(s.Days, date)
		for _, q := range quotes {
			l := found[q.Code]
			if l == nil {
				l = &Listing{Code: q.Code, First: date, Last: date}
				found[q.Code] = l
			}
			l.add(date)
		}
		return nil
	})
	slices.SortFunc(s.Days, time.Time.Compare)
	for _, code := range slices.Sorted(maps.Keys(found)) {
		l := found[code]
		from, _ := slices.BinarySearchFunc(s.Days, l.First, time.Time.Compare)
		to, _ := slices.BinarySearchFunc(s.Days, l.Last, time.Time.Compare)
		l.Holes = to - from + 1 - l.Days
		s.Currencies = append(s.Currencies, *l)
	}
	return s, err
}

// add counts a day that quotes the currency.
func (l *Listing) add(day time.Time) {
	l.Days++
	if day.Before(l.First) {
		l.First = day
	}
	if day.After(l.Last) {
		l.Last = day
	}
}
