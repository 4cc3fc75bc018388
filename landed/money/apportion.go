package money

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"slices"

	"lotcost/landed/internal/exact"
)

// ErrNoWeight tells that a total was to be shared over weights that are all
// zero, or over nothing.
var ErrNoWeight = errors.New("nothing to share by: every weight is zero")

// errNegativeWeight tells that a weight is below zero; what wraps it says which.
var errNegativeWeight = errors.New("a weight cannot be negative")

// errRoom tells that there is room for fewer shares than there are weights.
var errRoom = errors.New("there is room for fewer shares than there are weights")

func negativeWeight[W any](i int, w W) error {
	return fmt.Errorf("weight %d is %v: %w", i, w, errNegativeWeight)
}

// Apportion shares total over the weights by the method of largest remainder
// (Hamilton's): each share is first the whole part of its exact quota, and the
// units left over go, one each, to the largest fractions, the earlier weight
// first where fractions are equal. The shares sum to total exactly, each is
// the floor or the ceiling of its quota, and a zero weight gets nothing. A
// negative total is shared as the mirror image of the positive one.
//
// The shares are written to dst, which must be as long as weights
// and must not overlap it. Nothing is allocated, and the time is linear in the worst case.
// Units are the caller's: minor units of money as a rule.
//
// It returns [ErrNoWeight] when all weights are zero, an error
// for a weight below zero, or [ErrOverflow] when the weights sum to more than 2^64-1 (see
// [ApportionBig]). dst is unspecified after an error.
func Apportion(dst []int64, total int64, weights []int64) error {
	if len(dst) < len(weights) {
		return errRoom
	}
	sum, err := sumWeights(weights)
	if err != nil {
		return err
	}
	dst = dst[:len(weights)]
	p := newPortioner(total, sum)
	left := p.floors(dst, weights)
	if left > 0 {
		p.handOut(dst, weights, left)
	}
	if total < 0 {
		for i, q := range dst {
			dst[i] = -q
		}
	}
	return nil
}

func sumWeights(weights []int64) (uint64, error) {
	var sum, over uint64
	for i, w := range weights {
		if w < 0 {
			return 0, negativeWeight(i, w)
		}
		var carry uint64
		sum, carry = bits.Add64(sum, uint64(w), 0)
		over |= carry
	}
	switch {
	case over != 0:
		return 0, ErrOverflow
	case sum == 0:
		return 0, ErrNoWeight
	}
	return sum, nil
}

// portioner divides total x weight by the sum of the weights. The divisor is
// shifted left until its top bit is set, so that a reciprocal can replace the
// division (Möller and Granlund, "Improved division by invariant integers",
// IEEE Transactions on Computers 60 (2011), algorithm 4) and remainders can be
// compared by their leading bits.
type portioner struct {
	total      uint64
	shifted    uint64 // total << shift, what is over 64 bits lost
	divisor    uint64
	reciprocal uint64
	shift      uint
}

func newPortioner(total int64, sum uint64) portioner {
	s := uint(bits.LeadingZeros64(sum))
	d := sum << s
	v, _ := bits.Div64(^d, math.MaxUint64, d)
	t := exact.Magnitude(total)
	return portioner{total: t, shifted: t << s, divisor: d, reciprocal: v, shift: s}
}

// floors writes the whole part of each quota to dst and returns how many units
// are left to hand out.
func (p portioner) floors(dst, weights []int64) (left uint64) {
	left = p.total
	dst = dst[:len(weights)] // spares a bounds check for each weight
	for i, w := range weights {
		hi, lo := bits.Mul64(p.total, uint64(w)<<(p.shift&63))
		q, low := bits.Mul64(p.reciprocal, hi)
		low, carry := bits.Add64(low, lo, 0)
		q += hi + carry + 1
		r := lo - q*p.divisor
		_, over := bits.Sub64(low, r, 0) // a coin toss: no branch
		q -= over
		r += p.divisor & -over
		if r >= p.divisor { // hardly ever
			q++
		}
		dst[i] = int64(q)
		left -= q
	}
	return left
}

// remainder recomputes what floors left over of one quota, shifted. It fits in
// 64 bits, so the wrapped product is exact, and no scratch space is needed.
func (p portioner) remainder(share, weight int64) uint64 {
	return p.shifted*uint64(weight) - uint64(share)*p.divisor
}

