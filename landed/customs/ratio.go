package customs

import (
	"fmt"
	"strconv"
	"strings"

	"lotcost/landed/internal/exact"
	"lotcost/landed/money"

	"github.com/shopspring/decimal"
)

// ratio is an exact rate, num/den. The zero value is no rate.
type ratio struct{ num, den uint64 }

// perUnit is the denominator of every rate that is not written as a fraction: a percentage with
// seven decimals.
const perUnit = 1e9

// maxRate is the highest rate that is taken: 1000 %.
const maxRate = 10 * perUnit

var (
	whole       = ratio{perUnit, perUnit}
	highestRate = decimal.NewFromInt(maxRate)
)

func (r ratio) less(o ratio) bool {
	return exact.Product(r.num, o.den).Cmp(exact.Product(o.num, r.den)) < 0
}

// of is the ratio of a sum, to be rounded with the denominator.
func (r ratio) of(sum int64) exact.Wide { return exact.Product(uint64(sum), r.num) }

// ratioOf makes a ratio of an exact fraction such as 0.027.
func ratioOf(d decimal.Decimal) (ratio, error) {
	if r, ok := exact.NewRatio(d); ok && r.Den <= perUnit {
		if times := perUnit / r.Den; r.Num <= maxRate/times {
			return ratio{uint64(r.Num * times), perUnit}, nil
		}
	}
	fail := func(reason, remedy string) (ratio, error) { return ratio{}, parseError(percentText(d), reason, remedy) }
	if !writable(d) {
		return fail("is no rate", "write a rate from 0 % to 1000 % with at most seven decimals")
	}
	scaled := d.Shift(9)
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

// writable reports whether a number is of a size that can be written out: a decimal may have two
// thousand million zeros.
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

// parseRatio reads "4 %" or a fraction of two whole numbers, "22/78".
func parseRatio(s string) (ratio, error) {
	var r ratio
	if strings.Contains(s, "/") {
		if n, _ := fmt.Sscanf(s, "%d/%d", &r.num, &r.den); n != 2 || r.den == 0 || r.num > r.den || r.den > perUnit || fmt.Sprintf("%d/%d", r.num, r.den) != s {
			return ratio{}, parseError(s, "is no fraction", "write a percentage, or a part of a whole as in 22/78")
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

// round divides x by den and rounds once to a whole multiple of step. It reports false when the
// result is no amount.
func round(x exact.Wide, den uint64, step int64, mode money.Mode) (int64, bool) {
	q, r, ok := x.Div(den)
	if !ok {
		return 0, false
	}
	s := uint64(max(step, 1))
	left := q % s
	q -= left
	// What is left over is left + r/den, to be compared with half a step.
	rest, _ := exact.Product(left, den).Plus(exact.Product(r, 1))
	up := false
	switch twice, _ := rest.Plus(rest); mode {
	case money.Up:
		up = rest != exact.Wide{}
	case money.HalfAway:
		up = twice.Cmp(exact.Product(s, den)) >= 0
	case money.HalfEven:
		half := twice.Cmp(exact.Product(s, den))
		up = half > 0 || half == 0 && q/s%2 == 1
	}
	if up {
		q += s
	}
	return int64(q), q <= maxMoney
}
