package landed

import "lotcost/landed/internal/outline"

// Terms are the figures from which a line came to its amount in home, which our own workbooks
// calculate again. What they hold may change.
type Terms = outline.Terms

// Terms returns the terms of a line of the statement.
func (s *Statement) Terms(line *Line) Terms {
	p := &line.paid
	t := Terms{Number: line.number(), Currency: p.amount.Currency(), OfPrice: p.ofPrice, Settled: line.source.settled, PerPiece: line.perPiece, Spread: line.source.spread, Charge: int(line.charge), AsGoods: line.dutiable == AsGoods, NotDutiable: line.dutiable == NotDutiable}
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

// Sharing returns how the line was shared: the items that it covers, as indexes into
// [Statement.Items] in file order; the share of each, in minor units of home, none where the line
// comes to nothing; and what each weighs where it is shared as assessed. They are not to be
// changed.
func (l *Line) Sharing() (items []int, shares, assessed []int64) {
	return l.items, l.shares, l.borne
}
