package odds

import (
	"cmp"
	"fmt"
	"math/big"
	"math/bits"
	"slices"

	"lotcost/landed/internal/exact"
)

// A block is pieces of one kind of which some are kept. They depend on each
// other: which are kept hangs on how all of them come out.
//
// Call points the outcomes of which pieces may be kept, in their order, and let
// C_j be how many pieces come out at one of the first j. Of those min(C_j, k) are
// kept, so with d_j what a kept piece of point j counts for beyond a sold one,
// and d after the last point 0, all pieces bring
//
//	(what they bring sold) + sum over j of (d_j - d_j+1) x min(C_j, k)
//
// Put otherwise: all are sold, and k x d_1 comes on top; wherever m pieces, fewer
// than k, come out at the first j points, k - m keeps pass on to the next, and
// bring d_j+1 in place of d_j. A point where these are the same, or which leaves
// no other, is no turn. Everything below goes turn by turn.
type block struct {
	*law
	sold, kept     []int64 // over the base of the world, minor units: all outcomes, and the points
	turns          []int   // points, from 0
	listed         *listed // all that they can bring; nil where that is too much
	mean, variance ratio   // over the base
}

// law is what chances alone say of a block; blocks of several worlds share it.
type law struct {
	count, keep int64
	num         []uint64 // chances of the outcomes, the points first, over den and without a common factor
	den         uint64
	all         *big.Int // den^count, once asked for
	fewer       map[int]*tail
}

// tail is about there being m pieces, fewer than keep, at the first points.
type tail struct {
	short, square *big.Int // means of keep - m and its square, counted as 0 where m is not fewer, over den^count
	weights       []uint64 // by m, its chance in units of 2^-64, cut off
	most          uint64   // what they come to at most, in units of 2^-63
}

// mostBits bounds the numbers that the chances of a block are made of.
const mostBits = 1 << 18

// newBlock makes a block of a fate, and tells the least that a piece of it may
// bring. One without turns is not to be used as a block.
func newBlock(f fate, laws map[string]*law) (b block, least int64, err error) {
	b = block{law: newLaw(&f, laws)}
	least = f.extremes()[0]
	for _, a := range f.amounts {
		b.sold = append(b.sold, a-least)
	}
	for _, a := range f.kept {
		b.kept = append(b.kept, a-least)
	}
	if b.turn(); len(b.turns) == 0 {
		return b, least, nil
	}
	if most := int64(mostBits / bits.Len64(b.den-1)); b.count > most {
		return b, least, &LimitError{What: KeptPieces, Given: b.count, Least: 1, Most: most}
	}
	b.mean, b.variance = b.moments()
	return b, least, nil
}

// turn finds the turns.
func (b *block) turn() {
	for j := range b.kept {
		if b.extra(j) != b.extra(j+1) && b.upTo(j) < b.den {
			b.turns = append(b.turns, j)
		}
	}
}

func newLaw(f *fate, laws map[string]*law) *law {
	l := &law{count: f.count, keep: f.keep, num: slices.Clone(f.chances), den: one, fewer: map[int]*tail{}}
	for _, n := range l.num {
		l.den = gcd(l.den, n)
	}
	for i := range l.num {
		l.num[i] /= l.den
	}
	l.den = one / l.den
	key := fmt.Sprint(l.count, l.keep, l.num)
	if laws[key] == nil {
		laws[key] = l
	}
	return laws[key]
}

// extra is what a kept piece of a point counts for beyond a sold one; 0 after
// the last point.
func (b *block) extra(j int) int64 {
	if j == len(b.kept) {
		return 0
	}
	return b.kept[j] - b.sold[j]
}

// upTo is the chance of all points up to one, over den.
func (l *law) upTo(j int) uint64 {
	var sum uint64
	for _, n := range l.num[:j+1] {
		sum += n
	}
	return sum
}

func (b block) span() int64 { return slices.Max(slices.Concat(b.sold, b.kept)) }

// ways bounds in how many ways the outcomes can be made up.
func (b *block) ways() uint64 { return ways(b.count, len(b.num)) }

// bits bounds the length of den^count.
func (b *block) bits() uint64 { return uint64(b.count) * uint64(bits.Len64(b.den-1)) }

// numbers bounds how many limbs it takes to list what the block can bring.
func (b *block) numbers() uint64 { return times(b.ways(), b.bits()/64+1) }