// handOut gives one unit each to the left largest remainders.
func (p portioner) handOut(dst, weights []int64, left uint64) {
	least, ties := p.threshold(dst, weights, left)
	dst = dst[:len(weights)]
	for i, w := range weights {
		r := p.remainder(dst[i], w)
		_, larger := bits.Sub64(least, r, 0) // a coin toss: no branch
		dst[i] += int64(larger)
		if r == least && ties > 0 {
			dst[i]++
			ties--
		}
	}
}

const (
	fewEnough   = 64 // so many remainders are sorted on the stack
	radixBits   = 11
	radixBucket = 1 << radixBits
)

// threshold finds the left-th largest remainder, and how many remainders equal
// to it get a unit. It narrows the range by a histogram of the leading bits,
// which takes at most six passes whatever the input.
func (p portioner) threshold(dst, weights []int64, left uint64) (least, ties uint64) {
	var mask, prefix uint64
	dst = dst[:len(weights)]
	candidates := uint64(len(weights))
	for shift := 64 - radixBits; candidates > fewEnough; shift -= radixBits {
		width := radixBits
		if shift < 0 {
			width, shift = radixBits+shift, 0
		}
		var count [radixBucket]uint64
		low := uint64(1)<<width - 1
		for i, w := range weights {
			if r := p.remainder(dst[i], w); r&mask == prefix {
				count[r>>shift&low]++
			}
		}
		bucket := low
		for left > count[bucket] {
			left -= count[bucket]
			bucket--
		}
		candidates = count[bucket]
		prefix |= bucket << shift
		mask |= low << shift
		if shift == 0 {
			return prefix, left
		}
	}
	return p.smallThreshold(dst, weights, left, mask, prefix)
}

// smallThreshold is threshold once the candidates, those whose bits under mask
// are prefix, are few.
func (p portioner) smallThreshold(dst, weights []int64, left, mask, prefix uint64) (least, ties uint64) {
	var few [fewEnough]uint64
	n := 0
	dst = dst[:len(weights)]
	for i, w := range weights {
		r := p.remainder(dst[i], w)
		if r&mask != prefix {
			continue
		}
		at := n
		for ; at > 0 && few[at-1] < r; at-- {
			few[at] = few[at-1]
		}
		few[at] = r
		n++
	}
	least = few[left-1]
	for at := int(left) - 1; at >= 0 && few[at] == least; at-- {
		ties++
	}
	return least, ties
}

// ApportionBig is [Apportion] for weights of any size, for those rare sharings
// whose weights do not fit in 64 bits. It allocates and sorts.
func ApportionBig(dst []int64, total int64, weights []*big.Int) error {
	if len(dst) < len(weights) {
		return errRoom
	}
	dst = dst[:len(weights)]
	sum := new(big.Int)
	for i, w := range weights {
		if w.Sign() < 0 {
			return negativeWeight(i, w)
		}
		sum.Add(sum, w)
	}
	if sum.Sign() == 0 {
		return ErrNoWeight
	}
	amount := new(big.Int).SetUint64(exact.Magnitude(total))
	left := exact.Magnitude(total)
	remainders := make([]*big.Int, len(weights))
	order := make([]int, len(weights))
	for i, w := range weights {
		q := new(big.Int).Mul(amount, w)
		q, remainders[i] = q.QuoRem(q, sum, new(big.Int))
		dst[i] = int64(q.Uint64())
		left -= q.Uint64()
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(remainders[b].Cmp(remainders[a]), cmp.Compare(a, b))
	})
	for _, i := range order[:left] {
		dst[i]++
	}
	if total < 0 {
		for i := range dst {
			dst[i] = -dst[i]
		}
	}
	return nil
}

// Equal divides total equally over n pieces by largest remainder: the first
// larger pieces get large each, the others small, which differs by at most one
// unit: one more, or for a negative total one less. It returns [ErrNoWeight]
// unless n is positive.
func Equal(total, n int64) (large, small, larger int64, err error) {
	if n <= 0 {
		return 0, 0, 0, ErrNoWeight
	}
	q, r := total/n, total%n
	switch {
	case r == 0:
		return q, q, n, nil
	case total < 0:
		return q - 1, q, -r, nil
	}
	return q + 1, q, r, nil
}
