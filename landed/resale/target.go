package resale

import (
	"math/big"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Target is what a sale has to leave once everything is paid, the goods too. At most one of its
// fields is given; the zero value is to lose nothing.
type Target struct {
	Amount money.Amount    // so much, no currency when not given; a negative amount allows a loss
	Margin decimal.Decimal // a fraction, from 0 to below 1, of the price: without postage, with value added tax
	Markup decimal.Decimal // a fraction, from 0 to 1000, of the cost
}

// IsZero reports whether the target is to lose nothing.
func (t Target) IsZero() bool {
	return t.Amount.Sign() == 0 && t.Margin.IsZero() && t.Markup.IsZero()
}

// String prints the target as lot files have it: "5.00 CAD", "25%", "30% on cost"; or else "nothing
// lost".
func (t Target) String() string {
	switch {
	case t.Amount.Sign() != 0:
		return t.Amount.String()
	case !t.Margin.IsZero():
		return money.FormatPercent(t.Margin)
	case !t.Markup.IsZero():
		return money.FormatPercent(t.Markup) + " on cost"
	}
	return "nothing lost"
}

// Words says what the price makes: "up for the cost", "a profit of 5.00 CAD", "a margin
// of 25% on the price", "a mark-up of 40% on the cost".
func (t Target) Words() string {
	switch {
	case t.Amount.Currency() != 0:
		return "a profit of " + t.Amount.String()
	case !t.Margin.IsZero():
		return "a margin of " + money.FormatPercent(t.Margin) + " on the price"
	case !t.Markup.IsZero():
		return "a mark-up of " + money.FormatPercent(t.Markup) + " on the cost"
	}
	return "up for the cost"
}

// targetFigures is a target in whole numbers, all three added up.
type targetFigures struct {
	amount int64
	margin int64 // millionths of the price
	markup int64 // millionths of the cost
	rest   int64 // millionths of a minor unit beside the margin
}

func (c *checker) target(t Target) targetFigures {
	f := targetFigures{
		amount: c.signed("", "target", t.Amount),
		margin: c.part("", "target", t.Margin, "is the whole price or more, so no price exists"),
		markup: c.rate("", "target", t.Markup),
	}
	if f.markup > mostMarkup*million {
		c.wrong("", "target", money.FormatPercent(t.Markup), "is too large", "write at most 100000%")
	}
	return f
}

// exactly makes up for a cost that was rounded up, where more is wanted than to lose nothing. What
// is over whole minor units counts beside a margin, and else as one more.
func (t *targetFigures) exactly(cost *big.Rat, rounded int64, digits int) {
	need := new(big.Rat).Mul(cost, decimal.New(million+t.markup, int32(digits)).Rat())
	need.Add(need, decimal.New(t.amount, 6).Rat())
	up := new(big.Int).Neg(need.Num())
	up.Neg(up.Div(up, need.Denom())) // millionths of a minor unit, which Div rounds down
	whole, rest := up.DivMod(up, big.NewInt(million), new(big.Int))
	t.amount, t.markup, t.rest = whole.Int64()-rounded, 0, rest.Int64()
	if t.margin == 0 && t.rest > 0 {
		t.amount, t.rest = t.amount+1, 0
	}
}

// ofCost is what must be left whatever the price, rounded up, for then and only then the exact
// target is met.
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
	return int64((uint64(t.margin)*uint64(price) + uint64(t.rest) + million - 1) / million)
}
