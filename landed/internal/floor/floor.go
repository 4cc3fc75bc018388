// Package floor holds what planners learn of a parcel before they ask what it costs.
package floor

import "math/big"

// Floor is what a parcel is charged at least, that holds any of some lots or lines whose measure,
// as the price of goods, and Counted of every unit of its freight come to no more than UpTo, and
// which no Floor before is for: Fixed, and Each of every one in it, Share of every unit of freight
// and insurance that falls to it, OnFees of every unit of the parcel's other fees, Due of one that
// holds any that are Sure to owe something, and what Heads ask. All are exact, in minor units.
// Fixed may be below zero, and so may the sum, which says nothing then.
type Floor struct {
	UpTo    int64    // that of the last is not looked at, it has no end
	Counted *big.Rat // 0 or more
	Fixed   *big.Rat
	OnFees  *big.Rat
	Due     *big.Rat // 0 or more
	Sure    []bool
	Each    []*big.Rat // 0 or more
	Share   []*big.Rat // 0 or more
	Heads   []Head
}

// Head is what is asked once, however many of some lots or lines a parcel holds, if any: as for
// their heading of a tariff. It may be below zero.
type Head struct {
	Of  []bool
	Sum *big.Rat
}
