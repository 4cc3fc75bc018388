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
	Name       string
	Currency   money.Currency
	Zones      []Zone
	Volumetric Volumetric
	RoundTo    measure.Weight // billed weights are whole multiples of it; 0 rounds nothing
	Minimum    measure.Weight // the least weight billed
	Limits     Limits
	Rolls      *Limits      // for a roll sent by itself; nil when rolls are taken as other parcels are
	PerParcel  money.Amount // for each parcel, beside the postage
	Fuel       Fuel
	Insurance  Insurance
	Refuses    []string  // contents that are not taken, such as "lithium cells"; letter case does not matter
	Days       Days      // in transit
	From       time.Time // first day of these prices, at 00:00 UTC; zero when always
	Until      time.Time // last day, inclusive; zero when open
	At         source.Origin
}

// Zone is the price table for some destinations.
type Zone struct {
	Name    string // as the caller asks for it; "" serves every zone that has no table of its own
	Steps   []Step // at least one, by rising weight
	Further Further
	At      source.Origin
}

// Step is the price of a parcel up to and including a billed weight.
type Step struct {
	UpTo  measure.Weight
	Price money.Amount
}

// Further is the price of each unit of weight begun beyond the last step. A
// tariff of "first 500 g, then each further 500 g" is one step and a Further.
// Without Each, nothing heavier than the last step is taken.
type Further struct {
	Each  measure.Weight
	Price money.Amount
}

// Volumetric says how a parcel's volume counts as weight.
type Volumetric struct {
	Divisor int64 // cm3 per kg, such as 5000; 250 kg per m3 is 4000; 0 when volume does not count
	Billed  Billed
	WholeTo measure.Length // each side is first rounded up to a whole multiple, such as 1 cm; 0 rounds nothing
}

// Billed says which weight a service bills.
type Billed uint8

// The weights that are billed. A service without a divisor bills the actual one.
const (
	Actual     Billed = iota // what the scale shows
	VolumeOnly               // the volumetric weight, however heavy the parcel
	Greater                  // the greater of the two
)

var billedNames = []string{"actual", "volumetric", "greater"}

// String returns the word used in files.
func (b Billed) String() string { return nameOf(billedNames, b) }

// Limits are what a parcel may be at most. A limit of zero, or without a
// currency, is none. Limits look at the actual weight and the true sides.
type Limits struct {
	Weight          measure.Weight
	Longest         measure.Length // the longest side
	LengthPlusGirth measure.Length // see [measure.Size.LengthPlusGirth]
	SumOfSides      measure.Length // a roll's is its length plus twice its diameter
	Tolerance       measure.Length // by which each length may pass its limit
	Value           money.Amount
}

// Fuel is a surcharge in proportion to what the transport costs.
type Fuel struct {
	Rate decimal.Decimal // a fraction: 0.125 is 12.5 %
	Of   FuelBase
}

// FuelBase says what the fuel surcharge is a fraction of. It never counts
// insurance.
type FuelBase uint8

// The bases of a fuel surcharge.
const (
	OfPostage          FuelBase = iota // the price by weight alone
	OfPostageAndParcel                 // the price by weight and the charge per parcel
)

var fuelNames = []string{"postage", "postage and parcel"}

// String returns the word used in files.
func (f FuelBase) String() string { return nameOf(fuelNames, f) }

// Insurance is what covering the value of a parcel costs: by steps of value, or
// as a fraction of it. The zero value is a service that covers nothing.
type Insurance struct {
	Steps   []Cover // by rising value; beyond the last nothing is covered unless Further is given
	Further FurtherCover
	Rate    decimal.Decimal // a fraction of the value, instead of steps
	Least   money.Amount    // the least that Rate asks
}

// Offered reports whether the service insures anything at all.
func (n *Insurance) Offered() bool { return len(n.Steps) > 0 || !n.Rate.IsZero() }

// Cover is the price of insuring a parcel up to and including a value.
type Cover struct{ UpTo, Price money.Amount }

// FurtherCover is the price of each unit of value begun beyond the last step.
type FurtherCover struct{ Each, Price money.Amount }

// Days are the shortest and the longest time in transit, in days.
type Days struct{ Min, Max int }

func nameOf[T ~uint8](names []string, v T) string {
	if int(v) < len(names) {
		return names[v]
	}
	return "unknown"
}