// listing estimates the work of that, in multiplications.
func (b *block) listing() uint64 { return times(b.numbers(), 32) }

// tails is how many sums over its pieces a block takes, two for each turn that
// is not settled.
func (b *block) tails() uint64 {
	open, _, _ := b.unsettled()
	return 2 * uint64(len(open))
}

func (b block) compare(c block) int {
	return cmp.Or(cmp.Compare(b.span(), c.span()), cmp.Compare(b.count, c.count), cmp.Compare(b.keep, c.keep), slices.Compare(b.sold, c.sold),
		slices.Compare(b.kept, c.kept), slices.Compare(b.num, c.num))
}

// whole is den^count.
func (l *law) whole() *big.Int {
	if l.all == nil {
		l.all = power(l.den, l.count)
	}
	return l.all
}

// tail sums up the binomial law of how many pieces come out at the points up to
// one, which do not hold all chances.
func (l *law) tail(j int) *tail {
	if t := l.fewer[j]; t != nil {
		return t
	}
	in := l.upTo(j)
	t := &tail{weights: make([]uint64, l.keep)}
	t.short, t.square = new(big.Int), new(big.Int)
	factor, term := new(big.Int), new(big.Int)
	chance := power(l.den-in, l.count)
	for m := range l.keep {
		if m > 0 {
			chance.Mul(chance, factor.SetUint64(in)).Mul(chance, factor.SetInt64(l.count-m+1))
			chance.Quo(chance, factor.SetUint64(l.den-in)).Quo(chance, factor.SetInt64(m))
		}
		t.short.Add(t.short, term.Mul(chance, factor.SetInt64(l.keep-m)))
		t.square.Add(t.square, term.Mul(term, factor))
		t.weights[m] = term.Quo(term.Lsh(chance, 64), l.whole()).Uint64()
		t.most += t.weights[m]>>1 + 1
	}
	l.fewer[j] = t
	return t
}

// least is what the weights come to at least, in units of 2^-63.
func (t *tail) least() uint64 { return t.most - uint64(len(t.weights)) }

// powers are those of a number, from 0 to n.
func powers(base uint64, n int64) []*big.Int {
	list, factor := []*big.Int{big.NewInt(1)}, new(big.Int).SetUint64(base)
	for i := range n {
		list = append(list, new(big.Int).Mul(list[i], factor))
	}
	return list
}

func power(base uint64, n int64) *big.Int {
	out := new(big.Int).SetUint64(base)
	return out.Exp(out, big.NewInt(n), nil)
}

// moments reckons the mean and the variance of what the block brings over its
// base. For a turn, with d and e what a keep brings before and after it, a and b
// what a piece brings on average that is kept at the points up to it, or sold at
// another outcome, and r = k - m: the sum S of all pieces turns into S + r (e - d),
// where S is k d on average, less r d, and m a + (n - m) b on top.
func (b *block) moments() (mean, variance ratio) {
	n, k, two := ratOf(b.count), ratOf(b.keep), ratOf(2)
	each := average(b.num, b.sold, 1)
	all := sum(product(n, each), product(k, ratOf(b.extra(0))))
	spread := product(n, sum(average(b.num, b.sold, 2), negative(product(each, each))))
	ofMean, ofSquare := []term{{all, b.whole()}}, []term{{sum(product(all, all), spread), b.whole()}}
	for _, j := range b.turns {
		t, d, e := b.tail(j), ratOf(b.extra(j)), ratOf(b.extra(j+1))
		in, out := average(b.num[:j+1], b.kept[:j+1], 1), average(b.num[j+1:], b.sold[j+1:], 1)
		turn := sum(e, negative(d))
		// (e - d) x E[r (2 (m a + (n - m) b) + r (d + e))], and m = k - r
		most := sum(product(k, in), product(sum(n, negative(k)), out))
		less := sum(d, e, product(two, sum(out, negative(in))))
		ofMean = append(ofMean, term{turn, t.short})
		ofSquare = append(ofSquare, term{product(turn, two, most), t.short}, term{product(turn, less), t.square})
	}
	mean = total(ofMean, b.whole())
	return mean, total(ofSquare, b.whole()).minus(mean.times(mean))
}

// term is so many times a large number.
type term struct {
	times *big.Rat
	of    *big.Int
}

