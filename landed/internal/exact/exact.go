// Package exact multiplies and divides whole numbers through 128 bits, so that nothing is rounded
// or lost on the way. What does not fit is reported, never wrapped.
package exact

import (
	"math"
	"math/bits"
	"slices"

	"github.com/shopspring/decimal"
)

// mostDigits and mostBits bound the numbers that anything is done with: a hostile exponent would
// ask for one that fills the memory.
const mostDigits, mostBits = 40, 256

// IsBounded reports whether a number can be worked with.
func IsBounded(d decimal.Decimal) bool {
	return d.Exponent() >= -mostDigits && d.Exponent() <= mostDigits && (d.NumDigits() < len(powers) || d.Coefficient().BitLen() <= mostBits)
}

// powers are those of ten that an int64 holds with certainty.
var powers = [18]int64{1, 10, 100, 1000, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17}

// PowerOfTen is 10^n, for n from 0 to 17.
func PowerOfTen(n int) int64 { return powers[n] }

// IsFraction reports whether a number is from 0 to 1, and can be worked with.
func IsFraction(d decimal.Decimal) bool {
	if places := -int(d.Exponent()); places >= 0 && places < len(powers) && d.NumDigits() < len(powers) {
		n := d.CoefficientInt64()
		return n >= 0 && n <= powers[places]
	}
	return IsBounded(d) && d.Sign() >= 0 && d.LessThanOrEqual(decimal.NewFromInt(1))
}

// Magnitude is |n|, the least int64 included.
func Magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// Digits is how many decimal digits a number has: one for 0.
func Digits(n uint64) int {
	least := bits.Len64(n|1) * 1233 >> 12 // the logarithm of 2 is 1233/4096
	switch {
	case least < len(powers) && n >= uint64(powers[least]):
		return least + 1
	case least == 18 && n >= 1e18, least == 19 && n >= 1e19:
		return least + 1
	}
	return max(least, 1)
}

// AppendDecimal appends a number of the last of so many decimals, with all of them: -5 of two is
// -0.05.
func AppendDecimal(dst []byte, n int64, decimals int) []byte {
	if n < 0 {
		dst = append(dst, '-')
	}
	left := Magnitude(n)
	length := max(Digits(left), decimals+1)
	if decimals > 0 {
		length++
	}
	first := len(dst)
	dst = slices.Grow(dst, length)[:first+length]
	for at, place := len(dst)-1, 0; at >= first; at, place = at-1, place+1 { // from the last digit on
		if place == decimals && decimals > 0 {
			dst[at] = '.'
			at--
		}
		dst[at] = '0' + byte(left%10)
		left /= 10
	}
	return dst
}

// Mul is a x b, and whether it fits.
func Mul(a, b int64) (int64, bool) {
	hi, lo := bits.Mul64(Magnitude(a), Magnitude(b))
	switch {
	case hi != 0:
		return 0, false
	case (a < 0) != (b < 0):
		return -int64(lo), lo <= 1<<63
	}
	return int64(lo), lo <= math.MaxInt64
}

// Sum adds up numbers, held at the bounds of an int64, and tells whether it was in them.
func Sum(ns ...int64) (int64, bool) {
	// A high and a low half of up to 2^31 numbers cannot overflow.
	var high, low int64
	for _, n := range ns {
		high += n >> 32
		low += n & math.MaxUint32
	}
	high += low >> 32
	switch {
	case high > math.MaxInt32:
		return math.MaxInt64, false
	case high < math.MinInt32:
		return math.MinInt64, false
	}
	return high<<32 | low&math.MaxUint32, true
}

// High is a x b / 2^64, rounded down.
func High(a, b uint64) uint64 {
	hi, _ := bits.Mul64(a, b)
	return hi
}

// Fraction64 is n / den in units of 2^-64, rounded down, for n below den.
func Fraction64(n, den uint64) uint64 {
	q, _ := bits.Div64(n, 0, den)
	return q
}

// MulShift is a x b / 2^n rounded down, for n from 1 to 63, wrapping where it does not fit.
func MulShift(a, b int64, n uint) int64 {
	hi, lo := bits.Mul64(uint64(a), uint64(b))
	// Mul64 is unsigned: take off what it adds for negative factors.
	hi -= uint64(a>>63)&uint64(b) + uint64(b>>63)&uint64(a)
	return int64(hi<<(64-n) | lo>>n)
}

// MulDiv is a x b / c rounded down and what is left over, and whether the quotient fits. It does
// not fit where c is 0.
func MulDiv(a, b, c uint64) (q, rest uint64, ok bool) { return Product(a, b).Div(c) }

// MulDivUp is a x b / c rounded up, and whether it fits.
func MulDivUp(a, b, c uint64) (uint64, bool) {
	q, rest, ok := MulDiv(a, b, c)
	if rest > 0 {
		q++
	}
	return q, ok && (q > 0 || rest == 0)
}

// MulDivHalf is a x b / c rounded to the nearest, halves up, and whether it fits.
func MulDivHalf(a, b, c uint64) (uint64, bool) {
	q, rest, ok := MulDiv(a, b, c)
	if up := ok && rest >= c-rest; up {
		q++
		ok = q > 0
	}
	return q, ok
}
