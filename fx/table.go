package fx

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"time"
)

// reach is how many days before the day asked for a published day may be. Common practice, no
// source. The published rows lie up to five days apart at Easter (17 and 22 April 2025), and a rate
// that is a week old should not pass for one of the day.
const reach = 7

// Window says for which day a table is read.
type Window struct {
	On   time.Time // the day; its clock time is ignored
	Lift bool      // take any day however old, and a later one if there is no earlier one
	Name string    // of the file, for messages and for [Rate].Source; may be empty
}

// Table is what a published table holds that may serve for one day. It is fixed once read, and safe
// for use from several goroutines.
type Table struct {
	window Window
	on     time.Time
	first  time.Time     // of all the days of the file
	newest time.Time     // on or before on, of all the days of the file
	known  map[Code]bool // currencies that the file has
	days   []day         // in order of preference
	room   int           // how many days may be kept before they are sifted
}

// ReadTable reads a published table in either layout in one pass, and keeps only the days that may
// serve for w.On: those of the seven days up to it, or with w.Lift, for each two currencies, the
// nearest day before and after.
//
// Rows of other days are skipped: their dates are read, and a date that is malformed or stands
// twice is an error, but their cells are not looked at. [Summarize] checks all. The error is a
// *TableError, or wraps that of r. A table that does not reach w.On is no error here; [Market.Rate]
// says so.
func ReadTable(r io.Reader, w Window) (*Table, error) {
	src, err := open(r, w.Name)
	if err != nil {
		return nil, err
	}
	t := &Table{window: w, on: midnight(w.On), room: 128}
	if err := each(src, func(date time.Time) error { return t.take(date, src) }); err != nil {
		return nil, err
	}
	t.known = src.quoted()
	t.sift()
	return t, nil
}

// take notes a day and keeps its quotes if they may serve.
func (t *Table) take(date time.Time, src source) error {
	if t.first.IsZero() || date.Before(t.first) {
		t.first = date
	}
	if !date.After(t.on) && date.After(t.newest) {
		t.newest = date
	}
	if back := daysBetween(date, t.on); !t.window.Lift && (back < 0 || back > reach) {
		return nil
	}
	quotes, err := src.quotes()
	if err != nil {
		return err
	}
	if t.days = append(t.days, day{Date: date, Quotes: quotes}); len(t.days) > t.room {
		t.sift()
		t.room = 2*len(t.days) + 128
	}
	return nil
}

// daysBetween counts the days from a to b, both at 00:00 UTC. Duration would overflow after 292
// years.
func daysBetween(a, b time.Time) int {
	return int((b.Unix() - a.Unix()) / (24 * 60 * 60))
}

// prefer orders days: those up to the day wanted, newest first, then those after it, oldest first.
func (t *Table) prefer(a, b day) int {
	late, later := a.Date.After(t.on), b.Date.After(t.on)
	switch {
	case late != later && late:
		return 1
	case late != later:
		return -1
	case late:
		return a.Date.Compare(b.Date)
	}
	return b.Date.Compare(a.Date)
}

// sift puts the days in order of preference and drops those which no two currencies can need,
// because preferred days quote them all.
func (t *Table) sift() {
	slices.SortFunc(t.days, t.prefer)
	ids := map[Code]int{Base: 0}
	for _, d := range t.days {
		for _, q := range d.Quotes {
			if _, ok := ids[q.Code]; !ok {
				ids[q.Code] = len(ids)
			}
		}
	}
	met := make([]bool, len(ids)*len(ids))
	t.days = slices.DeleteFunc(t.days, func(d day) bool { return !brings(d, ids, met) })
}

// brings reports whether d quotes two currencies together that are not yet in met, a square of ids,
// and adds them.
func brings(d day, ids map[Code]int, met []bool) bool {
	news := false
	row := make([]int, 1, len(d.Quotes)+1) // the base is quoted always
	for _, q := range d.Quotes {
		a := ids[q.Code]
		for _, b := range row {
			at := max(a, b)*len(ids) + min(a, b)
			news = news || !met[at]
			met[at] = true
		}
		row = append(row, a)
	}
	return news
}

// name gives the name of the table, or "the table" if it was given none.
func (t *Table) name() string { return cmp.Or(t.window.Name, "the table") }

// rate gives the exact rate between two currencies, unrounded and without spread, as of the last
// published day, on or before the day the table was read for, that quotes both; [Base] counts as
// quoted at 1. Between two other currencies it crosses through the base: an amount x (quote of to
// per base) / (quote of from per base), with both quotes of one day. A currency into itself is 1.
//
// The error is a *NoRateError if the table, of which there may be none, does not have one of the
// currencies. It is another if the table begins after the day wanted, or if none of the seven days
// up to it quotes both. With [Window].Lift only the first is left, also for two currencies that no
// day quotes together, and failing an earlier day the first later one is used.
func (t *Table) rate(from, to Code) (Rate, error) {
	if from == to {
		return identity(from), nil
	}
	if t == nil || !t.has(from) || !t.has(to) {
		return Rate{}, &NoRateError{From: from, To: to}
	}
	for _, d := range t.days {
		den, ok := d.PerBase(from)
		num, okTo := d.PerBase(to)
		if ok && okTo {
			r := Rate{From: from, To: to, Num: num, Den: den, Day: d.Date}
			plain := r
			r.words = words(func() (string, []string) { return t.name(), t.steps(plain) })
			return r, nil
		}
	}
	return Rate{}, t.missing(from, to)
}

func (t *Table) has(c Code) bool { return c == Base || t.known[c] }

func (t *Table) steps(r Rate) (steps []string) {
	step := func(format string, of ...any) { steps = append(steps, fmt.Sprintf(format, of...)) }
	if r.Day.Before(t.on) {
		step("wanted for %s: the last day up to it that quotes %s and %s is %s", show(t.on), r.From, r.To, show(r.Day))
	} else if r.Day.After(t.on) {
		step("wanted for %s: no day up to it quotes %s and %s; the first later one is %s", show(t.on), r.From, r.To, show(r.Day))
	}
	quote := func(c Code, figure fmt.Stringer) {
		if c != Base {
			step("%s, %s: 1 %s = %s %s", t.name(), show(r.Day), Base, figure, c)
		}
	}
	quote(r.From, r.Den)
	quote(r.To, r.Num)
	switch {
	case r.To == Base:
		step("turned round: %s", r)
	case r.From != Base:
		step("through %s: %s", Base, r)
	}
	return steps
}

// missing says why no day serves.
func (t *Table) missing(from, to Code) error {
	gap := daysBetween(t.newest, t.on)
	switch {
	case t.window.Lift:
		return &NoRateError{From: from, To: to}
	case t.on.Before(t.first):
		return fmt.Errorf("no rate for %s: %s begins on %s: give an older table, or allow any day", show(t.on), t.name(), show(t.first))
	case gap <= reach: // the newest day is near enough and lacks one of the two
		return fmt.Errorf("no rate from %s to %s for %s: %s quotes no such pair in the %d days up to it: give another table, or allow any day",
			from, to, show(t.on), t.name(), reach)
	}
	return fmt.Errorf("no rate from %s to %s for %s: the newest day up to it in %s is %s, %d days before, and %d is the limit: give a newer table, or allow any day",
		from, to, show(t.on), t.name(), show(t.newest), gap, reach)
}
