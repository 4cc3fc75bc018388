package landed

import (
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Terms are the figures from which a line came to its amount in home, for those who
// calculate it again.
type Terms struct {
	Number   decimal.Decimal // what was asked, in major units, for all Times; where OfPrice, the prices in home
	Currency money.Currency
	OfPrice  bool            // a percentage of prices was asked
	Percent  decimal.Decimal // that percentage, or the premium's, as a fraction; else 0
	Settled  bool            // the amount in home is what the bank took
	PerPiece bool            // asked for each piece of the item, and rounded for each
	Spread   decimal.Decimal // the part of [Line.Rate] that the card adds, as a fraction
	Dutiable Dutiable        // how it counts in the value for customs
}

// Terms returns the terms of a line of the statement.
func (s *Statement) Terms(line *Line) Terms {
	p := &line.paid
	t := Terms{Number: line.number(), Currency: p.amount.Currency(), OfPrice: p.ofPrice, Settled: line.source.settled, PerPiece: line.perPiece, Spread: line.source.spread, Dutiable: line.dutiable}
	switch {
	case p.ofPrice:
		t.Number, t.Percent = p.amount.Decimal(), p.part
	case line.Kind == Premium:
		for i := range s.Lots {
			if s.Lots[i].ID == line.Lot {
				t.Percent = s.Lots[i].Premium
			}
		}
	}
	return t
}

// Sharing is how a line lies on the items.
type Sharing struct {
	Items    []int   // those it covers, as indexes into [Statement.Items], in file order
	Shares   []int64 // of each, in minor units of home; none where the line comes to nothing
	Assessed []int64 // what each weighs where it is shared as assessed; nil where it is not
}

// Sharing returns how the line was shared. Its lists are not to be changed.
func (l *Line) Sharing() Sharing {
	return Sharing{Items: l.items, Shares: l.shares, Assessed: l.borne}
}
