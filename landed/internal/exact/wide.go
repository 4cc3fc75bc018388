package exact

import (
	"cmp"
	"math/big"
	"math/bits"
)

// Wide is a whole number of up to 128 bits, not below zero.
type Wide struct{ hi, lo uint64 }

// Product is a x b.
func Product(a, b uint64) Wide {
	hi, lo := bits.Mul64(a, b)
	return Wide{hi, lo}
}

// Times is x·m, and whether it fits.
func (x Wide) Times(m uint64) (Wide, bool) {
	over, hi := bits.Mul64(x.hi, m)
	carry, lo := bits.Mul64(x.lo, m)
	hi, c := bits.Add64(hi, carry, 0)
	return Wide{hi, lo}, over == 0 && c == 0
}

// Plus is x + y, and whether it fits.
func (x Wide) Plus(y Wide) (Wide, bool) {
	lo, c := bits.Add64(x.lo, y.lo, 0)
	hi, over := bits.Add64(x.hi, y.hi, c)
	return Wide{hi, lo}, over == 0
}

// Cmp is -1, 0 or 1 where x is less than y, as much, or more.
func (x Wide) Cmp(y Wide) int {
	if x.hi != y.hi {
		return cmp.Compare(x.hi, y.hi)
	}
	return cmp.Compare(x.lo, y.lo)
}

// Div is x / c rounded down and what is left over, and whether the quotient fits 64 bits. It does
// not fit where c is 0.
func (x Wide) Div(c uint64) (q, rest uint64, ok bool) {
	if x.hi >= c {
		return 0, 0, false
	}
	q, rest = bits.Div64(x.hi, x.lo, c)
	return q, rest, true
}

// Big is x, of any size.
func (x Wide) Big() *big.Int {
	b := new(big.Int).SetUint64(x.hi)
	return b.Lsh(b, 64).Or(b, new(big.Int).SetUint64(x.lo))
}
