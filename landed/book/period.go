package book

import (
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
	PiecesReturned           int64
	Sales                    int64
	PieceDays                int64 // over the pieces sold, the days each was held
}

// Left is what of Bought is neither sold nor written off.
func (f *Figures) Left() money.Amount {
	return money.New(f.Bought.Minor()-f.Cost.Minor()-f.WrittenOff.Minor(), f.Bought.Currency())
}

// Period is what came of a year or a month.
type Period struct {
	Year       int
	Month      time.Month // 0 for the whole year
	Start, End money.Amount
	Figures
}

// Account is what came of one seller, or of one venue. A seller's losses are in
// WrittenOff; of a venue nothing is bought.
type Account struct {
	Name string
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

func (l *ledger) month(day time.Time) *Figures {
	return entryOf(l, l.months, day.Year()*12+int(day.Month())-1)
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

// periods are all months and years from the first with anything in it to the last.
func (l *ledger) periods() (months, years []Period) {
	keys := slices.Sorted(maps.Keys(l.months))
	if len(keys) == 0 {
		return nil, nil
	}
	stock := money.New(0, l.home)
	for key := keys[0]; key <= keys[len(keys)-1]; key++ {
		m := Period{Year: key / 12, Month: time.Month(key%12 + 1), Start: stock, Figures: *entryOf(l, l.months, key)}
		l.close(&m)
		stock = m.End
		months = append(months, m)
		if len(years) == 0 || years[len(years)-1].Year != m.Year {
			years = append(years, Period{Year: m.Year, Start: m.Start, Figures: *l.figures()})
		}
		l.join(&years[len(years)-1].Figures, &m.Figures)
	}
	for i := range years {
		l.close(&years[i])
	}
	return months, years
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
