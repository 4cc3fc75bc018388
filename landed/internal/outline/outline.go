// Package outline tells what a workbook needs to calculate a statement and its border again with
// other figures.
package outline

import (
	"reflect"

	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Assessment is one of a border in a few sums.
type Assessment struct {
	// What the value for customs holds beside the goods.
	Freight, Insurance, Fees bool
	Parcels                  []Parcel // as in the assessment
}

// Parcel is what is asked of a parcel: of its levies and fees those of the one case that holds.
type Parcel struct {
	Cases  []Case
	Levies []Levy // the duties first, then the taxes
	Fees   []Fee
	// What is collected at least of the duty, and of the taxes: less is dropped. No amount is 0.
	Least [2]money.Amount
}

// Case is some thresholds, the parcel on a certain side of each. One of a parcel's cases holds.
type Case struct {
	Sides   []Bound
	Unknown bool // what is asked then is not told here
}

// Bound is a side of a threshold: of its goods alone where nothing else is set.
type Bound struct {
	At      money.Amount
	Weight  measure.Weight // of the goods, in the place of an amount; 0 where it is not of that
	OfValue bool           // of the value for customs
	Over    uint64         // the parcels that are measured together, as bits; 0 is the one
	Strict  bool           // the threshold itself is above
	Above   bool           // the side is
}

// Levy is a duty or a tax by rates of a base that is rounded over groups of lines. Each line has
// its part of a group's sum by what it adds to the base, or by its pieces where none adds any.
type Levy struct {
	Cases                    []int // in which it is asked
	Tax                      bool
	OnDuty                   bool         // a tax: the duty is in the base
	Freight, Insurance, Fees bool         // what is in the base beside the value for customs
	Groups                   []int        // by line; -1 where it bears none
	Rates                    []Ratio      // of the groups
	Plus                     Ratio        // that part of the value for customs is in the base once more
	Name, Of                 string       // a tax: it is on the tax of that name alone; a duty: which of several
	Flat                     money.Amount // in the place of rates, for each group
	Base, Amount             Rounding
}

// Ratio is a number in its least terms; none where it is 0 of 0.
type Ratio struct{ Num, Den int64 }

// Rounding is to a whole multiple of a step, in minor units.
type Rounding struct {
	Step int64
	Mode money.Mode
}

// Fee is what a parcel pays beside; where Always is not set it falls away once there is no duty and
// no tax.
type Fee struct {
	Cases   []int // in which it is asked
	What    string
	Amount  money.Amount
	Always  bool
	Percent decimal.Decimal // of the value for customs, as a fraction; 0 where the fee is a sum
	Least   money.Amount    // of such a percentage
	Most    money.Amount
}

// Terms are the figures from which a line came to its amount in home, for those who
// calculate it again.
type Terms struct {
	Number   decimal.Decimal // what was asked, in major units, for all Times; where OfPrice, the prices in home
	Currency money.Currency
	OfPrice  bool            // a percentage of prices was asked
	Percent  decimal.Decimal // that percentage, or the premium's, as a fraction; else 0
	Settled  bool            // the amount in home is what the bank took
	PerPiece bool            // asked for each piece of the item, and rounded for each
	Spread   decimal.Decimal // the part of the rate that the card adds, as a fraction
	Charge   int             // the number of the charge in the haul, counted from 1; 0 of prices, parcels, repairs and the border
	// How it counts in the value for customs: as a price, or not at all; else as its kind does.
	AsGoods, NotDutiable bool
	WithPremium          bool // a price that holds the premium, as a settled one does

	// How it was shared, none of which is to be changed.
	Items    []int   // that it covers, as indexes into the statement's, in file order
	Shares   []int64 // of each, in minor units of home; none where the line comes to nothing
	Assessed []int64 // what each weighs where it is shared as assessed

	Num, Den decimal.Decimal // of the rate but for the card's part; 0 of 0 where none was used
}

// Rate is how much of home a unit of the currency in which a line was asked counted for, the card's
// part in it: 1 in home, and 0 where no rate was used, as for what is settled and for a percentage
// of prices. It is rounded to 20 decimals, to be shown; what was asked was converted exactly.
func (t *Terms) Rate() decimal.Decimal {
	const places = 20
	if t.Den.IsZero() {
		return decimal.Decimal{}
	}
	return t.Num.Mul(t.Spread.Add(decimal.NewFromInt(1))).DivRound(t.Den, places)
}

// Alike reports whether two fees are the same but for the cases.
func (f Fee) Alike(o Fee) bool {
	f.Cases, o.Cases = nil, nil
	return reflect.DeepEqual(f, o)
}

// Alike reports whether two levies are the same but for the cases.
func (l Levy) Alike(o Levy) bool {
	l.Cases, o.Cases = nil, nil
	return reflect.DeepEqual(l, o)
}

// Threshold is a bound without its side.
func (b Bound) Threshold() Bound {
	b.Above = false
	return b
}

// Possible reports whether a parcel may be on all of some sides at once.
func Possible(sides []Bound) bool {
	for _, low := range sides {
		for _, high := range sides {
			if !low.Above || high.Above || low.OfValue != high.OfValue || low.Over != high.Over || (low.Weight == 0) != (high.Weight == 0) {
				continue
			}
			from, to := low.At.Minor(), high.At.Minor()
			if low.Weight != 0 {
				from, to = int64(low.Weight), int64(high.Weight)
			}
			if from > to || from == to && (!low.Strict || high.Strict) {
				return false
			}
		}
	}
	return true
}
