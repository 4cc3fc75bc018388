package freight

import (
	"time"

	"lotcost/landed/measure"
	"lotcost/landed/money"
	"lotcost/landed/source"

	"github.com/shopspring/decimal"
)

// Service is what one carrier asks for one way of sending parcels. All amounts
// are in Currency; one without a currency is none. A service is read only by
// this package and may be shared.
type Service struct {
	Name      string          // unlike that of any other
	Currency  money.Currency  // of all its prices
	Zones     []Zone          // price tables, at least one
	Divisor   int64           // cm3 per kg, such as 5000; 250 kg per m3 is 4000; 0 when volume does not count
	Billed    Billed          // the weight that is billed; of one without a divisor the actual one
	WholeTo   measure.Length  // by volume each side is first rounded up to a multiple, such as 1 cm; 0 rounds nothing
	RoundTo   measure.Weight  // billed weights are whole multiples of it; 0 rounds nothing
	Minimum   measure.Weight  // the least weight billed
	Limits    Limits          // of boxes
	Rolls     *Limits         // for a roll sent by itself; nil when rolls are taken as other parcels are
	PerParcel money.Amount    // for each parcel, beside the postage
	Fuel      decimal.Decimal // surcharge, a fraction of the postage: 0.125 is 12.5 %; it never counts insurance
	FuelOnAll bool            // the surcharge counts the charge per parcel too
	Insurance Insurance       // what cover costs
	Refuses   []string        // contents that are not taken, such as "lithium cells"; letter case does not matter
	MinDays   int             // the shortest time in transit
	MaxDays   int             // the longest; 0 when not known
	From      time.Time       // first day of these prices, at 00:00 UTC; zero when always
	Until     time.Time       // last day, inclusive; zero when open
	At        source.Origin   // where it was typed
}

// Zone is the price table for some destinations.
type Zone struct {
	Name    string                       // as the caller asks for it; "" serves every zone that has no table of its own
	Steps   []money.Step[measure.Weight] // at least one, by rising weight billed
	Further money.Step[measure.Weight]   // each so much more; without it nothing heavier than the last step is taken
	At      source.Origin                // where it was typed
}

// Billed says which weight a service bills.
type Billed uint8

// The weights that are billed.
const (
	Actual     Billed = iota // what the scale shows
	VolumeOnly               // the volumetric weight, however heavy the parcel
	Greater                  // the greater of the two
)

// Limits are what a parcel may be at most. A limit of zero, or without a
// currency, is none. Limits look at the actual weight and the true sides.
type Limits struct {
	Weight          measure.Weight // of the packed box
	Longest         measure.Length // the longest side
	LengthPlusGirth measure.Length // the longest side plus twice the sum of the two others
	SumOfSides      measure.Length // a roll's is its length plus twice its diameter
	Tolerance       measure.Length // by which each length may pass its limit
	Value           money.Amount   // of what is in it, in the service's currency
}

// Insurance is what covering the value of a parcel costs: by steps of value, or
// as a fraction of it. The zero value is a service that covers nothing.
type Insurance struct {
	Steps   []money.Step[money.Amount] // by rising value
	Further money.Step[money.Amount]   // each so much more; without it nothing beyond the last step is covered
	Rate    decimal.Decimal            // a fraction of the value, instead of steps
	Least   money.Amount               // the least that Rate asks
}

// Packing is what the box and the stuffing add. The zero value adds nothing.
type Packing struct {
	Share   decimal.Decimal // of the lots' weight, a fraction; the result is rounded up to a nanogram
	Fixed   measure.Weight  // for each parcel, beside Share
	Padding measure.Length  // on each of the six sides, the wall of the box included
}

// Forwarder is what somebody asks who receives lots, keeps them and sends them on. All amounts are
// in one currency; one without a currency is none. A day is begun when a lot stays over night: a
// lot that leaves on the day it came was kept for none.
type Forwarder struct {
	PerParcel     money.Amount // for each parcel that leaves
	PerLot        money.Amount // for each lot received
	Consolidation money.Amount // for each parcel of more than one lot
	FreeDays      int          // that a lot is kept for nothing
	PerDay        money.Amount // for each day after them, by lot
	PerKilogram   bool         // PerDay is for each kilogram begun of a lot
}
