package money

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"

	"lotcost/landed/internal/exact"

	"github.com/shopspring/decimal"
)

// ErrOverflow tells that a result lies outside the range of an [Amount].
var ErrOverflow = errors.New("amount is too large to be held exactly")

// MismatchError tells that amounts of two currencies met where one currency is
// needed.
type MismatchError [2]Currency

// Error names both currencies.
func (e MismatchError) Error() string {
	return fmt.Sprintf("%s and %s cannot be added: convert one of them first", e[0], e[1])
}

// Amount is a sum of money: whole minor units of one currency. It may be
// negative (a refund). Amounts are comparable with ==.
type Amount struct {
	minor int64
	cur   Currency
}

// New makes an amount of so many minor units: New(3864, CAD) is 38.64 CAD.
func New(minor int64, c Currency) Amount { return Amount{minor, c} }

// Minor returns the amount in minor units.
func (a Amount) Minor() int64 { return a.minor }

// Currency returns the currency of the amount.
func (a Amount) Currency() Currency { return a.cur }

// Sign returns -1, 0 or +1.
func (a Amount) Sign() int {
	return cmp.Compare(a.minor, 0)
}

// Add returns a + b. It returns a [MismatchError] unless both have the same
// currency, and [ErrOverflow] when the sum does not fit.
func (a Amount) Add(b Amount) (Amount, error) {
	if a.cur != b.cur {
		return Amount{}, MismatchError{a.cur, b.cur}
	}
	s := a.minor + b.minor
	if (s > a.minor) != (b.minor > 0) {
		return Amount{}, ErrOverflow
	}
	return Amount{s, a.cur}, nil
}

// Sub returns a - b, with the errors of [Amount.Add].
func (a Amount) Sub(b Amount) (Amount, error) {
	if a.cur != b.cur {
		return Amount{}, MismatchError{a.cur, b.cur}
	}
	d := a.minor - b.minor
	if (d < a.minor) != (b.minor > 0) {
		return Amount{}, ErrOverflow
	}
	return Amount{d, a.cur}, nil
}

// Times returns n x a, or [ErrOverflow].
func (a Amount) Times(n int64) (Amount, error) {
	product, ok := exact.Mul(a.minor, n)
	if !ok {
		return Amount{}, ErrOverflow
	}
	return Amount{product, a.cur}, nil
}

// Cmp compares two amounts of one currency as integers are compared; amounts
// of different currencies are ordered by currency, which only serves sorting.
func (a Amount) Cmp(b Amount) int {
	if a.cur != b.cur {
		return int(a.cur) - int(b.cur)
	}
	return cmp.Compare(a.minor, b.minor)
}

// Decimal returns the amount in major units, exactly.
func (a Amount) Decimal() decimal.Decimal {
	return decimal.New(a.minor, -int32(a.cur.Digits()))
}

// Number prints the amount without its currency, with exactly the digits of
// the currency: "38.64", "4200" for yen, "-0.05".
func (a Amount) Number() string {
	var buf [24]byte
	return string(a.AppendNumber(buf[:0]))
}

// Said prints the amount as a sentence has it in which the currency is known: without it, but where
// no decimals tell an amount from a count, a year or the number of a lot: "38.64", "4200 JPY".
func (a Amount) Said() string {
	var buf [28]byte
	return string(a.appendSaid(buf[:0]))
}

// appendSaid is a call for the reason that [Amount.AppendNumber] is.
//
//go:noinline
func (a Amount) appendSaid(dst []byte) []byte {
	dst = a.AppendNumber(dst)
	if a.cur != 0 && a.cur.Digits() == 0 {
		dst = append(append(dst, ' '), a.cur.Code()...)
	}
	return dst
}

// AppendNumber appends what [Amount.Number] prints. It stays a call, so that Number is none and its
// text, where it is only joined to another, takes no room of its own.
//
//go:noinline
func (a Amount) AppendNumber(dst []byte) []byte {
	return exact.AppendDecimal(dst, a.minor, a.cur.Digits())
}

// String prints the amount as "38.64 CAD"; [Parse] reads it back.
func (a Amount) String() string {
	if a.cur == 0 {
		return strconv.FormatInt(a.minor, 10)
	}
	var buf [28]byte
	return string(append(append(a.AppendNumber(buf[:0]), ' '), a.cur.Code()...))
}
