package customs

import (
	"cmp"
	"fmt"
	"math/big"
	"math/bits"
	"strconv"
	"strings"

	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// ratio is an exact rate, num/den. The zero value is no rate.
type ratio struct{ num, den uint64 }

// perUnit is the denominator of every rate that is not written as a fraction:
// a percentage with seven decimals.
const perUnit = 1e9

// maxRate is the highest rate that is taken: 1000 %.
const maxRate = 10 * perUnit

var whole = ratio{perUnit, perUnit}

func (r ratio) less(o ratio) bool {
	return mul(r.num, o.den).cmp(mul(o.num, r.den)) < 0
}

// ratioOf makes a ratio of an exact fraction such as 0.027.
func ratioOf(d decimal.Decimal) (ratio, error) {
	if !writable(d) {
		return ratio{}, &RateError{percentText(d), "is no rate", "write a rate from 0 % to 1000 % with at most seven decimals"}
	}
	scaled := d.Shift(9)
	fail := func(reason, remedy string) (ratio, error) {
		return ratio{}, &RateError{percentText(d), reason, remedy}
	}
	switch {
	case d.Sign() < 0:
		return fail("is below zero", "write a rate of 0 % or more")
	case scaled.NumDigits()+int(scaled.Exponent()) > 11 || scaled.Cmp(highestRate) > 0:
		return fail("is above 1000 %", "check the decimal point")
	case !scaled.IsInteger():
		return fail("has more than seven decimals", "round it to seven")
	}
	return ratio{uint64(scaled.IntPart()), perUnit}, nil
}

// writable reports whether a number is of a size that can be written out: a
// decimal may have two thousand million zeros.
func writable(d decimal.Decimal) bool { return d.Exponent() >= -99 && d.Exponent() <= 99 }

// numberText prints any number, percentText any fraction as a percentage.
func numberText(d decimal.Decimal) string {
	if !writable(d) {
		return fmt.Sprintf("%se%d", d.Coefficient(), d.Exponent())
	}
	return d.String()
}

func percentText(d decimal.Decimal) string {
	if !writable(d) {
		return numberText(d.Shift(2)) + "%"
	}
	return money.FormatPercent(d)
}

var highestRate = decimal.NewFromInt(maxRate)

// parseRatio reads "4 %" or a fraction of two whole numbers, "22/78".
func parseRatio(s string) (ratio, error) {
	var r ratio
	if strings.Contains(s, "/") {
		if n, _ := fmt.Sscanf(s, "%d/%d", &r.num, &r.den); n != 2 || r.den == 0 || r.num > r.den || r.den > perUnit || fmt.Sprintf("%d/%d", r.num, r.den) != s {
			return ratio{}, &RateError{s, "is no fraction", "write a percentage, or a part of a whole as in 22/78"}
		}
		return r, nil
	}
	d, err := money.ParsePercent(s)
	if err != nil {
		return ratio{}, err
	}
	return ratioOf(d)
}

func (r ratio) String() string {
	if r.den != perUnit {
		return fmt.Sprintf("%d/%d", r.num, r.den)
	}
	const percent = perUnit / 100
	s := strconv.FormatUint(r.num/percent, 10)
	if part := r.num % percent; part != 0 {
		s += "." + strings.TrimRight(strconv.FormatUint(percent+part, 10)[1:], "0")
	}
	return s + "%"
}

// u128 is an unsigned integer of 128 bits.
type u128 struct{ hi, lo uint64 }

func mul(a, b uint64) u128 {
	hi, lo := bits.Mul64(a, b)
	return u128{hi, lo}
}

// times is x·m; it reports false when that does not fit.
func (x u128) times(m uint64) (u128, bool) {
	over, hi := bits.Mul64(x.hi, m)
	carry, lo := bits.Mul64(x.lo, m)
	hi, c := bits.Add64(hi, carry, 0)
	return u128{hi, lo}, over == 0 && c == 0
}

func (x u128) plus(y u128) (u128, bool) {
	lo, c := bits.Add64(x.lo, y.lo, 0)
	hi, over := bits.Add64(x.hi, y.hi, c)
	return u128{hi, lo}, over == 0
}

func (x u128) cmp(y u128) int {
	if x.hi != y.hi {
		return cmp.Compare(x.hi, y.hi)
	}
	return cmp.Compare(x.lo, y.lo)
}

func (x u128) big() *big.Int {
	b := new(big.Int).SetUint64(x.hi)
	return b.Lsh(b, 64).Or(b, new(big.Int).SetUint64(x.lo))
}

// round divides by den and rounds once to a whole multiple of step. It reports
// false when the result is no amount.
func (x u128) round(den uint64, step int64, mode money.Mode) (int64, bool) {
	if x.hi >= den {
		return 0, false
	}
	q, r := bits.Div64(x.hi, x.lo, den)
	s := uint64(max(step, 1))
	left := q % s
	q -= left
	// What is left over is left + r/den, to be compared with half a step.
	rest, _ := mul(left, den).plus(u128{0, r})
	up := false
	switch twice, _ := rest.plus(rest); mode {
	case money.Up:
		up = rest != u128{}
	case money.HalfAway:
		up = twice.cmp(mul(s, den)) >= 0
	case money.HalfEven:
		half := twice.cmp(mul(s, den))
		up = half > 0 || half == 0 && q/s%2 == 1
	}
	if up {
		q += s
	}
	return int64(q), q <= maxMoney
}
