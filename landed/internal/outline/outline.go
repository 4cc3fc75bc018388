// Package outline tells what a workbook needs to calculate a statement and its border again with
// other figures.
package outline

import (
	"lotcost/landed/measure"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// Assessment is one of a border in a few sums. It holds as long as no parcel comes to the other
// side of a bound.
type Assessment struct {
	// What the value for customs holds beside the goods.
	Freight, Insurance, Fees bool
	Parcels                  []Parcel // as in the assessment
}

// Parcel is what is asked of a parcel.
type Parcel struct {
	Bounds []Bound
	Levies []Levy // the duty first, then the taxes; none that is relieved
	Fees   []Fee  // those charged
}

// Bound is a threshold that decides over a parcel: of its goods alone where nothing else is set.
type Bound struct {
	At      money.Amount
	Weight  measure.Weight // of the goods, in the place of an amount; 0 where it is not of that
	OfValue bool           // of the value for customs
	OfDuty  bool           // of the duty, or of it and the taxes
	OfTaxes bool
	Strict  bool // the threshold itself is above
	Above   bool // the parcel is
}

// Levy is a duty or a tax by rates of a base that is rounded over groups of lines. Each line has
// its part of a group's sum by what it adds to the base, or by its pieces where none adds any.
type Levy struct {
	Tax                      bool
	OnDuty                   bool              // a tax: the duty is in the base
	Freight, Insurance, Fees bool              // what is in the base beside the value for customs
	Groups                   []int             // by line; -1 where it bears none
	Rates                    []decimal.Decimal // of the groups, as fractions
	Flat                     money.Amount      // in the place of rates, for each group
	Base, Amount             Rounding
}

// Rounding is to a whole multiple of a step, in minor units.
type Rounding struct {
	Step int64
	Mode money.Mode
}

// Fee is what a parcel pays beside; where Always is not set it falls away once there is no duty and
// no tax.
type Fee struct {
	What    string
	Amount  money.Amount
	Always  bool
	Percent decimal.Decimal // of the value for customs, as a fraction; 0 where the fee is a sum
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
	// How it counts in the value for customs: as a price, or not at all; else as its kind does.
	AsGoods, NotDutiable bool
}
