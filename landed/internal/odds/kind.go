package odds

import (
	"cmp"
	"math"
	"math/big"
	"math/bits"
	"slices"

	"lotcost/landed/internal/exact"
)

// kind is pieces that are open to the same outcomes. What they bring is in minor units over the
// base of their scenario. Pieces without turns are independent of each other: their amounts are
// rising, the first of them 0. Of the turns, and of pieces that have them, keep.go tells.
type kind struct {
	count, keep    int64
	width          int64    // the most of sold and kept
	sold, kept     []int64  // by outcome; kept has only the first, of which pieces may be kept
	num            []uint64 // chances of the outcomes, over den and without a common factor
	den            uint64
	turns          []int   // outcomes, from 0
	mean, variance ratio   // of all pieces together
	*tails                 // nil without turns
	listed         *listed // all that pieces with turns can bring; nil where that is too much
}

// least is what one piece brings or counts for at least, most at most.
func (k *kind) least() int64 { return slices.Min(slices.Concat(k.sold, k.kept)) }

func (k *kind) most() int64 { return slices.Max(slices.Concat(k.sold, k.kept)) }

// independent folds in what is kept where it does not depend on the others which: where all pieces
// come out the same, or all are kept.
func (k *kind) independent(alike bool) {
	each, kept := int64(1), int64(1)
	switch {
	case alike:
		each, kept = k.count, k.keep
	case k.keep < k.count:
		return
	}
	for i, a := range k.sold {
		if k.sold[i] = a * each; i < len(k.kept) {
			k.sold[i] += kept * (k.kept[i] - a)
		}
	}
	k.count, k.kept, k.keep = k.count/each, nil, 0
}

// merge puts amounts in order, those that are equal together.
func (k *kind) merge() {
	merged := gathered(k.sold, k.num)
	k.sold, k.num = merged.at, merged.p
}

// reduce brings the chances to lowest terms.
func (k *kind) reduce() {
	common := k.den
	for _, n := range k.num {
		common = gcd(common, n)
	}
	for i := range k.num {
		k.num[i] /= common
	}
	k.den /= common
}

// rebase takes the least off all amounts and returns it.
func (k *kind) rebase() int64 {
	least := k.least()
	k.width = k.most() - least
	for _, list := range [][]int64{k.sold, k.kept} {
		for i := range list {
			list[i] -= least
		}
	}
	return least
}

// compare orders pieces: those that are independent first, then by span and then in any fixed way.
// Independent ones that only differ in number are the same.
func (k *kind) compare(l *kind) int {
	first := cmp.Or(cmp.Compare(min(len(k.turns), 1), min(len(l.turns), 1)), cmp.Compare(k.width, l.width))
	if len(k.turns) == 0 {
		return cmp.Or(first, slices.Compare(k.sold, l.sold), cmp.Compare(k.den, l.den), slices.Compare(k.num, l.num))
	}
	return cmp.Or(first, cmp.Compare(k.count, l.count), cmp.Compare(k.keep, l.keep), slices.Compare(k.sold, l.sold),
		slices.Compare(k.kept, l.kept), slices.Compare(k.num, l.num))
}

// moments works out the mean and the variance of all pieces, which are independent, over unit and
// square, its square; of chances in other parts over those.
func (k *kind) moments(unit, square *big.Int) (mean, variance ratio) {
	if one%k.den != 0 {
		unit = new(big.Int).SetUint64(k.den)
		square = new(big.Int).Mul(unit, unit)
	}
	first, second := new(big.Int), new(big.Int)
	var term, a big.Int
	for i, n := range k.num {
		a.SetInt64(k.sold[i])
		first.Add(first, term.Mul(term.SetUint64(n), &a))
		second.Add(second, term.Mul(&term, &a))
	}
	// Var = (den x sum n a^2 - (sum n a)^2) / den^2
	scale, count := new(big.Int).Div(unit, term.SetUint64(k.den)), a.SetInt64(k.count)
	second.Mul(second, term.SetUint64(k.den))
	second.Sub(second, term.Mul(first, first)).Mul(second, scale).Mul(second, scale)
	return ratio{first.Mul(first, scale).Mul(first, count), unit}, ratio{second.Mul(second, count), square}
}

// span is how far what all of them bring may be from the base.
func (k *kind) span() int64 { return k.width * k.count }

// ways is in how many ways the pieces can be divided over their outcomes, k of them: count + k - 1
// over k - 1.
func (k *kind) ways() uint64 {
	all := uint64(1)
	for i := uint64(1); i < uint64(len(k.num)); i++ {
		more, _, ok := exact.MulDiv(all, uint64(k.count)+i, i)
		if !ok {
			return math.MaxUint64
		}
		all = more
	}
	return all
}

// bits bounds the length of den^count.
func (k *kind) bits() uint64 { return uint64(k.count) * uint64(bits.Len64(k.den-1)) }
