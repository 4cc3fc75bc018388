package landed

import (
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// What tests look at that no caller needs.

const MaxCount = maxCount

// Part is an item's share of a line.
type Part struct {
	Item  int
	Minor int64
}

// Parts are the shares of a line, in file order.
func (l *Line) Parts() []Part {
	var parts []Part
	for _, p := range l.parts {
		parts = append(parts, Part{p.item, p.minor})
	}
	return parts
}

// LineOn makes a line that no statement has.
func LineOn(by Basis, item int) Line { return Line{By: by, parts: []part{{item: item}}} }

// AskedFor makes a line of what was asked, an amount or a percentage.
func AskedFor(number decimal.Decimal, c money.Currency) *Line {
	if c == 0 {
		return &Line{paid: paid{percent: number, ofPrice: true}}
	}
	return &Line{paid: paid{number: number, currency: c}}
}

// For is the basis for a kind of cost.
func (b Bases) For(k Kind) Basis { return b.of(k) }

// Price returns what a lot, by its place among those whose prices change, costs at a price
// by itself: price and premium in home.
func (r *Repricer) Price(n int, price money.Amount) (money.Amount, error) {
	p, err := r.at(n, price)
	return money.New(p.home, r.base.haul.Home), err
}
