package landed

import (
	"lotcost/landed/internal/floor"
	"lotcost/landed/internal/planning"
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
	for i, minor := range l.shares {
		parts = append(parts, Part{l.items[i], minor})
	}
	return parts
}

// LineOn makes a line that no statement has.
func LineOn(by Basis, item int) Line { return Line{By: by, items: []int{item}, shares: []int64{0}} }

// AskedFor makes a line of what was asked, an amount or a percentage.
func AskedFor(number decimal.Decimal, c money.Currency) *Line {
	if c == 0 {
		return &Line{paid: paid{part: number, ofPrice: true}}
	}
	one, _ := money.Round(decimal.NewFromInt(1), decimal.NewFromInt(1), c)
	return &Line{paid: paid{amount: one, part: number, parted: true}}
}

// HomeFloor is a floor of one item's haul, in the rules' currency, as it is in home where so much
// is charged besides.
func HomeFloor(h *Haul, freight []money.Currency, f floor.Floor, charged int64) (floor.Floor, error) {
	made, err := NewParcelPricer(h)
	if err != nil {
		return floor.Floor{}, err
	}
	a := made.(*parcelPricer).border
	x := floorRates{items: a.all, lots: a.splitter}
	x.apart()
	x.bear()
	err = x.find(a, freight)
	return x.inHome(&f, charged), err
}

// For is the basis for a kind of cost.
func (b Bases) For(k Kind) Basis { return b.of(k) }

// PriceOf returns what a lot, by its place among those whose prices change, costs at a price
// by itself: price and premium in home.
func PriceOf(prices planning.Prices, n int, price money.Amount) (money.Amount, error) {
	r := prices.(*repricer)
	p, err := r.at(n, price)
	return money.New(p.home, r.base.haul.Home), err
}
