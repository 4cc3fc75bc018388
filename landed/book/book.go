package book

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"lotcost/landed"
	"lotcost/landed/internal/sales"
	"lotcost/landed/internal/tally"
	"lotcost/landed/money"
	"lotcost/landed/selling"
	"lotcost/landed/source"
)

// Book is hauls put together. It is not safe for concurrent use.
type Book struct {
	options Options
	homes   map[money.Currency]*ledger
}

// New makes an empty book.
func New(o Options) *Book { return &Book{o, map[money.Currency]*ledger{}} }

// ledger is a book in one currency.
type ledger struct {
	Options
	home     money.Currency
	hauls    []source.Origin // of each haul where its home stands, or of many only the file
	prints   []uint64        // of what each says was bought
	first    string          // of the names of its hauls
	days     map[time.Time]*Figures
	begins   map[yearDay]int        // how many hauls let a year begin then
	by       [2]map[string]*Figures // sellers, venues
	stock    []Stock
	sales    []Sale // those told, or that have no cost yet
	bought   []purchase
	wanted   wanted
	omits    int // hauls that say nothing of their border
	models   map[string]*spelling
	outcomes map[guessKey]*outcome
	texts    map[string]string
	tally.Tally
}

const (
	bySeller = iota
	byVenue
)

// Item says what pieces are of: the haul by its name, the ids of lot and item in it, the model
// where it has one, and what it is called.
type Item struct{ Haul, Lot, ID, Model, What string }

// Stock is pieces of an item, in one state, that are still there.
type Stock struct {
	Item
	selling.Holding              // at the cost by the method of the book
	keep            int64        // the dearest of them, which the haul keeps
	brings          money.Amount // what the others should sell for
	blank           int64        // those of the others without a value
	Bought          time.Time    // the day
	Value           money.Amount // of one, in home; no currency when nothing is said
	Even            money.Amount // what the dearest must bring at the usual venue of its haul, in the venue's currency; none where there is no telling, or by average cost
	place           int          // of its item
}

// Age is for how many days the pieces have been there on a day.
func (s *Stock) Age(on time.Time) int64 { return days(s.Bought, on) }

// Expected is what the pieces for sale should sell for, in home, and how many those are, and how
// many more have no value to say it by. Kept pieces are for sale to nobody. The error is
// [money.ErrOverflow].
func (r *Result) Expected() (sum money.Amount, pieces, blank int64, err error) {
	sum = money.New(0, r.Home)
	for i := range r.Stock {
		s := &r.Stock[i]
		pieces, blank = pieces+s.Count-s.keep-s.blank, blank+s.blank
		if s.brings.Currency() != 0 && err == nil {
			sum, err = sum.Add(s.brings)
		}
	}
	return sum, pieces, blank, err
}

// Add takes an entry; nil is none.
func (b *Book) Add(e *Entry) {
	if e == nil {
		return
	}
	h := e.Statement.Haul
	l := b.homes[h.Home]
	if l == nil {
		l = &ledger{Options: b.options, home: h.Home, first: e.Name, days: map[time.Time]*Figures{}, begins: map[yearDay]int{}, models: map[string]*spelling{}, outcomes: map[guessKey]*outcome{}, texts: map[string]string{}}
		l.by[bySeller], l.by[byVenue] = map[string]*Figures{}, map[string]*Figures{}
		b.homes[h.Home] = l
	}
	l.add(e)
}

// text returns a text that keeps nothing else alive, and once what comes often.
func (l *ledger) text(s string) string {
	if known, ok := l.texts[s]; ok {
		return known
	}
	s = strings.Clone(s)
	l.texts[s] = s
	return s
}

// mostPlaces is of how many hauls the place of their home is looked for.
const mostPlaces = 100

func (l *ledger) add(e *Entry) {
	h := e.Statement.Haul
	at := source.Origin{File: strings.Clone(h.At.File)}
	if len(l.hauls) < mostPlaces {
		found := h.At.Key("home")
		at.Line, at.Column = found.Line, found.Column
	}
	l.hauls, l.prints = append(l.hauls, at), append(l.prints, printOf(e))
	l.first = min(l.first, e.Name)
	if h.OmitsBorder() {
		l.omits++
	}
	l.wanted.add(e.wanted)
	if !e.yearFrom.IsZero() {
		l.begins[yearDay{e.yearFrom.Month(), e.yearFrom.Day()}]++
	}
	name := strings.Clone(e.Name)
	place := 0
	for i := range e.items {
		item := &e.items[i]
		l.buy(name, e, item)
		for k := range item.sales {
			s := &item.sales[k]
			s.place, place = place, place+1
			l.sell(name, s)
		}
		l.keep(name, e, item, i)
		l.guess(item)
		l.spell(item)
	}
}

func (l *ledger) buy(name string, e *Entry, item *itemEntry) {
	h := e.Statement.Haul
	for _, f := range []*Figures{l.day(h.Date), l.of(bySeller, item.Lot.Seller)} {
		l.plus(&f.Bought, item.Cost)
		f.PiecesBought += item.Count + item.Found.Extra
		for _, g := range item.groups {
			if g.State == landed.Dead {
				l.plus(&f.Bought, g.Cost)
				l.plus(&f.WrittenOff, g.Cost)
			}
		}
	}
	if !l.Average {
		return
	}
	for _, g := range item.groups {
		if g.State != landed.Dead {
			l.bought = append(l.bought, purchase{h.Date, l.poolOf(name, item.ID, item.Model, g.State, g.What), g.Count, g.Cost.Minor()})
		}
	}
}

