package fx

import (
	"math/big"
	"strings"
	"sync"
	"time"
)

// latelyTable is what currencies were worth on one day, so that an equation can be held against
// something where no table is at hand: euro foreign exchange reference rates of the European
// Central Bank (testdata/rates/eurofxref-2025.csv). The Turkish lira is left out: it fell to a
// tenth within a few years (from memory).
const latelyTable = `Date,USD,JPY,BGN,CZK,DKK,GBP,HUF,PLN,RON,SEK,CHF,ISK,NOK,AUD,BRL,CAD,CNY,HKD,IDR,ILS,INR,KRW,MXN,MYR,NZD,PHP,SGD,THB,ZAR
2025-05-09,1.1252,163.36,1.9558,24.946,7.4604,0.8477,404.9,4.2393,5.1181,10.92,0.9353,146.9,11.6725,1.7572,6.3647,1.5658,8.147,8.7519,18606.59,3.9928,96.0755,1575.72,21.9473,4.835,1.9095,62.413,1.46,37.132,20.4835
`

var known = sync.OnceValue(func() *Table {
	t, err := ReadTable(strings.NewReader(latelyTable), Window{On: time.Date(2025, time.May, 9, 0, 0, 0, 0, time.UTC), Name: "the table of 9 May 2025 that comes with lotcost"})
	if err != nil {
		panic(err) // the tests would have found it
	}
	return t
})

// Lately tells about what so many units of a currency were worth in another on the day of the table
// that comes with the package, for examples; "" where it does not say.
func Lately(units int64, from, to Code) string {
	r, err := known().rate(from, to)
	if err != nil {
		return ""
	}
	worth := r.Rat()
	return about(worth.Mul(worth, new(big.Rat).SetInt64(units)))
}

// slipped is how many times a figure is off another at least once its decimal point has slipped:
// below ten, and above what the currencies of that table may do in some years. Common practice, no
// source.
var slipped = big.NewRat(6, 1)

// Slipped reports whether a figure that is so many times another is off it as much as a slipped
// decimal point makes it.
func Slipped(ratio *big.Rat) bool {
	return ratio.Cmp(slipped) >= 0 || ratio.Cmp(new(big.Rat).Inv(slipped)) <= 0
}

// againstKnown returns an error, of what is strange alone, when an equation is off what its
// currencies were worth lately by as much as a slipped point makes.
func (e Equation) againstKnown() *EquationError {
	r, err := known().rate(e.Left, e.Right)
	if err != nil || !Slipped(e.times(r)) {
		return nil
	}
	return e.off(r, true)
}
