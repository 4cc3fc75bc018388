package fx

import (
	"cmp"
	"iter"
	"maps"
	"slices"
	"time"
)

// Summary tells what a table holds.
type Summary struct {
	First, Last time.Time // the earliest and latest day, 00:00 UTC
	Days        int       // how many days are published
	Currencies  []Listing // by code; the base, and a currency that is never quoted, are left out
}

// Listing tells what a table holds of one currency.
type Listing struct {
	Code        Code
	First, Last time.Time // the earliest and latest day that quotes it, 00:00 UTC
	Days        int       // how many days quote it
	Holes       int       // how many days published between First and Last do not
}

// Summarize reads all the days of a table, each of which is thereby checked in full, and tells what it holds. The error is the first one
// of the sequence, as it is. No days make a zero Summary.
//
//	sum, err := fx.Summarize(fx.Days(file))
func Summarize(days iter.Seq2[Day, error]) (Summary, error) {
	var dates []int64
	found := map[Code]*Listing{}
	for d, err := range days {
		if err != nil {
			return Summary{}, err
		}
		dates = append(dates, d.Date.Unix())
		for _, q := range d.Quotes {
			l := found[q.Code]
			if l == nil {
				l = &Listing{Code: q.Code, First: d.Date, Last: d.Date}
				found[q.Code] = l
			}
			l.add(d.Date)
		}
	}
	if len(dates) == 0 {
		return Summary{}, nil
	}
	slices.Sort(dates)
	return summary(dates, found), nil
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

// summary counts the holes and sorts. The dates are in order and not empty.
func summary(dates []int64, found map[Code]*Listing) Summary {
	s := Summary{First: time.Unix(dates[0], 0).UTC(), Last: time.Unix(dates[len(dates)-1], 0).UTC(), Days: len(dates)}
	for l := range maps.Values(found) {
		from, _ := slices.BinarySearch(dates, l.First.Unix())
		to, _ := slices.BinarySearch(dates, l.Last.Unix())
		l.Holes = to - from + 1 - l.Days
		s.Currencies = append(s.Currencies, *l)
	}
	slices.SortFunc(s.Currencies, func(a, b Listing) int { return cmp.Compare(a.Code, b.Code) })
	return s
}
