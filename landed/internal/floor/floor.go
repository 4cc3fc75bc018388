// Package floor holds what planners learn of a parcel before they ask what it costs.
package floor

import "math/big"

// Floor is what a parcel is charged at least, that holds any of some lots or lines whose measure,
// as the price of goods, and Counted of every unit of its freight come to no more than UpTo, of
// which Owing is no more than nothing, where that is given, and which no Floor before is for.
type Floor struct {
	UpTo    int64    // that of the last is not looked at, it has no end
	Counted *big.Rat // 0 or more
	Owing   *Levy
	Surely  bool // that of none that is in it asks less, though those beyond may for their freight
	Levy
}

// Levy is a sum that is asked of a parcel: Fixed, and Each of every lot or line in it, Share of
// every unit of freight and insurance that falls to it, OnFees of every unit of the parcel's other
// fees, and what Heads ask. All are exact, in minor units. Fixed may be below zero, and so may the
// sum, which as a charge says nothing then.
type Levy struct {
	Fixed  *big.Rat
	OnFees *big.Rat
	Each   []*big.Rat // 0 or more
	Share  []*big.Rat // 0 or more
	Heads  []Head
}

// Head is what is asked once, however many of some lots or lines a parcel holds, if any: as for
// their heading of a tariff. It may be below zero.
type Head struct {
	Of  []bool
	Sum *big.Rat
}