// total is the sum of terms over a denominator.
func total(terms []term, den *big.Int) ratio {
	common := big.NewInt(1)
	for _, t := range terms {
		gcd := new(big.Int).GCD(nil, nil, common, t.times.Denom())
		common.Mul(common, gcd.Quo(t.times.Denom(), gcd))
	}
	num := new(big.Int)
	for _, t := range terms {
		part := new(big.Int).Quo(common, t.times.Denom())
		num.Add(num, part.Mul(part, t.times.Num()).Mul(part, t.of))
	}
	return ratio{num, common.Mul(common, den)}
}

// average is the mean of some amounts, each to a power, by their chances.
func average(num []uint64, amounts []int64, to int) *big.Rat {
	total, all, term, a := new(big.Int), new(big.Int), new(big.Int), new(big.Int)
	for i, n := range num {
		all.Add(all, term.SetUint64(n))
		for range to {
			term.Mul(term, a.SetInt64(amounts[i]))
		}
		total.Add(total, term)
	}
	return new(big.Rat).SetFrac(total, all)
}

func ratOf(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }

func sum(terms ...*big.Rat) *big.Rat {
	out := new(big.Rat)
	for _, t := range terms {
		out.Add(out, t)
	}
	return out
}

func product(factors ...*big.Rat) *big.Rat {
	out := ratOf(1)
	for _, f := range factors {
		out.Mul(out, f)
	}
	return out
}

func negative(r *big.Rat) *big.Rat { return new(big.Rat).Neg(r) }

// extremes are the least and the most that the block can bring over its base.
// Where keep pieces are kept and the last of them at some point, the others are
// at that point or a later outcome.
func (b *block) extremes() (least, most int64) {
	n, k, points := b.count, b.keep, len(b.kept)
	of := func(best func([]int64) int64) int64 {
		var list []int64
		for j := range points {
			list = append(list, (k-1)*best(b.kept[:j+1])+b.kept[j]+(n-k)*best(b.sold[j:]))
		}
		if others := b.sold[points:]; len(others) > 0 {
			list = append(list, n*best(others), (k-1)*best(b.kept)+(n-k+1)*best(others))
		}
		return best(list)
	}
	return of(slices.Min[[]int64]), of(slices.Max[[]int64])
}

// sums lists all that the block can bring over its base, rising, each with its
// chance over den^count, by how many pieces come out at each outcome.
func (b *block) sums() (amounts []int64, chances []*big.Int) {
	all, last := map[int64]*big.Int{}, powers(b.num[len(b.num)-1], b.count)
	var from func(i int, left, keep, amount int64, chance *big.Int)
	from = func(i int, left, keep, amount int64, chance *big.Int) {
		brings := func(n int64) (amount, keeping int64) {
			if i >= len(b.kept) {
				return n * b.sold[i], keep
			}
			some := min(n, keep)
			return some*b.kept[i] + (n-some)*b.sold[i], keep - some
		}
		if i == len(b.sold)-1 {
			more, _ := brings(left)
			if all[amount+more] == nil {
				all[amount+more] = new(big.Int)
			}
			all[amount+more].Add(all[amount+more], new(big.Int).Mul(last[left], chance))
			return
		}
		chance, factor := new(big.Int).Set(chance), new(big.Int)
		for n := range left + 1 {
			more, keeping := brings(n)
			from(i+1, left-n, keeping, amount+more, chance)
			chance.Mul(chance, factor.SetUint64(b.num[i])).Mul(chance, factor.SetInt64(left-n))
			chance.Quo(chance, factor.SetInt64(n+1))
		}
	}
	from(0, b.count, b.keep, 0, big.NewInt(1))
	for a := range all {
		amounts = append(amounts, a)
	}
	slices.Sort(amounts)
	for _, a := range amounts {
		chances = append(chances, all[a])
	}
	return amounts, chances
}

// ways is in how many ways count pieces can be divided over so many outcomes:
// count + k - 1 over k - 1.
func ways(count int64, outcomes int) uint64 {
	all := uint64(1)
	for i := uint64(1); i < uint64(outcomes); i++ {
		more, _, ok := exact.MulDiv(all, uint64(count)+i, i)
		if !ok {
			return 1<<64 - 1
		}
		all = more
	}
	return all
}
