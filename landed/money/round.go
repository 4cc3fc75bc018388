package money

import (
	"math"
	"math/big"

	"lotcost/landed/internal/exact"

	"github.com/shopspring/decimal"
)

// Mode says which of the two neighbouring minor units an amount between them goes to.
type Mode uint8

// The modes. The zero value is the one this project rounds by.
const (
	HalfAway Mode = iota // the nearer; an exact half away from zero
	Down                 // towards zero
	Up                   // away from zero
	HalfEven             // the nearer; an exact half to the even one
)

// Round makes an amount of currency c from the exact quotient num/den, in
// major units, rounded once, half away from zero, to the minor unit. It
// returns [ErrOverflow] when the result does not fit or den is zero.
func Round(num, den decimal.Decimal, c Currency) (Amount, error) { return HalfAway.Round(num, den, c) }

// Round is the function [Round], rounding as the mode says.
func (m Mode) Round(num, den decimal.Decimal, c Currency) (Amount, error) {
	if den.IsZero() {
		return Amount{}, ErrOverflow
	}
	n, d := num.Coefficient(), den.Coefficient()
	shift := int64(num.Exponent()) - int64(den.Exponent()) + int64(c.Digits())
	switch about := log2(n, d, shift); {
	case n.Sign() == 0:
		return Amount{0, c}, nil
	case about > farBits:
		return Amount{}, ErrOverflow
	case about < -farBits: // nearer to nothing than to a half: a quarter rounds alike
		n, d = big.NewInt(int64(n.Sign())), big.NewInt(int64(4*d.Sign()))
	case shift >= 0:
		n.Mul(n, pow10(shift))
	default:
		d.Mul(d, pow10(-shift))
	}
	q := m.quotient(n, d)
	if !q.IsInt64() {
		return Amount{}, ErrOverflow
	}
	return Amount{q.Int64(), c}, nil
}

// Convert makes an amount of currency c of a x factors / den, in major units, rounded once, half
// away from zero, to the minor unit: as [Round] would, and without room of its own where 128 bits
// suffice. It returns [ErrOverflow] when the result does not fit or den is zero.
func Convert(a Amount, c Currency, den decimal.Decimal, factors ...decimal.Decimal) (Amount, error) {
	if minor, ok := quotient128(a, c, den, factors); ok {
		return Amount{minor, c}, nil
	}
	product := a.Decimal()
	for _, f := range factors {
		product = product.Mul(f)
	}
	return Round(product, den, c)
}

// quotient128 reports false where it takes more than 128 bits, or the result does not fit.
func quotient128(a Amount, c Currency, den decimal.Decimal, factors []decimal.Decimal) (int64, bool) {
	x, negative := exact.Product(exact.Magnitude(a.minor), 1), a.minor < 0
	shift := int64(c.Digits()) - int64(a.cur.Digits()) - int64(den.Exponent())
	ok := isShort(den) && den.Sign() > 0
	for _, f := range factors {
		ok = ok && isShort(f)
		n, fits := f.CoefficientInt64(), false
		x, fits = x.Times(exact.Magnitude(n))
		ok, negative, shift = ok && fits, negative != (n < 0), shift+int64(f.Exponent())
	}
	if !ok || shift < -shortDigits || shift > shortDigits {
		return 0, false
	}
	d, up := den.CoefficientInt64(), exact.PowerOfTen(int(max(shift, 0)))
	d, fits := exact.Mul(d, exact.PowerOfTen(int(max(-shift, 0))))
	x, ok = x.Times(uint64(up))
	q, rest, whole := x.Div(uint64(d))
	if !ok || !fits || !whole || q >= math.MaxInt64 {
		return 0, false
	}
	if rest >= uint64(d)-rest {
		q++
	}
	if negative {
		return -int64(q), true
	}
	return int64(q), true
}

// shortDigits are what an int64 holds of any number.
const shortDigits = 17

func isShort(d decimal.Decimal) bool { return d.NumDigits() <= shortDigits }

// farBits is beyond the range of an amount, with room for what log2 is off.
const farBits = 256

// log2 estimates the binary logarithm of n/d x 10^shift, so that a hostile
// exponent is known for what it is before any power of ten is raised.
func log2(n, d *big.Int, shift int64) int64 {
	const num, den = 3322, 1000 // log2(10) to four digits
	return int64(n.BitLen()) - int64(d.BitLen()) + shift*num/den
}

func pow10(n int64) *big.Int { return new(big.Int).Exp(big.NewInt(10), big.NewInt(n), nil) }

// quotient divides and rounds to a whole number.
func (m Mode) quotient(n, d *big.Int) *big.Int {
	q, rem := new(big.Int).QuoRem(n, d, new(big.Int))
	if rem.Sign() == 0 {
		return q
	}
	away := false
	twice := new(big.Int).Lsh(rem, 1)
	switch half := twice.CmpAbs(d); m {
	case Up:
		away = true
	case HalfAway:
		away = half >= 0
	case HalfEven:
		away = half > 0 || half == 0 && q.Bit(0) == 1
	}
	if away {
		q.Add(q, big.NewInt(int64(n.Sign()*d.Sign())))
	}
	return q
}
