package bid

import (
	"math/big"
	"math/bits"

	"lotcost/landed/internal/exact"
)

// words are whole numbers of so many 64-bit words each, two's complement, the lowest word
// first: sums of chances and money over a common denominator. Callers see to it that all
// fit.
type words struct {
	each int
	of   []uint64
}

func newWords(each, n int) words { return words{each, make([]uint64, each*n)} }

func (x words) at(i int) []uint64 { return x.of[i*x.each : (i+1)*x.each : (i+1)*x.each] }

func addTimes(sum, a []uint64, times uint64) {
	var carry, high uint64
	for i := range sum {
		hi, lo := bits.Mul64(a[i], times)
		lo, c := bits.Add64(lo, high, 0)
		high = hi + c
		sum[i], carry = bits.Add64(sum[i], lo, carry)
	}
}

// sub makes a - b.
func sub(out, a, b []uint64) {
	var borrow uint64
	for i := range out {
		out[i], borrow = bits.Sub64(a[i], b[i], borrow)
	}
}

// compare is the sign of a - b.
func compare(a, b []uint64) int {
	last := len(a) - 1
	if x, y := int64(a[last]), int64(b[last]); x != y {
		if x < y {
			return -1
		}
		return 1
	}
	for i := last - 1; i >= 0; i-- {
		if a[i] != b[i] {
			if a[i] < b[i] {
				return -1
			}
			return 1
		}
	}
	return 0
}

func put(out []uint64, n *big.Int) {
	if n.Sign() < 0 {
		n = new(big.Int).Add(n, new(big.Int).Lsh(big.NewInt(1), uint(64*len(out))))
	}
	clear(out[copy(out, exact.Limbs(n)):])
}

func number(a []uint64) *big.Int {
	n := exact.Joined(a)
	if int64(a[len(a)-1]) < 0 {
		n.Sub(n, new(big.Int).Lsh(big.NewInt(1), uint(64*len(a))))
	}
	return n
}
