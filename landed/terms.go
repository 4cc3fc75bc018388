package landed

import (
	"lotcost/landed/internal/outline"

	"github.com/shopspring/decimal"
)

// Terms are the figures from which a line came to its amount in home, which our own workbooks
// calculate again. What they hold may change.
type Terms = outline.Terms

// Terms returns the terms of a line of the statement.
func (s *Statement) Terms(line *Line) Terms {
	p := &line.paid
	t := Terms{Number: line.number(), Currency: p.amount.Currency(), OfPrice: p.ofPrice, Settled: line.source.settled, PerPiece: line.perPiece, Spread: line.source.spread, Charge: int(line.charge), AsGoods: line.dutiable == AsGoods, NotDutiable: line.dutiable == NotDutiable,
		WithPremium: line.premiumIn, Items: line.items, Shares: line.shares, Assessed: line.borne}
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
	switch r := line.source.rate; {
	case r != nil:
		t.Num, t.Den = r.Num, r.Den
	case !t.Settled && !p.ofPrice && t.Currency == s.Home:
		t.Num, t.Den = decimal.NewFromInt(1), decimal.NewFromInt(1)
	}
	return t
}
