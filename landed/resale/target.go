package resale

import (
	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Target is what a sale has to leave once everything is paid, the goods too.
// The zero value is [BreakEven].
type Target struct {
	kind   targetKind
	amount money.Amount
	rate   decimal.Decimal
}

type targetKind uint8

const (
	breakEven targetKind = iota
	atLeast
	onPrice
	onCost
)

// BreakEven is met when nothing is lost.
func BreakEven() Target { return Target{} }

// AtLeast is met when so much is left. A negative amount allows a loss.
func AtLeast(a money.Amount) Target { return Target{kind: atLeast, amount: a} }

// MarginOnPrice is met when what is left is such a fraction of the price, from
// 0 to below 1, or more. Postage is not part of that price, value added tax is.
func MarginOnPrice(fraction decimal.Decimal) Target { return Target{kind: onPrice, rate: fraction} }

// MarkupOnCost is met when what is left is such a fraction of the cost, from 0
// to 1000, or more.
func MarkupOnCost(fraction decimal.Decimal) Target { return Target{kind: onCost, rate: fraction} }

// String says what the price is to bring: "what was paid", "5.00 CAD more than
// was paid", "a margin of 25% on the price", "a mark-up of 40% on the cost".
func (t Target) String() string {
	switch t.kind {
	case atLeast:
		return t.amount.String() + " more than was paid"
	case onPrice:
		return "a margin of " + percent(t.rate) + " on the price"
	case onCost:
		return "a mark-up of " + percent(t.rate) + " on the cost"
	}
	return "what was paid"
}

// targetFigures is a target in whole numbers, all three added up.
type targetFigures struct {
	amount int64
	margin int64 // millionths of the price
	markup int64 // millionths of the cost
}

func (c *checker) target(t Target) (f targetFigures) {
	switch t.kind {
	case atLeast:
		f.amount = c.signed("", "target", t.amount)
	case onPrice:
		f.margin = c.part("", "target", t.rate, "is the whole price or more, so no price exists")
	case onCost:
		f.markup = c.rate("", "target", t.rate)
		if f.markup > mostMarkup*million {
			c.wrong("", "target", percent(t.rate), "is too large", "write at most 100000%")
		}
	}
	return f
}

// ofCost is what must be left whatever the price, rounded up, for then and only
// then the exact target is met.
func (t *targetFigures) ofCost(cost int64) int64 {
	if t.markup == 0 {
		return t.amount
	}
	q, r, _ := exact.MulDiv(exact.Magnitude(cost), uint64(t.markup), million)
	switch {
	case cost < 0: // rounded up is towards zero
		return t.amount - int64(q)
	case r > 0:
		q++
	}
	return t.amount + int64(q)
}

// ofPrice is what must be left of the price, rounded up.
func (t *targetFigures) ofPrice(price int64) int64 {
	return int64((uint64(t.margin)*uint64(price) + million - 1) / million)
}
