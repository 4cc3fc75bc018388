package book

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"lotcost/landed/internal/sales"
	"lotcost/landed/money"
	"lotcost/landed/selling"
)

// Figures is what was bought and sold. What came back of a sale of an earlier period is taken off,
// so that all but Bought may be below zero. Amounts are in home.
type Figures struct {
	Bought                   money.Amount // all that was paid
	selling.Earnings                      // with what of Bought nobody carries, since it came to nothing
	Refunded                 money.Amount // what buyers got back of what they paid
	PiecesBought, PiecesSold int64        // not what was made of dead ones; what came back is not sold
	PiecesReturned           int64        // by buyers
	Sales                    int64        // how many there were
	PieceDays                int64        // over the pieces sold, the days each was held
}

// Left is what of Bought is neither sold nor written off.
func (f *Figures) Left() money.Amount {
	return money.New(f.Bought.Minor()-f.Cost.Minor()-f.WrittenOff.Minor(), f.Bought.Currency())
}

// Period is what came of a year or a month.
type Period struct {
	From       time.Time  // its first day
	Month      time.Month // 0 for the whole year
	Start, End money.Amount
	Figures
}

// Account is what came of one seller, or of one venue. A seller's losses are in
// WrittenOff; of a venue nothing is bought.
type Account struct {
	Name string // of the seller, or of the venue
	Figures
}

func (l *ledger) figures() *Figures {
	zero := money.New(0, l.home)
	f := &Figures{Bought: zero, Refunded: zero}
	for _, a := range amountsOf(&f.Earnings) {
		*a = zero
	}
	return f
}

func amountsOf(e *selling.Earnings) []*money.Amount {
	return []*money.Amount{&e.Price, &e.Charged, &e.Fees, &e.VAT, &e.Sending, &e.Cost, &e.WrittenOff}
}

func (l *ledger) earn(to, e *selling.Earnings) {
	amounts := amountsOf(e)
	for i, sum := range amountsOf(to) {
		l.plus(sum, *amounts[i])
	}
}

func (l *ledger) day(day time.Time) *Figures {
	return entryOf(l, l.days, time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, time.UTC))
}

func (l *ledger) of(kind int, name string) *Figures { return entryOf(l, l.by[kind], l.text(name)) }

func entryOf[K comparable](l *ledger, list map[K]*Figures, key K) *Figures {
	f := list[key]
	if f == nil {
		f = l.figures()
		list[key] = f
	}
	return f
}

// yearDay is a day of any year.
type yearDay struct {
	month time.Month
	day   int
}

// yearDay is the day on which years begin: that which most hauls say, of equally many the earliest.
func (l *ledger) yearDay() yearDay {
	best := yearDay{time.January, 1}
	for _, b := range slices.SortedFunc(maps.Keys(l.begins), func(a, b yearDay) int { return cmp.Or(cmp.Compare(a.month, b.month), cmp.Compare(a.day, b.day)) }) {
		if l.begins[b] > l.begins[best] {
			best = b
		}
	}
	return best
}

// periods are all months and years from the first with anything in it to the last.
func (l *ledger) periods() (months, years []Period) {
	months = l.runs(0, 1, func(day time.Time) time.Time { return day.AddDate(0, 0, 1-day.Day()) })
	for i := range months {
		months[i].Month = months[i].From.Month()
	}
	from := l.yearDay()
	return months, l.runs(1, 0, func(day time.Time) time.Time {
		first := time.Date(day.Year(), from.month, from.day, 0, 0, 0, 0, time.UTC)
		if first.After(day) {
			return first.AddDate(-1, 0, 0)
		}
		return first
	})
}

// runs are periods of so many years and months without a gap; begins is the first day of that in
// which a day is.
func (l *ledger) runs(years, months int, begins func(time.Time) time.Time) []Period {
	var list []Period
	for _, day := range slices.SortedFunc(maps.Keys(l.days), time.Time.Compare) {
		from := begins(day)
		for n := len(list); n == 0 || list[n-1].From.Before(from); n++ {
			first := from
			if n > 0 {
				first = list[n-1].From.AddDate(years, months, 0)
			}
			list = append(list, Period{From: first, Figures: *l.figures()})
		}
		l.join(&list[len(list)-1].Figures, l.days[day])
	}
	stock := money.New(0, l.home)
	for i := range list {
		list[i].Start = stock
		l.close(&list[i])
		stock = list[i].End
	}
	return list
}

// close finds the stock at the end of a period, and that its sums fit.
func (l *ledger) close(p *Period) {
	p.End = l.Sub(l.Sub(l.Add(p.Start, p.Bought), p.Cost), p.WrittenOff)
	l.Of(p.End, sales.Fits(&p.Earnings))
}

func (l *ledger) join(to, f *Figures) {
	l.plus(&to.Bought, f.Bought)
	l.plus(&to.Refunded, f.Refunded)
	l.earn(&to.Earnings, &f.Earnings)
	to.PiecesBought, to.PiecesSold = to.PiecesBought+f.PiecesBought, to.PiecesSold+f.PiecesSold
	to.Sales, to.PieceDays, to.PiecesReturned = to.Sales+f.Sales, to.PieceDays+f.PieceDays, to.PiecesReturned+f.PiecesReturned
}

// accounts are those of sellers or venues, by name.
func (l *ledger) accounts(kind int) []Account {
	var list []Account
	for _, name := range slices.Sorted(maps.Keys(l.by[kind])) {
		list = append(list, Account{name, *l.by[kind][name]})
	}
	return list
}
