package money

import (
	"cmp"
	"errors"
	"fmt"
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
	if len(weights) <= few {
		p.compare(dst, weights)
	} else {
		p.count(dst, weights)
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

// portioner divides total x weight by the sum of the weights, by a reciprocal: whole + fraction /
// 2^64 is total / sum, rounded down.
type portioner struct {
	total, sum      uint64
	whole, fraction uint64
}

func newPortioner(total int64, sum uint64) portioner {
	t := exact.Magnitude(total)
	return portioner{t, sum, t / sum, exact.Fraction64(t%sum, sum)}
}

// floor is the whole part of the quota of a weight, and what is left over of it, in parts of sum.
//
// The fraction is less than 2^-64 too small and w is below 2^63, so that q is at most one too
// small, and that only where its fraction, lo, is within w of the next whole. What is left over is
// then between a half and one and a half of sum, so that 64 bits tell whether it is less than sum.
func (p portioner) floor(weight int64) (q, rest uint64) {
	w := uint64(weight)
	hi, lo := bits.Mul64(p.fraction, w)
	q = p.whole*w + hi
	rest = p.total*w - q*p.sum
	if half := p.sum / 2; lo > ^w && rest-half >= p.sum-half {
		q++
		rest -= p.sum
	}
	return q, rest
}

// rest is what floor left over. It fits in 64 bits, so the wrapped products are exact, and nothing
// has to be kept.
func (p portioner) rest(floor, weight int64) uint64 {
	return p.total*uint64(weight) - uint64(floor)*p.sum
}

// few is up to how many weights each is compared with each.
const few = 24

// compare shares over few weights.
func (p portioner) compare(dst, weights []int64) {
	var rests, before [few]uint64
	left := p.total
	dst = dst[:len(weights)] // spares a bounds check for each weight, here and below
	for i, w := range weights {
		q, rest := p.floor(w)
		dst[i] = int64(q)
		left -= q
		rests[i] = rest
	}
	if left == 0 {
		return
	}
	precede(before[:len(dst)], rests[:len(dst)])
	for i, n := range before[:len(dst)] {
		dst[i] += int64(less(n, left))
	}
}

// precede counts how many come before each: the larger ones, and of equal ones the earlier. What is
// in before is zero at first.
func precede(before, rests []uint64) {
	before = before[:len(rests)]
	for i, rest := range rests {
		n := uint64(i)
		for j, earlier := range rests[:i] {
			later := less(earlier, rest)
			n -= later
			before[j] += later
		}
		before[i] = n
	}
}

// less is 1 if a is below b, else 0: without a branch, since it would be a coin toss.
func less(a, b uint64) uint64 {
	_, borrow := bits.Sub64(a, b, 0)
	return borrow
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
