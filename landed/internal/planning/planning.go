// Package planning is what planners ask of a haul many thousands of times. Package landed answers,
// with the code that shares a haul.
package planning

import (
	"math/big"

	"lotcost/landed/internal/floor"
	"lotcost/landed/money"
)

// Parcels tells what it would cost to send some lots of a haul in one parcel.
type Parcels interface {
	// FixedCost is what the haul costs apart from its parcels: prices, premiums, and charges that
	// are not asked for each parcel.
	FixedCost() money.Amount
	// Additive reports whether the parcels' answers sum to Split's total for any division of the
	// lots. They may not where a rule of the border counts several parcels together by what
	// depends on the division itself: freight, charges for each parcel that are part of the
	// goods' value, or mixed parcels of several sellers.
	Additive() bool
	// CountsFreight reports whether what the border asks may depend on the carriage. Where it
	// does not, a parcel costs what it would for nothing, and the carriage converted to home
	// line by line.
	CountsFreight() bool
	// Parcel is what sending some lots, by their places in the haul, in one parcel costs in home:
	// freight, insurance and fees asked for it, charges asked for each parcel, duty, tax and border
	// fees. The other lots are taken to travel apart from them on the same day, for rules that
	// count them together. The errors are [source.Faults], or those of [customs.Assess].
	Parcel(lots []int, freight, insurance, fees money.Amount) (money.Amount, error)
	// At gives some lots, by their places in the haul and the same in each call, other prices:
	// from then on Parcel, of lots in rising order, and FixedCost answer as for the haul at
	// them. It reports false where it takes another Parcels; then it is not to be asked again.
	// The errors are those of Split.
	At(lots []int, prices []money.Amount) (bool, error)
	// Terms are what a lot, by its place among those that [Parcels.At] gives other prices, is worth
	// at the border at a price, by class of goods. It reports false where the border looks at more
	// than the sums of these over a parcel, or where charges follow the prices.
	Terms(n int, price money.Amount) ([]int64, bool, error)
	// BySums makes ready to tell what Parcel would say where the terms of the lots that have
	// other prices sum to some figures, and the parcels that count together with it to another,
	// as in Beside, at the prices of the last call of [Parcels.At] besides. Where some of those
	// lots that are not in the parcel are not in the haul either, others bear more of its
	// charges: it is what Parcel would say then at least, and at most. It reports false where
	// that is not told by sums. What it returns is good until At is called again.
	BySums(lots []int, freight, insurance, fees money.Amount) (func(sums []int64, together int64) (BySums, error), bool)
	// Rounded is how far roundings may move what BySums tells off what is linear in the sums,
	// in minor units of home, where Trail is the same; what it then rises by at most for a unit
	// of a sum; and whether it never falls as a sum rises and Trail stays.
	Rounded() (most int64, steepest *big.Rat, rises bool, err error)
	// Together tells what rules of the border look at beyond one parcel. It reports false where
	// that is more than one sum.
	Together() (Together, bool)
	// Counts is what some lots in one parcel are in that sum, at prices of nothing, at least
	// and at most; as with BySums, some others may not be in the haul. The terms of a lot that
	// has a price are added to it.
	Counts(lots []int, freight, insurance, fees money.Amount) (least, most int64, err error)
	// Beside is Parcel where the parcels that count with it come to so much, itself included,
	// or to no more than itself where that is more.
	Beside(lots []int, freight, insurance, fees money.Amount, sum int64) (money.Amount, error)
	// Same reports whether the border looks at two lots in the same way, item by item: alike as
	// they are, their shares in what is paid for several may differ by a minor unit.
	Same(a, b int) bool
	// Charged is what charges for each parcel come to at least, in exact minor units of home: so
	// much for any, and so much more for each lot in it.
	Charged() (parcel *big.Rat, each []*big.Rat, err error)
	// Floors are what Parcel says at least of the border, by lot and in minor units of home,
	// the measure of each lot and what it weighs where freight is shared, nil where that is not
	// known, to rule out most parcels without asking. The carriage may be
	// asked for in any of the currencies given, and comes to so much in home at most: freight,
	// insurance and fees together; math.MaxInt64 where that is not known. There are none
	// without a border, or where what a parcel is worth hangs on the parcel.
	Floors(carriage []money.Currency, most int64) (floors []floor.Floor, measure, bearing []int64, err error)
}

// BySums is what a parcel costs. Where the trails of two sums are the same, so is that of all
// between them.
type BySums struct {
	Least, Most int64 // in minor units of home
	Trail       uint64
}

// Together is a sum over several parcels that rules of the border look at: of all that hold
// goods of one seller, or else of all. The zero value is none.
type Together struct {
	Turns    []int64 // up to each, and above it, the rules may differ; rising, in minor units of the territory
	BySeller bool
	Carriage bool // what the carriage costs is in the sum
}

// Side is how many of the turns a sum is above.
func (t *Together) Side(sum int64) int {
	side := 0
	for side < len(t.Turns) && sum > t.Turns[side] {
		side++
	}
	return side
}