func (l *ledger) sell(name string, s *Sale) {
	if !l.Average {
		l.account(s)
	}
	if l.Average || l.Sales {
		s.Haul, s.Lot, s.ID, s.What = name, l.text(s.Lot), l.text(s.ID), l.text(s.What)
		s.Model, s.seller, s.Venue = l.text(s.Model), l.text(s.seller), l.text(s.Venue)
		l.sales = append(l.sales, *s)
	}
}

// account adds a sale, whose cost is known, to the figures it is part of.
func (l *ledger) account(s *Sale) {
	for _, f := range []*Figures{l.day(s.Day), l.of(bySeller, s.seller), l.of(byVenue, s.Venue)} {
		l.earn(&f.Earnings, &s.Earnings)
		if s.isReturn() {
			f.PiecesReturned -= s.Count
			f.Refunded = l.Sub(f.Refunded, s.Proceeds())
		} else {
			f.Sales++
		}
		f.PiecesSold += s.Count
		f.PieceDays += s.Count * s.Days()
	}
}

func (l *ledger) keep(name string, e *Entry, item *itemEntry, place int) {
	for n := 0; n < len(item.left); {
		end := n + 1
		for end < len(item.left) && item.left[end].State == item.left[n].State && item.left[end].What == item.left[n].What {
			end++
		}
		each := item.left[n:end:end]
		s := Stock{Item: Item{name, l.text(item.Lot.ID), l.text(item.ID), l.text(item.Model), l.text(cmp.Or(each[0].What, item.What))},
			Holding: sales.Holding(each, l.home), Bought: e.Statement.Haul.Date, place: place}
		if s.State == landed.Sound {
			s.keep = min(item.Keep, s.Count)
		}
		s.blank = s.Count - s.keep
		if of := item.of(s.State, each[0].What); of != nil {
			s.Value, s.Even, s.brings = of.value, of.even, of.brings
			if s.brings.Currency() != 0 {
				s.blank = 0
			}
		}
		l.stock, n = append(l.stock, s), end
	}
}

func (l *ledger) plus(to *money.Amount, a money.Amount) { *to = l.Add(*to, a) }

// Result is what comes of the hauls of a book.
type Result struct {
	Options
	Home             money.Currency // none where there is no haul
	Hauls            int            // how many there are
	OmitBorder       int            // of them, how many cross a border that they say nothing of
	Stock            []Stock        // by haul, then in file order, sound pieces before those for parts
	Total            money.Amount   // what the stock cost
	Doubles          []Double       // by model
	Unmodelled       []Unmodelled   // what may be double beside them
	Sales            []Sale         // where they are asked for: by date, what came back of earlier days first, then haul, then in file order
	Years, Months    []Period
	Sellers, Venues  []Account
	Guesses          Guesses       // how good they were
	Outside, Strange source.Faults // hauls that are left out since their home is another, and what is odd across hauls

	record record
	wanted wanted
}

// Result puts the hauls together in the home of most of them; of equally many, in
// that of the first by name. The error is [money.ErrOverflow].
func (b *Book) Result() (*Result, error) {
	l := b.most()
	if l == nil {
		return &Result{Options: b.options}, nil
	}
	slices.SortStableFunc(l.stock, func(a, b Stock) int {
		return cmp.Or(strings.Compare(a.Haul, b.Haul), cmp.Compare(a.place, b.place), cmp.Compare(a.State, b.State))
	})
	slices.SortFunc(l.sales, func(a, b Sale) int {
		return cmp.Or(a.Day.Compare(b.Day), a.turn()-b.turn(), strings.Compare(a.Haul, b.Haul), cmp.Compare(a.place, b.place))
	})
	if l.Average {
		l.average()
	}
	r := &Result{wanted: l.wanted, Options: b.options, Home: l.home, Hauls: len(l.hauls), OmitBorder: l.omits, Stock: l.stock, Total: money.New(0, l.home), Guesses: l.guesses(), record: l.record(), Strange: append(l.spelt(), l.copies()...)}
	for i := range r.Stock {
		l.plus(&r.Total, r.Stock[i].Cost)
	}
	if l.Sales {
		r.Sales = l.sales
	}
	r.Doubles, r.Unmodelled = l.doubles(), l.unmodelled()
	r.Months, r.Years = l.periods()
	r.Sellers, r.Venues = l.accounts(bySeller), l.accounts(byVenue)
	r.Outside = b.outside(l)
	return r, l.Err
}

func (b *Book) most() *ledger {
	var most *ledger
	for _, l := range b.homes {
		if most == nil || len(l.hauls) > len(most.hauls) || len(l.hauls) == len(most.hauls) && l.first < most.first {
			most = l
		}
	}
	return most
}

// outside tells of the hauls in another home.
func (b *Book) outside(in *ledger) source.Faults {
	var out source.Faults
	for home, l := range maps.All(b.homes) {
		if l == in {
			continue
		}
		for _, at := range l.hauls {
			out = append(out, &source.Fault{At: at, Field: "home", What: fmt.Sprintf("home is %s, but that of the book is %s, which most of its hauls have, or the first of equally many", home, in.home), Remedy: "keep hauls in " + home.Code() + " in a book of their own"})
		}
	}
	slices.SortFunc(out, func(a, b *source.Fault) int { return strings.Compare(a.At.File, b.At.File) })
	return out
}