// Least is what a sum on a side comes to at least.
func (t *Together) Least(side int) int64 {
	if side == 0 {
		return 0
	}
	return t.Turns[side-1] + 1
}

// Ways tells what the least-cost way to send a haul comes to at other prices of some of its lots.
// It is not safe for concurrent use.
type Ways interface {
	// Total is what the haul then costs at some prices of the lots that change, in their order. It
	// reports false where no services take all lots.
	Total(prices []money.Amount) (money.Amount, bool, error)
	// Parcels is how many parcels each answer prices.
	Parcels() int
}

// Bounds tells between which figures lies what it costs to send some lots of a haul in the
// least-cost way, at prices of which each is one of a list and in a cell with others: the sum of
// what each price adds, and a rest that depends on the cells alone. It takes for granted that no
// parcel costs less as a price rises.
type Bounds interface {
	// Adds is what a price of a lot adds, in minor units of home; both by their places.
	Adds(lot, price int) int64
	// Cell is where a price of a lot is, from 1 on; a higher price is in no lower one.
	Cell(lot, price int) int
	// Rest is between which figures the rest lies, with lots in some cells, 0 being left out,
	// and all lots whose prices do not change: parcels alone, no prices nor charges. It reports
	// false where no services take them.
	Rest(cells []int64) (least, most int64, ok bool)
	// Least is the least of Rest over the cells of some lots, as bits.
	Least(lots int) (int64, bool)
}

// Border assesses one set of parcels P after the other by the same rules, as A, without telling how
// the sums come about. It is not safe for concurrent use.
type Border[P, F, A any] interface {
	// Parcel is what Assess would say of the first of some parcels, those of one day. The fees are
	// good until it is asked again. The errors are those of Assess, but that lines are not checked
	// again.
	Parcel(parcels []P) (duty, tax money.Amount, fees []F, err error)
	// Last is what Assess would say of the parcel that was asked about last, but for its lines. It
	// reports false where the value for customs is rounded line by line, and one line may stand for
	// several.
	Last() (A, bool)
	// Trail tells apart the ways that were taken for the parcel asked about last where figures
	// decide: what its goods are worth, or what is charged on them.
	Trail() uint64
	// Rounded is how far, in minor units, roundings may move what Parcel says off a sum that is
	// linear in the values of the lines, as long as Sums holds and Trail is the same; what that
	// sum then rises by at most for a unit of value; and whether what is said never falls as a
	// value rises.
	Rounded() (most, steepest *big.Rat, rises bool)
	// Floors are what any parcel of the lines is charged at least, duty, tax and fees together,
	// by the price of its goods and by line in the order of the parcels, in the rules'
	// currency: to rule out most divisions without an assessment. Freight, insurance and fees
	// of the lines themselves count where those of a parcel would; those of a parcel come to
	// so much together at most, math.MaxInt64 where that is not known. It is asked before
	// Parcel is, as Divisible is.
	Floors(most int64) []floor.Floor
	// Divisible reports whether the parcels of the lines are charged the same whatever becomes
	// of the others: where rules look beyond one parcel, what they look at lies on one side of
	// their bounds however the lines travel.
	Divisible() bool
	// Together tells what rules look at beyond one parcel, by the price of the goods or what
	// else is in the value for customs before a part of it is taken. It reports false where
	// that is more than one sum, or where what a sum is made of hangs on the parcel.
	Together() (Together, bool)
	// Counts is what a parcel is in that sum, once Together was asked.
	Counts(p *P) int64
	// Sums reports whether what Parcel says of a single parcel depends on its lines only
	// through the sums, over those of one class, of values and of all else that lines have, so
	// that one line may stand for all of a class.
	Sums() bool
	// Values reports whether, where Sums holds, it looks at nothing but which classes there are and
	// the values of each: not at weights, numbers of pieces, freight or the like.
	Values() bool
}

// Prices tells what a haul in one parcel would cost at other prices of some of its lots. It is not
// safe for concurrent use.
type Prices interface {
	// Total is what the haul costs at some prices of the lots that change, in their order.
	Total(prices []money.Amount) (money.Amount, error)
	// Classes are what terms are sums over, in their order; none where charges follow the prices,
	// or the border does not go by classes.
	Classes() []string
	// Levies reports whether what the border asks depends on the classes and the terms alone, so
	// that it is the same for every haul at these terms, by the same rules, with some goods of each
	// of the same classes.
	Levies() bool
	// Fixed is what of the cost depends on no price, the border aside.
	Fixed() money.Amount
	// Rest is what the haul costs beside prices and premiums where the terms of all lots sum to
	// some figures, for the classes of the haul or of one that holds more lots. It reports
	// false where it takes the prices to tell.
	Rest(classes []string, terms []int64) (money.Amount, bool, error)
	// Terms tells how a price enters what the haul costs: two ways to price the lots cost the same,
	// the prices themselves and their premiums aside, where the terms of all lots sum to the same.
	// It is of a lot by its place among those whose prices change. It reports false where every
	// price counts by itself.
	Terms(n int, price money.Amount) ([]int64, bool, error)
}
